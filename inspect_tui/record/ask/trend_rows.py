"""The rows of the kept summaries of trends; apart, because who only logs readings does not need them."""

from __future__ import annotations

from array import array

from inspect_tui.frozen import NamedTuple

KEPT = (
    "tool_of_id",
    "feature_id",
    "source",
    "job_of_id",
    "label",
    "balloon",
    "name",
    "unit",
    "n",
    "last_day",
    "count_day",
    "kind",
    "value_mm",
    "target_mm",
    "limit_mm",
    "rate",
    "u_rate",
    "now",
    "total",
    "per_week",
    "cores_left",
    "low",
    "high",
    "risk",
    "sentence",
    "remarks",
)


class KeptTrend(NamedTuple):
    """One row of the kept summaries (`cache_trend`): see the schema for what each column means."""

    tool_of_id: bytes
    feature_id: bytes
    source: str
    job_of_id: bytes
    label: str
    balloon: str
    name: str
    unit: str
    n: int
    last_day: int | None
    count_day: int | None
    kind: str
    value_mm: float | None
    target_mm: float | None
    limit_mm: float | None
    rate: float | None
    u_rate: float | None
    now: float | None
    total: float | None
    per_week: float | None
    cores_left: float | None
    low: float | None
    high: float | None
    risk: float | None
    sentence: str
    remarks: str


class KeptRecent(NamedTuple):
    """The newest readings of one series less the wear that is known, mm; `place` readings came before them."""

    tool_of_id: bytes
    feature_id: bytes
    source: str
    place: int
    width: float | None
    value: array[float]
