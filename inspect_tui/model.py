"""The shop's things as frozen dataclasses: what a job, a feature, a tool and a reading are.

Nothing here knows how things are kept or computed; the only behaviour is a check that refuses nonsense.
Lengths are mm, angles degrees, temperatures degC, ratios fractions (1.0 % is 0.010).
Every recorded thing has an `id` (UUIDv7, 16 bytes), empty until the record has written it.
Things that people correct later carry `of_id` (the first version's id) and `replaces_id`.
"""

from __future__ import annotations

from math import isfinite

from inspect_tui.errors import ChainError, LimitsError
from inspect_tui.frozen import NamedTuple, frozen, frozen_by_name

Id = bytes
NO_ID: Id = b""

# What a feature measures. All but the last four are lengths in mm.
LENGTH_QUANTITIES = (
    "length",
    "width",
    "diameter",
    "radius",
    "depth",
    "wall",
    "step",
    "position",
    "flatness",
)
QUANTITIES = (*LENGTH_QUANTITIES, "angle", "temperature", "attribute")
AXES = ("x", "y", "z", "oblique", "none")
HALVES = ("cope", "drag")
SCALES = ("cast", "tool", "layout")
TOOL_KINDS = (
    "pattern_cope",
    "pattern_drag",
    "core_stick",
    "core_box",
    "loose_piece",
    "master",
    "production_pattern",
    "gauge_template",
    "other",
)
STEP_KINDS = (
    "stock",
    "draft",
    "contraction",
    "coat",
    "resin",
    "second_contraction",
    "correction",
)
RULES = ("proof95", "full_u", "plain")
SENSES = ("metal", "space", "face")
PERSON_ROLES = ("maker", "inspector", "lead", "foundry", "guest")
INSTRUMENT_KINDS = (
    "caliper",
    "height_gauge",
    "depth",
    "micrometer",
    "tape",
    "rule",
    "contraction_rule",
    "ultrasonic",
    "template",
    "arm",
    "thermometer",
    "other",
)
SUPERSEDE_REASONS = (
    "misread",
    "wrong_feature",
    "wrong_item",
    "wrong_unit",
    "wrong_instrument",
    "zero_shift",
    "duplicate",
    "test",
    "other",
)
SLIPS = ("none", "asked_kept", "asked_retyped")
STUDY_DESIGNS = ("crossed", "bias", "linearity", "stability")
FIT_KINDS = ("print", "key", "joint", "pattern")
FIT_AXES = ("x", "y", "z", "round")
WAYS_IN = ("x-", "x+", "y-", "y+", "z-", "z+")
PICTURE_MEDIA = ("image/jpeg", "image/png")

LIMIT_SLACK_MM = 1e-6  # a value equal to a limit is inside; this absorbs binary rounding


class Estimate(NamedTuple):
    """A value and its standard uncertainty, both in the same unit."""

    value: float
    u: float


@frozen
class Band:
    """Limits in mm (or degrees) and where they came from; None is no limit on that side."""

    lower: float | None
    upper: float | None
    source: str

    def __post_init__(self) -> None:
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise LimitsError(f"the limits contradict each other: lower {self.lower:g} is above upper {self.upper:g}")

    @property
    def width(self) -> float | None:
        """Upper minus lower, None when a side is open."""
        return None if self.lower is None or self.upper is None else self.upper - self.lower


