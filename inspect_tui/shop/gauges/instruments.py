"""Instruments and whether they can be trusted: calibration state, what each is good enough for, new certificates."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.judge import uncertainty, verdict
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.gauges import GaugeStudy, InstrumentBias, InstrumentState
from inspect_tui.model.measuring import Calibration, Instrument, Person, Session
from inspect_tui.model.words import INSTRUMENT_KINDS, Id
from inspect_tui.model.work import DrawingRevision, Item, Job, Tool
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common import faces_touched, find, judging, study_feed, trusted
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.judging import Means
from inspect_tui.shop.common.sizes import Sizes, quantity_of, range_mm, sizes
from inspect_tui.shop.gauges.stays import Stays
from inspect_tui.todo import Todo

IN_DATE, NO_DUE, OVERDUE, NEVER, FUTURE, FAILED, OUT_OF_USE = (
    "in date",
    "no due date",
    "overdue",
    "never calibrated",
    "dated ahead",
    "failed",
    "out of use",
)
STATE_SYMBOL = {IN_DATE: "✓", NO_DUE: "✓", OVERDUE: "!", NEVER: "?", FUTURE: "?", FAILED: "✗", OUT_OF_USE: "✗"}
SOON_DAYS = 30
CALIBRATION_RESULTS = ("pass", "adjusted", "fail")


@frozen_by_name
class InstrumentLine:
    """One instrument of the list."""

    instrument: Instrument
    means: Means  # as of today, without a study
    state: str
    sentence: str
    calibrations: tuple[Calibration, ...]
    biases: tuple[InstrumentBias, ...]
    studies: tuple[GaugeStudy, ...]
    ahead: bool = False  # a certificate is dated in the future

    def then(self, day: str) -> Means:
        """The instrument as it was on a day (ISO date): its certificate, and the bias that is known of then."""
        return judging.means(self.instrument, self.calibrations, day, self.biases)

    @property
    def needs_a_word(self) -> bool:
        """Something is to be said about its certificates or a bias."""
        return self.ahead or self.means.bias is not None or self.state not in (IN_DATE, NO_DUE)


@frozen_by_name
class Fitness:
    """Whether an instrument is good enough for one feature; sizes in mm (degrees for angles).

    `share` is 2 guard / band: what the guard on both sides takes of the band; None without two limits. From 1 on the
    instrument can never say *conforms*.
    """

    sizes: Sizes
    u: float
    guard: float
    share: float | None
    can_conform: bool
    sentence: str


def lines(record: Reader, today: str | None = None, style: Style = MM) -> list[InstrumentLine]:
    """Every instrument with its calibration state; those that need something done come first."""
    today = today or date.today().isoformat()
    listed = [line(record, instrument, today, style) for instrument in record.instruments()]
    order = {FAILED: 0, OVERDUE: 1, NEVER: 2, FUTURE: 3, OUT_OF_USE: 10}
    return sorted(listed, key=lambda line: (order.get(line.state, 9), line.instrument.label.casefold()))


def line(record: Reader, instrument: Instrument, today: str | None = None, style: Style = MM) -> InstrumentLine:
    """One instrument as of today."""
    today = today or date.today().isoformat()
    past = trusted.history(record, instrument)
    calibrations, biases = tuple(past.calibrations), tuple(past.biases)
    means = past.means(today, style)
    state, sentence = calibration_state(instrument, calibrations, today, style)
    if means.out_of_use:
        state, sentence = OUT_OF_USE, f"{instrument.label} {means.out_of_use}."
    elif means.failed:
        left = "do not measure with it before it passes or is certified again"
        state, sentence = FAILED, f"{instrument.label} {means.failed}: {left}. {sentence}"
    if means.bias is not None:
        sentence += f" Known bias {style.given(means.bias.bias_mm, signed=True)} since {means.bias.from_on}."
    studies = tuple(record.gauge_studies(instrument.of_id))
    ahead = any(c.done_on > today for c in calibrations)
    return InstrumentLine(
        instrument=instrument,
        means=means,
        state=state,
        sentence=sentence,
        calibrations=calibrations,
        biases=biases,
        studies=studies,
        ahead=ahead,
    )


def calibration_state(
    instrument: Instrument, calibrations: tuple[Calibration, ...], today: str, style: Style = MM
) -> tuple[str, str]:
    """The state of an instrument's calibration on a day, and a sentence for a person."""
    label = instrument.label
    later = sorted(c.done_on for c in calibrations if c.done_on > today)
    ahead = f" A certificate of {later[0]} lies in the future, and counts from then: check its date." if later else ""
    in_force = judging.means(instrument, calibrations, today).calibration
    if in_force is None:
        if later:
            return FUTURE, (
                f"{label} has no certificate that counts today: the one of {later[0]} lies in the future. "
                f"Check its date, or this machine's clock ({today}). {judging.assumed(instrument, style)}."
            )
        return NEVER, f"{label} was never calibrated: {judging.assumed(instrument, style)}."
    done = f"calibrated {in_force.done_on}, U {style.given_u(in_force.u95_mm)} (k = {style.figures(in_force.k)})"
    if in_force.result == "fail":
        return FAILED, f"{label} failed its calibration of {in_force.done_on}: do not measure with it.{ahead}"
    if in_force.due_on is None:
        return NO_DUE, f"{label}: {done}; the certificate gives no date when it is due again.{ahead}"
    if in_force.due_on < today:
        return OVERDUE, f"{label} is overdue since {in_force.due_on}: {done}; every reading says so.{ahead}"
    left = (date.fromisoformat(in_force.due_on) - date.fromisoformat(today)).days
    soon = f", in {left} days" if left <= SOON_DAYS else ""
    return IN_DATE, f"{label}: {done}, due {in_force.due_on}{soon}.{ahead}"


