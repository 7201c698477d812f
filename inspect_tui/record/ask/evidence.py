"""Questions of the evidence: which readings have to be put right, because of a temperature, a known bias or a tilt."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.frozen import NamedTuple
from inspect_tui.record.ask.jobs import MEASURED_AT, Queries


class ToPutRight(NamedTuple):
    """A reading that does not stand as it was read, with what decides by how much."""

    id: bytes
    feature_id: bytes
    setup_id: bytes
    item_id: bytes | None
    tool_id: bytes | None
    at_us: int
    tz_min: int


_SETUPS = (
    "SELECT p.id FROM setup p WHERE p.work_c IS NOT NULL OR p.instrument_id IN (SELECT i.id FROM instrument i "
    "WHERE i.of_id IN (SELECT b.instrument_of_id FROM instrument_bias b))"
)


def anything_to_put_right(q: Queries) -> bool:
    """Whether the record knows any temperature, bias or tilt at all."""
    return bool(
        q._rows_of(
            "SELECT EXISTS (SELECT 1 FROM instrument_bias) OR EXISTS (SELECT 1 FROM realigned) "
            "OR EXISTS (SELECT 1 FROM setup WHERE work_c IS NOT NULL)"
        )[0][0]
    )


def to_put_right(q: Queries, feature_ids: Sequence[bytes]) -> list[ToPutRight]:
    """The readings of these feature rows that a temperature, a bias of the gauge or a tilt of the casting moves.

    Those that do not count are among them.
    """
    rows: list[ToPutRight] = []
    for marks, part in q._in(feature_ids):
        rows += (
            ToPutRight(*row)
            for row in q._rows_of(
                f"SELECT r.id, r.feature_id, r.setup_id, r.item_id, r.tool_id, {MEASURED_AT}, e.tz_min "
                "FROM reading r INDEXED BY reading_feature CROSS JOIN entry e ON e.id = r.id "
                "CROSS JOIN setup s ON s.id = r.setup_id "
                f"WHERE r.feature_id IN ({marks}) AND (r.setup_id IN ({_SETUPS}) "
                "OR r.item_id IN (SELECT item_id FROM realigned))",
                part,
            )
        )
    return rows


def that_count(
    q: Queries, feature_ids: Sequence[bytes], tool_of_id: bytes | None, item_id: bytes | None
) -> list[tuple[bytes, float]]:
    """(id, value as read) of the readings that count of a feature on a tool (all its versions) or an item, in order."""
    subject, key = ("r.item_id = ?", item_id)
    if item_id is None:
        subject, key = ("r.tool_id IN (SELECT id FROM tool WHERE of_id = ?)", tool_of_id)
    rows: list[tuple[bytes, float]] = []
    for marks, part in q._in(feature_ids):
        rows += q._rows_of(
            f"SELECT r.id, r.value FROM reading r WHERE r.feature_id IN ({marks}) AND {subject} "
            "AND EXISTS (SELECT 1 FROM reading_that_counts c WHERE c.id = r.id)",
            [*part, key],
        )
    return sorted(rows)


def measured_on(q: Queries, feature_ids: Sequence[bytes]) -> dict[bytes, str]:
    """The day (ISO) of the readings of these feature rows that were measured on another day than they were logged."""
    days: dict[bytes, str] = {}
    if not q._rows_of("SELECT EXISTS (SELECT 1 FROM setup WHERE on_date IS NOT NULL)")[0][0]:
        return days
    for marks, part in q._in(feature_ids):
        days.update(
            q._rows_of(
                "SELECT r.id, s.on_date FROM setup s CROSS JOIN reading r ON r.setup_id = s.id "
                f"WHERE s.on_date IS NOT NULL AND r.feature_id IN ({marks})",
                part,
            )
        )
    return days
