"""The sizes of a passage with their doubts: what readings and gauges leave open, and what nobody measured.

What moves several sizes of a passage at once (one contraction, one certificate, one wash, one face of a core) is one
error in all of them. From tools a casting is told ahead, so that the foundry's part stands in it too, as the network
of the job's faces has it (`foundry.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt
from time import time

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.causes.problem import Noise
from inspect_tui.metrology.kit.doubts import Doubt, Doubted
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.sizes.contraction import SINGLE_VALUE_U
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.words import Id
from inspect_tui.model.work import ChainStep, Feature, Item, Tool
from inspect_tui.record.ask.kit import ItemReading
from inspect_tui.shop.common import faces_touched
from inspect_tui.shop.common.judging import DEFAULT_U95
from inspect_tui.shop.kit.facts import KitFacts, SizeState, reading_u

RESIN_U = 0.0007  # standard uncertainty of a resin contraction that nobody stated: 0.05 to 0.3 % even, common practice
WASH_SHARE = 0.2  # of a stated wash, how thick it really is: common practice, no source
WASH_U = 0.06  # mm a face where no wash is stated: up to 0.1 mm may stand on it all the same; from memory
DAY_US = 86_400_000_000
SOON_DAYS = 31  # a reading as young as this needs no word about wear
NOT_LENGTHS = ("angle", "temperature", "attribute")


class PassageSize(NamedTuple):
    """One size of a passage: what it is with its doubts, whether it was read, and what has to be said of it."""

    size: Doubted
    read: bool
    remarks: tuple[str, ...] = ()


# ------------------------------------------------------------------------------ from tools
def from_tool(facts: KitFacts, balloon: str, style: Style = MM, now_us: int | None = None) -> PassageSize:
    """The size of a casting that the tool as it was last read would give; as drawn where nobody read it.

    `now_us`: the moment that wear is carried forward to, microseconds UTC; the facts' own, or now.
    """
    feature = facts.balloon[balloon]
    root = facts.root[feature.id]
    taken = _tool_of(facts, root, feature)
    if taken is None:
        return PassageSize(as_drawn(feature), read=False)  # limits are of the casting: the foundry's part is in them
    tool, state, steps = taken
    cast, undone = undo(state.value, steps, feature, tool)
    scale = chain.scale_of([s for s in steps if s.kind not in ("stock", "draft")])
    doubts = [*_of_reading(state, f"{tool.label} {balloon}", scale), *undone]
    remarks: list[str] = []
    if feature.scale != "tool" and feature.quantity not in NOT_LENGTHS:
        doubts += _contraction_unsaid(cast, steps, feature)
        doubts += _wash_unsaid(feature)
        doubts += facts.foundry.get(balloon) or _foundry(facts, feature, cast)
    moved, worn, said = _wear(facts, tool, root, state, scale, balloon, style, now_us)
    doubts += worn
    remarks += said
    return PassageSize(Doubted(cast + moved, tuple(d for d in doubts if d.u)), read=True, remarks=tuple(remarks))


def _tool_of(facts: KitFacts, root: Id, feature: Feature) -> tuple[Tool, SizeState, Sequence[ChainStep]] | None:
    if not feature.ends:
        return None
    core = facts.core_of.get(feature.ends[0].core_id or b"")
    for tool in facts.tools_of(core) if core else facts.half_tools(feature.ends[0].half or "drag"):
        state, on = facts.now(tool, root), facts.on_tool.get((tool.of_id, root))
        if state is not None and on is not None:
            return tool, state, on.steps
    return None


def _of_reading(state: SizeState, what: str, scale: float) -> list[Doubt]:
    """The reading's own part, and the part of its gauge that all sizes read with it share (JCGM 100, F.1.2.3)."""
    own = sqrt(max(state.u**2 - state.u_gauge**2, 0.0))
    kind = "gauge" if state.certified else "gauge without a certificate"
    return [
        Doubt(f"reading of {what}", "readings", own / scale, True),
        Doubt(f"gauge {state.instrument}", kind, state.u_gauge / scale, state.certified),
    ]


def undo(tool_mm: float, steps: Sequence[ChainStep], feature: Feature, tool: Tool) -> tuple[float, list[Doubt]]:
    """The casting's size behind a size on a tool, and what each undone step leaves open, with signs; mm.

    As `chain.back`, step by step. A step whose uncertainty nobody stated gets that of practice.
    """
    value = tool_mm
    doubts: list[Doubt] = []
    for step in sorted(steps, key=lambda s: s.ord, reverse=True):
        if step.kind in ("stock", "draft"):
            continue
        key, kind, u = _of_step(step, feature, tool)
        if step.scale is not None:
            doubts = [d._replace(u=d.u / step.scale) for d in doubts]
            value /= step.scale
            doubts.append(Doubt(key, kind, -value * u / step.scale))
        else:
            value -= step.offset_mm or 0.0
            doubts.append(Doubt(key, kind, -u))
    return value, doubts


def _of_step(step: ChainStep, feature: Feature, tool: Tool) -> tuple[str, str, float]:
    """Which error a step is, what it is called, and its standard uncertainty (with the sign of an offset)."""
    if step.kind == "coat":
        offset = step.offset_mm or 0.0
        return "wash", "core wash", step.u or WASH_SHARE * offset
    unsaid = "" if step.u else ", not stated how sure"
    if step.kind == "resin":
        return f"resin of {tool.label}", f"resin contraction{unsaid}", step.u or RESIN_U
    if step.kind == "second_contraction":
        return f"second contraction of {tool.label}", f"second contraction{unsaid}", step.u or SINGLE_VALUE_U
    own = feature.a is not None and feature.ua is not None  # a figure of its own; otherwise the job's moves all sizes
    key = f"contraction of {feature.balloon}" if own else "contraction"
    return key, f"contraction{unsaid}", step.u or SINGLE_VALUE_U


