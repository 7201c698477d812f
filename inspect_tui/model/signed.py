"""The first article that is signed: geometrical tolerances, decisions about what does not conform, signatures."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id

GEOMETRIES = (
    "position",
    "line_profile",
    "surface_profile",
    "straightness",
    "flatness",
    "roundness",
    "parallelism",
    "perpendicularity",
)
GEOMETRY_FIELDS = (  # as files, tables and commands name what is said of one
    "balloon",
    "name",
    "what",
    "tolerance",
    "diameter",
    "datums",
    "sizes",
    "datum_sizes",
    "state",
    "sheet",
    "zone",
    "characteristic",
    "note",
)
DECISIONS = ("rework", "concession", "scrap", "correct_tool")
ACTS = ("checked", "released")


@frozen_by_name
class Geometry:
    """A geometrical tolerance of the drawing (ISO 1101), mm; `round`: its zone is a diameter.

    `sizes` and `datum_sizes` are balloons, parted by blanks, of the sizes that it is computed from. Without sizes it is
    accepted or not by another way.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    balloon: str
    name: str
    what: str
    tolerance_mm: float
    round: bool = False
    datums: str | None = None  # as the frame on the drawing has them: A B C
    sizes: str | None = None
    datum_sizes: str | None = None
    state: str = "raw"  # of the casting that it is asked of: raw, finished
    sheet: str | None = None
    zone: str | None = None
    characteristic: str | None = None
    note: str | None = None
    active: bool = True


@frozen_by_name
class GeometryCheck:
    """A geometrical tolerance looked at on one casting by another way than sizes; the last one counts."""

    id: Id = NO_ID
    geometry_of_id: Id
    item_id: Id
    accepted: bool
    method: str
    person_of_id: Id
    on_date: str
    words: str | None = None
    holds: bool = True


@frozen_by_name
class Disposition:
    """What becomes of what does not conform: of a size or a geometrical tolerance, on one casting or (None) on all.

    A concession holds up to a day (the last one on which it may be used) and for a number of castings.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    lot_id: Id | None = None
    feature_id: Id | None = None
    geometry_of_id: Id | None = None
    item_id: Id | None = None
    state: str = "raw"
    decision: str
    until_on: str | None = None
    quantity: int | None = None
    agreed_by: str | None = None  # who agreed for the customer
    reference: str | None = None  # the number of the concession or of the rework order
    why: str
    person_of_id: Id
    on_date: str
    holds: bool = True


@frozen_by_name
class ArticleSign:
    """Somebody checked or released a first article; `rests_on`: SHA-256 over the ids of the rows it rests on."""

    id: Id = NO_ID
    job_of_id: Id
    lot_id: Id | None = None
    act: str
    person_of_id: Id
    on_date: str
    rests_on: str
    words: str | None = None
    holds: bool = True