# ------------------------------------------------------------------------------ good enough for what
def good_for(
    record: Reader,
    job: Job,
    instrument: Instrument,
    subject: Subject | None = None,
    person: Person | None = None,
    today: str | None = None,
    style: Style = MM,
) -> list[Fitness]:
    """Features of the newest drawing ranked by 2 guard / band with this instrument, the best first.

    On a tool the tooling bands count; without `subject` the as-cast sizes and the prints and seats. Features that the
    instrument cannot read (angles with a caliper, sizes out of its range) are left out.
    """
    today = today or date.today().isoformat()
    revision: DrawingRevision = find.latest_revision(record, job)  # type: ignore[arg-type]
    features = record.features(revision.id)
    means = line(record, instrument, today).means
    fed_by, who = study_feed.feeds(record, instrument), person.of_id if person else None
    if subject is not None and subject.tool is not None:
        known = {f.id: f for f in features}
        wanted = [
            sizes(job, known[wanted_size.feature_id], subject, wanted_size)
            for wanted_size in record.tool_features(subject.tool.of_id)
            if wanted_size.feature_id in known
        ]
    else:
        nobody = Subject("castings")
        wanted = [
            sizes(job, wanted_size, nobody)
            for wanted_size in features
            if subject is None or wanted_size.scale == "cast"
        ]
    ranked = []
    for wanted_size in wanted:
        if readable(instrument, wanted_size):
            fed = study_feed.fed(means, fed_by, wanted_size.feature, who)
            ranked.append(_fitness(job, wanted_size, fed, _piece(job, wanted_size, subject), style))
    return sorted(ranked, key=lambda f: (f.share is None, f.share or 0.0, f.sizes.feature.ord))


def readable(instrument: Instrument, size: Sizes) -> bool:
    """Whether the instrument's unit and range fit the size."""
    angle, warmth = size.feature.quantity == "angle", size.feature.quantity == "temperature"
    if (
        size.feature.quantity == "attribute"
        or angle != (instrument.unit == "deg")
        or warmth != (instrument.unit == "C")
    ):
        return False
    low, high = range_mm(instrument)
    return low <= abs(size.target) <= high


def amount(instrument: Instrument, value: float, style: Style = MM) -> str:
    """How much an instrument is off, with its unit: three figures; degrees and degC are the same in every style."""
    kind = quantity_of(instrument)
    return style.significant(value) if kind == "length" else f"{MM.figures(value, 3)} {MM.unit_word(kind)}"


def _piece(job: Job, size: Sizes, subject: Subject | None) -> Tool | Item | None:
    """What the size is read on; a print or seat without a tool at hand on nothing known."""
    if subject is not None:
        return subject.tool or subject.item
    return Item(job_of_id=job.of_id, serial="any") if size.feature.scale == "cast" else None


