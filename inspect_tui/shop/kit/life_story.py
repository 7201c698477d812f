"""The life of a dimension, from layout to the last casting, predicted against obtained; and the life of a tool."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt
from statistics import median

from inspect_tui.frozen import frozen
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.life import Life, Stage, compare, correction_took
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import Feature, Item, Tool
from inspect_tui.shop.common.sizes import KIND_WORDS, of_sand
from inspect_tui.shop.kit.cores import LAYOUT_U, RESIN_USUAL
from inspect_tui.shop.kit.facts import KitFacts, SizeState, reading_u
from inspect_tui.shop.kit.walls import walls

STAGE_KINDS = {"core_stick": "stick", "core_box": "box", "production_pattern": "box", "master": "master"}
BLOCK = 50  # production castings or cores in one station
BLOCK_US = 200 * 86_400_000_000  # ... and of at most so long
WORTH_MM = 0.10  # a change smaller than this is no correction
SLIP = 0.2  # a reading farther from the others than this is in another unit or on another line
ALONE = 2  # a lot with at least so many castings is a station of its own (a sampling)
SCATTER_U = 0.10  # mm, of a casting about what its tools let expect: common practice, no source


@frozen
class Station:
    """One station of a dimension's life with its day, who read it and with what."""

    stage: Stage
    at_us: int
    who: str
    words: str
    correction: str | None = None  # what a rework did of what it was to do


@frozen
class LifeStory:
    """The whole life of one dimension; `life` compares, `stations` say when and who."""

    feature: Feature
    stations: tuple[Station, ...]
    life: Life

    @property
    def sentence(self) -> str:
        """Where it left its course, or that it did not."""
        return f"{self.feature.balloon} {self.feature.name}: {self.life.sentence}"


@frozen
class Event:
    """Something that happened to a tool."""

    at_us: int
    day: str
    what: str


def story(facts: KitFacts, balloon: str, style: Style = MM) -> LifeStory:
    """The life of the feature with this balloon. Raises NotFound with the nearest."""
    from inspect_tui.shop.common import find

    feature = find.feature(facts.features, balloon, facts.revision.rev if facts.revision else "")
    root = facts.root[feature.id]
    stations: list[Station] = []
    for tool in facts.tools:
        stations += _on_tool(facts, feature, root, tool, facts.states.get((tool.of_id, root), ()), style)
    stations += _sand(facts, feature, root)
    stations += _castings(facts, feature, root)
    stations.sort(key=lambda s: s.at_us)
    first = next((s for s in stations if s.stage.kind in ("stick", "box", "master", "pattern")), None)
    if first is not None and first.stage.predicted is not None:
        plan = Station(Stage("layout", "the plan", None, first.stage.predicted), first.at_us, "", "as planned")
        stations.insert(0, plan)
    return LifeStory(feature, tuple(stations), compare([s.stage for s in stations], style=style))


# ------------------------------------------------------------------------------ on tools
def _on_tool(
    facts: KitFacts, feature: Feature, root: Id, tool: Tool, states: Sequence[SizeState], style: Style
) -> list[Station]:
    kind = STAGE_KINDS.get(tool.kind) or KIND_WORDS.get(tool.kind, "tool")
    stations: list[Station] = []
    before: SizeState | None = None
    for state in states:
        target = facts.target_of(state, root)
        predicted: Estimate | None = Estimate(target.value, LAYOUT_U)
        label, correction = tool.label, None
        stage_kind = kind
        if before is None:
            predicted = _from_parent(facts, tool, root, state) or predicted
        else:
            stage_kind = "correction"
            wanted = target.value - before.value
            if abs(wanted) > WORTH_MM:
                share, u, word = correction_took(wanted, before.estimate, state.estimate)
                changed = state.value - before.value
                correction = (
                    f"was to change by {style.signed(wanted, unit=False)}, "
                    f"changed by {style.signed(changed, unit=False)}: {word}"
                )
                if word == "cannot tell":
                    correction += f" ({style.figure(100 * share, 0)} ± {style.percent(2 * u)})"
        words = f"{state.by}, {state.instrument}"
        if state.moisture is not None:
            words += f", {style.percent(state.moisture)} moisture"
        stations.append(
            Station(Stage(stage_kind, label, predicted, state.estimate), state.at_us, state.by, words, correction)
        )
        before = state
    return stations


