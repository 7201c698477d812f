"""Does each core go in with all its prints at once: their places as drawn and as read on the tools, axis by axis.

A pitch is any size of a core or mould half whose ends stand at two of its prints or seats: from middle to middle, or
from face to face. Its ends name the places; a size at tooling scale without them is taken for the pitch that it equals,
where there is only one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import combinations
from math import hypot, sqrt

from inspect_tui.frozen import NamedTuple, frozen_by_name
from inspect_tui.metrology.kit.bodies import AXES
from inspect_tui.metrology.kit.play import Float
from inspect_tui.metrology.kit.seating import Fate, GoesIn, Meeting, Pitch, Places, adjusted, goes_in
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import HALVES, Estimate
from inspect_tui.model.work import Feature, Tool
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine, Side
from inspect_tui.shop.kit.missing import Next
from inspect_tui.shop.kit.order import holds_of, seat_name

SAME_PLACE_MM = 0.1  # an end of a size so near to a place is at that place, as places are written down: a judgement
TOL_MM = 0.15  # plus or minus, between two seats of one core or pattern half: common practice, no source
_PITCHES = ("length", "position", "step")  # quantities that a size without places may be a pitch by
PITCH_SCORE = 0.005  # doubt that reading a pitch takes away: little, where the drawing is believed; a judgement
_AFTER_SAND = ("resin", "second_contraction")


class Spot(NamedTuple):
    """A print or seat of a part, along one axis: its drawn middle (mm, tooling scale) and the side that sizes it."""

    name: str
    at: float
    side: Side | None


@frozen_by_name
class Seated:
    """How all cores go in: where prints stand, and the answer for each core and axis."""

    places: Mapping[tuple[str, str], Places]  # (part, axis); parts by core number, drag, cope
    goes: tuple[GoesIn, ...]

    @property
    def not_in(self) -> set[str]:
        """Cores that do not go in with all their prints, or may not."""
        return {each.core for each in self.goes if each.fate is not Fate.IN}


# ------------------------------------------------------------------------------ what was read of places
def places(facts: KitFacts, lines: Iterable[FitLine]) -> dict[tuple[str, str], Places]:
    """Where prints and seats of every part stand along every axis, by the pitches that were read on its tools."""
    spots = _spots(facts, lines)
    sizes = _sizes_of_parts(facts)
    made = {}
    for (part, axis), of_part in spots.items():
        pitches = [p for f in sizes.get((part, axis), ()) if (p := _pitch(facts, part, f, of_part)) is not None]
        made[part, axis] = adjusted({s.name: s.at for s in of_part}, pitches, _u_place(facts, part))
    return made


def off(placed: Mapping[tuple[str, str], Places], fit: Fit, core: str, into: str, axis: str) -> Estimate:
    """How far the seat of a fit stands from where its print is, mm; nothing where no reading says so."""
    name, value, variance = seat_name(fit), 0.0, 0.0
    for part, sign in ((into, 1.0), (core, -1.0)):
        of_part = placed.get((part, axis))
        if of_part is not None and name in of_part.tied:
            i = of_part.names.index(name)
            value += sign * of_part.off[i]
            variance += of_part.cov[i][i]
    return Estimate(value, sqrt(variance))


def _u_place(facts: KitFacts, part: str) -> float:
    """Standard uncertainty of one place that nobody read: two of them differ by the part's tolerance at most."""
    core = next((c for c in facts.cores if str(c.number) == part), None)
    detail = facts.details.get(core.of_id) if core else None
    tol = detail.tol_mm if detail and detail.tol_mm is not None else TOL_MM
    return tol / 3.0 / sqrt(2.0)


def _spots(facts: KitFacts, lines: Iterable[FitLine]) -> dict[tuple[str, str], list[Spot]]:
    spots: dict[tuple[str, str], dict[str, Spot]] = {}
    for line in lines:
        fit = line.fit
        core, into = parts_of(facts, fit)
        if not core or fit.kind not in ("print", "key") or fit.gap_feature_id is not None:
            continue
        for axis, at in zip(AXES, (fit.at_x, fit.at_y, fit.at_z), strict=True):
            sized = axis in axes_of(fit)
            for part, side in ((core, line.print), (into, line.seat)):
                if at is not None and part:
                    of_part = spots.setdefault((part, axis), {})
                    name = seat_name(fit)
                    if sized or name not in of_part:
                        of_part[name] = Spot(name, at, side if sized else None)
    return {key: list(of_part.values()) for key, of_part in spots.items()}