def _fitness(job: Job, size: Sizes, means: Means, piece: Tool | Item | None, style: Style) -> Fitness:
    budget = uncertainty.reading_budget(
        means.u95(),
        means.k(),
        means.resolution_mm,
        study=means.study,
        others=(*means.lines, *faces_touched.rough(size.feature, piece)),
    )
    guard = verdict.guard_in(size.band, budget.u, job.rule, budget.dof)
    width = size.band.width
    if width is None:
        some = size.band.lower is not None or size.band.upper is not None
        say = "one limit: it can say conforms" if some else "no limits to judge by"
        return Fitness(sizes=size, u=budget.u, guard=guard, share=None, can_conform=True, sentence=say)
    if width <= 0:
        return Fitness(
            sizes=size, u=budget.u, guard=guard, share=None, can_conform=guard == 0, sentence="the band has no width"
        )
    share = 2.0 * guard / width
    say = f"conforms over {style.percent(1 - share)} of the band" if share < 1 else "can never say conforms"
    return Fitness(sizes=size, u=budget.u, guard=guard, share=share, can_conform=share < 1, sentence=say)


# ------------------------------------------------------------------------------ a new instrument
INSTRUMENT_FIELDS = (
    ("label", "called: what people say, such as caliper 2"),
    ("kind", "kind: " + ", ".join(INSTRUMENT_KINDS)),
    ("unit", "reads: mm, in, deg or C"),
    ("resolution", "step: the smallest it shows, such as 0.01 or 1/64 in"),
    ("range", "range: such as 0 to 150"),
    ("scale", "scale: contraction rules only, such as 5/32 in/ft or 1.3 %"),
)


def read_instrument(values: Mapping[str, str]) -> Instrument | str:
    """The instrument that the fields describe, its step and range in its own unit; or what is wrong with them."""
    if not values.get("label", ""):
        return "Give it a name."
    kind = fields.choice(values.get("kind") or "caliper", INSTRUMENT_KINDS, "the kind")
    unit = fields.choice(values.get("unit") or "mm", ("mm", "in", "deg", "C"), "the unit")
    scale = fields.contraction(values["scale"]) if values.get("scale") else 0.0
    for what, answer in (("Kind", kind), ("Reads", unit), ("Scale", scale)):
        if isinstance(answer, Wrong):
            return f"{what}: {answer}."
    assert isinstance(kind, str) and isinstance(unit, str) and isinstance(scale, float)
    step = fields.step(values.get("resolution") or "0.01", unit, to=unit)
    if isinstance(step, Wrong):
        return f"Step: {step}."
    ends = fields.span(values.get("range") or "0 to 150", unit, to=unit)
    if isinstance(ends, Wrong):
        return f"Range: {ends}."
    return Instrument(
        label=values["label"],
        kind=kind,
        unit=unit,
        resolution=step,
        range_lo=ends[0],
        range_hi=ends[1],
        rule_scale=scale,
    )


def changed_instrument(old: Instrument, values: Mapping[str, str]) -> Instrument | str:
    """An instrument with another label, serial, step or range (`INSTRUMENT_FIELDS`), or what is wrong with them."""
    label = values.get("label", old.label).strip()
    if not label:
        return "Give it a name."
    made = replace(old, label=label, serial=values.get("serial", old.serial or "").strip() or None)
    if "resolution" in values:
        step = fields.step(values["resolution"], old.unit, to=old.unit)
        if isinstance(step, Wrong):
            return f"Step: {step}."
        made = replace(made, resolution=step)
    if "range" in values:
        ends = fields.span(values["range"], old.unit, to=old.unit)
        if isinstance(ends, Wrong):
            return f"Range: {ends}."
        made = replace(made, range_lo=ends[0], range_hi=ends[1])
    return made


# ------------------------------------------------------------------------------ a new certificate
CALIBRATION_FIELDS = (
    ("done", "done on: such as 2026-03-10"),
    ("due", "due on: may be left empty"),
    ("u95", "U: of the certificate, such as 0.04 or 0.0015 in"),
    ("k", "k: coverage factor of that U"),
    ("result", "result: pass, adjusted or fail"),
    ("error", "error as found: reading less truth, such as +0.05; empty: not stated"),
    ("reference", "certificate: number, who made it; of an ultrasonic gauge the metal too"),
)


