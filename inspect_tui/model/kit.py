"""The kit: fits, loops, passages, pictures, and what is to be known of cores, tools and shipments."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id


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
class PassagePoint:
    """One point of the law that the customer states: the capacity, in the passage's unit, at an area.

    Points belong to one version of the passage.
    """

    id: Id = NO_ID
    passage_id: Id
    ord: int
    area_mm2: float
    flow: float


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
    """What a picture shows: kind number and id (of the first version) of a job, core, tool, casting, reading ...

    `balloons`: where numbers of sizes and geometrical tolerances stand on it, as `shop/pictures/balloons.py` reads it.
    """

    id: Id = NO_ID
    of_id: Id = NO_ID
    replaces_id: Id | None = None
    attachment_id: Id
    about_kind: int
    about_id: Id
    caption: str | None = None
    ord: int = 0
    active: bool = True
    balloons: str | None = None


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
    low_end: str | None = None  # what people call its ends along `ends_axis`, such as inlet and outlet
    high_end: str | None = None
    ends_axis: str | None = None


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
    why_open: str | None = None  # why it left with points of its check still open


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
