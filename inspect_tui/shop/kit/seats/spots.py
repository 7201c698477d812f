"""Where prints, seats and faces of every part stand on its tools as read: one network a part and axis, adjusted.

A size of a part goes from one of its faces, prints or seats to another: from middle to middle of two prints it is a
pitch. Its ends name the places; a size at tooling scale without them is taken for the pitch that it equals, where there
is only one. What nobody read stands as drawn; what several sizes share moves with all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from math import hypot, sqrt

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.faces.adjust import PRACTICE
from inspect_tui.metrology.faces.face import place_word
from inspect_tui.metrology.kit.bodies import AXES
from inspect_tui.metrology.kit.seating import Pitch, Places, adjusted
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import HALVES, Estimate, Id
from inspect_tui.model.work import Feature, Tool
from inspect_tui.shop.common.geometry.faces import reference
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine, Side
from inspect_tui.shop.kit.order import seat_name

SAME_PLACE_MM = 0.1  # an end of a size so near to a place is at that place, as places are written down: a judgement
TOL_MM = 0.15  # plus or minus, between two faces or seats of one core or pattern half: common practice, no source
COARSE_MM = sqrt(2.0) * PRACTICE.tool_face  # standard uncertainty of a reading that tells less of a size than practice
SURE = 3.0  # standard uncertainties from which a coarse reading tells something all the same
_PITCHES = ("length", "position", "step")  # quantities that a size without places may be a pitch by
_AFTER_SAND = ("resin", "second_contraction")

Key = tuple[str, str]  # a part (core's number, drag, cope) and an axis


class Spot(NamedTuple):
    """A print, seat or face of a part, along one axis: its drawn middle (mm, tooling scale), the side that sizes it."""

    name: str
    at: float
    side: Side | None


End = tuple[Spot, int]  # a place, and whether the size ends at its middle (0), its upper (1) or its lower (-1) face


def places(facts: KitFacts, lines: Iterable[FitLine]) -> dict[Key, Places]:
    """Where prints, seats and faces of every part stand along every axis, by what was read on its tools."""
    spots, sizes = spots_of(facts, lines), sizes_of_parts(facts)
    core_of = facts.core_of
    number_of = {version: facts.core[of].number for version, of in core_of.items() if of in facts.core}
    datum = reference([f for f in facts.features if f.scale == "cast"], number_of).removeprefix("core ")
    made = {}
    for part, axis in dict.fromkeys([*spots, *sizes]):
        of_part = {spot.name: spot.at for spot in spots.get((part, axis), ())}
        pitches = []
        for feature in sizes.get((part, axis), ()):
            for ends in _all_ends(facts, feature, spots.get((part, axis), [])):
                pitch = _pitch(facts, part, feature, ends)
                if pitch is not None:
                    of_part |= {spot.name: spot.at for spot, _ in ends}
                    pitches.append(pitch)
        zero = frozenset((face_name(axis, 0.0),)) if part == datum and part in HALVES else frozenset[str]()
        faces = frozenset(name for name in of_part if _is_face(name))
        made[part, axis] = adjusted(of_part, pitches, u_place(facts, part), zero, faces)
    return made


def off(placed: Mapping[Key, Places], fit: Fit, core: str, into: str, axis: str) -> Estimate:
    """How far the seat of a fit stands from where its print is, mm; nothing where no reading says so."""
    name, value, variance = seat_name(fit), 0.0, 0.0
    for part, sign in ((into, 1.0), (core, -1.0)):
        of_part = placed.get((part, axis))
        if of_part is not None and name in of_part.tied:
            i = of_part.names.index(name)
            value += sign * of_part.off[i]
            variance += of_part.cov[i][i]
    return Estimate(value, sqrt(variance))


def tolerance(facts: KitFacts, part: str) -> float:
    """Plus or minus between two places of a part that nobody read, mm."""
    detail = facts.details.get(facts.by_number.get(part, b""))
    return detail.tol_mm if detail and detail.tol_mm is not None else TOL_MM


def u_place(facts: KitFacts, part: str) -> float:
    """Standard uncertainty of one place that nobody read: two of them differ by the part's tolerance at most."""
    return tolerance(facts, part) / 3.0 / sqrt(2.0)


def face_name(axis: str, place: float) -> str:
    """What the face of a part at a place of the casting as drawn (mm) is called among its places."""
    return f"face {axis} {place_word(round(place, 3) + 0.0)}"


def spots_of(facts: KitFacts, lines: Iterable[FitLine]) -> dict[Key, list[Spot]]:
    """The prints and seats of every part along every axis along which somebody said where they stand."""
    spots: dict[Key, dict[str, Spot]] = {}
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


def sizes_of_parts(facts: KitFacts) -> dict[Key, list[Feature]]:
    """(part, axis) -> sizes with both ends on that part that are not the size of a print or seat."""
    taken = {facts.drawn.get(i or b"") for f in facts.fits for i in (f.inner_feature_id, f.outer_feature_id)}
    taken |= {facts.drawn.get(f.gap_feature_id or b"") for f in facts.fits}
    sizes: dict[Key, list[Feature]] = {}
    for root, feature in facts.feature.items():
        makers = {facts.number(e.core_id) if e.core_id else (e.half or "") for e in feature.ends}
        if root not in taken and len(makers) == 1 and len(feature.ends) == 2 and feature.axis in AXES:
            sizes.setdefault((makers.pop(), feature.axis), []).append(feature)
    return sizes


def tools_of(facts: KitFacts, part: str) -> list[Tool]:
    """The tools of a part, the one that speaks for it first."""
    core = facts.by_number.get(part)
    return facts.tools_of(core) if core else facts.half_tools(part) if part in HALVES else []


