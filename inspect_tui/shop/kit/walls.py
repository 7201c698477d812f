"""Walls and places of a kit: loops found from the ends of features and the fits, or written; drawn and as measured."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.faces import stacks, tried
from inspect_tui.metrology.faces.stacks import Link, StackResult, Term
from inspect_tui.metrology.judge import in_mould
from inspect_tui.metrology.kit.bodies import Body
from inspect_tui.metrology.kit.seating import Places
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Stack as WrittenStack
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import Feature
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.shop.kit.parts import PLACES, Parts
from inspect_tui.shop.kit.seats.spots import Key
from inspect_tui.shop.kit.seats.turning import Turning
from inspect_tui.shop.kit.tried import evidence
from inspect_tui.shop.kit.tried.evidence import Seen

NO_LOOP_MM = 1.0  # how far a wall without limits may lie from its size where nothing is known of it: a judgement
UNKNOWN_U = 1e3  # mm: as good as nothing is known
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
    unknown: tuple[str, ...] = ()  # what nobody said of its links: they count with a width of practice
    turned: tuple[str, ...] = ()  # turns that are not in it, as nobody said where it is taken
    seen: Seen | None = None  # its thickness as it was taken in the mould
    apart: float = 0.0  # how many standard uncertainties that lies from the loop


@frozen
class NoLoop:
    """A wall whose loop does not close, and what is missing."""

    label: str
    name: str
    sentence: str


# ------------------------------------------------------------------------------ all walls
def walls(
    facts: KitFacts,
    lines: tuple[FitLine, ...],
    style: Style = MM,
    placed: Mapping[Key, Places] | None = None,
    bodies: Mapping[str, Body] | None = None,
    turning: Mapping[str, Turning] | None = None,
) -> tuple[list[WallLine], list[NoLoop]]:
    """Every feature of the casting whose two ends are made by different parts, at least one of them a core.

    `placed`, `bodies` and `turning` where they are worked out already.
    """
    drawn, now = (Parts(facts, lines, measured, style, placed, bodies, turning) for measured in (False, True))
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
            path, terms, measured = _taken_alone(now, feature)
            if not terms:
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
                _unplaced(feature),
                now,
                now.read,
                style,
                evidence.of_wall(facts, feature),
            )
        )
    return closed + written(facts, lines, now, closed, style), open_


def _taken_alone(parts: Parts, feature: Feature) -> tuple[tuple[str, ...], tuple[Term, ...], tuple[Term, ...]]:
    """A wall that no loop closes but whose thickness was taken in the mould: one link, which that reading replaces."""
    seen = evidence.of_wall(parts.facts, feature)
    if seen is None or seen.size is None:
        return (), (), ()
    size, band = chain.cast_wanted(feature), chain.cast_band(feature)
    plus, minus = (
        max(abs(limit - size), 0.0) if limit is not None else NO_LOOP_MM for limit in (band.upper, band.lower)
    )
    ends = [parts.part(end) for end in feature.ends]
    link = Link(name=f"{feature.balloon} as drawn", a=ends[0], b=ends[1], size=size, plus=plus, minus=minus)
    only = replace(link, plus=0.0, minus=0.0, measured=Estimate(size, UNKNOWN_U))
    return tuple(ends), (Term(link, 1.0),), (Term(only, 1.0),)


def _unplaced(feature: Feature) -> tuple[str, ...]:
    """What it costs that nobody said where a wall's ends stand."""
    if all(end.coord_mm is not None for end in feature.ends):
        return ()
    return (
        f"what was read of its faces is not in it, and no sketch shows {feature.balloon}: say where its ends stand",
    )


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
    parts: Parts,
    read: set[str],
    style: Style,
    seen: Seen | None = None,
) -> WallLine:
    called = f"{label} {name}".strip()
    drawn = stacks.stack(called, terms, lower, upper, style)
    apart = 0.0
    if seen is not None and seen.size is not None and axis in ("x", "y", "z"):
        measured, apart = tried.wall_with(label, measured, in_mould.scaled(seen.size, 1.0 / parts.scale(axis) - 1.0))
    now, variances = stacks.as_measured(measured)
    whose = {t.link.name: t.link.tool or t.link.name for t in measured}
    shares: dict[str, float] = {}
    for link, part in variances:
        shares[whose[link]] = shares.get(whose[link], 0.0) + part
    p, unknown = stacks.chance(measured, lower, upper), stacks.unknowns(measured)
    most = max(shares, key=lambda who: shares[who], default="")
    counted = sum(t.link.kind != PLACES and (t.link.measured is not None or t.link.name in read) for t in measured)
    turned = [parts.turn_words(*turn, label, mm) for turn, mm in parts.not_said.get(label, {}).items() if mm > now.u]
    limits = lower is not None or upper is not None
    state = WallState.NO_LIMITS
    if limits:
        state = WallState.HOLDS if p >= HOLDS else WallState.FAILS if p < FAILS else WallState.MAY_FAIL
    if limits:
        sure = " as drawn" if not counted else " as far as it is known" if unknown or turned else ""
        likely = sure if p > 0.9995 else " with over 99 %" if p > 0.99 else f" with {style.percent(p)}"
        text = f"{called}: {style.plus_minus(now.value, 2 * now.u)}, holds its limits{likely}; most from {most}"
    else:
        text = f"{called}: {style.plus_minus(now.value, 2 * now.u)}; most from {most}"
    if unknown:
        text += f"; nobody said {'; '.join(unknown)}"
    if seen is not None:
        remarks = (*remarks, seen.sentence(style))
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
        measured=counted,
        shares=tuple(sorted(shares.items(), key=lambda item: -item[1])),
        links=measured,
        most=most,
        share=shares.get(most, 0.0),
        state=state,
        remarks=(*remarks, *turned, *(f"nobody said {what}" for what in unknown)),
        sentence=text,
        unknown=unknown,
        turned=tuple(turned),
        seen=seen,
        apart=apart,
    )