def _contraction_unsaid(cast: float, steps: Sequence[ChainStep], feature: Feature) -> list[Doubt]:
    if any(step.kind == "contraction" for step in steps):
        return []
    return [Doubt("contraction", "contraction, none planned", -cast * SINGLE_VALUE_U)]


def _wash_unsaid(feature: Feature) -> list[Doubt]:
    """A wash that nobody stated: nought may mean none or not said, unless somebody said that it is none."""
    unsaid = [end for end in feature.ends if end.core_id is not None and not (end.coat_said or end.coat_mm)]
    faces = sum(_side(end.which) * end.facing for end in unsaid)
    return [Doubt("wash", "core wash, not stated", -faces * WASH_U)] if faces else []


def _foundry(facts: KitFacts, feature: Feature, cast: float) -> list[Doubt]:
    """How one casting differs from the next, of a size that is no distance of two faces of the job's network.

    Its sand faces, how its parts sit, and its scale. Common practice, no source: what causes are judged against.
    """
    noise, kind = Noise(), "sand and seating of one casting"
    doubts = [Doubt("scale of one casting", kind, noise.scale * cast)]
    places = {end.which: (end.core_id, end.half) for end in feature.ends}
    for end in feature.ends:
        part = f"core {facts.number(end.core_id)}" if end.core_id else str(end.half)
        known = feature.axis in ("x", "y", "z") and end.coord_mm is not None
        place = f"{feature.axis} {round(end.coord_mm or 0.0, 3)}" if known else f"{feature.balloon} {end.which}"
        doubts.append(Doubt(f"face {part} {place}", kind, _side(end.which) * noise.face_mm))
        if len(set(places.values())) > 1:
            doubts.append(Doubt(f"seat of {part} {feature.axis}", kind, _side(end.which) * noise.seat_mm))
    return doubts


def _side(which: str) -> float:
    return 1.0 if which == "B" else -1.0


def _wear(
    facts: KitFacts,
    tool: Tool,
    root: Id,
    state: SizeState,
    scale: float,
    balloon: str,
    style: Style,
    now_us: int | None,
) -> tuple[float, list[Doubt], list[str]]:
    """What the tool has worn since it was read, on the casting: mm, its doubts, and what has to be said.

    The rate and what is made in a week are those of the kept trends; where none is known that is said.
    """
    now = now_us or facts.until_us or int(time() * 1e6)
    days = (now - state.at_us) / DAY_US
    if days <= SOON_DAYS or facts.changed_since(tool, state):
        return 0.0, [], []
    row = facts.wear_of.get((tool.of_id, root))
    since = f"{balloon} was read on {day_of(state.at_us, state.tz_min)}"
    if row is None or row.rate is None or row.per_week is None:
        in_use = tool.of_id in facts.worn_tools
        return 0.0, [], [f"{since}: how fast {tool.label} wears is not known, nothing is added"] if in_use else []
    made = row.per_week * days / 7.0
    moved = row.rate * made / scale
    u = hypot(made * (row.u_rate or 0.0) / scale, moved / 2.0)  # what was made since is a guess too
    said = f"{since}: {style.signed(moved)} of wear since then is in it" if abs(moved) >= 0.005 else ""
    key = f"wear of {tool.label} {balloon}"
    return moved, [Doubt(key, "wear since the last reading", u)], [said] if said else []


# ------------------------------------------------------------------------------ from a casting's own readings
def from_casting(feature: Feature, readings: Sequence[ItemReading], item: Item) -> Doubted:
    """A size of a casting from its readings, put right; the gauge's part is shared with all that it read."""
    last = readings[-1]
    values = [reading.value for reading in readings]
    faces = faces_touched.u_rough(feature, item)
    whole = reading_u(values, last.u95_mm, last.k, 0.01, hypot(last.u_right, faces))
    gauge = gauge_u(last.u95_mm, last.k, last.u_right)
    kind = "gauge" if last.u95_mm is not None else "gauge without a certificate"
    doubts = (
        Doubt(f"reading of {feature.balloon}", "readings", sqrt(max(whole**2 - gauge**2, 0.0)), True),
        Doubt(f"gauge {last.instrument}", kind, gauge, last.u95_mm is not None),
    )
    return Doubted(sum(values) / len(values), doubts)


def gauge_u(u95_mm: float | None, k: float | None, u_right: float) -> float:
    """The part of a reading's standard uncertainty that all sizes read with the same gauge share, mm."""
    return hypot((u95_mm if u95_mm is not None else DEFAULT_U95) / (k or 2.0), u_right)


def as_drawn(feature: Feature) -> Doubted:
    """The drawn size, as wide as its limits (rectangular) since nobody looked."""
    width = chain.cast_band(feature).width
    if width is None and chain.has_stock(feature):  # it must only clean up: no wider than the drawing wants it
        width = chain.finished_band(feature).width
    kind = "not read, within its limits"
    doubt = Doubt(f"as drawn {feature.balloon}", kind, width / sqrt(12.0) if width is not None else 0.0)
    return Doubted(chain.cast_wanted(feature), (doubt,) if doubt.u else ())
