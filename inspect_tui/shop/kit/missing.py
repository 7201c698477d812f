"""Where each core stands, what is missing before the kit is shipped, and what to measure next."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.kit.fits import FitState
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Shipment
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Tool
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine, Side
from inspect_tui.shop.kit.walls import HOLDS, NoLoop, WallLine, WallState

STATES = ("not made", "stick begun", "stick measured", "box begun", "box measured", "fits proven", "shipped")
STALE = 0.5  # risk of a size whose tool was noted as changed after it was read: a judgement
LEAST = 1e-6  # a size nobody read is worth reading even where the drawing leaves no doubt
SHOWN = 6  # names listed in one sentence


@frozen_by_name
class CoreState:
    """How far a core has come, in one of `STATES`, with the counts behind it."""

    core: Core
    state: str
    stick: tuple[int, int]  # sizes read, sizes there are
    box: tuple[int, int]
    fits: tuple[int, int]  # inside their limits by readings on both sides, fits there are
    where: str  # of its box

    @property
    def words(self) -> str:
        """`box begun: stick 13 of 13, box 4 of 13, fits 2 of 5`."""
        parts = [
            f"{what} {done} of {count}"
            for what, (done, count) in (("stick", self.stick), ("box", self.box), ("fits", self.fits))
            if count
        ]
        return f"{self.state}: {', '.join(parts)}" if parts else self.state


@frozen
class Next:
    """A reading that would take away doubt: where, what, why, and how much (0 to 1)."""

    tool: str
    balloon: str
    score: float
    sentence: str


def _last_shipment(facts: KitFacts, tool: Tool) -> Shipment | None:
    last: Shipment | None = None
    for shipment, lines in facts.shipments:
        if any(line.tool_of_id == tool.of_id for line in lines):
            last = shipment
    return last


def away(facts: KitFacts, tool: Tool) -> bool:
    """Whether a tool was sent out and has not come back."""
    last = _last_shipment(facts, tool)
    return last is not None and last.way == "out"


def where(facts: KitFacts, tool: Tool) -> str:
    """`here`, or `at NAME since DATE`."""
    last = _last_shipment(facts, tool)
    if last is None:
        return "here"
    return f"at {last.to_whom} since {last.done_on}" if last.way == "out" else f"here since {last.done_on}"


def _read(facts: KitFacts, tool: Tool | None) -> tuple[int, int]:
    roots = facts.listed.get(tool.of_id, []) if tool else []
    return sum((tool.of_id, root) in facts.states for root in roots) if tool else 0, len(roots)


def core_states(facts: KitFacts, lines: tuple[FitLine, ...], unproven: Collection[str] = ()) -> dict[Id, CoreState]:
    """The state of every core; fits of `unproven` cores are each right and yet not proven together."""
    state_of = {}
    for core in facts.cores:
        stick, box = facts.stick(core.of_id), facts.box(core.of_id)
        on_stick, on_box = _read(facts, stick), _read(facts, box)
        mine = [x for x in lines if x.fit.inner_core_id and facts.core_of.get(x.fit.inner_core_id) == core.of_id]
        proven = sum(x.verdict.state == FitState.FITS and x.verdict.measured == "both" for x in mine)
        state = "not made"
        if on_stick[0]:
            state = "stick measured" if on_stick[0] == on_stick[1] else "stick begun"
        if on_box[0]:
            state = "box measured" if on_box[0] == on_box[1] else "box begun"
        if mine and proven == len(mine) and str(core.number) not in unproven:
            state = "fits proven"
        place = where(facts, box) if box else "no box"
        if box and away(facts, box):
            state = "shipped"
        state_of[core.of_id] = CoreState(
            core=core, state=state, stick=on_stick, box=on_box, fits=(proven, len(mine)), where=place
        )
    return state_of


def _listed(names: Iterable[str]) -> str:
    every = list(names)
    return ", ".join(every[:SHOWN]) + (f" and {len(every) - SHOWN} more" if len(every) > SHOWN else "")


def missing(
    facts: KitFacts,
    lines: tuple[FitLine, ...],
    states: Mapping[Id, CoreState],
    open_: list[NoLoop],
    photos: set[Id],
    pitch_unread: Sequence[str] = (),
) -> tuple[str, ...]:
    """What has to be done or said before the kit can be shipped with an easy mind, most important first."""
    out: list[str] = []

    def say(names: list[str], single: str, several: str) -> None:
        if names:
            out.append(f"{len(names)} {single if len(names) == 1 else several}: {_listed(names)}")

    if not facts.cores:
        return ("this job has no cores",)
    if not facts.fits:
        out.append("no fits are written down: say which print or key goes into which seat")
    unread = [
        f"{x.name} ({'seat' if x.verdict.measured == 'print' else 'print'})"
        for x in lines
        if x.verdict.measured in ("print", "seat")
    ]
    unread += [x.name for x in lines if x.verdict.measured == "none"]
    say(unread, "fit is not read on both sides", "fits are not read on both sides")
    say(
        [x.name for x in lines if x.verdict.measured == "both" and x.verdict.state == FitState.UNDECIDED],
        "fit is undecided",
        "fits are undecided",
    )
    say(
        list(pitch_unread),
        "core has prints of which nobody read how far they stand apart",
        "cores have prints of which nobody read how far they stand apart",
    )
    say(
        [f"{x.name} ({x.changed})" for x in lines if x.changed],
        "fit was read before its tool was changed",
        "fits were read before their tools were changed",
    )
    say(
        [f"core {s.core.number}" for s in states.values() if s.where == "no box"],
        "core has no box yet",
        "cores have no box yet",
    )
    unread_on = [(s.core.number, s.box[1] - s.box[0], s.box[1]) for s in states.values() if s.box[0] < s.box[1]]
    part = [f"core {number} ({left} of {count})" for number, left, count in unread_on]
    say(part, "box has sizes that nobody read", "boxes have sizes that nobody read")
    say([line.label for line in open_], "wall has no loop", "walls have no loop")
    details = facts.details
    say(
        [f"core {c.number}" for c in facts.cores if c.volume_dm3 is None or not _has(details, c, "in_metal_dm3")],
        "core has no volume, so its lift is not known",
        "cores have no volume, so their lift is not known",
    )
    placed = {facts.number(f.inner_core_id) for f in facts.fits if f.at_x is not None and f.inner_core_id}
    nowhere = [f"core {c.number}" for c in facts.cores if str(c.number) not in placed]
    say(
        nowhere,
        "core has no places of its prints, so look-alikes are not looked for",
        "cores have no places of their prints, so look-alikes are not looked for",
    )
    plain = [f"core {c.number}" for c in facts.cores if c.of_id not in photos]
    say(plain, "core has no picture", "cores have no picture")
    checks = ("template", "check_name", "check_feature_id")
    bare = [f"core {c.number}" for c in facts.cores if not any(_has(details, c, name) for name in checks)]
    say(bare, "core has no check for the setter", "cores have no check for the setter")
    boxes = [t for t in facts.tools if t.kind in ("core_box", "production_pattern")]
    say(
        [t.label for t in boxes if not _has(facts.tool_details, t, "loose_pieces")],
        "box has its loose pieces not counted",
        "boxes have their loose pieces not counted",
    )
    say(
        [t.label for t in boxes if not _has(facts.tool_details, t, "weight_kg")],
        "box is not weighed",
        "boxes are not weighed",
    )
    return tuple(out)


def _has(details: Mapping[Id, object], core_or_tool: Core | Tool, name: str) -> bool:
    return getattr(details.get(core_or_tool.of_id), name, None) is not None


# ------------------------------------------------------------------------------ what to measure next
def next_readings(facts: KitFacts, lines: tuple[FitLine, ...], walls: list[WallLine], style: Style = MM) -> list[Next]:
    """Readings by how much doubt each would take away: risk of the fit or wall times the share of its variance."""
    offered: dict[tuple[str, str], Next] = {}

    def offer(tool: Tool | None, balloon: str, score: float, why: str) -> None:
        if tool is None or score <= 0:
            return
        before = offered.get((tool.label, balloon))
        if before is None or before.score < score:
            text = f"read {balloon} on {tool.label}: {why}"
            offered[tool.label, balloon] = Next(tool.label, balloon, score, text)

    weak = [w for w in walls if w.wall and w.p_holds < HOLDS and w.state is not WallState.NO_LIMITS]
    hangs: dict[str, tuple[float, str]] = {}  # fit -> how much of a weak wall's doubt it is, and which wall
    for wall in weak:
        for who, part in wall.shares:
            if (1 - wall.p_holds) * part > hangs.get(who, (0.0, ""))[0]:
                hangs[who] = ((1 - wall.p_holds) * part, wall.label)
    for line in lines:
        if line.changed:
            risk = max(line.verdict.p_rubs + line.verdict.p_floats, STALE)
            for side in (line.print, line.seat):
                if side.state is not None and side.tool is not None and facts.changed_since(side.tool, side.state):
                    offer(side.tool, _balloon(side), risk, line.changed)
            continue
        for what, side in (("print", line.print), ("seat", line.seat)):
            score, why = _worth(line, what, side, hangs.get(line.name), style)
            offer(side.tool, _balloon(side), score, why)
    for wall in weak:
        for tool, balloon in _faces_unread(facts, wall):
            part = dict(wall.shares).get(tool.label, 0.0)
            offer(tool, balloon, (1 - wall.p_holds) * part, f"it makes a face of wall {wall.label}")
    return sorted(offered.values(), key=lambda n: (-n.score, n.tool, n.balloon))


def _worth(line: FitLine, what: str, side: Side, hangs: tuple[float, str] | None, style: Style) -> tuple[float, str]:
    """How much doubt reading one side of a fit would take away, and why; 0 where it is settled."""
    v = line.verdict
    settled = v.measured == "both" and v.state != FitState.UNDECIDED
    if side.feature is None or settled or (side.measured is not None and v.measured != "both"):
        return 0.0, ""
    risk = v.p_rubs + v.p_floats
    variance = _variance(line.print) + _variance(line.seat)
    part = _variance(side) / variance if variance > 0 else 0.5
    if v.measured == "both":
        return risk * part, f"{line.name} is undecided: again, with a finer instrument"
    score = max(risk * part, LEAST * (1 + part))
    if hangs is not None and hangs[0] > score:
        return hangs[0], f"wall {hangs[1]} hangs on it"
    if score < 0.005:
        return score, f"the {what} of {line.name} was never read"
    return score, f"{line.name} rubs or floats with {style.percent(risk)} as far as is known"


def _faces_unread(facts: KitFacts, wall: WallLine) -> list[tuple[Tool, str]]:
    """Sizes on the boxes of a wall's cores that share a face with it and that nobody read."""
    feature = facts.balloon.get(wall.label)
    unread = []
    for end in feature.ends if feature else ():
        core = facts.core_of.get(end.core_id or b"")
        tool = facts.box(core) if core else None
        for root in facts.listed.get(tool.of_id, ()) if tool else ():
            other = facts.feature[root]
            face = any(e.core_id == end.core_id and e.coord_mm == end.coord_mm for e in other.ends)
            own = feature is not None and other.axis == feature.axis and end.coord_mm is not None
            if tool and own and face and (tool.of_id, root) not in facts.states:
                unread.append((tool, other.balloon))
    return unread


def _balloon(side: Side) -> str:
    return side.feature.balloon if side.feature else "the gap"


def _variance(side: Side) -> float:
    if side.measured is not None:
        return side.measured.u**2
    return side.u_drawn**2