# ------------------------------------------------------------------------------ the ends of a size
def ends_at(facts: KitFacts, feature: Feature, spots: list[Spot], *, faces_too: bool = False) -> tuple[End, End] | None:
    """At which places a size of a part ends, the lower first; None where they are not said, or one and the same.

    `faces_too`: also at faces that are neither print nor seat.
    """
    low, high = sorted(feature.ends, key=lambda end: end.which)  # A, B
    if low.coord_mm is not None and high.coord_mm is not None:
        scale = 1.0 if feature.scale == "tool" else 1.0 + contraction(facts, feature)
        a, b = (_end(facts, feature, end.coord_mm or 0.0, scale, spots, faces_too) for end in (low, high))
        if a is None or b is None or a[0].name == b[0].name:
            return None
        return (a, b) if a[0].at <= b[0].at else (b, a)
    if feature.scale != "tool" or feature.quantity not in _PITCHES:
        return None
    like = [
        (a, b)
        for a, b in combinations(sorted(spots, key=lambda s: s.at), 2)
        if abs(b.at - a.at - feature.nominal) <= SAME_PLACE_MM
    ]
    return ((like[0][0], 0), (like[0][1], 0)) if len(like) == 1 else None


def _all_ends(facts: KitFacts, feature: Feature, spots: list[Spot]) -> list[tuple[End, End]]:
    """The places that a size goes between: of the casting its faces, and prints where both its ends stand at middles.

    A face of the casting may stand where a print's side does along one axis, and be elsewhere across it.
    """
    if feature.scale == "tool":
        ends = [ends_at(facts, feature, spots, faces_too=True)]
    else:
        middles = ends_at(facts, feature, spots)
        if middles is not None and any(face for _, face in middles):
            middles = None
        ends = [ends_at(facts, feature, [], faces_too=True), middles]
    return [pair for pair in ends if pair is not None]


def _end(
    facts: KitFacts, feature: Feature, place: float, scale: float, spots: Sequence[Spot], faces_too: bool
) -> End | None:
    at = nearest(place * scale, spots)
    if at is not None or not faces_too:
        return at
    job_scale = facts.mould_scale[feature.axis]
    cast = place / job_scale if feature.scale == "tool" else place
    return Spot(face_name(feature.axis, cast), cast * job_scale, None), 0


def contraction(facts: KitFacts, feature: Feature) -> float:
    """What the tool of a feature was made with."""
    job = facts.job
    return feature.a if feature.a is not None else {"x": job.a_x, "y": job.a_y, "z": job.a_z}[feature.axis]


def nearest(place: float, spots: Iterable[Spot]) -> End | None:
    """The print or seat whose middle or face stands at a place (mm, tooling scale); None where none does."""
    best: tuple[float, End] | None = None
    for spot in spots:
        half = (spot.side.drawn or 0.0) / 2 if spot.side is not None else 0.0
        for face in (0, 1, -1) if half else (0,):
            away = abs(place - spot.at - face * half)
            if away <= SAME_PLACE_MM and (best is None or away < best[0]):
                best = (away, (spot, face))
    return best[1] if best else None


# ------------------------------------------------------------------------------ what was read of it
def _pitch(facts: KitFacts, part: str, feature: Feature, ends: tuple[End, End]) -> Pitch | None:
    """How far two places of a part stand apart by a size of it; None where nobody read it, or far too coarsely."""
    root = facts.root.get(feature.id)
    (a, face_a), (b, face_b) = ends
    for tool in tools_of(facts, part) if root is not None else ():
        state, on = facts.now(tool, root or b""), facts.on_tool.get((tool.of_id, root or b""))
        if state is None or on is None:
            continue
        if feature.scale == "tool" or not (_is_face(a.name) or _is_face(b.name)):
            size = chain.back(state.value, state.u, [step for step in on.steps if step.kind in _AFTER_SAND])
            apart, u = size.value, size.u
        else:
            read = tool_casting(facts, root or b"", feature)
            assert read is not None  # it stands on this tool
            scale = 1.0 + contraction(facts, feature)
            apart = b.at - a.at + (read.value - chain.cast_wanted(feature)) * scale
            u = read.u * scale
        for spot, face, sign in ((a, face_a, 1.0), (b, face_b, -1.0)):
            if face and spot.side is not None:
                width = width_of(spot)
                apart += sign * face * width.value / 2
                u = hypot(u, width.u / 2)
        if u > COARSE_MM and abs(apart - (b.at - a.at)) < SURE * u:
            continue
        return Pitch(a.name, b.name, Estimate(apart, u), tool.label, feature.balloon)
    return None


def _is_face(name: str) -> bool:
    return name.startswith("face ")


def width_of(spot: Spot) -> Estimate:
    """How wide a print or seat is along the axis, mm: as read, else as drawn."""
    side = spot.side
    if side is None:
        return Estimate(0.0, 0.0)
    return side.measured or Estimate(side.drawn or 0.0, side.u_drawn)


def tool_casting(facts: KitFacts, root: Id, feature: Feature) -> Estimate | None:
    """The casting's size that the tool as read would give under the planned contraction, with the reading's u alone.

    The contraction's own uncertainty is left out: it is common to all walls along an axis.
    """
    if not feature.ends:
        return None
    end = feature.ends[0]
    core = facts.core_of.get(end.core_id or b"")
    tools = facts.tools_of(core) if core else facts.half_tools(end.half or "drag")
    for tool in tools:
        state, on = facts.now(tool, root), facts.on_tool.get((tool.of_id, root))
        if state is None or on is None:
            continue
        whole = chain.scale_of([s for s in on.steps if s.kind not in ("stock", "draft")])
        return Estimate(chain.back(state.value, 0.0, on.steps).value, state.u / whole)
    return None
