"""The cut list of a sampling as lines: which tool, where, how much, what else moves; checks beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import sizes
from inspect_tui.shop.first_article.castings.evidence import CauseEvidence
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening
from inspect_tui.shop.first_article.findings import CutLine, Cuts, PredictedLine

if TYPE_CHECKING:
    from inspect_tui.metrology.causes.cut_work import FaceCut
    from inspect_tui.metrology.causes.cuts import CutPlan
    from inspect_tui.metrology.causes.problem import Explanation


def cut_plan(sampling: Sampling, looked: Screening, explanation: Explanation) -> CutPlan:
    """Which tools to cut for the causes that were found."""
    from inspect_tui.metrology.causes.cuts import plan_cuts

    evidence = looked.evidence
    return plan_cuts(
        evidence.features,
        explanation,
        evidence.makers,
        clearances=evidence.clearances,
        rule=sampling.job.rule,
        reference=evidence.reference,
        parting_axis=evidence.parting_axis,
        carriers=evidence.carriers,
        style=sampling.style,
    )


def cut_lines(sampling: Sampling, looked: Screening, explanation: Explanation, plan: CutPlan) -> Cuts:
    """The cut list as lines; numbers count from 1 in its order."""
    taken = accepted_keys(sampling)
    columns = {f.candidate.name: f.candidate.column for f in explanation.findings}
    lines = []
    for number, c in enumerate(plan.cuts, start=1):
        lines.append(
            CutLine(
                number=number,
                tool=c.tool,
                part=c.part,
                cause=c.cause,
                axis=c.axis,
                change_mm=c.change_mm,
                low=c.low,
                high=c.high,
                words=c.words,
                casting_words=c.casting_words,
                needed=c.needed,
                sure=c.sure,
                faces=c.faces,
                moves=_moved_by(c.faces, columns.get(c.cause, {}), looked.evidence),
                accepted=(c.tool, c.cause) in taken,
            )
        )
    predicted = tuple(
        PredictedLine(
            balloon=p.balloon,
            before=p.before_mm,
            after=p.after_mm,
            after_checks=p.after_checks_mm,
            u=p.u_mm,
            p_before=p.p_before,
            p_after=p.p_after,
            moves=p.moves,
        )
        for p in plan.features
    )
    checks = [c.words for c in plan.checks] + as_measured(sampling, looked)
    return Cuts(tuple(lines), tuple(checks), plan.tools, plan.leave_alone, predicted)


def _moved_by(faces: Sequence[FaceCut], column: Mapping[str, float], evidence: CauseEvidence) -> tuple[str, ...]:
    """Balloons that a cut changes: those that end on the faces that move, or all that the cause moves."""
    if faces:
        own = dict.fromkeys(balloon for face in faces for balloon in face.balloons)
        return tuple(o.balloon for o in evidence.features if o.balloon in own)
    return tuple(o.balloon for o in evidence.features if column.get(o.balloon))


def accepted_keys(sampling: Sampling) -> set[tuple[str, str]]:
    """(tool, cause) of the cuts of this round that became work."""
    lot = sampling.round.lot
    return {
        (cut.tool, cut.cause) for cut, _ in sampling.facts.cuts_accepted if lot is not None and cut.lot_id == lot.id
    }


def as_measured(sampling: Sampling, looked: Screening) -> list[str]:
    """Tool sizes that were outside their limits when the castings were poured: known before any casting was."""
    said, style = [], sampling.style
    for now in looked.log.on_tools.values():
        feature = sampling.own_feature(now.feature.feature_id)
        if not now.values or is_angle(feature) or feature.scale != "cast":
            continue
        size = sizes(sampling.job, feature, Subject(now.tool.label, tool=now.tool), now.feature)
        value = sum(now.values) / len(now.values)
        low, high = size.band.lower, size.band.upper
        if (low is None or value >= low - 2 * now.u) and (high is None or value <= high + 2 * now.u):
            continue
        off = style.signed(value - size.target, unit=False)
        said.append(
            f"{now.tool.label}, {feature.balloon}: {style.length(value, unit=False)} as measured on {now.day}, {off} "
            f"from its target {style.length(size.target, unit=False)}. The castings were poured with it; "
            "see the Bench for its cut."
        )
    return said