def _from_parent(facts: KitFacts, tool: Tool, root: Id, state: SizeState) -> Estimate | None:
    """What a box should measure after the stick or master that it was made from, as that last was before."""
    if tool.made_from_id is None:
        return None
    parent = facts.tool.get(facts.tool_of.get(tool.made_from_id, b""))
    states = [s for s in facts.states.get((parent.of_id, root), ()) if s.at_us < state.at_us] if parent else []
    if parent is None or not states:
        return None
    last = states[-1]
    steps = facts.read_against[last.tool_feature_id].steps
    own = facts.read_against[state.tool_feature_id].steps
    if abs(chain.scale_of(steps, ("contraction",)) - chain.scale_of(own, ("contraction",))) > 1e-9:
        return None  # laid out anew in between
    value, u = last.value, last.u
    if "resin" in tool.material.casefold():
        r = next((Estimate(1 - 1 / s.scale, s.u) for s in steps if s.kind == "resin" and s.scale), RESIN_USUAL)
        value, u = value * (1 - r.value), hypot(u, value * r.u)
    second = next((s for s in steps if s.kind == "second_contraction" and s.scale), None)
    if second is not None and second.scale:
        value, u = value / second.scale, hypot(u / second.scale, value * second.u / second.scale**2)
    return Estimate(value, hypot(u, LAYOUT_U))


# ------------------------------------------------------------------------------ sand and castings
def _last_before(facts: KitFacts, root: Id, at_us: int) -> tuple[Tool, SizeState] | None:
    """What spoke for the core or mould when something was made: the box before the stick, the last before that."""
    order = {"core_box": 0, "production_pattern": 0, "pattern_cope": 0, "pattern_drag": 0, "core_stick": 1}
    speakers = []
    for (tool_id, r), states in facts.states.items():
        tool = facts.tool[tool_id]
        if r == root and tool.kind in order:
            earlier = [s for s in states if s.at_us < at_us]
            if earlier:
                speakers.append((order[tool.kind], -earlier[-1].at_us, tool, earlier[-1]))
    best = min(speakers, key=lambda speaker: speaker[:2], default=None)
    return (best[2], best[3]) if best else None


def _sand(facts: KitFacts, feature: Feature, root: Id) -> list[Station]:
    stations = []
    for items, values in _blocks(facts, root, "core"):
        mean, u, at_us, left_out = _mean(values)
        speaker = _last_before(facts, root, at_us)
        predicted = None
        if speaker is not None:
            tool, state = speaker
            steps = facts.read_against[state.tool_feature_id].steps
            whole = of_sand(facts.read_against[state.tool_feature_id], tool.kind).steps
            more = chain.scale_of(steps) / chain.scale_of(whole)  # resin on a stick is not on the sand
            predicted = Estimate(state.value / more, hypot(state.u, LAYOUT_U))
        stage = Stage("core", _named(items), predicted, Estimate(mean, u))
        stations.append(Station(stage, at_us, "", f"{len(items)} cores{left_out}"))
    return stations


def _castings(facts: KitFacts, feature: Feature, root: Id) -> list[Station]:
    if feature.scale == "tool":
        return []
    own = len({(facts.core_of.get(e.core_id or b""), e.half) for e in feature.ends}) == 1
    from_loop = None if own else _wall(facts, feature)
    stations = []
    for items, values in _blocks(facts, root, "casting"):
        mean, u, at_us, left_out = _mean(values)
        predicted = from_loop
        speaker = _last_before(facts, root, at_us) if own else None
        if speaker is not None:
            state = speaker[1]
            steps = facts.read_against[state.tool_feature_id].steps
            cast = chain.back(state.value, state.u, steps)
            predicted = Estimate(cast.value, hypot(cast.u, SCATTER_U / sqrt(len(items))))
        stations.append(
            Station(
                Stage("casting", _named(items), predicted, Estimate(mean, u)),
                at_us,
                "",
                f"{len(items)} castings{left_out}",
            )
        )
    return stations


def _wall(facts: KitFacts, feature: Feature) -> Estimate | None:
    """What the loop over cores and fits lets expect of a wall between parts."""
    from inspect_tui.shop.kit import fits

    lines, _, _ = fits.lines(facts, ())
    wall = next((w for w in walls(facts, lines)[0] if w.label == feature.balloon and not w.written), None)
    return Estimate(wall.now.value, hypot(wall.now.u, SCATTER_U)) if wall else None


