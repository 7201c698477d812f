"""A core in full: its sizes for stick, box and sand at once, what readings on any of them predict, what went wrong.

Where stick and box disagree it says which to change; resin contraction is learnt from the pairs; a stick laid out by
the wrong rule and wood that swelled are named.
"""

from __future__ import annotations

from math import hypot

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.sizes.movement import moisture_change, wood_coefficient
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.resin import Advice, Resin, StickAndBox, advise, learn_resin
from inspect_tui.metrology.wear.scale_error import Swelling, ToolSize, WrongRule, swelling, wrong_rule
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import Core, Feature, Tool
from inspect_tui.shop.common import faces_touched
from inspect_tui.shop.common.sizes import Sizes, of_sand
from inspect_tui.shop.kit.facts import KitFacts, SizeState, reading_u

LAYOUT_U = 0.03  # mm, how true a size can be laid out and worked by hand: a judgement, no source
RESIN_USUAL = Estimate(0.0012, 0.0006)  # common practice 0.05 to 0.3 %: expected of a cast-up box nobody measured
WOODS = ("wood", "mahogany", "pine", "beech", "maple", "cherry", "lime", "jelutong", "fir")
SAME_PLAN_MM = 0.005  # targets of stick and box closer than this are one plan
SAND_LAST = 5  # sand cores averaged


@frozen_by_name
class CoreSize:
    """One size of a core: wanted and read on stick, box and sand; mm at tooling scale, the casting in casting mm."""

    feature: Feature
    as_cast: float
    stick_wanted: float | None
    box_wanted: float | None
    sand_wanted: float | None
    stick: SizeState | None
    box: SizeState | None
    sand: Estimate | None  # mean of the last sand cores
    sand_n: int
    casting_from: str  # the tool that speaks for the casting: sand, box, stick, or empty
    casting: Estimate | None  # what it lets expect
    advice: Advice | None
    remarks: tuple[str, ...]


@frozen_by_name
class CoreReport:
    """Everything about the sizes of one core."""

    core: Core
    stick: Tool | None
    box: Tool | None
    sizes: tuple[CoreSize, ...]
    resin: Resin | None
    rule: WrongRule | None
    swelling: Swelling | None
    sentences: tuple[str, ...]
    layout: int = 0  # how many of the sentences, the first, tell of the rule or the wood of a whole tool


def report(facts: KitFacts, core: Core, style: Style = MM) -> CoreReport:
    """All sizes of a core that stick or box carry, with what their readings say."""
    stick, box = facts.stick(core.of_id), facts.box(core.of_id)
    resin = resin_of(facts, stick, box, style)
    sand = _sand(facts, core)
    roots = list(dict.fromkeys(r for tool in (stick, box) if tool for r in facts.listed.get(tool.of_id, ())))
    sizes = tuple(_size(facts, root, stick, box, resin, sand.get(root), style) for root in roots)
    rule, laid_out = (rule_of(facts, stick, style=style) if stick else None), stick
    if rule is None and box is not None and resin is None:  # nobody read the stick, or there is none
        rule, laid_out = rule_of(facts, box, style=style), box
    swelled = swelling_of(facts, stick, style) if stick else None
    sentences = []
    if rule is not None and laid_out is not None and not (swelled and swelled.moisture):
        sentences.append(f"{laid_out.label}: {rule.sentence}")
    if swelled is not None and stick is not None and swelled.moisture:
        sentences.append(f"{stick.label}: {swelled.sentence}")
    layout = len(sentences)
    if resin is not None and box is not None:
        sentences.append(f"{box.label}: {resin.sentence}")
    sentences += [s.advice.sentence for s in sizes if s.advice and s.advice.change != "none"]
    sentences += list(dict.fromkeys(remark for s in sizes for remark in s.remarks))
    return CoreReport(
        core=core,
        stick=stick,
        box=box,
        sizes=sizes,
        resin=resin,
        rule=rule,
        swelling=swelled,
        sentences=tuple(sentences),
        layout=layout,
    )


def reports(facts: KitFacts, style: Style = MM) -> list[CoreReport]:
    """The report of every core of the job."""
    return [report(facts, core, style) for core in facts.cores]


# ------------------------------------------------------------------------------ one size
def _size(
    facts: KitFacts,
    root: Id,
    stick: Tool | None,
    box: Tool | None,
    resin: Resin | None,
    sand: Estimate | None,
    style: Style,
) -> CoreSize:
    feature = facts.feature[root]
    on_stick = facts.sizes_on(stick, root) if stick else None
    on_box = facts.sizes_on(box, root) if box else None
    at_stick = facts.now(stick, root) if stick else None
    at_box = facts.now(box, root) if box else None
    speaker, casting = _casting(facts, root, stick, box, at_stick, at_box, on_stick, on_box, sand, resin)
    advice = None
    if on_stick and on_box and at_stick and at_box and feature.quantity not in ("angle", "attribute"):
        advice = _advise(feature, stick, box, at_stick, at_box, on_box, resin, style)
    remarks = tuple(
        text
        for tool, state in ((stick, at_stick), (box, at_box))
        if tool and state and (text := moisture_remark(facts, tool, root, state, style))
    )
    return CoreSize(
        feature=feature,
        as_cast=chain.as_cast(feature),
        stick_wanted=on_stick.target if on_stick else None,
        box_wanted=on_box.target if on_box else None,
        sand_wanted=_sand_wanted(facts, root, stick, box),
        stick=at_stick,
        box=at_box,
        sand=sand,
        sand_n=SAND_LAST if sand else 0,
        casting_from=speaker,
        casting=casting,
        advice=advice,
        remarks=remarks,
    )


