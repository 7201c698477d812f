"""Work: jobs, drawing revisions, features with their two ends, cores, tools and the steps to their sizes."""

from __future__ import annotations

from math import isfinite

from inspect_tui.errors import ChainError, LimitsError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id


@frozen_by_name
class Job:
    """One order. `a_*` is the planned contraction, tool / casting - 1, with standard uncertainty `ua_*`."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    number: str
    name: str
    alloy: str | None = None
    construction: str | None = None  # open, cored, restrained ... as the contraction tables call it
    customer_ref: str | None = None
    rule: str = "proof95"
    a_x: float = 0.0
    a_y: float = 0.0
    a_z: float = 0.0
    ua_x: float = 0.0
    ua_y: float = 0.0
    ua_z: float = 0.0
    a_source: str = "not stated"
    tool_share: float = 1.0 / 3.0  # tooling band as a share of the casting band: common practice
    tool_band: str | None = None  # or an EN 12890 class such as H2, where the table knows a figure
    customer: str | None = None
    part_no: str | None = None  # the customer's number of the part, and of the order
    order_no: str | None = None
    order_quantity: int | None = None
    foundry: str | None = None  # who pours


@frozen_by_name
class JobState:
    """A job opened, waiting or closed; the last one counts."""

    id: Id = NO_ID
    job_id: Id
    state: str = "open"  # open, waiting, closed, reopened
    why: str | None = None


@frozen_by_name
class DrawingRevision:
    """One edition of the drawing; never rewritten once a reading names one of its features."""

    id: Id = NO_ID
    job_of_id: Id
    number: str
    rev: str
    issued_on: str | None = None  # ISO date
    default_band: str | None = None  # such as "ISO 8062-3 DCTG 9"
    corrects_id: Id | None = None  # the edition of the same letter whose typing errors this one puts right
    why: str | None = None  # of a correction


@frozen_by_name
class End:
    """One end of a feature: which tool makes that surface, and which way it faces along the axis.

    `facing` is the direction of the outward normal of the METAL at this surface: +1 toward the axis, -1 against it.
    Exactly one of `core_id` and `half` is set.
    """

    id: Id = NO_ID
    feature_id: Id = NO_ID
    which: str  # A (low end) or B (high end)
    core_id: Id | None = None
    half: str | None = None
    facing: int = 1
    coord_mm: float | None = None  # as-cast place along the axis
    stock_mm: float = 0.0  # machining stock on this face, >= 0
    coat_mm: float = 0.0  # core wash on this face, >= 0
    coat_said: bool = False  # somebody said how thick the wash is, also when it is nought

    def __post_init__(self) -> None:
        if (self.core_id is None) == (self.half is None):
            raise ChainError(f"end {self.which}: say either which core or which mould half makes it")
        if self.facing not in (-1, 1):
            raise ChainError(f"end {self.which}: facing is +1 or -1, not {self.facing}")


@frozen_by_name
class Feature:
    """One ballooned size of one drawing revision.

    `nominal`, `lower` and `upper` are the drawing's (finished) size and its limits, as sizes, not deviations.
    Stock on the ends moves size and limits together to the as-cast size.
    """

    id: Id = NO_ID
    revision_id: Id = NO_ID
    same_as_id: Id | None = None  # this feature in the revision before
    balloon: str
    name: str
    quantity: str = "length"
    axis: str = "x"
    dir_x: float | None = None  # direction cosines of an oblique feature
    dir_y: float | None = None
    dir_z: float | None = None
    nominal: float
    lower: float | None = None
    upper: float | None = None
    band_source: str = "drawing"
    # cast: a size of the casting. tool: a print, key or seat, judged at tooling scale and never contracted.
    # layout: a size of the casting that is only measured on tools (the full-size layout, not the drawing's balloons).
    scale: str = "cast"
    machined: bool = False
    draft_deg: float = 0.0
    draft_h_mm: float = 0.0  # from the level of the drawing size to the level where it is measured; signed
    a: float | None = None  # contraction of this feature where it differs from the job's
    ua: float | None = None
    note: str | None = None
    ord: int = 0
    raw_lower: float | None = None  # limits of the size as cast, where the drawing or a casting grade states them
    raw_upper: float | None = None
    raw_source: str | None = None  # drawing, a grade, "must clean up"; None: nothing is said of the raw casting
    at_x: float | None = None  # where across its axis the size is taken, casting mm
    at_y: float | None = None
    at_z: float | None = None
    nominal_known: bool = True  # False: of a sample casting without a drawing; the size is what its readings say
    sheet: str | None = None  # of the drawing, with its zone and its own name for the characteristic
    zone: str | None = None
    characteristic: str | None = None
    ends: tuple[End, ...] = ()

    def __post_init__(self) -> None:
        for name in ("nominal", "lower", "upper", "raw_lower", "raw_upper"):
            value = getattr(self, name)
            if value is not None and not (isfinite(value) and abs(value) < 1e5):
                raise LimitsError(f"{self.balloon}: {name} {value} is not a size")
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise LimitsError(
                f"{self.balloon}: the limits contradict each other: lower {self.lower:g} is above upper {self.upper:g}"
            )
        if self.raw_lower is not None and self.raw_upper is not None and self.raw_lower > self.raw_upper:
            raise LimitsError(
                f"{self.balloon}: the limits as cast contradict each other: lower {self.raw_lower:g} is above upper "
                f"{self.raw_upper:g}"
            )


@frozen_by_name
class Core:
    """One numbered core of the job."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    number: int
    name: str
    makes_surface: bool = True  # False: it only locates other cores
    set_order: int | None = None
    volume_dm3: float | None = None


