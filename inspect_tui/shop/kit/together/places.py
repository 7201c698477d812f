"""Does each core go in with all its prints at once: their places as drawn and as read on the tools, axis by axis.

Where its prints stand apart their play also lets it turn a little: a core that goes in only turned is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import degrees

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.judge.verdict import below
from inspect_tui.metrology.kit import small_turns
from inspect_tui.metrology.kit.bodies import AXES
from inspect_tui.metrology.kit.play import Float
from inspect_tui.metrology.kit.seating import SURE, Fate, GoesIn, Meeting, Places, adjusted, goes_in
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Estimate
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.shop.kit.missing import Next
from inspect_tui.shop.kit.order import holds_of, seat_name
from inspect_tui.shop.kit.seats.spots import Key, axes_of, ends_at, parts_of, sizes_of_parts, spots_of, tools_of
from inspect_tui.shop.kit.seats.turning import Turning, turnings

LEAST_TURN = 1e-6  # rad: below this it is not turned
PITCH_SCORE = 0.005  # doubt that reading a pitch takes away: little, where the drawing is believed; a judgement


@frozen_by_name
class Seated:
    """How all cores go in: where prints stand, and the answer for each core and axis."""

    places: Mapping[Key, Places]  # (part, axis); parts by core number, drag, cope
    goes: tuple[GoesIn, ...]
    turnings: Mapping[str, Turning]  # cores whose prints stand apart, by number

    @property
    def not_in(self) -> set[str]:
        """Cores that do not go in with all their prints, or may not."""
        return {each.core for each in self.goes if each.fate is not Fate.IN}


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
        core_goes = goes_in(core, axis, of_core, placed.get((core, axis), nowhere), seats, reach, style)
        if core_goes is not None:
            goes.append(core_goes)
    turning = turnings(facts, lines, placed)
    goes = [_turned(each, turning.get(each.core), style) for each in goes]
    return Seated(places=placed, goes=tuple(goes), turnings=turning)


def _turned(each: GoesIn, turning: Turning | None, style: Style) -> GoesIn:
    """The same, where a core that does not go in as it is drawn does so turned a little in the seats of one part."""
    if each.fate is Fate.IN or turning is None or each.axis not in turning.across or each.play is None:
        return each
    if len({p.into for p in turning.prints}) > 1:
        return each
    (other,) = (axis for axis in turning.across if axis != each.axis)
    allowed = small_turns.turns(turning.held(other))
    if allowed is None:
        return each
    room, turn = small_turns.room(turning.held(each.axis), allowed)
    p = 1.0 - below(Estimate(room, each.play.u), 0.0)
    if p <= each.p or abs(turn) < LEAST_TURN or p <= 1.0 - SURE:
        return each
    sure = "" if p >= SURE else f" ({style.chance(p)} that it does)"
    angle = style.angle(round(abs(degrees(turn)), 2 if abs(degrees(turn)) >= 0.1 else 3))
    out = style.length(max(-each.play.value, 0.0), unit=False)
    text = (
        f"core {each.core} {Fate.TURNED} along {each.axis}{sure}: by {angle} about {turning.about}, as "
        f"{each.tight[1]} and {each.tight[0]} stand {out} more out of line than their play takes"
    )
    return replace(each, fate=Fate.TURNED if p >= SURE else Fate.UNDECIDED, p=p, sentence=text)


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
    spots, sizes = spots_of(facts, lines), sizes_of_parts(facts)
    for (part, axis), of_part in sizes.items():
        if part not in wanted.get(axis, ()):
            continue
        for feature in of_part:
            ends, root = ends_at(facts, feature, spots.get((part, axis), [])), facts.root.get(feature.id)
            tool = next((t for t in tools_of(facts, part) if (t.of_id, root) in facts.on_tool), None)
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
