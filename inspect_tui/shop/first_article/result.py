"""What a first article says, as plain frozen records: identity, cells, features, loops, causes, cuts, stock, cautions.

Lengths are mm (degrees where `unit` is deg), ratios fractions, probabilities 0 to 1; nothing is rounded. `to_plain`
gives the same as dictionaries and lists in a fixed order: that is the content of every report form.
"""

from __future__ import annotations

from math import isfinite
from typing import Any

from inspect_tui.frozen import fields, frozen, frozen_by_name
from inspect_tui.metrology.kit.bodies import Box
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.findings import (
    Causes,
    Cuts,
    QuestionLine,
    Stock,
)

FORMAT = "first_article/3"
FORMATS = ("first_article/1", "first_article/2", FORMAT)
NEW_IN: dict[
    int, dict[str, tuple[str, ...]]
] = {  # format -> what those before it do not have: of the whole, of its identity, of each feature
    2: {  # geometrical tolerances and signatures
        "": ("geometry", "counts_geometry", "dispositions", "signs", "statement", "not_covered"),
        "identity": ("customer", "part_no", "order_no", "order_quantity", "foundry", "named"),
        "features": ("sheet", "zone", "characteristic"),
    },
    3: {"": ("places", "spoken")},  # where balloons stand, and the figures of sentences
}


@frozen_by_name
class Identity:
    """Which job, drawing, sampling and record this is about; `heads` are the ends of the record's chains as seen."""

    job: str
    name: str
    alloy: str | None
    customer_ref: str | None
    drawing: str
    revision: str
    issued_on: str | None
    round: str
    heat: str | None
    poured_on: str | None
    quantity: int | None
    serials: tuple[str, ...]
    measured_from: str | None  # ISO dates of the first and the last reading, the bench's own day
    measured_to: str | None
    people: tuple[str, ...]  # initials
    program: str
    heads: tuple[str, ...]  # device·seq·first 16 hex
    snapshot: str | None = None  # id of the snapshot that fixes this content, None before it is fixed
    customer: str | None = None
    part_no: str | None = None
    order_no: str | None = None
    order_quantity: int | None = None
    foundry: str | None = None
    named: tuple[tuple[str, str], ...] = ()  # initials -> name, of who measured


@frozen
class RuleLine:
    """The decision rule of the job and how uncertainty is meant."""

    name: str  # proof95, full_u, plain
    words: str
    coverage: str


@frozen_by_name
class GaugeLine:
    """An instrument that was used, with its calibration at the time of the readings."""

    label: str
    kind: str
    serial: str | None
    resolution_mm: float
    calibrated_on: str | None
    due_on: str | None
    result: str | None  # pass, adjusted, fail
    u95_mm: float
    k: float
    reference: str | None
    readings: int
    remark: str | None


@frozen_by_name
class Cell:
    """One feature on one casting.

    `answer`: conforms, does not conform, undecided, in question (a reading that nobody should rely on before it was
    measured again or put right), no limits, to measure, not measurable.
    `raw` is the mean as read, `value` the one that is judged: at 20 degC and re-aligned where that was recorded, and
    `corrected` says so. `u` is the standard uncertainty, `U` the expanded one with `k`.
    """

    balloon: str
    serial: str
    answer: Standing
    n: int = 0
    typed: tuple[str, ...] = ()
    raw: float | None = None
    value: float | None = None
    corrected: tuple[str, ...] = ()
    deviation: float | None = None  # from the as-cast nominal, finished from the drawing's
    u: float | None = None
    U: float | None = None
    k: float | None = None
    p_conform: float | None = None
    margin: float | None = None  # to the nearest limit, positive inside
    by: str | None = None
    instrument: str | None = None
    at: str | None = None  # ISO date and time of the newest reading, the bench's clock
    section: bool = False  # read on the casting that was cut up
    question: str | None = None  # what looks wrong with the reading itself
    suggested: float | None = None  # what it would be then
    reason: str | None = None  # why it is not measurable
    notes: tuple[str, ...] = ()


@frozen_by_name
class FeatureLine:
    """One feature over all castings. Limits and nominal are as-cast; the finished ones stand beside them.

    A machined feature has a further line once a casting was measured finished: its `state` is finished, and its
    limits, deviations and answer are those of the finished size.
    `answer` is the worst of the cells: does not conform, undecided, in question, conforms, no limits, to
    measure, not measurable.
    """

    balloon: str
    name: str
    quantity: str
    unit: str
    axis: str
    ends: str  # who makes it, in words
    finished: float
    finished_lower: float | None
    finished_upper: float | None
    machined: bool
    as_cast: float
    lower: float | None
    upper: float | None
    band_source: str
    sectioned: bool  # only measurable on a casting that is cut up
    station_mm: float | None
    predicted: float | None  # the casting that the measured tools promise
    u_predicted: float | None
    predicted_from: str
    answer: Standing
    n: int  # castings measured
    mean: float | None  # without cells that carry a question
    deviation: float | None  # mean less as-cast nominal
    spread: float | None  # standard deviation over the castings, None below two
    p_conform: float | None  # the least of the cells
    missing: tuple[str, ...]  # serials without a reading that ought to have one
    cells: tuple[Cell, ...]
    state: str = "raw"  # of the castings: raw, finished
    sheet: str | None = None  # of the drawing, its zone there, and the customer's own number of the characteristic
    zone: str | None = None
    characteristic: str | None = None