def parts_of(facts: KitFacts, fit: Fit) -> tuple[str, str]:
    """(core that goes in, part that it goes into) by number, drag or cope; empty where it is not said."""
    core = facts.number(fit.inner_core_id) if fit.inner_core_id else ""
    into = facts.number(fit.outer_core_id) if fit.outer_core_id else (fit.outer_half or "")
    return core, into


def axes_of(fit: Fit) -> list[str]:
    """The axes that a fit's clearance counts along: its own, or both across its way in where it is round."""
    return [a for a in AXES if a != fit.way_in[:1]] if fit.axis == "round" else [fit.axis]


def _sizes_of_parts(facts: KitFacts) -> dict[tuple[str, str], list[Feature]]:
    """(part, axis) -> sizes with both ends on that part that are not the size of a print or seat."""
    taken = {facts.drawn.get(i or b"") for f in facts.fits for i in (f.inner_feature_id, f.outer_feature_id)}
    taken |= {facts.drawn.get(f.gap_feature_id or b"") for f in facts.fits}
    sizes: dict[tuple[str, str], list[Feature]] = {}
    for root, feature in facts.feature.items():
        makers = {facts.number(e.core_id) if e.core_id else (e.half or "") for e in feature.ends}
        if root not in taken and len(makers) == 1 and len(feature.ends) == 2 and feature.axis in AXES:
            sizes.setdefault((makers.pop(), feature.axis), []).append(feature)
    return sizes


def _pitch(facts: KitFacts, part: str, feature: Feature, spots: list[Spot]) -> Pitch | None:
    """The pitch that a size gives, where its ends stand at two places of the part and somebody read it."""
    found = _ends_at(facts, feature, spots)
    root = facts.root.get(feature.id)
    if found is None or root is None:
        return None
    for tool in _tools(facts, part):
        state, on = facts.now(tool, root), facts.on_tool.get((tool.of_id, root))
        if state is None or on is None:
            continue
        size = chain.back(state.value, state.u, [step for step in on.steps if step.kind in _AFTER_SAND])
        (a, face_a), (b, face_b) = found
        u = size.u
        apart = size.value
        for spot, face, sign in ((a, face_a, 1.0), (b, face_b, -1.0)):
            if face and spot.side is not None:
                width = spot.side.measured or Estimate(spot.side.drawn or 0.0, spot.side.u_drawn)
                apart += sign * face * width.value / 2
                u = hypot(u, width.u / 2)
        return Pitch(a.name, b.name, Estimate(apart, u), tool.label)
    return None


def _tools(facts: KitFacts, part: str) -> list[Tool]:
    """The tools of a part, the one that speaks for it first."""
    core = next((c.of_id for c in facts.cores if str(c.number) == part), None)
    return facts.tools_of(core) if core else facts.half_tools(part) if part in HALVES else []


End = tuple[Spot, int]  # a place, and whether the size ends at its middle (0), its upper (1) or its lower (-1) face


def _ends_at(facts: KitFacts, feature: Feature, spots: list[Spot]) -> tuple[End, End] | None:
    low, high = sorted(feature.ends, key=lambda end: end.which)  # A, B
    if low.coord_mm is not None and high.coord_mm is not None:
        scale = 1.0 if feature.scale == "tool" else 1.0 + _contraction(facts, feature)
        a, b = _nearest(low.coord_mm * scale, spots), _nearest(high.coord_mm * scale, spots)
        return (a, b) if a and b and a[0].name != b[0].name else None
    if feature.scale != "tool" or feature.quantity not in _PITCHES:
        return None
    like = [
        (a, b)
        for a, b in combinations(sorted(spots, key=lambda s: s.at), 2)
        if abs(b.at - a.at - feature.nominal) <= SAME_PLACE_MM
    ]
    return ((like[0][0], 0), (like[0][1], 0)) if len(like) == 1 else None


def _contraction(facts: KitFacts, feature: Feature) -> float:
    job = facts.job
    return feature.a if feature.a is not None else {"x": job.a_x, "y": job.a_y, "z": job.a_z}[feature.axis]