Readings = list[tuple[float, int, float | None, float | None]]


def _blocks(facts: KitFacts, root: Id, kind: str) -> list[tuple[list[Item], Readings]]:
    """Castings or cores in stations: a sampling lot by itself, production in blocks."""
    items = {i.id: i for i in facts.record.items(facts.job.of_id) if i.kind == kind}
    read: dict[Id, Readings] = {}
    for r in facts.item_readings(items):
        if facts.root.get(r.feature_id) == root and (facts.until_us is None or r.at_us <= facts.until_us):
            read.setdefault(r.item_id, []).append((r.value, r.at_us, r.u95_mm, r.k))
    lots: dict[Id | None, list[Item]] = {}
    for item_id in read:
        lots.setdefault(items[item_id].lot_id, []).append(items[item_id])
    stations: list[list[Item]] = []
    block: list[Item] = []
    for lot, mine in lots.items():
        if lot is not None and len(mine) >= ALONE:
            stations.append(mine)
            continue
        for item in mine:
            if block and (len(block) >= BLOCK or read[item.id][0][1] - read[block[0].id][0][1] > BLOCK_US):
                stations.append(block)
                block = []
            block.append(item)
    if block:
        stations.append(block)
    return [(group, [value for item in group for value in read[item.id]]) for group in stations]


def _mean(values: Readings) -> tuple[float, float, int, str]:
    """Mean, its standard uncertainty, when the first was read, and a word about readings that are plain slips."""
    middle = median(v for v, _, _, _ in values)
    kept = [v for v, _, _, _ in values if abs(v - middle) <= SLIP * abs(middle)] or [middle]
    gone = len(values) - len(kept)
    _, at_us, u95, k = values[0]
    return sum(kept) / len(kept), reading_u(kept, u95, k, 0.01), at_us, f", {gone} left out as a slip" if gone else ""


def _named(items: Sequence[Item]) -> str:
    return items[0].serial if len(items) == 1 else f"{items[0].serial} to {items[-1].serial}"


# ------------------------------------------------------------------------------ a tool
def tool_story(facts: KitFacts, tool: Tool) -> list[Event]:
    """What happened to a tool, oldest first: read, changed, noted, shipped and back."""
    happened: list[tuple[int, int, str]] = []
    sessions: dict[Id, list[tuple[Id, SizeState]]] = {}
    for (tool_id, root), states in facts.states.items():
        if tool_id == tool.of_id:
            for state in states:
                sessions.setdefault(state.session_id, []).append((root, state))
    for read in sessions.values():
        state = read[0][1]
        names = [facts.feature[facts.drawn[root]].balloon for root, _ in read]
        shown = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
        out = [facts.feature[root].balloon for root, s in read if root in facts.feature and _out(facts, tool, root, s)]
        text = f"{show.count(len(read), 'size')} read by {state.by} ({shown})"
        if out:
            text += f"; off target by more than its band: {', '.join(out)}"
        happened.append((state.at_us, state.tz_min, text))
    for at_us, text in facts.tool_notes.get(tool.of_id, ()):
        happened.append((at_us, 0, f"noted: {text}"))
    written = facts.record.written_at([tool.of_id, *(s.id for s, _ in facts.shipments)])
    happened.append((written.get(tool.of_id, 0), 0, f"{KIND_WORDS.get(tool.kind, 'tool')} opened, {tool.material}"))
    for shipment, lines in facts.shipments:
        for line in lines:
            if line.tool_of_id == tool.of_id:
                way = f"shipped to {shipment.to_whom}" if shipment.way == "out" else f"back from {shipment.to_whom}"
                pieces = f", {line.loose_pieces} loose pieces" if line.loose_pieces is not None else ""
                state_words = line.condition or shipment.condition
                pieces += f", with points still open ({shipment.why_open})" if shipment.why_open else ""
                happened.append(
                    (written.get(shipment.id, 0), 0, way + pieces + (f": {state_words}" if state_words else ""))
                )
    return [Event(at, show.day_of(at, tz), text) for at, tz, text in sorted(happened)]


def _out(facts: KitFacts, tool: Tool, root: Id, state: SizeState) -> bool:
    planned = facts.sizes_on(tool, root)
    if planned is None or planned.band.width is None:
        return False
    target = facts.target_of(state, root).value
    return abs(state.value - target) > planned.band.width / 2 + 2 * state.u
