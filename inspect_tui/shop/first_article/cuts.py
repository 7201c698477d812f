"""The cut list of a sampling as lines: which tool, where, how much, what else moves; checks beside it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.causes.cut_work import MEASURED
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import sizes
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening
from inspect_tui.shop.first_article.findings import CutLine, Cuts, PredictedLine

if TYPE_CHECKING:
    from inspect_tui.metrology.causes.cuts import CutPlan
    from inspect_tui.metrology.causes.problem import Explanation

NOTHING_MM = 1e-9  # a change of less is none
NOTHING_SEEN_MM = 0.01  # a feature moves when the cuts change it by more than this


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


def cut_lines(sampling: Sampling, looked: Screening, plan: CutPlan) -> Cuts:
    """The cut list as lines; numbers count from 1 in its order. The forecast is for the needed cuts: `ticked` asks it
    for any others."""
    taken = accepted_keys(sampling)
    limits = {o.balloon: (o.lower_mm, o.upper_mm) for o in looked.evidence.features}
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
                moves=tuple(balloon for balloon in limits if abs(c.changes.get(balloon, 0.0)) > NOTHING_MM),
                accepted=(c.tool, c.cause) in taken,
                changes=tuple((b, mm) for b in limits if abs(mm := c.changes.get(b, 0.0)) > NOTHING_MM),
                rides=c.rides,
                u_share=c.u_share,
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
            u_before=p.u_before_mm,
            scatter=p.scatter_mm,
            lower=limits[p.balloon][0],
            upper=limits[p.balloon][1],
        )
        for p in plan.features
    )
    off = as_measured(sampling, looked)
    checks = [c.words for c in plan.checks] + [words for _, words in off]
    known_off = {label for label, _ in off}
    cuts = Cuts(
        cuts=tuple(lines),
        checks=tuple(checks),
        tools=plan.tools,
        leave_alone=tuple(label for label in plan.leave_alone if label not in known_off),
        predicted=predicted,
    )
    return ticked(cuts, [line.number for line in lines if line.needed])


def ticked(cuts: Cuts, numbers: Iterable[int]) -> Cuts:
    """The same list with the forecast for these cuts and no others. NotFound for a number that is not on it."""
    from inspect_tui.metrology.causes.cuts import Change, after_cuts
    from inspect_tui.model.words import Band

    by_number = {line.number: line for line in cuts.cuts}
    chosen = sorted(dict.fromkeys(numbers))
    unknown = [n for n in chosen if n not in by_number]
    if unknown:
        count = len(cuts.cuts)
        raise NotFound(f"There is no cut {unknown[0]} on the list; it has {count if count else 'none'}.")
    made: dict[str, list[Change]] = {}
    for n in chosen:
        line = by_number[n]
        for balloon, mm in line.changes:
            cause = f"{line.cause} {n}" if line.cause == MEASURED else line.cause
            made.setdefault(balloon, []).append(Change(cause, mm, abs(mm) * line.u_share))
    predicted = []
    for p in cuts.predicted:
        band = None if p.lower is None and p.upper is None else Band(p.lower, p.upper, "as cast")
        after, u, chance = after_cuts(p.before, p.u_before, p.scatter, band, made.get(p.balloon, ()), "plain")
        predicted.append(
            replace(
                p,
                after=after,
                after_checks=after + p.after_checks - p.after,
                u=u,
                p_after=chance,
                moves=abs(after - p.before) > NOTHING_SEEN_MM,
            )
        )
    return replace(cuts, predicted=tuple(predicted), ticked=tuple(chosen))


def accepted_keys(sampling: Sampling) -> set[tuple[str, str]]:
    """(tool, cause) of the cuts of this round that became work."""
    lot = sampling.round.lot
    return {
        (cut.tool, cut.cause) for cut, _ in sampling.facts.cuts_accepted if lot is not None and cut.lot_id == lot.id
    }


def as_measured(sampling: Sampling, looked: Screening) -> list[tuple[str, str]]:
    """Tools with sizes outside their limits when the castings were poured, known before any casting: label, words."""
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
        words = (
            f"{now.tool.label}, {feature.balloon}: {style.length(value, unit=False)} as measured on {now.day}, {off} "
            f"from its target {style.length(size.target, unit=False)}. The castings were poured with it; "
            "see the Bench for its cut."
        )
        said.append((now.tool.label, words))
    return said