# ------------------------------------------------------------------------------ work
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
    ends: tuple[End, ...] = ()

    def __post_init__(self) -> None:
        for name in ("nominal", "lower", "upper"):
            value = getattr(self, name)
            if value is not None and not (isfinite(value) and abs(value) < 1e5):
                raise LimitsError(f"{self.balloon}: {name} {value} is not a size")
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise LimitsError(
                f"{self.balloon}: the limits contradict each other: lower {self.lower:g} is above upper {self.upper:g}"
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
    resin_r: float | None = None  # resin contraction of a box cast off this stick, fraction of the stick
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


# ------------------------------------------------------------------------------ people, instruments
@frozen_by_name
class Person:
    """Initials are a statement of who measured, not a login."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    initials: str
    name: str | None = None
    role: str = "maker"
    active: bool = True


@frozen_by_name
class Instrument:
    """`rule_scale` of a contraction rule: true size = reading * (1 + rule_scale)."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    label: str
    kind: str = "caliper"
    serial: str | None = None
    unit: str = "mm"  # mm, in, deg, C
    resolution: float = 0.01  # in `unit`
    range_lo: float = 0.0
    range_hi: float = 1000.0
    rule_scale: float = 0.0
    expansion_per_c: float | None = None
    jaw_mm: float | None = None


@frozen_by_name
class Calibration:
    """What a certificate said. `error_mm` is the as-found error (reading minus truth), stated, never applied."""

    id: Id = NO_ID
    instrument_of_id: Id
    done_on: str
    due_on: str | None = None
    result: str = "pass"  # pass, adjusted, fail
    u95_mm: float
    k: float = 2.0
    error_mm: float | None = None
    reference: str = "not stated"


# ------------------------------------------------------------------------------ measuring
@frozen_by_name
class Session:
    """One stay at the bench."""

    id: Id = NO_ID
    kind: str = "tool"  # tool, casting, core, gauge
    job_of_id: Id | None = None
    revision_id: Id | None = None
    title: str | None = None


@frozen_by_name
class Setup:
    """Who measures with what; a new one whenever any of it changes."""

    id: Id = NO_ID
    session_id: Id
    person_id: Id
    instrument_id: Id
    calibration_id: Id | None = None
    work_c: float | None = None
    instrument_c: float | None = None
    moisture: float | None = None  # of a wooden tool, fraction
    clock_doubt: bool = False


@frozen_by_name
class Reading:
    """One size as it was read, with the text as typed. Exactly one of `item_id` and `tool_id` is set."""

    id: Id = NO_ID
    setup_id: Id
    feature_id: Id
    item_id: Id | None = None
    tool_id: Id | None = None
    tool_feature_id: Id | None = None
    rep: int = 1
    value: float  # mm, deg or degC by the feature's quantity
    typed: str
    typed_unit: str = "mm"
    slip: str = "none"


@frozen_by_name
class Supersede:
    """A further fact that takes a reading out of count: void when there is no replacement."""

    id: Id = NO_ID
    target_id: Id
    replacement_id: Id | None = None
    settles_id: Id | None = None
    reason: str = "other"
    why: str


@frozen_by_name
class Note:
    """Free text about any recorded thing."""

    id: Id = NO_ID
    about_kind: int
    about_id: Id
    text: str


# ------------------------------------------------------------------------------ gauges
@frozen_by_name
class GaugeStudy:
    """How well an instrument reads one kind of feature. `seed` fixes the blind order; `band_mm` is a width.

    `trials` of each piece by each person; pieces are GaugePart, people GaugePerson. `quantity` None: any kind.
    """

    id: Id = NO_ID
    instrument_of_id: Id
    design: str = "crossed"
    title: str
    job_of_id: Id | None = None
    feature_id: Id | None = None
    quantity: str | None = None
    trials: int
    seed: int
    band_mm: float | None = None


@frozen_by_name
class GaugePart:
    """One piece of a study; `reference_mm` where its size is known better than the instrument reads."""

    id: Id = NO_ID
    study_id: Id
    number: int
    label: str
    reference_mm: float | None = None
    u95_mm: float | None = None  # of the reference, at k = 2


@frozen_by_name
class GaugePerson:
    """Who measures in a study."""

    id: Id = NO_ID
    study_id: Id
    number: int
    person_of_id: Id


@frozen_by_name
class GaugeTrial:
    """One reading of a study, mm or degrees; `instead_of_id` is an earlier one that it takes the place of."""

    id: Id = NO_ID
    study_id: Id
    setup_id: Id
    part_id: Id
    trial: int
    value: float
    typed: str
    typed_unit: str = "mm"
    instead_of_id: Id | None = None


@frozen_by_name
class GaugeCheck:
    """One reading of a reference piece before work; `u95_mm` is the reference's own, at k = 2."""

    id: Id = NO_ID
    setup_id: Id
    reference: str
    reference_mm: float
    u95_mm: float = 0.0
    value: float
    typed: str
    typed_unit: str = "mm"
    instead_of_id: Id | None = None


@frozen_by_name
class InstrumentBias:
    """A bias (reading minus truth) that came to light, from day to day; `to_on` None: it still holds.

    Readings stay as they are. A later one takes the place of an earlier one by `instead_of_id`.
    """

    id: Id = NO_ID
    instrument_of_id: Id
    from_on: str
    to_on: str | None = None
    bias_mm: float
    u_mm: float  # standard uncertainty of the bias
    why: str
    found_from: str
    instead_of_id: Id | None = None


# ------------------------------------------------------------------------------ the kit
@frozen_by_name
class Fit:
    """A print or key (inner) and the seat that takes it (outer) along one axis, mm at tooling scale; one row a place.

    Core ids are those of a core's first version. Nothing outer: the seat is not said yet. The features are sizes at
    tooling scale; `gap_feature_id` is read as the clearance itself. `holds` lists what it stops: x, y+, rz and so on.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    label: str
    place: str | None = None  # which of several alike, such as 3
    kind: str = "print"
    inner_core_id: Id | None = None
    inner_half: str | None = None
    outer_core_id: Id | None = None
    outer_half: str | None = None
    inner_feature_id: Id | None = None
    outer_feature_id: Id | None = None
    gap_feature_id: Id | None = None
    axis: str = "x"  # of the clearance; round: both ways across the way in
    way_in: str = "z-"  # the direction in which the print goes into its seat
    points: str | None = None  # the direction in which the print stands out of its core; None: as it goes in
    clear_min_mm: float
    clear_max_mm: float
    band_source: str = "stated by the shop"
    holds: str | None = None
    lift_mm: float | None = None  # how far the core can rise in this seat
    at_x: float | None = None
    at_y: float | None = None
    at_z: float | None = None
    blocked_by: str | None = None  # numbers of cores that would stand in the way in once they are set
    mark: str | None = None  # paint or number on print and seat
    count: int = 1  # alike and not told apart
    active: bool = True
    note: str | None = None

    @property
    def name(self) -> str:
        """K6-3, or K2 where there is one place."""
        return f"{self.label}-{self.place}" if self.place else self.label


@frozen_by_name
class Stack:
    """A wall or passage whose loop a person wrote; its members are `StackMember`s of this version."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    label: str
    name: str
    feature_id: Id | None = None  # the wall on the drawing
    lower: float | None = None  # mm of the casting
    upper: float | None = None
    active: bool = True
    note: str | None = None


@frozen_by_name
class StackMember:
    """One contributor of a written loop, mm of the casting. With `fit_id` its play follows the fit as measured."""

    id: Id = NO_ID
    stack_id: Id
    ord: int
    name: str
    sense: int = 1
    size_mm: float = 0.0
    plus_mm: float = 0.0
    minus_mm: float = 0.0
    shape: str = "normal"  # normal: three standard deviations to the limit; uniform: play
    tool: str | None = None
    fit_id: Id | None = None
    feature_id: Id | None = None


@frozen_by_name
class Passage:
    """A derived characteristic by a formula over balloons; with a rating it gives an estimated capacity."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    label: str
    name: str
    formula: str
    unit: str | None = None  # of the rating
    rated: float | None = None
    minimum: float | None = None
    exponent: float = 1.0
    active: bool = True
    note: str | None = None


@frozen_by_name
class Attachment:
    """A picture; its bytes lie beside the record under their hash."""

    id: Id = NO_ID
    sha256: str  # 64 hex digits
    bytes: int
    media: str
    width_px: int
    height_px: int
    shown_name: str


@frozen_by_name
class AttachmentUse:
    """What a picture shows: kind number and id of a core, tool, fit, job (first version) or shipment."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    attachment_id: Id
    about_kind: int
    about_id: Id
    caption: str | None = None
    ord: int = 0
    active: bool = True


@frozen_by_name
class CoreDetail:
    """What setting a core takes beyond its number and name. Check limits are sizes in the mould (go and no-go)."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    core_of_id: Id
    set_order: int | None = None  # in place of the one that the core was opened with
    in_metal_dm3: float | None = None  # volume with metal round it
    print_area_mm2: float | None = None  # that bears its lift
    chaplets: int | None = None
    chaplet_note: str | None = None
    vents: str | None = None
    lift_points: str | None = None
    tol_mm: float | None = None  # plus or minus, between two of its faces or seats
    template: str | None = None
    check_feature_id: Id | None = None  # the wall that the template proves
    check_name: str | None = None
    check_lower: float | None = None
    check_upper: float | None = None
    caution: str | None = None
    note: str | None = None


@frozen_by_name
class ToolDetail:
    """What shipping and keeping a tool takes. `grain`: the axis along which the wood runs."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_of_id: Id
    loose_pieces: int | None = None
    dowels: int | None = None
    weight_kg: float | None = None
    mark: str | None = None
    owner: str | None = None
    grain: str | None = None
    lift_points: str | None = None
    note: str | None = None


@frozen_by_name
class Shipment:
    """What left the shop, or came back from the shipment `out_id`."""

    id: Id = NO_ID
    job_of_id: Id
    way: str = "out"
    out_id: Id | None = None
    to_whom: str
    done_on: str  # ISO date
    condition: str | None = None
    note: str | None = None


@frozen_by_name
class ShipmentLine:
    """One thing of a shipment with its loose pieces counted."""

    id: Id = NO_ID
    shipment_id: Id
    ord: int
    tool_of_id: Id | None = None
    what: str
    count: int = 1
    loose_pieces: int | None = None
    condition: str | None = None


# ------------------------------------------------------------------------------ first articles
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


# ------------------------------------------------------------------------------ trends
COUNT_WAYS = ("total", "made", "restart")
COUNT_SOURCES = ("typed", "imported", "derived")
REPAIR_ACTIONS = ("cut", "add", "new_insert", "recoat", "replace", "line", "other")
TOOL_STATES = ("in_use", "retired", "revived")


@frozen_by_name
class ToolCount:
    """Cores blown in a box, moulds made with a pattern. `holds` False takes the entry back.

    total: what the counter showed at the end of that day; made: so many more; restart: a new counter begins at `count`.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_of_id: Id
    way: str = "total"
    count: int
    on_date: str  # ISO date
    lot_id: Id | None = None
    source: str = "typed"
    holds: bool = True
    note: str | None = None


@frozen_by_name
class ToolRepair:
    """What was done to a tool, mm at the tool; `feature_id` None: to the whole tool.

    `core_id` is the core that sits in what was repaired, where that is a seat, a print or keys.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_of_id: Id
    feature_id: Id | None = None
    core_id: Id | None = None
    action: str = "other"
    amount_mm: float | None = None  # the change of the size, without a sign: the action says which way
    done_on: str  # ISO date
    at_count: int | None = None  # cores or moulds made when it was done
    who: str | None = None
    what: str
    holds: bool = True


@frozen_by_name
class ToolState:
    """A tool in use, retired or revived; the last one by day counts."""

    id: Id = NO_ID
    tool_of_id: Id
    state: str = "in_use"
    since_on: str  # ISO date
    why: str | None = None


@frozen_by_name
class WearLimit:
    """How far a size of a tool may wear where that was agreed, mm at the tool; else the chain gives the limit."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    tool_of_id: Id
    feature_id: Id
    lower: float | None = None
    upper: float | None = None
    why: str
    holds: bool = True


@frozen_by_name
class ItemWeight:
    """What a casting or core weighs."""

    id: Id = NO_ID
    item_id: Id
    weight_kg: float
    u95_kg: float | None = None


@frozen_by_name
class WallArea:
    """The wall surface of a casting, one side (m2), and the density of its metal (kg/m3)."""

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    job_of_id: Id
    area_m2: float
    density: float = 7100.0
    why: str = "not stated"
