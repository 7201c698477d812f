"""What explains the castings of a sampling, as lines and sentences; and what a measuring plan could tell at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.common.drawing_notes import is_sectioned
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import Screening
from inspect_tui.shop.first_article.findings import (
    CauseLine,
    Causes,
    ContractionLine,
    QuestionLine,
    RivalLine,
)

if TYPE_CHECKING:
    from inspect_tui.metrology.causes.problem import Candidate, Explanation, Finding, OddReading


def search(looked: Screening) -> Explanation:
    """Which causes explain the castings; DataError when no length was measured."""
    from inspect_tui.metrology.causes.explain import explain

    evidence = looked.evidence
    return explain(
        evidence.features,
        carriers=evidence.carriers,
        reference=evidence.reference,
        parting_axis=evidence.parting_axis,
        datums=evidence.datums,
    )


def cause_lines(looked: Screening, explanation: Explanation, style: Style = MM) -> Causes:
    """The explanation as lines and sentences."""
    from inspect_tui.metrology.causes import sentences as words

    evidence = looked.evidence
    clearances, plan = evidence.clearances, evidence.plan
    named = _namer(_candidates(looked), style)
    told = tuple(words.say(f, plan=plan, clearances=clearances, style=style).text for f in explanation.findings)
    unsure = tuple(words.say_unclear(f, explanation, style).text for f in explanation.cannot_tell)
    rivals = tuple(
        RivalLine(tuple(named(name) for name in rival.names), rival.probability) for rival in explanation.rivals
    )
    odd = tuple(
        QuestionLine(
            kind="odd", serial=o.serial, balloons=(o.balloon,), sentence=_stands_alone(o, style), value=o.off_mm
        )
        for o in explanation.odd
    )
    return Causes(
        found=tuple(_cause_line(f, text, style) for f, text in zip(explanation.findings, told, strict=True)),
        cannot_tell=tuple(_cause_line(f, text, style) for f, text in zip(explanation.cannot_tell, unsure, strict=True)),
        rivals=rivals,
        contraction=tuple(
            ContractionLine(axis, plan[axis], plan[axis] + e.value, e.u) for axis, e in explanation.contraction.items()
        ),
        odd=odd,
        left_over=tuple((v.balloon, v.mm, v.u) for v in explanation.left),
        measure_next=explanation.measure_next,
        unseen=explanation.unseen,
        sentences=tuple(t.text for t in words.say_all(explanation, plan=plan, clearances=clearances, style=style)),
        left_out=evidence.left_out,
        seat_mm=explanation.noise.seat_mm,
        explanations=explanation.models,
        exact=explanation.exact,
    )


def _cause_line(f: Finding, text: str, style: Style) -> CauseLine:
    from inspect_tui.metrology.causes.problem import FRACTIONS
    from inspect_tui.metrology.causes.sentences import name_of, tell_on_tools, to_measure

    c = f.candidate
    return CauseLine(
        name=c.name,
        kind=c.kind,
        axis=c.axis,
        parts=c.parts if c.kind not in FRACTIONS else (),
        status=f.status,
        probability=f.probability,
        size=f.size.value,
        u=f.size.u,
        low=f.low,
        high=f.high,
        unit="1" if c.kind in FRACTIONS else "mm",
        tool=f.status == "named" and not c.process,
        serial=c.serial or None,
        words=text,
        speaks_for=f.speaks_for,
        against=f.against,
        alike=tuple(name_of(a, style) for a in f.alike),
        by_casting=tuple((serial, e.value, e.u) for serial, e in f.by_casting),
        names=tuple(dict.fromkeys((c.name, *(a.name for a in f.alike)))),
        tells=tuple(to_measure(m, style) for m in tell_on_tools(f)) if f.status != "named" else (),
    )


def _stands_alone(o: OddReading, style: Style) -> str:
    side = "high" if o.off_mm > 0 else "low"
    off = f"{style.length(abs(o.off_mm), unit=False)} {side}"
    return f"{o.balloon} on casting {o.serial} stands alone, {off} against the others: measure it again."


# ------------------------------------------------------------------------------ before anything is measured
@frozen
class PlanAnswer:
    """What a choice of features can tell: pairs of causes it cannot tell apart, causes it would not show, what to add.

    `add` is the fewest further features that settle all that can be settled; `open_after` what stays open with them.
    """

    chosen: tuple[str, ...]
    confused: tuple[tuple[str, str], ...]  # cause, what it would be taken for
    unseen: tuple[str, ...]
    add: tuple[str, ...]
    open_after: tuple[str, ...]


def plan_answer(
    sampling: Sampling, looked: Screening, chosen: Sequence[str] | None = None, castings: int = 3
) -> PlanAnswer:
    """Which causes the chosen features tell; by default all that need no casting to be cut up. Nothing is measured."""
    from inspect_tui.metrology.causes.plan import fewest_to_add, identifiable

    evidence = looked.evidence
    features = {o.balloon: o for o in evidence.features}
    if chosen is None:
        own = [f.balloon for f in sampling.features if f.balloon in features and not is_sectioned(f)]
    else:
        own = [sampling.feature(balloon).balloon for balloon in chosen]
        unusable = [balloon for balloon in own if balloon not in features]
        if unusable:
            raise NotFound(f"{', '.join(unusable)}: no cause moves such a feature; leave it out of the plan.")
    first = [features[b] for b in own]
    pool = [o for o in evidence.features if o.balloon not in own]
    common = [c for c in _candidates(looked) if not c.serial]
    now = identifiable(first, common, castings=castings, reference=evidence.reference)
    add, after = fewest_to_add(first, pool, common, castings=castings, reference=evidence.reference)
    words = _namer(common, sampling.style)
    return PlanAnswer(
        tuple(own),
        tuple((words(c.cause), words(c.stand_in)) for c in now.confusions),
        tuple(map(words, now.unseen)),
        add,
        tuple(sorted(map(words, after.open_questions))),
    )


def _candidates(looked: Screening) -> tuple[Candidate, ...]:
    from inspect_tui.metrology.causes.candidates import candidates as all_candidates

    evidence = looked.evidence
    return all_candidates(
        evidence.features,
        carriers=evidence.carriers,
        reference=evidence.reference,
        parting_axis=evidence.parting_axis,
        datums=evidence.datums,
    )


def _namer(candidates: Sequence[Candidate], style: Style) -> Callable[[str], str]:
    from inspect_tui.metrology.causes.sentences import name_of

    by_name = {c.name: name_of(c, style) for c in candidates}
    return lambda name: by_name.get(name, name)
