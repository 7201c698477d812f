"""First article: one sampling against the drawing, with causes, cuts and stock, as one result that can be fixed.

`first_article` reads the record (as it is, or as it was at a frontier) and gives a `FirstArticle`; `to_plain` turns
it into dictionaries for the report forms. Nothing here is rounded, dated by the wall clock or drawn at random, so the
same record gives the same result.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui import __version__
from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.common.drawing_notes import is_sectioned, station_of
from inspect_tui.shop.common.lineage import corrections
from inspect_tui.shop.common.sizes import FINISHED, RAW
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.rounds import Round, pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening, explainable, look
from inspect_tui.shop.first_article.castings.tools_then import Promise
from inspect_tui.shop.first_article.causes import cause_lines, search
from inspect_tui.shop.first_article.cuts import cut_lines, cut_plan
from inspect_tui.shop.first_article.findings import Causes, Cuts
from inspect_tui.shop.first_article.passages import passages
from inspect_tui.shop.first_article.places import places
from inspect_tui.shop.first_article.result import (
    Cell,
    FeatureLine,
    FirstArticle,
    GaugeLine,
    GeometryLine,
    Identity,
    NotMeasured,
    PassageLine,
    RealignedLine,
    RuleLine,
)
from inspect_tui.shop.first_article.side_by_side import promises
from inspect_tui.shop.first_article.signed import statement
from inspect_tui.shop.first_article.signed.dispositions import disposition_lines
from inspect_tui.shop.first_article.signed.geometry import geometry_lines
from inspect_tui.shop.first_article.stock import stock

if TYPE_CHECKING:
    from inspect_tui.metrology.causes.problem import Explanation

PROGRAM = f"inspect-tui {__version__}"
NO_TOOL = "no tool makes a size of it"
RULES = {
    "proof95": "conforms when proved at 95 %: within the limits with that probability, which is 1.645 standard "
    "uncertainties inside where one limit is near (ISO 14253-1:2017); does not conform when outside by as much; "
    "otherwise undecided",
    "full_u": "conforms when inside the limits by the whole expanded uncertainty U (k = 2); does not conform when "
    "outside by as much; otherwise undecided",
    "plain": "conforms when inside the limits, a value equal to a limit included; the uncertainty is stated, no guard "
    "band is kept",
}
COVERAGE = (
    "U is twice the standard uncertainty, about 95 %, and more where few readings speak for it; budget by JCGM 100, "
    "degrees of freedom by Welch and Satterthwaite, probability by JCGM 106"
)
CAUTIONS = (
    "Dimensional conformity is not soundness, pressure, leak, strength, material, heat-treatment or non-destructive "
    "acceptance.",
    "Release and acceptance stay with a named person under the order's own agreement and local law.",
)
CUT_UP_CAUTION = (
    "Cutting up castings with sand in them gives silica dust: extraction, wet methods and respirators by local rules."
)


def first_article(
    record: Reader,
    job: Job,
    round_: Round | str | None = None,
    *,
    causes: bool = True,
    placed: bool = False,
    style: Style = MM,
) -> FirstArticle:
    """Everything one sampling says. `round_` by label, None for the newest; `causes` False leaves the search out.

    `placed`: with where the numbers stand, which only papers show.

    Its sentences are written in `style`; what is kept in the record, or read by programs, in MM.

    Raises DataError when nothing of it was measured yet, NotFound for a round that is not there.
    """
    chosen = round_ if isinstance(round_, Round) else pick_round(record, job, round_)
    sampling = Sampling(record, job, chosen, style)
    if not sampling.anything:
        raise DataError(
            f"Nothing of {chosen.label} has been measured yet: there is no first article to report. "
            "Log or import its readings first."
        )
    made = assemble(sampling, causes=causes)
    return replace(made, places=places(sampling)) if placed else made


def assemble(
    sampling: Sampling, *, causes: bool = True, looked: Screening | None = None, explanation: Explanation | None = None
) -> FirstArticle:
    """The result of a sampling that has readings, said in its style.

    `looked` when it was looked through already, `explanation` when its causes were searched for already.
    """
    looked = looked or look(sampling)
    promised = looked.evidence.promises
    lines = tuple(
        feature_line(sampling, feature, promised.get(feature.balloon) if state == RAW else None, state)
        for feature, state in sampling.requirements
    )
    named: Causes | None = None
    cuts: Cuts | None = None
    questions = looked.questions
    if causes and explainable(looked):
        explanation = explanation or search(looked)
        named = cause_lines(looked, explanation, sampling.style)
        cuts = cut_lines(sampling, looked, cut_plan(sampling, looked, explanation))
        questions += named.odd
    derived = passages(sampling)
    geometries = geometry_lines(sampling)
    decided = disposition_lines(sampling, lines, geometries)
    signs = statement.sign_lines(sampling, statement.rests_on(sampling, lines, geometries))
    return FirstArticle(
        identity=identity(sampling),
        rule=rule_line(sampling.job),
        instruments=gauge_lines(sampling),
        answer=overall(lines, geometries),
        counts=_counts(line.answer for line in lines if line.state == RAW),
        counts_finished=_counts(line.answer for line in lines if line.state == FINISHED),
        features=lines,
        not_measured=not_measured(lines),
        questions=questions,
        realigned=realigned_lines(sampling),
        loops=looked.loops,
        causes=named,
        cuts=cuts,
        stock=stock(sampling, log=looked.log),
        passages=derived,
        promises=promises(sampling, explanation),
        cautions=cautions(lines, derived) + put_right(sampling),
        geometry=geometries,
        counts_geometry=_counts(line.answer for line in geometries),
        dispositions=decided,
        signs=signs,
        statement=statement.statement(sampling, lines, geometries, decided, signs),
        not_covered=statement.not_covered(sampling, lines, geometries),
    )


# ------------------------------------------------------------------------------ identity, rule, instruments
def identity(sampling: Sampling) -> Identity:
    """Which job, drawing, castings and record."""
    job, lot, revision = sampling.job, sampling.round.lot, sampling.revision
    days = sorted(day_of(reading.at_us, reading.tz_min) for reading in sampling.all_taken)
    setups = {reading.setup_id for reading in sampling.all_taken}
    people = {sampling.people[sampling.setup(reading).person_id].initials for reading in setups}
    return Identity(
        job=job.number,
        name=job.name,
        alloy=job.alloy,
        customer_ref=job.customer_ref,
        drawing=revision.number,
        revision=revision.rev,
        issued_on=revision.issued_on,
        round=sampling.round.label,
        heat=lot.heat if lot else None,
        poured_on=lot.poured_on if lot else None,
        quantity=lot.quantity if lot else None,
        serials=tuple(item.serial for item in sampling.castings),
        measured_from=days[0] if days else None,
        measured_to=days[-1] if days else None,
        people=tuple(sorted(people)),
        program=PROGRAM,
        heads=tuple(sampling.record.heads()),
        customer=job.customer,
        part_no=job.part_no,
        order_no=job.order_no,
        order_quantity=job.order_quantity,
        foundry=job.foundry,
        named=statement.names(sampling, sorted(people)),
    )


def rule_line(job: Job) -> RuleLine:
    """The decision rule in words."""
    return RuleLine(job.rule, RULES[job.rule], COVERAGE)


def gauge_lines(sampling: Sampling) -> tuple[GaugeLine, ...]:
    """Every instrument that was used, with the certificate in force at the time, in the order of their labels."""
    used: dict[tuple[str, str], tuple[int, GaugeLine]] = {}
    for reading in sampling.all_taken:
        means = sampling.gauges.means(sampling.setup(reading.setup_id), day_of(reading.at_us, reading.tz_min))
        calibration = means.calibration
        key = (means.instrument.label, calibration.done_on if calibration else "")
        n = used[key][0] + 1 if key in used else 1
        line = GaugeLine(
            label=means.instrument.label,
            kind=means.instrument.kind,
            serial=means.instrument.serial,
            resolution_mm=means.resolution_mm,
            calibrated_on=calibration.done_on if calibration else None,
            due_on=calibration.due_on if calibration else None,
            result=calibration.result if calibration else None,
            u95_mm=means.u95(),
            k=calibration.k if calibration else 2.0,
            reference=calibration.reference if calibration else None,
            readings=n,
            remark=means.remark(),
        )
        used[key] = (n, line)
    return tuple(used[key][1] for key in sorted(used))


def realigned_lines(sampling: Sampling) -> tuple[RealignedLine, ...]:
    """How castings were turned back."""
    return tuple(
        RealignedLine(
            serial=item.serial,
            axis=turned.axis,
            along=turned.along,
            pivot_mm=turned.pivot_mm,
            slope=turned.slope,
            u=turned.u_slope,
            why=turned.why,
        )
        for item in sampling.castings
        for turned in sampling.realigned(item)
    )


# ------------------------------------------------------------------------------ features
def _counts(answers: Iterable[Standing]) -> tuple[tuple[Standing, int], ...]:
    counts = Counter(answers)
    return tuple((answer, counts[answer]) for answer in Standing if counts[answer])


def feature_line(
    sampling: Sampling, feature: Feature, promised: Promise | None = None, state: str = RAW
) -> FeatureLine:
    """One feature over all castings, raw or finished; `promised` is what its tools promise."""
    size = sampling.sizes(feature, state)
    cells = tuple(sampling.cell(feature, item, state) for item in sampling.castings)
    measured = [cell for cell in cells if cell.value is not None]
    values = [cell.value for cell in measured if cell.value is not None and cell.question is None]
    n = len(values)
    mean = sum(values) / n if n else None
    spread = sqrt(sum((v - mean) ** 2 for v in values) / (n - 1)) if n > 1 and mean is not None else None
    chances = [cell.p_conform for cell in measured if cell.p_conform is not None]
    place = station_of(feature)
    missing = tuple(cell.serial for cell in cells if cell.answer == Standing.TO_MEASURE)
    return FeatureLine(
        balloon=feature.balloon,
        name=feature.name,
        quantity=feature.quantity,
        unit=sampling.unit(feature),
        axis=feature.axis,
        ends=ends_words(sampling, feature),
        finished=feature.nominal,
        finished_lower=feature.lower,
        finished_upper=feature.upper,
        machined=feature.machined,
        as_cast=size.as_cast,
        lower=size.band.lower,
        upper=size.band.upper,
        band_source=size.band.source,
        sectioned=is_sectioned(feature),
        station_mm=place[1] if place else None,
        predicted=promised.mm if promised else None,
        u_predicted=promised.u if promised else None,
        predicted_from=promised.words if promised else NO_TOOL if state == RAW else "machined after it was cast",
        answer=_answer(cells, any(sampling.waits_for_cut(feature, item) for item in sampling.castings)),
        n=len(measured),
        mean=mean,
        deviation=mean - size.drawn if mean is not None and feature.nominal_known else None,
        spread=spread,
        p_conform=min(chances) if chances else None,
        missing=missing,
        cells=cells,
        state=state,
        sheet=feature.sheet,
        zone=feature.zone,
        characteristic=feature.characteristic,
    )


def _answer(cells: Sequence[Cell], waits_for_cut: bool) -> Standing:
    """The worst of the cells; what is missing, or can be read once a casting is cut up, counts while none is read."""
    answers = {cell.answer for cell in cells}
    if answers <= {Standing.NOT_MEASURABLE} and waits_for_cut:
        return Standing.TO_MEASURE
    return next((answer for answer in Standing if answer in answers), Standing.TO_MEASURE)


def overall(lines: Sequence[FeatureLine], geometries: Sequence[GeometryLine] = ()) -> Standing:
    """The worst of sizes and geometrical tolerances; what is in question or to be measured stands before conforms."""
    answers = {line.answer for line in lines} | {line.answer for line in geometries}
    for answer in (Standing.DOES_NOT_CONFORM, Standing.UNDECIDED, Standing.IN_QUESTION):
        if answer in answers:
            return answer
    if Standing.TO_MEASURE in answers or any(line.missing for line in lines):
        return Standing.TO_MEASURE
    nothing_judged = Standing.NO_LIMITS in answers and Standing.CONFORMS not in answers
    return Standing.NO_LIMITS if nothing_judged else Standing.CONFORMS


def ends_words(sampling: Sampling, feature: Feature) -> str:
    """Who makes the two ends, such as `drag to core 4`."""
    made = [sampling.part(end) for end in feature.ends]
    return " to ".join(dict.fromkeys(made)) if made else "not said"


def not_measured(lines: Sequence[FeatureLine]) -> tuple[NotMeasured, ...]:
    """What has no reading, and why; one line where it is the same on every casting."""
    lacking: list[NotMeasured] = []
    for line in lines:
        finished = "finished: " if line.state == FINISHED else ""
        empty = [(cell.serial, f"{finished}{cell.reason or 'not measured yet'}") for cell in line.cells if cell.n == 0]
        reasons = {why for _, why in empty}
        if len(empty) == len(line.cells) and len(reasons) == 1:
            lacking.append(NotMeasured(line.balloon, None, reasons.pop()))
        else:
            lacking += [NotMeasured(line.balloon, serial, why) for serial, why in empty]
    return tuple(lacking)


def put_right(sampling: Sampling) -> tuple[str, ...]:
    """That typing errors of the drawing in force were put right: papers given out before say otherwise."""
    made = corrections(sampling.record, sampling.job, sampling.revision)
    if not made:
        return ()
    days = ", ".join(dict.fromkeys(edition.day for edition in reversed(made)))
    return (f"Sizes of drawing revision {sampling.revision.rev} that were typed wrong were put right on {days}.",)


def cautions(lines: Sequence[FeatureLine], passages: Sequence[PassageLine] = ()) -> tuple[str, ...]:
    """What a report has to say whatever the figures are."""
    said = list(CAUTIONS)
    if any(line.sectioned and line.n for line in lines):
        said.append(CUT_UP_CAUTION)
    said += dict.fromkeys(line.caveat for line in passages if line.caveat)
    return tuple(said)
