"""From causes to cuts: which tool to touch, at which face, which way and by how much, and what the next casting shows.

The error of the casting is taken away at the tool, -e (1 + a), at the faces that the cause has moved and not blindly
half and half. A core that sits wrong is put right at its seat or keys, never in its box. Causes in the mould, the
foundry or the bench are checks, not cuts. Sign rule: *cut / add* is the tool, *metal on / metal off* is the casting.

Source: own derivation; what is cut and what is checked is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import sqrt

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.causes.cut_work import Maker, ToolCut, face_cuts, measured_cut, off_target, seat_cut
from inspect_tui.metrology.causes.problem import Explanation, Finding
from inspect_tui.metrology.causes.sentences import Clearance, say, say_unclear
from inspect_tui.metrology.faces.observed import Observed
from inspect_tui.metrology.judge.verdict import Answer, Verdict, judge
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Band


@frozen
class Check:
    """A cause that no tool is cut for, with what to check; `cause` names it."""

    cause: str
    words: str


@frozen_by_name
class Predicted:
    """One feature before and after: mean casting sizes with the judgement of each (None without limits).

    `after_mm` has all the cuts, `after_checks_mm` the checked causes put right as well. `u_mm` is of `after_mm`.
    `p_before` and `p_after`: the chance that one casting more is within its limits, uncut and cut (None without).
    `measured` is False for a feature that nobody has measured yet.
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
    """Cuts (the needed ones first), checks, features before and after, and the tools that are to be left alone."""

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
    style: Style = MM,
) -> CutPlan:
    """The cut list that follows from the named causes.

    `makers` says which tool makes each part (of a stick and a box of one core the box is cut); `rule` is the job's
    decision rule for the judgements before and after. Every amount has the 95 % interval of its cause.
    """
    by_part = {m.part: m for m in sorted(makers, key=lambda m: m.kind == "core_box")}
    tool_causes = [f for f in explanation.findings if not f.candidate.process]
    process = [f for f in explanation.findings if f.candidate.process]
    needed = _fewest(features, explanation, tool_causes, process, rule, by_part)
    cuts: list[ToolCut] = []
    for f in tool_causes:
        if f.candidate.kind in ("shift", "carried"):
            cuts.append(seat_cut(f, features, clearances, f.candidate.name in needed, parting_axis, style))
        else:
            cuts += face_cuts(f, features, by_part, f.candidate.name in needed, reference, style)
    cuts.sort(key=lambda c: (not c.needed, -abs(c.change_mm)))
    checks = [Check(f.candidate.name, say(f, style=style).text) for f in process]
    checks += [Check(f.candidate.name, say_unclear(f, explanation, style).text) for f in explanation.cannot_tell]
    predicted = tuple(_predict(o, explanation, tool_causes, process, rule) for o in features)
    # what no cause explains but the tool itself was measured to be
    own = {
        o.balloon
        for o, p in zip(features, predicted, strict=True)
        if o.b.part in by_part and off_target(o) and p.after is not None and p.after.answer is not Answer.CONFORMS
    }
    cuts += [measured_cut(o, by_part[o.b.part], reference, style) for o in features if o.balloon in own]
    if own:
        predicted = tuple(
            _predict(o, explanation, tool_causes, process, rule, cut_back=True) if o.balloon in own else p
            for o, p in zip(features, predicted, strict=True)
        )
    touched = {c.tool for c in cuts}
    alone = tuple(m.label for m in makers if m.label not in touched and by_part[m.part] is m)
    return CutPlan(cuts=tuple(cuts), checks=tuple(checks), features=predicted, leave_alone=alone)


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
    seat = n.seat_mm if len({e.part for e in o.faces}) > 1 else 0.0
    return sqrt(seat**2 + len(o.faces) * n.face_mm**2 + (n.scale * o.cast_size_mm) ** 2)


def _predict(
    o: Observed,
    explanation: Explanation,
    tool_causes: Sequence[Finding],
    process: Sequence[Finding],
    rule: str,
    cut_back: bool = False,
) -> Predicted:
    """`cut_back`: the tool, measured off its target, is brought back to it as well."""
    before, u0 = _before(o, explanation)
    gone, u1 = _effect(o, tool_causes)
    fixed, _ = _effect(o, [f for f in process if f.candidate.kind != "bias"])
    u = sqrt(u0 * u0 + u1 * u1)
    if cut_back and o.target_mm is not None:
        gone += o.predicted_mm - o.target_mm
        u = sqrt(u * u + o.u_predicted**2)
    band = None if o.lower_mm is None and o.upper_mm is None else Band(o.lower_mm, o.upper_mm, "as cast")
    scatter = _scatter(o, explanation)
    return Predicted(
        balloon=o.balloon,
        before_mm=before,
        after_mm=before - gone,
        after_checks_mm=before - gone - fixed,
        u_mm=u,
        before=judge(before, u0, band, rule) if band else None,
        after=judge(before - gone, u, band, rule) if band else None,
        p_before=judge(before, sqrt(u0 * u0 + scatter * scatter), band, rule).p_conform if band else None,
        p_after=judge(before - gone, sqrt(u * u + scatter * scatter), band, rule).p_conform if band else None,
        measured=bool(o.readings),
        target_mm=o.cast_size_mm if o.target_mm is None else o.target_mm,
    )


def _fewest(
    features: Sequence[Observed],
    explanation: Explanation,
    tool_causes: Sequence[Finding],
    process: Sequence[Finding],
    rule: str,
    by_part: dict[str, Maker],
) -> set[str]:
    """Names of the fewest-tools set of causes that leaves no more features out than cutting everything would."""
    judged = [o for o in features if o.readings and (o.lower_mm is not None or o.upper_mm is not None)]

    def out(causes: Sequence[Finding]) -> int:
        wrong = 0
        for o in judged:
            after = _predict(o, explanation, causes, process, rule).after
            wrong += after is not None and after.answer is not Answer.CONFORMS
        return wrong

    def tools(causes: Sequence[Finding]) -> int:
        touched: set[str] = set()
        for f in causes:
            c = f.candidate
            touched |= (
                {f"seat of {c.parts[0]}"} if c.kind in ("shift", "carried") else {p for p in c.parts if p in by_part}
            )
        return len(touched)

    if len(tool_causes) > 10:  # never in a job that can be mended by cutting
        return {f.candidate.name for f in tool_causes}
    goal = out(tool_causes)
    subsets = [s for k in range(len(tool_causes) + 1) for s in combinations(tool_causes, k)]
    for chosen in sorted(subsets, key=lambda s: (tools(s), len(s))):
        if out(chosen) <= goal:
            return {f.candidate.name for f in chosen}
    return {f.candidate.name for f in tool_causes}
