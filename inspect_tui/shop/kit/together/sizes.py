"""Tools of a kit that are not as they should be: sizes out of limits, the wrong rule, the wrong hand, cores not ready.

What makes the sand counts: a stick's size speaks only while nobody read it on the box, and stays a doubt once other
sizes of the box were read. A print and its seat are judged by their fit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.frozen import NamedTuple, replace
from inspect_tui.metrology.judge.verdict import Answer, judge
from inspect_tui.metrology.kit.hand import MadeSize, WrongHand, wrong_hand
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import LENGTH_QUANTITIES, Id
from inspect_tui.model.work import Tool
from inspect_tui.shop.common.sizes import Sizes
from inspect_tui.shop.kit.cores import resin_of, rule_of, swelling_of
from inspect_tui.shop.kit.facts import KitFacts, SizeState
from inspect_tui.shop.kit.missing import CoreState
from inspect_tui.shop.kit.seats import spots as kit_spots

READY = ("fits proven", "shipped")


class _Read(NamedTuple):
    """A size as it stands on a tool."""

    root: Id
    state: SizeState
    sizes: Sizes


def findings(facts: KitFacts, style: Style = MM) -> list[tuple[bool, Trouble]]:
    """(speaks against the kit, what) of every tool: one scale or one hand for all its sizes, else each size alone.

    Each is about its tool: `fit` holds the label.
    """
    made: list[tuple[bool, Trouble]] = []
    for core in facts.cores:
        number = str(core.number)
        stick, box = facts.stick(core.of_id), facts.box(core.of_id)
        of_box = _reads(facts, box) if box else []
        on_box = {read.root for read in of_box}
        # resin that contracts is no wrong rule: cast off a stick that was read, a box tells nothing of the layout
        layout = (stick,) if resin_of(facts, stick, box, style) is not None else (stick, box)
        for tool in facts.tools_of(core.of_id):
            before = tool.kind in ("core_stick", "master") and tool is not box
            reads = of_box if tool is box else _reads(facts, tool)
            reads = [read for read in reads if not (before and read.root in on_box)]
            of_tool = _of_tool(facts, tool, (number,), reads, style, scaled=tool in layout)
            for trouble in of_tool:
                settled = bool(before and on_box and box and trouble.kind != "rule")
                text = f"{trouble.sentence}; read it on {box.label}" if settled and box else trouble.sentence
                made.append((not settled, replace(trouble, sentence=text)))
    for half in ("drag", "cope"):
        for tool in facts.half_tools(half):
            of_tool = _of_tool(facts, tool, (), _reads(facts, tool), style, scaled=True)
            made += [(True, trouble) for trouble in of_tool]
    return made


def _reads(facts: KitFacts, tool: Tool) -> list[_Read]:
    reads = []
    for root in facts.listed.get(tool.of_id, ()):
        state, sizes = facts.now(tool, root), facts.sizes_on(tool, root)
        if state is not None and sizes is not None:
            reads.append(_Read(root, state, sizes))
    return reads


def _of_tool(
    facts: KitFacts, tool: Tool, cores: tuple[str, ...], reads: Sequence[_Read], style: Style, scaled: bool
) -> list[Trouble]:
    if not reads:
        return []
    made: list[Trouble] = []
    explained: set[str] = set()
    swelled = swelling_of(facts, tool, style)
    rule = rule_of(facts, tool, style=style) if scaled else None
    if swelled is not None and swelled.moisture:
        made.append(Trouble("size", cores, f"{tool.label}: {swelled.sentence}", tool.label))
        grain = facts.tool_details[tool.of_id].grain
        explained = {r.sizes.feature.balloon for r in reads if r.sizes.feature.axis != grain}
    elif rule is not None:
        made.append(Trouble("rule", cores, f"{tool.label}: {rule.sentence}", tool.label))
        explained = {r.sizes.feature.balloon for r in reads if r.sizes.feature.scale != "tool"}
    hand = _hand(facts, tool, reads, style)
    if hand is not None:
        made.append(Trouble("hand", cores, hand.sentence, tool.label))
        explained |= {name for pair in hand.pairs for name in pair}
    in_fits = {facts.drawn.get(i or b"") for f in facts.fits for i in (f.inner_feature_id, f.outer_feature_id)}
    for read in reads:
        if read.root in in_fits or read.sizes.feature.balloon in explained:
            continue
        text = _out(facts, tool, read, style)
        if text:
            made.append(Trouble("size", cores, text, tool.label))
    return made


def _out(facts: KitFacts, tool: Tool, read: _Read, style: Style) -> str:
    """A size that is outside the limits on its tool beyond doubt; empty where it is not."""
    state, sizes, band = read.state, read.sizes, read.sizes.band
    if judge(state.value, state.u, band, facts.job.rule).answer is not Answer.DOES_NOT_CONFORM:
        return ""
    feature = sizes.feature
    value, wanted = (style.size(v, feature.quantity, unit=True) for v in (state.value, sizes.target))
    low, high = (style.size(v, feature.quantity) if v is not None else "any" for v in (band.lower, band.upper))
    over = band.upper is not None and state.value > band.upper
    off = style.size(abs(state.value - sizes.target), feature.quantity)
    text = (
        f"{feature.balloon} {feature.name} on {tool.label}: {value}, wanted {wanted} ({low} to {high}), "
        f"{off} too {'large' if over else 'small'}"
    )
    changed = facts.changed_since(tool, state)
    return f"{text}; {tool.label} was noted since: {changed}: measure it again" if changed else text


def hand_of(facts: KitFacts, tool: Tool, style: Style = MM) -> WrongHand | None:
    """Was this tool made the wrong hand? By the lengths on it that were read; None where they do not say so."""
    return _hand(facts, tool, _reads(facts, tool), style)


def _hand(facts: KitFacts, tool: Tool, reads: Sequence[_Read], style: Style) -> WrongHand | None:
    sizes = []
    for read in reads:
        feature, band = read.sizes.feature, read.sizes.band
        if feature.quantity not in LENGTH_QUANTITIES or feature.axis not in ("x", "y", "z"):
            continue
        # places at tooling scale are brought to those of the casting: sizes of both scales end on the same faces
        scale = 1.0 + kit_spots.contraction(facts, feature) if feature.scale == "tool" else 1.0
        places = {end.which: end.coord_mm / scale for end in feature.ends if end.coord_mm is not None}
        sizes.append(
            MadeSize(
                name=feature.balloon,
                axis=feature.axis,
                target=read.sizes.target,
                reading=read.state.estimate,
                half_band=(band.width or 0.0) / 2,
                low=places.get("A"),
                high=places.get("B"),
            )
        )
    return wrong_hand(tool.label, sizes, style) if len(sizes) > 1 else None


def not_ready(states: Mapping[Id, CoreState]) -> Trouble | None:
    """The cores whose boxes or fits are not through, with how far each is; None where all are."""
    behind: Sequence[CoreState] = [s for s in states.values() if s.state not in READY]
    if not behind:
        return None
    names = ", ".join(f"core {s.core.number} ({s.state})" for s in behind[:6])
    more = f" and {len(behind) - 6} more" if len(behind) > 6 else ""
    what = "core is" if len(behind) == 1 else "cores are"
    cores = tuple(str(s.core.number) for s in behind)
    return Trouble("missing", cores, f"{len(behind)} {what} not ready to ship: {names}{more}")