@frozen_by_name
class GeometryCell:
    """A geometrical tolerance on one casting: width or diameter of the zone that is needed, or how it was looked at.

    `U` is the expanded uncertainty that decides (twice `u`). `method` stands where nothing was computed, or why not.
    """

    serial: str
    answer: Standing
    value: float | None = None
    u: float | None = None
    U: float | None = None
    p_conform: float | None = None
    off: tuple[tuple[str, float], ...] = ()  # deviation of each coordinate, by its balloon
    by: str | None = None
    at: str | None = None
    method: str | None = None
    reason: str | None = None


@frozen_by_name
class GeometryLine:
    """A geometrical tolerance over all castings, mm; `how`: from which sizes it is computed, in words."""

    balloon: str
    name: str
    what: str
    tolerance: float
    round: bool
    datums: str | None
    state: str
    how: str
    answer: Standing
    cells: tuple[GeometryCell, ...]
    sheet: str | None = None
    zone: str | None = None
    characteristic: str | None = None


@frozen_by_name
class DispositionLine:
    """What becomes of what does not conform on one casting, and what was read again since.

    `decision` is empty where nothing was decided yet. `closed`: nothing is left to be done about it.
    """

    balloon: str
    serial: str
    state: str
    unit: str  # of the figures: mm, deg
    found: Standing  # as it was found, before anything was reworked
    found_value: float | None
    found_u95: float | None
    looked: str | None  # how it was looked at, where it is no figure
    decision: str
    why: str = ""
    by: str = ""
    on: str | None = None
    agreed_by: str | None = None
    reference: str | None = None
    until_on: str | None = None
    quantity: int | None = None
    again: Standing | None = None  # what the re-inspection found, None where there was none
    again_value: float | None = None
    again_u95: float | None = None
    again_by: str | None = None
    again_at: str | None = None
    closed: bool = False


@frozen_by_name
class SignLine:
    """Somebody checked or released the report; `stands` is False where something changed since."""

    act: str
    initials: str
    name: str
    on: str
    words: str = ""
    stands: bool = True


@frozen_by_name
class LoopLine:
    """A closed loop of sizes on one casting: what is left over, mm, with its standard uncertainty."""

    name: str
    serial: str
    gap: float
    u: float
    open: bool
    sentence: str | None
    suspect: str | None  # balloon of the likeliest misread
    suggested: float | None
    slip: str | None


@frozen
class NotMeasured:
    """What has no reading and why; `serial` None: on every casting."""

    balloon: str
    serial: str | None
    why: str


@frozen_by_name
class PassageLine:
    """A derived size on one casting (`serial` None: the mean) and the capacity it would pass, first order."""

    name: str
    serial: str | None
    formula: str
    value: float
    u: float
    unit: str
    drawn: float
    rated: float | None
    minimum: float | None
    capacity: float | None
    u_capacity: float | None
    capacity_unit: str
    p_meets: float | None
    level: str | None
    sentence: str
    caveat: str
    how: str = ""  # how the capacity follows from the area, and who says so
    u_measured: float | None = None  # the parts of u_capacity
    u_assumed: float | None = None
    in_units: tuple[tuple[str, float], ...] = ()  # the capacity in other units of flow


@frozen_by_name
class PromiseLine:
    """What a cut that was taken over promised for a feature, and what this round got.

    `allowed`: how far from what was promised it may come out, by the scatter of both (None while nothing is measured).
    `left_out` are castings whose mould is named as bad already: they say nothing of the cut.
    """

    balloon: str
    round: str  # the round whose causes led to the cut
    before: float
    promised: float
    u_promised: float
    got: float | None
    u_got: float | None
    word: str  # as promised, not as promised, not measured yet
    allowed: float | None = None
    left_out: tuple[str, ...] = ()


@frozen_by_name
class RealignedLine:
    """A casting whose heights were turned back level: what was set right, mm per mm about a place."""

    serial: str
    axis: str
    along: str
    pivot_mm: float
    slope: float
    u: float
    why: str


@frozen_by_name
class SizePlace:
    """Where a size stands in the casting as drawn, mm: its ends along `axis`, and `at` what is known across it.

    `beside`: geometrical tolerances that are computed from it and stand beside it.
    """

    balloon: str
    axis: str
    ends: tuple[float | None, float | None]
    at: tuple[tuple[str, float], ...] = ()
    beside: tuple[str, ...] = ()