def _nearest(place: float, spots: list[Spot]) -> End | None:
    best: tuple[float, End] | None = None
    for spot in spots:
        half = (spot.side.drawn or 0.0) / 2 if spot.side is not None else 0.0
        for face in (0, 1, -1) if half else (0,):
            off = abs(place - spot.at - face * half)
            if off <= SAME_PLACE_MM and (best is None or off < best[0]):
                best = (off, (spot, face))
    return best[1] if best else None


# ------------------------------------------------------------------------------ does it go in
def seated(
    facts: KitFacts,
    lines: tuple[FitLine, ...],
    placed: Mapping[tuple[str, str], Places],
    floats: Mapping[tuple[str, str], Float],
    style: Style = MM,
) -> Seated:
    """The answer for each core and axis; `floats`: how far the parts that it sits in may themselves stand off."""
    meetings: dict[tuple[str, str], list[Meeting]] = {}
    for line in lines:
        core, into = parts_of(facts, line.fit)
        if not core or not into or core == into or line.fit.kind not in ("print", "key"):
            continue
        for axis, toward in _stops(line.fit):
            meetings.setdefault((core, axis), []).append(
                Meeting(
                    name=seat_name(line.fit),
                    into=into,
                    clearance=line.verdict.clearance,
                    toward=toward,
                    at=getattr(line.fit, f"at_{axis}"),
                )
            )
    nowhere = adjusted({}, (), 0.0)
    goes = []
    for (core, axis), of_core in meetings.items():
        parts = {m.into for m in of_core}
        seats = {part: placed[part, axis] for part in parts if (part, axis) in placed}
        reach = {"drag": (0.0, 0.0)} | {
            part: (f.low.value, f.high.value) for part in parts if (f := floats.get((part, axis))) is not None
        }
        one = goes_in(core, axis, of_core, placed.get((core, axis), nowhere), seats, reach, style)
        if one is not None:
            goes.append(one)
    return Seated(places=placed, goes=tuple(goes))


def _stops(fit: Fit) -> list[tuple[str, int]]:
    """Along which axes a fit stops its core, and which way a face does; along its way in only depth would."""
    if fit.gap_feature_id is None:
        return [(axis, 0) for axis in axes_of(fit) if axis in AXES and axis != fit.way_in[:1]]
    words = {word for word in holds_of(fit) if word[:1] == fit.axis and len(word) == 2} or {fit.way_in}
    ways = {word[1] for word in words if word[:1] == fit.axis}
    return [(fit.axis, 1 if ways == {"+"} else -1)] if len(ways) == 1 else []


def findings(found: Seated) -> list[tuple[bool, Trouble]]:
    """(speaks against the kit, what) of prints that do not go in together, or may not."""
    return [
        (each.fate is Fate.NOT, Trouble("pitch", _cores(each), each.sentence, each.tight[0]))
        for each in found.goes
        if each.sentence
    ]


def _cores(each: GoesIn) -> tuple[str, ...]:
    return (each.core, *(part for part in each.parts if part.isdigit()))


def worth_reading(facts: KitFacts, lines: Iterable[FitLine], found: Seated) -> list[Next]:
    """Pitches that stand on tools and that nobody read, of cores whose prints are not tied by readings."""
    wanted = {each.axis: set[str]() for each in found.goes}
    for each in found.goes:
        if not each.as_read:
            wanted[each.axis] |= {each.core, *each.parts}
    offered: list[Next] = []
    spots, sizes = _spots(facts, lines), _sizes_of_parts(facts)
    for (part, axis), of_part in sizes.items():
        if part not in wanted.get(axis, ()):
            continue
        for feature in of_part:
            ends, root = _ends_at(facts, feature, spots.get((part, axis), [])), facts.root.get(feature.id)
            tool = next((t for t in _tools(facts, part) if (t.of_id, root) in facts.on_tool), None)
            if ends is None or root is None or tool is None or facts.now(tool, root) is not None:
                continue
            why = f"nobody read how far {ends[0][0].name} and {ends[1][0].name} stand apart"
            text = f"read {feature.balloon} on {tool.label}: {why}"
            offered.append(Next(tool.label, feature.balloon, PITCH_SCORE, text))
    return offered


def unread(found: Seated) -> dict[str, str]:
    """Cores whose prints stand to each other as drawn only, by number: `core 5 (K6-1 to K6-4)`."""
    told: dict[str, str] = {}
    for each in found.goes:
        if not each.as_read:
            told.setdefault(each.core, f"core {each.core} ({each.names[0]} to {each.names[-1]})")
    return told
