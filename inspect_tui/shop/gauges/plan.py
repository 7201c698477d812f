"""Plan a gauge study: who reads which pieces how often, in a blind random order that follows from one seed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed import fields, quantity
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.parsed import TypedLine
from inspect_tui.model.gauges import GaugePart, GaugePerson, GaugeStudy
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common.sizes import quantity_of
from inspect_tui.shop.gauges import instruments

MOST_READINGS = 1000
TRIALS_USUAL = {"crossed": 3}  # widespread practice, no standard; 10 for the others
DESIGN_WORDS = {
    "crossed": "people measure the same pieces",
    "bias": "one reference piece, read again and again",
    "linearity": "reference pieces along the range",
    "stability": "one reference piece over weeks",
}


@frozen
class Slot:
    """One reading of the plan: whose turn, which piece (its number), which round."""

    person_of_id: Id
    part: int
    trial: int


@frozen_by_name
class Plan:
    """A study with its pieces and people, not recorded yet; values mm (degrees for angles)."""

    title: str
    design: str
    instrument: Instrument
    people: tuple[Person, ...]
    parts: tuple[tuple[str, float | None, float | None], ...]  # label, reference, its U
    trials: int
    seed: int
    job: Job | None = None
    feature: Feature | None = None
    quantity: str | None = None
    band: float | None = None

    @property
    def readings(self) -> int:
        """How many readings the whole study takes."""
        return len(self.people) * len(self.parts) * self.trials


# ------------------------------------------------------------------------------ planning
def wrong_with(plan: Plan) -> str | None:
    """A sentence when a study cannot be worked with as planned; None when it can."""
    people, parts = len(plan.people), len(plan.parts)
    if not plan.title.strip():
        return "Give the study a title, such as G1 port width."
    if not people or not parts:
        return "A study needs at least one person and one piece."
    if len({p.of_id for p in plan.people}) < people:
        return "Somebody is named twice: name each person once."
    labels = [label.casefold() for label, _, _ in plan.parts]
    if len(set(labels)) < parts:
        return "Two pieces carry one name: a reading would not say which piece it is of."
    if plan.trials < 1 or plan.readings > MOST_READINGS:
        return f"{plan.readings} readings: a study has 1 to {MOST_READINGS}."
    references = [reference for _, reference, _ in plan.parts if reference is not None]
    if plan.design == "crossed":
        if people == 1:
            return "One person alone shows no differences between people: name at least two, or plan a bias study."
        if parts == 1:
            return "One piece alone cannot show what pieces vary: take several, or plan a bias study on it."
        if plan.trials == 1:
            return "Every piece is read once: nothing repeats. Plan two or three trials."
        return None
    if len(references) < parts:
        return "Give the size of every reference piece, such as 25.000 50.000."
    if plan.design == "linearity" and len(set(references)) < 2:
        return "Linearity needs references of different sizes along the range: give two or more."
    if plan.design in ("bias", "stability") and parts > 1:
        return f"A {plan.design} study reads one reference piece: give one size, or plan linearity for several."
    if parts * plan.trials * people < 2:
        return "One reading shows no spread: plan two trials or more."
    return None


def begin(record: Record, plan: Plan, by: Person | None = None) -> GaugeStudy:
    """Record a planned study; DataError when it cannot be worked with."""
    wrong = wrong_with(plan)
    if wrong:
        raise DataError(wrong)
    study = GaugeStudy(
        id=record.new_id(),
        instrument_of_id=plan.instrument.of_id,
        design=plan.design,
        title=plan.title.strip(),
        job_of_id=plan.job.of_id if plan.job else None,
        feature_id=plan.feature.id if plan.feature else None,
        quantity=plan.feature.quantity if plan.feature else plan.quantity,
        trials=plan.trials,
        seed=plan.seed,
        band_mm=plan.band,
    )
    parts = [
        GaugePart(study_id=study.id, number=n, label=label, reference_mm=reference, u95_mm=u)
        for n, (label, reference, u) in enumerate(plan.parts, 1)
    ]
    people = [GaugePerson(study_id=study.id, number=n, person_of_id=p.of_id) for n, p in enumerate(plan.people, 1)]
    stored = record.add_all([study, *parts, *people], by=(by or plan.people[0]).id)
    made: GaugeStudy = stored[0]
    return made


def slots(study: GaugeStudy, parts: Sequence[GaugePart], people: Sequence[GaugePerson]) -> tuple[Slot, ...]:
    """The blind order: in each round people in random order, and for each the pieces in an order of their own.

    It follows from the study's seed alone, so that a study can be left and taken up again anywhere.
    """
    order = []
    for trial in range(1, study.trials + 1):
        who = sorted(people, key=lambda p: p.number)
        Random(f"{study.seed}|people|{trial}").shuffle(who)
        for person in who:
            what = sorted(part.number for part in parts)
            Random(f"{study.seed}|pieces|{trial}|{person.number}").shuffle(what)
            order += [Slot(person.person_of_id, number, trial) for number in what]
    return tuple(order)


# ------------------------------------------------------------------------------ from a form
STUDY_FIELDS = (
    ("title", "title: such as G1 port width"),
    ("design", "design: crossed, bias, linearity or stability"),
    ("people", "people: initials, such as B1 B2 IN"),
    ("pieces", "pieces: how many, or names: 1-1 1-2; references: 25.000 50.000"),
    ("trials", "trials: of each piece by each person"),
    ("feature", "feature: balloon it stands for, such as F10; may be left empty"),
    ("band", "band: width of the tolerance it serves; empty: the feature's"),
)


def read_plan(
    record: Reader, instrument: Instrument, values: Mapping[str, str], job: Job | None, seed: int | None = None
) -> Plan | Wrong:
    """A plan from what was typed into the fields, or what is wrong with them."""
    design = fields.choice(values.get("design") or "crossed", DESIGN_WORDS, "the design")
    if isinstance(design, Wrong):
        return Wrong(f"design: {design}.")
    known = {p.initials.casefold(): p for p in record.people() if p.active}
    people = []
    for initials in values.get("people", "").replace(",", " ").split():
        if initials.casefold() not in known:
            return Wrong(
                f"There is nobody {initials} here; there are: {', '.join(p.initials for p in known.values())}."
            )
        people.append(known[initials.casefold()])
    parts = _read_pieces(instrument, design, values.get("pieces", ""))
    if isinstance(parts, Wrong):
        return parts
    trials = fields.count(values.get("trials") or TRIALS_USUAL.get(design, 10))
    if isinstance(trials, Wrong):
        return Wrong(f"Type how often each person reads each piece, such as 3: {trials}.")
    feature: Feature | None = None
    if values.get("feature", "").strip():
        if job is None:
            return Wrong("Open a job first: the feature belongs to a drawing.")
        revisions = record.revisions(job.of_id)
        features = record.features(revisions[-1].id) if revisions else []
        wanted = values["feature"].strip().casefold()
        feature = next((f for f in features if f.balloon.casefold() == wanted), None)
        if feature is None:
            return Wrong(f"{values['feature'].strip()} is not on the drawing of {job.number}.")
    band: float | None = None
    if values.get("band", "").strip():
        typed = instruments.read_length(values["band"], instrument)
        if isinstance(typed, Wrong) or typed <= 0:
            return Wrong(f"band: {typed}.") if isinstance(typed, Wrong) else Wrong("The band has a width above 0.")
        band = typed
    elif feature is not None and feature.lower is not None and feature.upper is not None:
        band = feature.upper - feature.lower
    plan = Plan(
        title=values.get("title", "").strip(),
        design=design,
        instrument=instrument,
        people=tuple(people),
        parts=parts,
        trials=trials,
        seed=seed if seed is not None else Random().randrange(1, 1_000_000),
        job=job if feature else None,
        feature=feature,
        quantity=None,
        band=band if band else None,
    )
    wrong = wrong_with(plan)
    return Wrong(wrong) if wrong else plan


def _read_pieces(
    instrument: Instrument, design: str, text: str
) -> tuple[tuple[str, float | None, float | None], ...] | Wrong:
    words = text.split()
    if design != "crossed":
        if not words:
            return Wrong("Give the sizes of the reference pieces, such as 25.000 50.000.")
        kind = quantity_of(instrument)
        unit = "mm" if instrument.unit == "in" else instrument.unit
        read = quantity.parse_line(text, unit, 0.0, "depth" if kind == "length" else kind)
        if not isinstance(read, TypedLine):
            return Wrong(f"pieces: {read.sentence}")
        return tuple((size.typed, size.mm, 0.0) for size in read.sizes)
    if not words:
        return Wrong("Say how many pieces, such as 10, or name them.")
    count = fields.count(text) if len(words) == 1 else None
    if isinstance(count, int):
        if not 1 <= count <= 100:
            return Wrong(f"{count} pieces: a study has 1 to 100.")
        return tuple((str(n), None, None) for n in range(1, count + 1))
    return tuple((word[:60], None, None) for word in words)


def sentence(plan: Plan) -> str:
    """What a plan comes to, while it is typed."""
    return (
        f"{plan.readings} readings: {len(plan.parts)} pieces x {len(plan.people)} people x {plan.trials} trials, "
        f"in blind random order; {DESIGN_WORDS[plan.design]}"
    )


def suggested_title(record: Reader) -> str:
    """G1, G2 ... whichever comes next."""
    return f"G{len(record.gauge_studies()) + 1}"