def _sand_wanted(facts: KitFacts, root: Id, stick: Tool | None, box: Tool | None) -> float | None:
    for tool in (box, stick):
        on = facts.on_tool.get((tool.of_id, root)) if tool else None
        if tool and on:
            return chain.forward(chain.wanted(facts.feature[root]), of_sand(on, tool.kind).steps).value
    return None


def _casting(
    facts: KitFacts,
    root: Id,
    stick: Tool | None,
    box: Tool | None,
    at_stick: SizeState | None,
    at_box: SizeState | None,
    on_stick: Sizes | None,
    on_box: Sizes | None,
    sand: Estimate | None,
    resin: Resin | None,
) -> tuple[str, Estimate | None]:
    """The casting that the nearest thing to it lets expect: sand before box before stick."""
    planned_sizes = on_box or on_stick
    if planned_sizes is None or planned_sizes.feature.scale == "tool":
        return "", None
    tool = box if on_box else stick
    if sand is not None and tool is not None and planned_sizes.tool_feature is not None:
        steps = of_sand(planned_sizes.tool_feature, tool.kind).steps
        return "sand", chain.back(sand.value, sand.u, steps)
    if at_box is not None and on_box is not None:
        return "box", on_box.cast_from(at_box.value, at_box.u)
    if at_stick is not None and on_stick is not None:
        cast_up = box is not None and _cast_off(facts, box, stick)
        planned = any(step.kind == "resin" for step in on_stick.steps)
        if cast_up and not planned:  # the box will come out smaller than the stick, though nobody planned for it
            r = resin.estimate if resin else RESIN_USUAL
            value = at_stick.value * (1 - r.value)
            return "stick", on_stick.cast_from(value, hypot(at_stick.u, at_stick.value * r.u))
        return "stick", on_stick.cast_from(at_stick.value, at_stick.u)
    return "", None


def _advise(
    feature: Feature,
    stick: Tool | None,
    box: Tool | None,
    at_stick: SizeState,
    at_box: SizeState,
    on_box: Sizes,
    resin: Resin | None,
    style: Style,
) -> Advice | None:
    width = on_box.band.width
    if stick is None or box is None or at_stick.value <= 0 or at_box.value <= 0:
        return None
    limit = width / 2 if width is not None else LAYOUT_U
    r = resin.estimate if resin else (Estimate(stick.resin_r, stick.resin_u or 0.0) if stick.resin_r else None)
    if r is None:
        r = RESIN_USUAL if "resin" in box.material.casefold() else Estimate(0.0, 0.0)
    pair = StickAndBox(feature.balloon, at_stick.estimate, at_box.estimate, on_box.target)
    name = f"{feature.balloon} {feature.name}"
    return advise(pair, r, limit, name, style)


# ------------------------------------------------------------------------------ resin
def _cast_off(facts: KitFacts, box: Tool, stick: Tool | None) -> bool:
    """A box that was cast off this stick, in resin; a box of wood or metal is cut and contracts nothing."""
    if stick is None or box.made_from_id is None:
        return False
    return facts.tool_of.get(box.made_from_id) == stick.of_id and "resin" in box.material.casefold()


def resin_of(facts: KitFacts, stick: Tool | None, box: Tool | None, style: Style = MM) -> Resin | None:
    """Resin contraction from the pairs of a stick and the box cast off it; None without a pair.

    A box counts as it came off the stick (its first readings), a stick as it last was before that.
    """
    if stick is None or box is None or not _cast_off(facts, box, stick):
        return None
    pairs = []
    for root in facts.listed.get(box.of_id, ()):
        boxes, sticks = facts.states.get((box.of_id, root)), facts.states.get((stick.of_id, root))
        if not boxes or not sticks or facts.feature[root].quantity in ("angle", "attribute", "temperature"):
            continue
        first = boxes[0]
        before = [s for s in sticks if s.at_us < first.at_us]
        if before and first.value > 0 and before[-1].value > 0:
            target = facts.target_of(first, root).value
            planned = chain.scale_of(facts.read_against[before[-1].tool_feature_id].steps, ("resin",))
            if abs(facts.target_of(before[-1], root).value / planned - target) > SAME_PLAN_MM:
                continue  # laid out anew between the two: their difference is not the resin's
            pairs.append(StickAndBox(facts.feature[root].balloon, before[-1].estimate, first.estimate, target))
    try:
        return learn_resin(pairs, style=style) if pairs else None
    except DataError:
        return None