# ------------------------------------------------------------------------------ between any two faces
_FACE = re.compile(
    r"(?P<part>.+?)(?:'s)?(?:\s+face)?(?:\s+at)?\s+(?P<axis>[xyz])\s*=?\s*(?P<place>\S.*)", re.IGNORECASE
)


def face_named(facts: KitFacts, typed: str) -> tuple[str, str, float]:
    """Part, axis and place (mm of the casting as drawn) of a face such as `core 3 face z 129` or `box 3 z 129`.

    DataError with what a face is called, for a part that the job has not, or for no size.
    """
    match = _FACE.fullmatch(typed.strip())
    place = fields.size(match["place"], signed=True) if match else None
    if match is None or not isinstance(place, float):
        raise DataError(f"'{typed}' is no face: give who makes it, the axis and the place, such as core 3 face z 129")
    part = " ".join(match["part"].casefold().split())
    by_tool = {t.label.casefold(): t for t in facts.tools}
    if part in by_tool:
        tool = by_tool[part]
        halves = [half for half in ("drag", "cope") if tool in facts.half_tools(half)]
        part = f"core {facts.number(tool.core_id)}" if tool.core_id else halves[0] if halves else part
    known = ["drag", "cope", *(f"core {core.number}" for core in facts.cores)]
    if part not in known:
        raise DataError(f"'{match['part']}' makes no face of this job: there are {', '.join(known)}")
    return part, match["axis"].lower(), place


def between(facts: KitFacts, lines: tuple[FitLine, ...], a: str, b: str, style: Style = MM) -> WallLine:
    """The wall from one face to another, whether or not the drawing has a size there; faces as `face_named` reads them.

    DataError where the faces lie along different axes, or no fit joins their parts.
    """
    (part_a, axis, low), (part_b, other, high) = face_named(facts, a), face_named(facts, b)
    if axis != other:
        raise DataError(
            f"{a} lies along {axis.upper()}, {b} along {other.upper()}: a wall has both its faces along one"
        )
    if high < low:
        part_a, low, part_b, high = part_b, high, part_a, low
    path, terms = Parts(facts, lines, False, style).between(axis, part_a, low, part_b, high)
    now = Parts(facts, lines, True, style)
    _, measured = now.between(axis, part_a, low, part_b, high)
    names = [f"{part} face {axis} {style.given(at, unit=False)}" for part, at in ((part_a, low), (part_b, high))]
    drawn_as = next((f for f in facts.features if _is_between(now, f, (part_a, low), (part_b, high), axis)), None)
    band = chain.cast_band(drawn_as) if drawn_as else None
    return _line(
        drawn_as.balloon if drawn_as else "",
        f"{names[0]} to {names[1]}",
        axis,
        True,
        False,
        path,
        terms,
        measured,
        band.lower if band else None,
        band.upper if band else None,
        (_follows(now, axis, ((part_a, low), (part_b, high)), measured),),
        now,
        now.read,
        style,
    )


def _follows(parts: Parts, axis: str, faces: tuple[tuple[str, float], ...], terms: tuple[Term, ...]) -> str:
    """Which sizes and fits a wall that nobody measured follows from."""
    read, _ = parts.follows(axis, faces, terms)
    fits = [t.link.tool for t in terms if t.link.kind == "fit"]
    names = list(dict.fromkeys([*read, *fits]))
    told = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)
    as_drawn = "" if read else "; its faces are where they are drawn, no size of theirs was read on a tool"
    return f"follows from {told or 'the drawing alone'}{as_drawn}"


def _is_between(parts: Parts, feature: Feature, a: tuple[str, float], b: tuple[str, float], axis: str) -> bool:
    if feature.axis != axis or feature.scale == "tool" or len(feature.ends) != 2:
        return False
    ends = {(parts.part(end), round(end.coord_mm, 3)) for end in feature.ends if end.coord_mm is not None}
    return ends == {(part, round(place, 3)) for part, place in (a, b)}


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
                parts,
                read,
                style,
                evidence.of_wall(facts, feature) if feature else None,
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