@frozen_by_name
class BodyPlace:
    """A core in the mould: its boxes, mm, and from where to where it reaches along each axis that is known."""

    core: str
    name: str
    given: bool
    boxes: tuple[Box, ...]
    known: tuple[tuple[str, float, float], ...]


@frozen
class PartingPlace:
    """A step of the parting: where it stands, and from where to where along which axis."""

    place: float
    along: str | None
    start: float | None
    end: float | None


@frozen_by_name
class PicturePlace:
    """A photograph with numbers on it: percent from its left edge and from its top, as it is seen upright."""

    sha256: str
    name: str
    of: str
    caption: str | None
    marks: tuple[tuple[str, float, float], ...]


@frozen
class NotPlaced:
    """A number that stands on no sketch and on no photograph, and why."""

    balloon: str
    why: str


@frozen_by_name
class Places:
    """Where the numbers of the requirements stand: in the mould as it is drawn, and on photographs."""

    cores: tuple[BodyPlace, ...]
    outline: Box | None
    outline_given: bool
    parting: tuple[PartingPlace, ...]
    parting_axis: str
    sizes: tuple[SizePlace, ...]
    pictures: tuple[PicturePlace, ...]
    not_placed: tuple[NotPlaced, ...]


@frozen_by_name
class Spoken:
    """A sentence with its figures apart: where it stands in the content, the words round them, how each is made."""

    where: str
    words: tuple[str, ...]
    figures: tuple[str, ...]


@frozen_by_name
class FirstArticle:
    """One sampling of castings against the drawing, and what it says about the tools."""

    identity: Identity
    rule: RuleLine
    instruments: tuple[GaugeLine, ...]
    answer: Standing  # the worst of the features; "in question" or "to measure" while any reading is
    counts: tuple[tuple[Standing, int], ...]  # features by answer, on the raw castings
    features: tuple[FeatureLine, ...]
    not_measured: tuple[NotMeasured, ...]
    questions: tuple[QuestionLine, ...]
    realigned: tuple[RealignedLine, ...]
    loops: tuple[LoopLine, ...]
    causes: Causes | None
    cuts: Cuts | None
    stock: Stock
    passages: tuple[PassageLine, ...]
    promises: tuple[PromiseLine, ...]
    cautions: tuple[str, ...]
    counts_finished: tuple[tuple[Standing, int], ...] = ()  # the same of the features on machined castings
    geometry: tuple[GeometryLine, ...] = ()
    counts_geometry: tuple[tuple[Standing, int], ...] = ()
    dispositions: tuple[DispositionLine, ...] = ()  # one for each non-conformity on a casting, decided or not
    signs: tuple[SignLine, ...] = ()
    statement: tuple[str, ...] = ()
    not_covered: tuple[str, ...] = ()
    places: Places | None = None
    spoken: tuple[Spoken, ...] = ()

    def feature(self, balloon: str, state: str = "raw") -> FeatureLine:
        """The line of a balloon in a state of the castings; KeyError when it is not there."""
        for line in self.features:
            if (line.balloon, line.state) == (balloon, state):
                return line
        raise KeyError(balloon)

    def cell(self, balloon: str, serial: str, state: str = "raw") -> Cell:
        """One feature on one casting; KeyError when it is not there."""
        for cell in self.feature(balloon, state).cells:
            if cell.serial == serial:
                return cell
        raise KeyError((balloon, serial))


def to_plain(result: FirstArticle, form: str = FORMAT) -> dict[str, Any]:
    """The whole result as dictionaries and lists, ready for JSON: stable order, full precision, no infinities.

    `form`, one of FORMATS, gives it as the reports of that time had it.
    """
    made = plain(result)
    assert isinstance(made, dict)
    for number, new in NEW_IN.items():
        if number > number_of(form):
            made = _without(made, new[""])
            made["identity"] = _without(made["identity"], new.get("identity", ()))
            made["features"] = [_without(line, new.get("features", ())) for line in made["features"]]
    return {"format": form, **made}


def number_of(form: str) -> int:
    """Which of the formats it is, 1 being the first; of one that came later than this program the last."""
    return FORMATS.index(form) + 1 if form in FORMATS else len(FORMATS)


def _without(made: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: value for name, value in made.items() if name not in names}


def plain(value: Any) -> Any:
    """Any record of the result as dictionaries and lists."""
    if isinstance(value, float):
        return value if isfinite(value) else None
    if value is None or isinstance(value, str | int):
        return str(value) if isinstance(value, str) else value
    if hasattr(value, "__match_args__"):
        return {name: plain(getattr(value, name)) for name in fields(value)}
    return [plain(part) for part in value]
