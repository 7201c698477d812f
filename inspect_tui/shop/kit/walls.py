"""Walls and places of a kit: loops found from the ends of features and the fits, or written; drawn and as measured."""

from __future__ import annotations

from enum import StrEnum

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.faces import stacks
from inspect_tui.metrology.faces.stacks import Link, StackResult, Term
from inspect_tui.metrology.judge.verdict import below
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Stack as WrittenStack
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import Feature
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.shop.kit.parts import Parts

HOLDS, FAILS = 0.99, 0.50  # a wall holds from, and does not hold below, this probability: a judgement, no source


class WallState(StrEnum):
    """What is known of a wall against its limits."""

    HOLDS = "holds"
    MAY_FAIL = "may not hold"
    FAILS = "does not hold"
    NO_LIMITS = "no limits"


@frozen_by_name
class WallLine:
    """One wall, gap or place between two cores or mould halves, mm of the casting."""

    label: str  # F48 or, of a written loop, ST1
    name: str
    axis: str
    wall: bool  # a wall; else a place or length
    written: bool
    path: tuple[str, ...]  # drag, core 1, core 5
    drawn: StackResult
    now: Estimate  # from what was measured; what was not counts as drawn
    p_holds: float
    measured: int  # links that were measured
    shares: tuple[tuple[str, float], ...]  # tool or fit and its share of the doubt as it stands, most first
    links: tuple[Term, ...]  # as measured, for assemblies
    most: str  # the tool or fit that adds most
    share: float
    state: WallState
    remarks: tuple[str, ...]
    sentence: str


@frozen
class NoLoop:
    """A wall whose loop does not close, and what is missing."""

    label: str
    name: str
    sentence: str


# ------------------------------------------------------------------------------ all walls
def walls(facts: KitFacts, lines: tuple[FitLine, ...], style: Style = MM) -> tuple[list[WallLine], list[NoLoop]]:
    """Every feature of the casting whose two ends are made by different parts, at least one of them a core."""
    drawn, now = Parts(facts, lines, False, style), Parts(facts, lines, True, style)
    closed: list[WallLine] = []
    open_: list[NoLoop] = []
    for feature in facts.features:
        if feature.scale == "tool" or feature.axis not in ("x", "y", "z") or len(feature.ends) != 2:
            continue
        if drawn.part(feature.ends[0]) == drawn.part(feature.ends[1]) or not any(e.core_id for e in feature.ends):
            continue
        try:
            path, terms = drawn.loop(feature)
            _, measured = now.loop(feature)
        except DataError as problem:
            open_.append(NoLoop(feature.balloon, feature.name, f"{feature.balloon} {feature.name}: {problem}"))
            continue
        band = chain.cast_band(feature)
        closed.append(
            _line(
                feature.balloon,
                feature.name,
                feature.axis,
                feature.quantity == "wall",
                False,
                path,
                terms,
                measured,
                band.lower,
                band.upper,
                (),
                now.read,
                style,
            )
        )
    return closed + written(facts, lines, now, closed, style), open_


def _line(
    label: str,
    name: str,
    axis: str,
    wall: bool,
    by_hand: bool,
    path: tuple[str, ...],
    terms: tuple[Term, ...],
    measured: tuple[Term, ...],
    lower: float | None,
    upper: float | None,
    remarks: tuple[str, ...],
    read: set[str],
    style: Style,
) -> WallLine:
    drawn = stacks.stack(f"{label} {name}", terms, lower, upper, style)
    now, parts = stacks.as_measured(measured)
    whose = {t.link.name: t.link.tool or t.link.name for t in measured}
    shares: dict[str, float] = {}
    for link, part in parts:
        shares[whose[link]] = shares.get(whose[link], 0.0) + part
    p = 1.0 - below(now, lower) - (0.0 if upper is None else 1.0 - below(now, upper))
    p = min(max(p, 0.0), 1.0)
    most = max(shares, key=lambda who: shares[who], default="")
    seen = sum(t.link.measured is not None or t.link.name in read for t in measured)
    limits = lower is not None or upper is not None
    state = WallState.NO_LIMITS
    if limits:
        state = WallState.HOLDS if p >= HOLDS else WallState.FAILS if p < FAILS else WallState.MAY_FAIL
    if limits:
        likely = "" if p > 0.9995 else " with over 99 %" if p > 0.99 else f" with {style.percent(p)}"
        text = f"{label} {name}: {style.plus_minus(now.value, 2 * now.u)}, holds its limits{likely}; most from {most}"
    else:
        text = f"{label} {name}: {style.plus_minus(now.value, 2 * now.u)}; most from {most}"
    return WallLine(
        label=label,
        name=name,
        axis=axis,
        wall=wall,
        written=by_hand,
        path=path,
        drawn=drawn,
        now=now,
        p_holds=p,
        measured=seen,
        shares=tuple(sorted(shares.items(), key=lambda item: -item[1])),
        links=measured,
        most=most,
        share=shares.get(most, 0.0),
        state=state,
        remarks=remarks,
        sentence=text,
    )