@frozen_by_name
class Tool:
    """A pattern half, core stick, core box, loose piece, master or production pattern."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    kind: str
    label: str
    core_id: Id | None = None
    material: str = "not stated"
    expansion_per_c: float | None = None
    made_from_id: Id | None = None  # the stick a box was cast off, the master a pattern was cast from
    # resin contraction of a box cast off this stick, fraction of the stick; of a mould how much smaller it sets than
    # its pattern, fraction of the pattern, below 0 where it grows (plaster)
    resin_r: float | None = None
    resin_u: float | None = None
    second_a: float | None = None  # contraction of the metal a production pattern is cast in
    second_u: float | None = None


@frozen_by_name
class ChainStep:
    """One invertible step from the drawing size toward the tool size: a factor or an offset, with its u."""

    id: Id = NO_ID
    tool_feature_id: Id = NO_ID
    ord: int
    kind: str
    scale: float | None = None
    offset_mm: float | None = None
    u: float = 0.0  # of the factor (a fraction) or of the offset (mm)
    source: str = "not stated"

    def __post_init__(self) -> None:
        if (self.scale is None) == (self.offset_mm is None):
            raise ChainError(f"step {self.kind}: give either a factor or an offset")
        if self.scale is not None and not 0.5 <= self.scale <= 2.0:
            raise ChainError(f"step {self.kind}: a factor of {self.scale:g} is not believable (0.5 to 2)")


@frozen_by_name
class ToolFeature:
    """A feature as it stands on a tool, with the steps that lead to its target and its tooling limits.

    `sense`: metal = the tool's material lies between the ends (a stick, a pattern); space = an opening (a box
    cavity, a seat); face = both ends face the same way, a place rather than a size.
    `lower` and `upper` are tooling sizes; None means the tooling band is the job's share of the casting band.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_id: Id
    feature_id: Id
    sense: str
    lower: float | None = None
    upper: float | None = None
    band_source: str = "share of the casting band"
    steps: tuple[ChainStep, ...] = ()


@frozen_by_name
class Lot:
    """Castings or cores made together."""

    id: Id = NO_ID
    job_of_id: Id
    label: str
    heat: str | None = None
    poured_on: str | None = None
    quantity: int | None = None


@frozen_by_name
class Item:
    """One casting or one sand core that is measured; `serial` is text and never a path."""

    id: Id = NO_ID
    job_of_id: Id
    kind: str = "casting"  # casting, core
    serial: str
    lot_id: Id | None = None
    core_id: Id | None = None
    cavity: str | None = None
    material: str | None = None
    expansion_per_c: float | None = None
