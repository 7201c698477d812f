"""What speaks against a kit and what is open, each sorted by kind, with the cores that it is about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from inspect_tui.frozen import replace
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.kit.buoyancy import CoreLift
from inspect_tui.metrology.kit.fits import FitState
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Id
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.shop.kit.missing import SHOWN, CoreState
from inspect_tui.shop.kit.order import OrderCheck
from inspect_tui.shop.kit.passages import KitPassage
from inspect_tui.shop.kit.together.blocking import InTheWay
from inspect_tui.shop.kit.together.sizes import not_ready
from inspect_tui.shop.kit.walls import WallLine, WallState

# what people sort findings by: a kind of trouble -> its group; others are groups already
KINDS = ("fit", "pitch", "lookalike", "hand", "blocked", "size", "wall", "passage", "rule", "held", "missing")
GROUP = {
    "clearance": "fit",
    "itself": "fit",
    "claimed twice": "fit",
    "no seat": "missing",
    "no print": "missing",
    "unknown": "missing",
    "twice": "missing",
    "locator": "missing",
    "parting": "missing",
    "hold": "held",
    "lift": "held",
    "not there": "blocked",
}
UNSAID = ("no print",)  # troubles that only say what nobody has said yet

Findings = list[tuple[bool, Trouble]]  # (speaks against the kit, what)


def once(troubles: Iterable[Trouble]) -> tuple[Trouble, ...]:
    """Each sentence once, in the order in which people want to hear it, by the groups they sort by."""
    said: dict[str, Trouble] = {}
    for trouble in troubles:
        said.setdefault(trouble.sentence, replace(trouble, kind=GROUP.get(trouble.kind, trouble.kind)))
    return tuple(said.values())


def of_facts(facts: KitFacts, troubles: Sequence[Trouble]) -> Findings:
    """Facts that contradict each other; what nobody has said yet is open, all of it at once where nothing is said."""
    if facts.cores and not facts.fits:
        numbers = tuple(str(core.number) for core in facts.cores)
        count = f"{len(numbers)} cores" if len(numbers) > 1 else f"core {numbers[0]}"
        text = f"not said yet: which print or key goes into which seat, of {count}"
        return [(True, t) for t in troubles if t.kind not in UNSAID] + [(False, Trouble("missing", numbers, text))]
    return [(t.kind not in UNSAID, t) for t in troubles]


def of_fits(lines: tuple[FitLine, ...], troubles: Sequence[Trouble]) -> Findings:
    """Fits out of their limits, then those that are undecided, then those that nobody read."""
    made: Findings = []
    bad = [x for x in lines if x.verdict.answer == Answer.DOES_NOT_CONFORM and not _said(troubles, x)]
    for line in sorted(bad, key=lambda x: ("does not go", "rubs", "floats").index(x.verdict.state)):
        text = line.verdict.sentence + (f" ({line.cut})" if line.cut else "")
        text += f"; {line.changed}: measure it again" if line.changed else ""
        made.append((True, Trouble("fit", _cores_of(line), text, line.name)))
    as_drawn = [x for x in lines if x.verdict.state is FitState.AS_DRAWN]
    for line in lines:
        if line.verdict.answer == Answer.UNDECIDED and line not in as_drawn:
            made.append((False, Trouble("fit", _cores_of(line), line.verdict.sentence, line.name)))
    if as_drawn:
        names = [x.name for x in as_drawn]
        listed = ", ".join(names[:SHOWN]) + (f" and {len(names) - SHOWN} more" if len(names) > SHOWN else "")
        text = f"{names[0]} is as drawn: nobody read it"
        if len(names) > 1:
            text = f"{len(names)} fits are as drawn: nobody read {listed}"
        cores = tuple(dict.fromkeys(core for x in as_drawn for core in _cores_of(x)))
        made.append((False, Trouble("fit", cores, text, names[0])))
    return made


def _cores_of(line: FitLine) -> tuple[str, ...]:
    parts = (line.inner, line.outer)
    return tuple(dict.fromkeys(part.removeprefix("core ") for part in parts if part.startswith("core ")))


def of_order(order: OrderCheck, in_the_way: InTheWay, sequence: Sequence[str], style: Style = MM) -> Findings:
    """Rings, steps that cannot be done so, and bodies that may be in the way."""
    made: Findings = []
    if order.computed.rings:
        rings = zip(order.computed.rings, order.computed.sentences, strict=True)
        made += [(True, Trouble("blocked", ring, text)) for ring, text in rings]
    else:
        made += [(True, trouble) for trouble in order.troubles]
    made += [(False, trouble) for trouble in in_the_way.doubts(sequence, style)]
    return made + [(False, trouble) for trouble in in_the_way.sharing]


def of_held(
    facts: KitFacts,
    free: Sequence[tuple[str, tuple[str, ...], str]],
    held: Mapping[str, CoreLift],
    lift_troubles: Sequence[Trouble],
) -> Findings:
    """What nothing holds; where nobody said yet what a core sits in, nothing is known of that."""
    seated = {facts.number(f.inner_core_id) for f in facts.fits if f.inner_core_id}
    stated = {facts.number(f.inner_core_id) for f in facts.fits if f.inner_core_id and f.holds}
    made: Findings = [(core in stated, Trouble("held", (core,), text)) for core, _, text in free]
    made += [(True, t) for t in lift_troubles if not t.cores or set(t.cores) & seated]
    crushed = [h for h in held.values() if any(word == "crushes" for _, _, word in h.stresses)]
    return made + [(True, Trouble("held", (h.core,), h.sentence)) for h in crushed]


def of_walls(facts: KitFacts, walls: Sequence[WallLine]) -> Findings:
    """Walls that break their limits, or may."""
    made: Findings = []
    for wall in walls:
        if wall.wall and wall.state in (WallState.FAILS, WallState.MAY_FAIL):
            trouble = Trouble("wall", _makers(facts, wall.label), wall.sentence, wall.label)
            made.append((wall.state is WallState.FAILS, trouble))
    return made


def _makers(facts: KitFacts, balloon: str) -> tuple[str, ...]:
    feature = facts.balloon.get(balloon)
    ends = feature.ends if feature else ()
    return tuple(dict.fromkeys(facts.number(end.core_id) for end in ends if end.core_id))


def of_passages(facts: KitFacts, passages: Sequence[KitPassage]) -> Findings:
    """Passages that miss their rating or cannot be worked out, and those that nobody read."""
    made: Findings = []
    for passage in passages:
        if passage.wrong or passage.misses or passage.not_read:
            named = [name for name in facts.balloon if re.search(rf"\b{re.escape(name)}\b", passage.passage.formula)]
            cores = tuple(dict.fromkeys(core for name in named for core in _makers(facts, name)))
            trouble = Trouble("passage", cores, passage.sentence, passage.passage.label)
            made.append((bool(passage.wrong or passage.misses), trouble))
    return made


def of_states(facts: KitFacts, states: Mapping[Id, CoreState]) -> Findings:
    """Cores that are not ready to ship."""
    behind = not_ready(states) if facts.fits else None
    return [] if behind is None else [(False, behind)]


def _said(troubles: Sequence[Trouble], line: FitLine) -> bool:
    return any(t.kind == "clearance" and t.fit == line.name for t in troubles)