# ------------------------------------------------------------------------------ loops that people wrote
def written(
    facts: KitFacts, lines: tuple[FitLine, ...], parts: Parts, closed: list[WallLine], style: Style = MM
) -> list[WallLine]:
    """Loops from the record, each set beside the one that closes by itself for the same wall."""
    by_fit = {line.fit.of_id: line for line in lines}
    versions = {line.fit.id: line for line in lines} | by_fit
    out = []
    for stack, members in facts.stacks:
        terms, measured, fits, read = [], [], set(), set()
        for n, m in enumerate(members):
            link = Link(
                name=m.name,
                a=f"{stack.label} {n}",
                b=f"{stack.label} {n + 1}",
                size=m.size_mm,
                plus=m.plus_mm,
                minus=m.minus_mm,
                tool=m.tool or "",
                kind="fit" if m.fit_id else "dimension",
                shape=m.shape,
            )
            terms.append(Term(link, float(m.sense)))
            line = versions.get(m.fit_id or b"")
            if line is not None:
                fits.add(line.fit.label)
                link = _as_it_stands(link, line, parts)
                if line.verdict.measured == "both" and link.plus == link.minus:
                    read.add(link.name)
            measured.append(Term(link, float(m.sense)))
        if not terms:
            continue
        feature = facts.feature.get(facts.drawn.get(stack.feature_id or b"", b""))
        lower, upper = _limits(stack, feature)
        remarks = _left_out(feature, fits, closed, parts, style) if feature else ()
        out.append(
            _line(
                stack.label,
                stack.name,
                feature.axis if feature else "",
                feature is None or feature.quantity == "wall",
                True,
                tuple(t.link.name for t in terms),
                tuple(terms),
                tuple(measured),
                lower,
                upper,
                remarks,
                read,
                style,
            )
        )
    return out


def _as_it_stands(link: Link, line: FitLine, parts: Parts) -> Link:
    """The play of a written link from the fit as measured; what was written where nobody read both sides."""
    if line.verdict.measured != "both" or link.shape != "uniform" or link.plus != link.minus:
        return link
    half = max(line.verdict.clearance.value, 0.0) / 2 * parts.scale(line.fit.axis if line.fit.axis in "xyz" else "x")
    return Link(
        name=link.name,
        a=link.a,
        b=link.b,
        size=link.size,
        plus=half,
        minus=half,
        tool=link.tool,
        kind=link.kind,
        shape=link.shape,
    )


def _limits(stack: WrittenStack, feature: Feature | None) -> tuple[float | None, float | None]:
    if stack.lower is not None or stack.upper is not None or feature is None:
        return stack.lower, stack.upper
    band = chain.cast_band(feature)
    return band.lower, band.upper


def _left_out(feature: Feature, fits: set[str], closed: list[WallLine], parts: Parts, style: Style) -> tuple[str, ...]:
    same = next((w for w in closed if w.label == feature.balloon), None)
    if same is None:
        return ()
    missing = []
    for term in same.drawn.terms:
        fit = parts.fit_of.get(term.link.name)
        if fit is not None and fit.label not in fits and term.half > 0:
            missing.append(f"{fit.name} (± {style.uncertainty(term.half, unit=False)})")
    return (f"the loop found for {feature.balloon} also runs over {', '.join(missing)}",) if missing else ()