# ------------------------------------------------------------------------------ one tool, one scale
def rule_of(
    facts: KitFacts, tool: Tool, shop_rules: tuple[tuple[str, float], ...] = (), style: Style = MM
) -> WrongRule | None:
    """Was this tool laid out by another contraction rule than planned? None where its sizes don't say so clearly."""
    sizes, planned = [], []
    for root in facts.listed.get(tool.of_id, ()):
        feature, states = facts.feature[root], facts.states.get((tool.of_id, root))
        if not states or feature.scale == "tool" or feature.quantity in ("angle", "attribute", "temperature"):
            continue
        state = states[-1]  # as it stands: a stick that was put right is not accused any more
        target = facts.target_of(state, root).value
        if target > 0:
            steps = facts.read_against[state.tool_feature_id].steps
            planned.append(chain.scale_of(steps, ("contraction",)) - 1.0)
            sizes.append(ToolSize(name=feature.balloon, target=target, reading=state.value, u=hypot(state.u, LAYOUT_U)))
    if len(sizes) < 2:
        return None
    rules = shop_rules or tuple(
        (i.label, i.rule_scale) for i in facts.record.instruments() if i.kind == "contraction_rule" and i.rule_scale
    )
    return wrong_rule(sizes, sum(planned) / len(planned), rules, style)


def is_wood(tool: Tool) -> bool:
    """Whether the material is one that moves with moisture."""
    return any(word in tool.material.casefold() for word in WOODS)


def swelling_of(facts: KitFacts, tool: Tool, style: Style = MM) -> Swelling | None:
    """Did a wooden tool grow across its grain between its first and its last readings? None where nothing tells."""
    detail = facts.tool_details.get(tool.of_id)
    if detail is None or detail.grain is None or not is_wood(tool):
        return None
    sizes, moistures = [], []
    for root in facts.listed.get(tool.of_id, ()):
        feature, states = facts.feature[root], facts.states.get((tool.of_id, root), [])
        if len(states) < 2 or feature.axis not in ("x", "y", "z") or feature.scale == "tool":
            continue
        first, last = states[0], states[-1]
        grain = "along" if feature.axis == detail.grain else "across"
        target = facts.target_of(first, root).value
        sizes.append(
            ToolSize(
                name=feature.balloon,
                target=target,
                reading=last.value,
                u=hypot(first.u, last.u),
                grain=grain,
                before=first.value,
            )
        )
        moistures.append((first.moisture, last.moisture))
    if not sizes:
        return None
    before, now = moistures[-1]
    return swelling(sizes, before, now, style=style)


def moisture_remark(facts: KitFacts, tool: Tool, root: Id, state: SizeState, style: Style = MM) -> str | None:
    """How much of a wooden tool's reading is moisture: against the moisture of the first time it was read."""
    if not is_wood(tool) or state.moisture is None:
        return None
    first = facts.states[tool.of_id, root][0]
    feature, detail = facts.feature[root], facts.tool_details.get(tool.of_id)
    if first.moisture is None or abs(first.moisture - state.moisture) < 0.005:
        return None
    head = f"{feature.balloon} on {tool.label} was read at {style.percent(state.moisture)} moisture"
    head += f", first at {style.percent(first.moisture)}"
    if detail is None or detail.grain is None:
        return f"{head}: say along which axis its grain runs"
    if feature.axis == detail.grain:
        return None
    known = wood_coefficient(tool.material)
    if known is None:
        return f"{head}: how this wood moves is in no table"
    try:
        grown = moisture_change(first.value, known.value, first.moisture, state.moisture, u_coefficient=known.u)
    except DataError as problem:
        return f"{head}: {problem}"
    return f"{head}: {style.plus_minus(grown.value, 2 * grown.u, signed=True)} of it is to be expected of the wood"


# ------------------------------------------------------------------------------ sand
def _sand(facts: KitFacts, core: Core) -> dict[Id, Estimate]:
    """Mean of the last sand cores that were read, by feature root."""
    items = [
        i
        for i in facts.record.items(facts.job.of_id)
        if i.kind == "core" and i.core_id and facts.core_of.get(i.core_id) == core.of_id
    ]
    values_of: dict[Id, list[float]] = {}
    certified: dict[Id, tuple[float | None, float | None]] = {}
    for reading in reversed(facts.item_readings(i.id for i in items[-SAND_LAST:])):
        root = facts.root.get(reading.feature_id)
        if root is not None and (facts.until_us is None or reading.at_us <= facts.until_us):
            values_of.setdefault(root, []).append(reading.value)
            certified[root] = (reading.u95_mm, reading.k)
    u_faces = {root: faces_touched.u_rough(facts.feature[root], items[-1]) for root in values_of}
    return {
        root: Estimate(sum(values) / len(values), reading_u(values, *certified[root], 0.01, u_faces[root]))
        for root, values in values_of.items()
    }