def read_calibration(
    instrument: Instrument, values: Mapping[str, str], today: str | None = None
) -> Calibration | Wrong:
    """A certificate from what was typed into the fields, or what is wrong with them."""
    today = today or date.today().isoformat()
    done = fields.day(values.get("done"), today, past=True)
    if isinstance(done, Wrong):
        return Wrong(f"done on: {done}.")
    due = fields.optional(fields.day)(values.get("due"), today)
    if isinstance(due, Wrong):
        return Wrong(f"due on: {due}.")
    if due is not None and due <= done:
        return Wrong(f"It is due {due}, not after it was done ({done}): one of the two is wrong.")
    u95 = read_length(values.get("u95"), instrument)
    if isinstance(u95, Wrong):
        return Wrong(f"U: {u95}.")
    if u95 <= 0:
        return Wrong("U is above 0: no certificate is without doubt.")
    k = fields.figure(values.get("k") or "2", 1.0, 5.0, example="2")
    if isinstance(k, Wrong):
        return Wrong(f"k: {k}.")
    result = fields.choice(values.get("result") or "pass", CALIBRATION_RESULTS, "the result")
    if isinstance(result, Wrong):
        return Wrong(f"result: {result}.")
    error = fields.optional(read_length)(values.get("error"), instrument, signed=True)
    if isinstance(error, Wrong):
        return Wrong(f"error as found: {error}.")
    return Calibration(
        instrument_of_id=instrument.of_id,
        done_on=done,
        due_on=due,
        result=result,
        u95_mm=u95,
        k=k,
        error_mm=error,
        reference=(values.get("reference") or "").strip() or "not stated",
    )


@frozen
class Consequence:
    """What follows from something that was entered, and what can be done about it."""

    sentence: str
    todo: Todo | None = None


def after_calibration(instrument: Instrument, made: Calibration, style: Style = MM) -> Consequence:
    """What follows from a certificate: nothing, or that earlier readings have to be looked at."""
    said = f"Certificate of {made.done_on} added: U {style.given_u(made.u95_mm)}."
    if made.error_mm is not None and abs(made.error_mm) > made.u95_mm:
        way = "high" if made.error_mm > 0 else "low"
        off = style.given(abs(made.error_mm), unit=False)
        return Consequence(f"{said} As found it read {off} {way}, more than its U.", Todo.TRACE_BACK)
    if made.result == "fail":
        return Consequence(f"{said} {instrument.label} failed: say by how much it was off.", Todo.TRACE_BACK)
    return Consequence(said)


def read_length(text: object, instrument: Instrument, *, signed: bool = False) -> float | Wrong:
    """One length in mm (degrees for an instrument that reads them) as it is typed; 0 may be."""
    kind = quantity_of(instrument)
    unit = "mm" if instrument.unit == "in" else instrument.unit  # certificates say mm unless a unit is typed
    return fields.size(text, unit, zero=True, signed=signed, quantity="" if kind == "length" else kind)


# ------------------------------------------------------------------------------ out of use and back
STATE_FIELDS = (
    ("since", "since: from which day on, such as 2026-03-10"),
    ("why", "why: such as jaws bent"),
)


def read_state(
    instrument: Instrument, values: Mapping[str, str], in_use: bool, today: str | None = None
) -> InstrumentState | Wrong:
    """That an instrument is out of use, or in use again, from what was typed; or what is wrong with it."""
    today = today or date.today().isoformat()
    since = fields.day(values.get("since") or today, today, past=True)
    if isinstance(since, Wrong):
        return Wrong(f"since: {since}.")
    why = (values.get("why") or "").strip()
    if not why:
        ask = "what was done about it" if in_use else "what is wrong with it"
        return Wrong(f"why: say {ask}, in a few words.")
    if len(why) > 400:
        return Wrong(f"why: {len(why)} characters; at most 400 fit.")
    return InstrumentState(
        instrument_of_id=instrument.of_id, state="in_use" if in_use else "out_of_use", since_on=since, why=why
    )


def after_state(instrument: Instrument, made: InstrumentState) -> str:
    """What follows from it."""
    if made.state == "in_use":
        return f"{instrument.label} is in use again from {made.since_on} on: {made.why}."
    return f"{instrument.label} is out of use from {made.since_on} on: {made.why}. Its readings stay as they are."


# ------------------------------------------------------------------------------ a stay at the gauges
def gauge_setup(record: Record, person: Person, instrument: Instrument, title: str, today: str | None = None) -> Id:
    """Begin a stay that measures references or a study: a session and its setup; returns the setup's id."""
    today = today or date.today().isoformat()
    session = Session(id=record.new_id(), kind="gauge", title=title[:120])
    stays = Stays(record, session.id, today)
    setup_id = stays.at(person, instrument, today)
    record.add_all([session, *stays.begun()], by=person.id)
    return setup_id


def open_job(record: Reader, number: str | None) -> Job | None:
    """The job named, or the only one; None when none is named and there are several or none."""
    try:
        return find.job(record, number)  # type: ignore[arg-type]
    except InspectError:
        if number is not None:
            raise
        return None
