"""First articles: report snapshots, imports, what cannot be measured, realigned castings, accepted cuts."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id


@frozen_by_name
class ReportSnapshot:
    """A report as it was given out: what it saw of the record (JSON: device -> last number), and its content."""

    id: Id = NO_ID
    paper: str  # such as first_article
    job_of_id: Id
    lot_id: Id | None = None
    frontier: str
    rules: str
    program: str
    tables_sha256: str  # of the shipped tables
    settings: str = "{}"  # JSON
    output_sha256: str  # of the content as JSON text
    output: str  # that text, zlib and base64


@frozen_by_name
class ImportMapping:
    """How files with these headings are read; the newest for a signature counts."""

    id: Id = NO_ID
    job_of_id: Id | None = None
    signature: str  # SHA-256 of the headings
    title: str
    settings: str  # JSON


@frozen_by_name
class ImportFile:
    """A file that was taken in; the same bytes are not taken twice."""

    id: Id = NO_ID
    sha256: str
    shown_name: str
    job_of_id: Id
    session_id: Id | None = None
    mapping_id: Id | None = None
    readings: int = 0


@frozen_by_name
class NotMeasurable:
    """A feature that cannot be measured on a casting (None: on any), and why; `holds` False takes it back."""

    id: Id = NO_ID
    feature_id: Id
    item_id: Id | None = None
    reason: str
    holds: bool = True


@frozen_by_name
class Realigned:
    """A casting that sat tilted or had a datum target ground: sizes along `axis` are turned back by `slope`.

    `slope` is mm for each mm along `along`, about `pivot_mm`. Readings stay; the last one for a casting counts.
    """

    id: Id = NO_ID
    item_id: Id
    axis: str = "z"
    along: str = "x"
    pivot_mm: float
    slope: float
    u_slope: float = 0.0
    why: str
    holds: bool = True


@frozen_by_name
class DatumTarget:
    """A place that holds the casting along `axis` while it is measured and machined; the last of a label counts."""

    id: Id = NO_ID
    job_of_id: Id
    label: str
    name: str | None = None
    axis: str
    x_mm: float | None = None
    y_mm: float | None = None
    z_mm: float | None = None
    holds: bool = True


@frozen_by_name
class CutAccepted:
    """A cut of the list that became work: mm at the tool (a fraction for contraction), in both kinds of words."""

    id: Id = NO_ID
    job_of_id: Id
    lot_id: Id | None = None  # the sampling that led to it
    tool_id: Id | None = None
    tool: str
    cause: str
    axis: str
    change_mm: float
    low_mm: float
    high_mm: float
    words: str
    casting_words: str | None = None


@frozen_by_name
class CutPromise:
    """What an accepted cut promises for a feature of the next casting, mm."""

    id: Id = NO_ID
    cut_id: Id
    feature_id: Id
    tool_feature_id: Id | None = None  # the new target, where it moved
    before_mm: float
    promised_mm: float
    u_mm: float
