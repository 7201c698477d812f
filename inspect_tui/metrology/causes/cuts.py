"""From causes to cuts: which tool to touch, at which face, which way and by how much, and what the next casting shows.

The error of the casting is taken away at the tool, -e (1 + a), at the faces that the cause has moved and not blindly
half and half. A core that sits wrong is put right at its seat or keys, never in its box; what sits in it comes along.
A face or a seat that moves changes every size that hangs on it, and the forecast adds up the cuts that are made.
Causes in the mould, the foundry or the bench are checks, not cuts. Sign rule: *cut / add* is the tool, *metal on /
metal off* is the casting.

Source: own derivation; what is cut and what is checked is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from math import sqrt

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.causes.candidates import Carriers, network_of
from inspect_tui.metrology.causes.cut_work import (
    MEASURED,
    Maker,
    ToolCut,
    face_cuts,
    measured_cut,
    off_target,
    seat_cut,
    turned_cut,
)
from inspect_tui.metrology.causes.problem import Explanation, Finding
from inspect_tui.metrology.causes.sentences import Clearance, say, say_unclear
from inspect_tui.metrology.faces.observed import Observed
from inspect_tui.metrology.judge.verdict import Answer, Verdict, judge
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Band

SURE_ENOUGH = 0.95  # a cut is not needed where the next casting is within its limits with this chance without it
MOST_CAUSES = 10  # every choice among so many is tried
BETTER = 0.01  # ... and it is not needed either where it would raise that chance by no more than this


@frozen
class Check:
    """A cause that no tool is cut for, with what to check; `cause` names it."""

    cause: str
    words: str


@frozen_by_name
class Predicted:
    """One feature before and after: mean casting sizes with the judgement of each (None without limits).

    `after_mm` has the cuts that are made, `after_checks_mm` the checked causes put right as well. `u_mm` is of
    `after_mm`. `p_before` and `p_after`: the chance that one casting more is within its limits, uncut and cut (None
    without). `measured` is False for a feature that nobody has measured yet. `scatter_mm` is that of one casting.
    """

    balloon: str
    before_mm: float
    after_mm: float
    after_checks_mm: float
    u_mm: float
    before: Verdict | None
    after: Verdict | None
    p_before: float | None
    p_after: float | None
    measured: bool
    target_mm: float
    u_before_mm: float
    scatter_mm: float

    @property
    def left_mm(self) -> float:
        """How far from the target it stays after the cuts. In mm on the casting, with its sign."""
        return self.after_mm - self.target_mm

    @property
    def moves(self) -> bool:
        """Whether the cuts change it by more than a hundredth."""
        return abs(self.after_mm - self.before_mm) > 0.01


@frozen_by_name
class CutPlan:
    """Cuts (the needed ones first), checks, and the tools that are to be left alone.

    `features` is the forecast with all cuts made; `forecast` tells it for any choice of them.
    """

    cuts: tuple[ToolCut, ...]
    checks: tuple[Check, ...]
    features: tuple[Predicted, ...]
    leave_alone: tuple[str, ...]

    @property
    def tools(self) -> tuple[str, ...]:
        """The smallest set of tools that brings all features home, as far as cutting can."""
        return tuple(dict.fromkeys(c.tool for c in self.cuts if c.needed))

    @property
    def moving(self) -> tuple[Predicted, ...]:
        """What else moves: every feature that the cuts change."""
        return tuple(p for p in self.features if p.moves)


def plan_cuts(
    features: Sequence[Observed],
    explanation: Explanation,
    makers: Sequence[Maker],
    *,
    clearances: Sequence[Clearance] = (),
    rule: str = "proof95",
    reference: str = "drag",
    parting_axis: str = "z",
    carriers: Carriers = None,
    style: Style = MM,
) -> CutPlan:
    """The cut list that follows from the named causes.

    `makers` says which tool makes each part (of a stick and a box of one core the box is cut), `carriers` what
    sits in what, as for the candidates; `rule` is the job's decision rule for the judgements before and after. Every
    amount has the 95 % interval of its cause.
    """
    network = network_of(features, carriers, reference, parting_axis)
    by_part = {m.part: m for m in sorted(makers, key=lambda m: m.kind == "core_box")}
    by_cause: dict[str, list[ToolCut]] = {}
    for f in explanation.findings:
        if f.candidate.process:
            continue
        if f.candidate.kind in ("shift", "carried"):
            by_cause[f.candidate.name] = [seat_cut(f, features, network, clearances, by_part, style)]
        elif f.candidate.kind == "turned":
            by_cause[f.candidate.name] = [turned_cut(f, features, network, style)]
        else:
            by_cause[f.candidate.name] = face_cuts(f, features, network, by_part, style)
    needed = _fewest(features, explanation, by_cause, rule)
    cuts = [replace(cut, needed=name in needed) for name, made in by_cause.items() for cut in made]
    cuts.sort(key=lambda c: (not c.needed, -abs(c.change_mm)))
    checks = [Check(f.candidate.name, say(f, style=style).text) for f in explanation.findings if f.candidate.process]
    checks += [Check(f.candidate.name, say_unclear(f, explanation, style).text) for f in explanation.cannot_tell]
    predicted = forecast(features, explanation, cuts, rule)
    # what no cause explains but the tool itself was measured to be
    cuts += [
        measured_cut(o, network, by_part[o.b.maker], style)
        for o, p in zip(features, predicted, strict=True)
        if o.b.maker in by_part and off_target(o) and p.after is not None and p.after.answer is not Answer.CONFORMS
    ]
    touched = {c.tool for c in cuts}
    touched |= {by_part[part].label for c in cuts for part in c.bears if part in by_part}
    alone = tuple(m.label for m in makers if m.label not in touched and by_part[m.part] is m)
    return CutPlan(
        cuts=tuple(cuts),
        checks=tuple(checks),
        features=forecast(features, explanation, cuts, rule),
        leave_alone=alone,
    )


def forecast(
    features: Sequence[Observed], explanation: Explanation, cuts: Sequence[ToolCut], rule: str
) -> tuple[Predicted, ...]:
    """Every feature before and after these cuts, and no others; `rule` judges the means."""
    process = [f for f in explanation.findings if f.candidate.process and f.candidate.kind != "bias"]
    return tuple(_predict(o, explanation, cuts, process, rule) for o in features)


def _effect(o: Observed, causes: Sequence[Finding]) -> tuple[float, float]:
    """What these causes do to this feature on the casting, and its standard uncertainty."""
    parts = [(f.candidate.column.get(o.balloon, 0.0), f.size) for f in causes if not f.candidate.serial]
    return sum(c * s.value for c, s in parts), sqrt(sum((c * s.u) ** 2 for c, s in parts))


def _before(o: Observed, explanation: Explanation) -> tuple[float, float]:
    """Mean size over the castings without readings that stand alone and what befell single castings, and its u."""
    odd = {(v.balloon, v.serial) for v in explanation.odd}
    n = explanation.noise
    values, square = [], 0.0
    scatter = _scatter(o, explanation)
    for serial, read in o.readings.items():
        if (o.balloon, serial) in odd:
            continue
        own = sum(
            f.candidate.column.get(o.balloon, 0.0) * f.size.value
            for f in explanation.findings
            if f.candidate.serial == serial
        )
        bias = sum(
            f.size.value for f in explanation.findings if f.candidate.instrument == read.instrument and read.instrument
        )
        values.append(read.mm - own - bias)
        square += read.u**2 + scatter**2
    if values:
        return sum(values) / len(values), sqrt(square) / len(values)
    effect, u = _effect(o, [f for f in explanation.findings if f.candidate.kind != "bias"])
    return o.predicted_mm + effect, sqrt(u * u + o.u_predicted**2 + n.seat_mm**2 + n.face_mm**2)


def _scatter(o: Observed, explanation: Explanation) -> float:
    """How far one casting lies from its like: seats where two parts meet, surfaces, scale; one standard deviation."""
    n = explanation.noise
    seat = n.seat_mm if len({e.maker for e in o.faces}) > 1 else 0.0
    return sqrt(seat**2 + len(o.faces) * n.face_mm**2 + (n.scale * o.cast_size_mm) ** 2)


@frozen
class Change:
    """What one cut changes of one size, mm on the casting, with its standard uncertainty, and for which cause."""

    cause: str
    mm: float
    u: float


def after_cuts(
    before_mm: float, u_before: float, scatter_mm: float, band: Band | None, changes: Sequence[Change], rule: str
) -> tuple[float, float, float | None]:
    """Mean size after cuts, its standard uncertainty, and the chance that one casting more is within its limits.

    Cuts for one cause are as wrong as the cause is, all the same way; those for different causes go their own ways.
    `scatter_mm` is that of one casting about the mean. mm on the casting; no chance without limits.
    """
    by_cause: dict[str, float] = {}
    for change in changes:
        by_cause[change.cause] = by_cause.get(change.cause, 0.0) + (change.u if change.mm >= 0 else -change.u)
    after = before_mm + sum(change.mm for change in changes)
    u = sqrt(u_before * u_before + sum(v * v for v in by_cause.values()))
    if band is None:
        return after, u, None
    return after, u, judge(after, sqrt(u * u + scatter_mm * scatter_mm), band, rule).p_conform


def _changes(o: Observed, cuts: Sequence[ToolCut]) -> list[Change]:
    out = []
    for number, cut in enumerate(cuts):
        mm = cut.changes.get(o.balloon, 0.0)
        cause = f"{cut.cause} {number}" if cut.cause == MEASURED else cut.cause  # each tool's reading is its own
        out.append(Change(cause, mm, abs(mm) * cut.u_share))
    return out


def _predict(
    o: Observed, explanation: Explanation, cuts: Sequence[ToolCut], process: Sequence[Finding], rule: str
) -> Predicted:
    before, u0 = _before(o, explanation)
    band = None if o.lower_mm is None and o.upper_mm is None else Band(o.lower_mm, o.upper_mm, "as cast")
    scatter = _scatter(o, explanation)
    _, _, p_before = after_cuts(before, u0, scatter, band, (), rule)
    after, u, p_after = after_cuts(before, u0, scatter, band, _changes(o, cuts), rule)
    fixed, _ = _effect(o, process)
    return Predicted(
        balloon=o.balloon,
        before_mm=before,
        after_mm=after,
        after_checks_mm=after - fixed,
        u_mm=u,
        before=judge(before, u0, band, rule) if band else None,
        after=judge(after, u, band, rule) if band else None,
        p_before=p_before,
        p_after=p_after,
        measured=bool(o.readings),
        target_mm=o.cast_size_mm if o.target_mm is None else o.target_mm,
        u_before_mm=u0,
        scatter_mm=scatter,
    )


def _fewest(
    features: Sequence[Observed], explanation: Explanation, by_cause: Mapping[str, Sequence[ToolCut]], rule: str
) -> set[str]:
    """Names of the causes whose cuts are needed.

    First the fewest tools that leave no more features out than cutting everything would; then every other cause
    without which some casting would stand too good a chance of being out.
    """
    judged = [o for o in features if o.readings and (o.lower_mm is not None or o.upper_mm is not None)]
    causes = list(by_cause)

    def told(chosen: Sequence[str]) -> tuple[Predicted, ...]:
        return forecast(judged, explanation, [cut for name in chosen for cut in by_cause[name]], rule)

    def out(chosen: Sequence[str]) -> int:
        return sum(p.after is not None and p.after.answer is not Answer.CONFORMS for p in told(chosen))

    def tools(chosen: Sequence[str]) -> int:
        return len({cut.tool for name in chosen for cut in by_cause[name]})

    if len(causes) > MOST_CAUSES:  # never in a job that can be mended by cutting
        return set(causes)
    goal = out(causes)
    subsets = [s for k in range(len(causes) + 1) for s in combinations(causes, k)]
    needed = list(next(s for s in sorted(subsets, key=lambda s: (tools(s), len(s))) if out(s) <= goal))
    while len(needed) < len(causes):
        without = told(needed)
        gains = {
            name: max(
                (
                    (q.p_after or 0.0) - (p.p_after or 0.0)
                    for p, q in zip(without, told([*needed, name]), strict=True)
                    if (p.p_after or 0.0) < SURE_ENOUGH
                ),
                default=0.0,
            )
            for name in causes
            if name not in needed
        }
        best = max(gains, key=lambda name: gains[name])
        if gains[best] <= BETTER:
            break
        needed.append(best)
    return set(needed)
