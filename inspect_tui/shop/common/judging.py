"""What readings of one feature mean: uncertainty, verdict, the cut, and the casting that would come of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import hypot, inf

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.judge import uncertainty, verdict
from inspect_tui.metrology.judge.cut import Cut
from inspect_tui.metrology.judge.cut import cut as cut_for
from inspect_tui.metrology.judge.repeats import Apart, apart
from inspect_tui.metrology.judge.verdict import Verdict
from inspect_tui.metrology.typed.show import MM, Style, in_unit
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import Feature, Item, Job, Tool
from inspect_tui.shop.common import corrections, faces_touched, sound
from inspect_tui.shop.common.corrections import Corrected
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import FINISHED, KIND_WORDS, Sizes, quantity_of, unit_of
from inspect_tui.shop.common.standing import Standing

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.model.first_article import Realigned
    from inspect_tui.model.gauges import InstrumentBias

DEFAULT_U95 = 0.05  # mm at k = 2, for an instrument with no certificate: a bench caliper, common practice, no source
# the same for what else is read: a bevel protractor in degrees, a shop thermometer in degC; an attribute is seen
DEFAULTS = {"length": DEFAULT_U95, "angle": 0.1, "temperature": 1.0, "attribute": 0.0}


@frozen_by_name
class Means:
    """What an instrument brings to a reading: resolution, calibration, and what is to be said about it."""

    instrument: Instrument
    calibration: Calibration | None
    overdue_since: str | None = None
    study: uncertainty.Study | None = None  # pooled s, its dof, which gauge study it comes from
    lines: tuple[uncertainty.BudgetLine, ...] = ()  # what else the instrument is known to add
    bias: InstrumentBias | None = None  # found, and not put right yet
    failed: str | None = None  # what its newest check found wrong
    out_of_use: str | None = None  # since when and why

    @property
    def bad(self) -> str | None:
        """Why it is not to be measured with, without its label; None for one that may be."""
        if self.out_of_use or self.failed:
            return self.out_of_use or self.failed
        if self.calibration is not None and self.calibration.result == "fail":
            return f"failed its calibration of {self.calibration.done_on}"
        return None

    @property
    def resolution_mm(self) -> float:
        """One step of the display in mm (or degrees)."""
        return self.instrument.resolution * (25.4 if self.instrument.unit == "in" else 1.0)

    def remark(self, style: Style = MM) -> str | None:
        """A sentence when it failed, is out of use, has no calibration or an overdue one, or when a bias is known."""
        label, said = self.instrument.label, []
        if self.bad:
            said.append(f"✗ {label} {self.bad}")
        if self.calibration is None:
            said.append(f"{label} has no calibration on record: {assumed(self.instrument, style)}")
        if self.overdue_since:
            said.append(f"{label} is past its calibration date since {self.overdue_since}")
        if self.bias is not None:
            own = style.of(quantity_of(self.instrument))
            said.append(f"{label} reads {corrections.by_way(self.bias, own)} since {self.bias.from_on}: taken off")
        return "; ".join(said) or None

    def states(self, kind: str = "") -> bool:
        """Whether the certificate is for such a quantity (length, angle, temperature; empty: what it is made for)."""
        return self.calibration is not None and kind in ("", quantity_of(self.instrument))

    def u95(self, kind: str = "") -> float:
        """Expanded uncertainty of the certificate, in mm or degrees; what is assumed where it states none.

        `kind` is what is read with it (`what_kind`): U of a length is not for an angle.
        """
        if self.calibration is not None and self.states(kind):
            return self.calibration.u95_mm
        return DEFAULTS[kind or quantity_of(self.instrument)]

    def said_u95(self, style: Style = MM) -> str:
        """U of the certificate, or what is assumed, with its unit: U 0.04 mm."""
        kind, u95 = quantity_of(self.instrument), self.u95()
        return f"U {style.given_u(u95) if kind == 'length' else f'{MM.figures(u95)} {MM.unit_word(kind)}'}"

    def k(self, kind: str = "") -> float:
        """The coverage factor of that U."""
        return self.calibration.k if self.calibration is not None and self.states(kind) else 2.0

    def step(self, kind: str = "") -> float:
        """One step of the display for such a quantity, mm or degrees; 0 where it has no display of that."""
        return self.resolution_mm if kind in ("", quantity_of(self.instrument)) else 0.0


@frozen_by_name
class Judged:
    """One feature judged by one or more readings. Sizes in mm (degrees for angles)."""

    sizes: Sizes
    values: tuple[float, ...]  # as read
    corrected: tuple[float, ...]  # what each of them stands for
    value: float  # what their mean stands for: at 20 degC, without the known bias of the instrument
    corrected_from: float | None  # the mean as read, when it was put right
    budget: uncertainty.Budget
    verdict: Verdict
    cut: Cut | None
    casting: Estimate | None
    casting_verdict: Verdict | None
    advice: str | None  # what would settle an undecided verdict
    remarks: tuple[str, ...] = ()
    moved: str | None = None  # what was read and why it stands for another size; None where it reads the same
    question: str | None = None  # why the readings are in question: their verdict is not to be relied on
    gauge_failed: str | None = None  # why the gauge was not to be measured with

    @property
    def told(self) -> tuple[str, ...]:
        """All that is to be said beside the verdict."""
        return (*self.remarks, self.moved) if self.moved else self.remarks

    @property
    def standing(self) -> Standing:
        """How the size stands: the answer of the verdict, unless the readings are in question."""
        return Standing.IN_QUESTION if self.question else Standing(self.verdict.answer)


@frozen_by_name
class Stands:
    """How a size stands by its readings, before anybody asks what is to be done about it. Sizes in mm (degrees)."""

    value: float  # what their mean stands for
    corrected: tuple[float, ...]  # what each of them stands for
    budget: uncertainty.Budget
    verdict: Verdict
    disagree: str | None  # a sentence when repeats lie further apart than the gauge explains
    question: str | None  # the same while nobody was asked about it
    of_sound: str | None  # what the velocity of sound rests on

    @property
    def standing(self) -> Standing:
        """The answer of the verdict, unless the readings are in question."""
        return Standing.IN_QUESTION if self.question else Standing(self.verdict.answer)


def what_kind(feature: Feature) -> str:
    """What an instrument has to read for a feature: length, angle, temperature or attribute."""
    return feature.quantity if feature.quantity in ("angle", "temperature", "attribute") else "length"


def assumed(instrument: Instrument, style: Style = MM, kind: str = "") -> str:
    """What is taken for the U of an instrument that states none: U 0.05 mm is assumed."""
    kind = kind or quantity_of(instrument)
    u95 = DEFAULTS[kind]
    return f"U {style.given_u(u95) if kind == 'length' else f'{MM.figures(u95)} {MM.unit_word(kind)}'} is assumed"


def repeats_apart(
    sizes: Sizes, piece: Tool | Item | None, values: Sequence[float], means: Means, style: Style = MM
) -> tuple[Apart, str] | None:
    """Repeats of one size that the gauge does not explain, with the sentence; None where it does.

    What it explains: how it repeats by its study, else the U of its certificate; a step of its display; and that the
    jaws stand on other tops of a rough face.
    """
    feature, kind = sizes.feature, what_kind(sizes.feature)
    if kind == "attribute" or len(values) < 2:
        return None
    own = means.study.s if means.study is not None and means.states(kind) else means.u95(kind) / means.k(kind)
    faces = [line.u for line in _rough(sizes, piece, style)]
    gap = apart(values, hypot(own, means.step(kind) / uncertainty.ROOT3, *faces))
    if gap is None:
        return None
    written = style.of(feature.quantity)
    word, label = style.unit_word(feature.quantity), means.instrument.label
    far, most = (written.uncertainty(mm, 2, unit=False) for mm in gap)
    read = " and ".join(style.size(value, feature.quantity) for value in (min(values), max(values)))
    return gap, f"{read} lie {far} {word} apart: more than the {most} that {label} explains"


def means(
    instrument: Instrument, calibrations: Sequence[Calibration], today: str, biases: Sequence[InstrumentBias] = ()
) -> Means:
    """The calibration in force on `today` (ISO date): the newest that is not in the future; and a bias that holds."""
    done = [c for c in calibrations if c.done_on <= today]
    in_force = max(done, key=lambda c: (c.done_on, c.id), default=None)
    overdue = in_force.due_on if in_force and in_force.due_on and in_force.due_on < today else None
    return Means(instrument=instrument, calibration=in_force, overdue_since=overdue, bias=bias_on(today, biases, done))


def bias_on(
    day: str, biases: Sequence[InstrumentBias], calibrations: Sequence[Calibration] = ()
) -> InstrumentBias | None:
    """The bias of an instrument that held on a day (ISO date): the one that came to light last.

    One without an end holds until the instrument is adjusted after it began; one that began on the day of the adjusting
    holds where it was entered later.
    """
    adjustings = ((c.done_on, c.id) for c in calibrations if c.result == "adjusted" and c.done_on <= day)
    adjusted = max(adjustings, default=("", b""))
    held = [
        bias
        for bias in biases
        if bias.from_on <= day
        and bias.bias_mm
        and (day <= bias.to_on if bias.to_on else (bias.from_on, bias.id) > adjusted)
    ]
    return held[-1] if held else None


def _rough(sizes: Sizes, piece: Tool | Item | None, style: Style) -> tuple[uncertainty.BudgetLine, ...]:
    return faces_touched.rough(sizes.feature, piece, style, finished=sizes.state == FINISHED)


def judge(
    job: Job,
    subject: Subject,
    sizes: Sizes,
    values: Sequence[float],
    means: Means,
    *,
    work_c: float | None = None,
    instrument_c: float | None = None,
    others: Callable[[], Sequence[Means]] = tuple,
    kept: bool = False,
    turns: Sequence[Realigned] = (),
    style: Style = MM,
) -> Judged:
    """Judge the mean of `values` as read against the band of `sizes`; `others` might settle a doubt.

    `work_c`, `instrument_c`: temperatures of both; the instrument is taken to be as warm as the work where only the
    work's is known (ISO 1). A known bias of the instrument is taken off, and of a casting how it was re-aligned
    (`turns`). `kept`: as in `judge_corrected`.
    """
    piece = subject.tool or subject.item
    right = corrections.correction(means.instrument, means.bias, sizes.feature, piece, work_c, instrument_c, turns)
    made = corrections.together(values, [right] * len(values), style)
    return judge_corrected(job, subject, sizes, values, made, means, others=others, kept=kept, style=style)


def stands(
    job: Job, subject: Subject, sizes: Sizes, made: Corrected, means: Means, *, kept: bool = False, style: Style = MM
) -> Stands:
    """The verdict on the mean of readings that were put right already; `kept` as in `judge_corrected`."""
    values = made.values
    value, kind, piece = sum(values) / len(values), what_kind(sizes.feature), subject.tool or subject.item
    velocity, of_sound = sound.of_wall(job, subject, means.instrument, means.calibration, value, style)
    disagree = repeats_apart(sizes, piece, values, means, style)
    scatter: tuple[uncertainty.BudgetLine, ...] = ()
    if disagree is not None:
        how = "repeats that the gauge does not explain: anywhere between the least and the most"
        scatter = (uncertainty.BudgetLine(name="repeats apart", u=disagree[0].u, how=how),)
    budget = uncertainty.reading_budget(
        u95_cal=means.u95(kind),
        k_cal=means.k(kind),
        resolution=means.step(kind),
        repeats=values if len(values) > 1 and disagree is None else None,
        n=len(values),
        study=means.study if kind == quantity_of(means.instrument) else None,
        others=(*made.lines, *means.lines, *velocity, *_rough(sizes, piece, style), *scatter),
        style=style,
    )
    said = disagree[1] if disagree is not None else None
    judged = verdict.judge(value, budget.u, sizes.band, job.rule, budget.dof)
    return Stands(
        value=value,
        corrected=tuple(values),
        budget=budget,
        verdict=judged,
        disagree=said,
        question=None if kept else said,
        of_sound=of_sound,
    )


def judge_corrected(
    job: Job,
    subject: Subject,
    sizes: Sizes,
    read: Sequence[float],
    made: Corrected,
    means: Means,
    *,
    others: Callable[[], Sequence[Means]] = tuple,
    kept: bool = False,
    style: Style = MM,
) -> Judged:
    """Judge the mean of readings that were put right already: `read` as they were read, `made` what they stand for.

    `kept`: somebody was asked about these repeats and kept them; else repeats that disagree are in question.
    """
    raw, kind = sum(read) / len(read), what_kind(sizes.feature)
    now = stands(job, subject, sizes, made, means, kept=kept, style=style)
    value, budget, question = now.value, now.budget, now.question
    casting = None if question else sizes.cast_from(value, budget.u)  # of which of them it would come, nobody knows
    change = None
    if sizes.tool_feature is not None and sizes.tool_kind != "sand_core" and kind == "length" and question is None:
        change = cut_for(
            sizes.tool_kind or "other",
            sizes.sense or "metal",
            value,
            sizes.target,
            a=sizes.contraction,
            band=sizes.band,
            u_mm=budget.u,
            resolution_mm=0.01,
            label=KIND_WORDS.get(sizes.tool_kind or ""),
            axis=sizes.feature.axis,
            facing=sizes.feature.ends[-1].facing if sizes.feature.ends else None,
            fit=sizes.fit,
            style=style,
        )
    if not corrections.takes_bias(means.instrument, sizes.feature):
        means = replace(means, bias=None)  # nothing of it was taken off
    of_means = means.remark(style)
    remarks = [now.disagree] if now.disagree else []
    remarks += [of_means] if of_means else []
    if sizes.to_middle:
        drawn = shown(sizes, sizes.drawn, style)
        remarks.append(
            f"{sizes.feature.balloon} is made to {sizes.to_middle}: the drawing's own size, {drawn}, lies outside"
        )
    remarks += _of_the_instrument(sizes, value, means, style)
    remarks += [now.of_sound] if now.of_sound else []
    moved = f"read {style.size(raw)}, that is {style.size(value)}: {'; '.join(made.said)}"
    return Judged(
        sizes=sizes,
        values=tuple(read),
        corrected=now.corrected,
        value=value,
        corrected_from=raw if value != raw else None,
        budget=budget,
        verdict=now.verdict,
        cut=change,
        casting=casting,
        casting_verdict=verdict.judge(casting.value, casting.u, sizes.cast_band, job.rule) if casting else None,
        advice=None if question else _advice(job, sizes, value, budget, len(read), now.verdict, means, others),
        remarks=tuple(remarks),
        moved=moved if style.size(value) != style.size(raw) else None,
        question=question,
        gauge_failed=means.bad,
    )


def _of_the_instrument(sizes: Sizes, value: float, means: Means, style: Style) -> list[str]:
    """What is to be said when an instrument reads beyond its range, or something it is not stated for."""
    instrument = means.instrument
    if sizes.feature.quantity == "attribute":
        return []
    if unit_of(sizes.feature) == "deg":
        if instrument.unit == "deg":
            return []
        return [
            f"{instrument.label} is stated in {instrument.unit}, not for angles: {assumed(instrument, style, 'angle')}"
        ]
    said = []
    inch = instrument.unit == "in"
    read = value / 25.4 if inch else value
    if instrument.unit in ("mm", "in") and not instrument.range_lo <= abs(read) <= instrument.range_hi:
        said.append(
            f"{style.figures(read)} lies beyond the range of {instrument.label} "
            f"({style.figures(instrument.range_lo)} to {style.figures(instrument.range_hi)} {instrument.unit})"
        )
    if inch and style.unit == "mm":  # whoever reads inches has them anyway
        read_in, wanted, to_go = (in_unit(mm, "in", 0.001) for mm in (value, sizes.target, sizes.target - value))
        said.append(f"in inches: {read_in}, wanted {wanted}, {to_go} to go")
    return said


def _advice(
    job: Job,
    sizes: Sizes,
    value: float,
    budget: uncertainty.Budget,
    n: int,
    judged: Verdict,
    means: Means,
    others: Callable[[], Sequence[Means]],
) -> str | None:
    if judged.answer is not verdict.Answer.UNDECIDED:
        return None
    scatter = next((line.dof for line in budget.lines if line.shrinks), inf)
    kind = what_kind(sizes.feature)
    stays = sum(
        line.u**2 for line in budget.lines if line.name not in ("calibration", "resolution") and not line.shrinks
    )
    better = [
        (m.instrument.label, hypot(m.u95(kind) / m.k(kind), stays**0.5), budget.u_random)
        for m in others()
        if m.instrument.id != means.instrument.id
        and m.u95(kind) < means.u95(kind)
        and m.instrument.range_lo <= value <= m.instrument.range_hi
    ]
    settled = verdict.settle(value, sizes.band, job.rule, budget.u_bias, budget.u_random, n, better, dof_random=scatter)
    return settled.sentence


def shown(sizes: Sizes, value: float, style: Style = MM) -> str:
    """A size of this feature as people read it, without its unit."""
    return style.size(value, sizes.feature.quantity)
