"""Passages of a kit: areas by formula from what tools or castings measure, and the capacity they let expect."""

from __future__ import annotations

from collections.abc import Mapping

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit import passage as formulas
from inspect_tui.metrology.kit.capacity import CAVEAT, Buys, Capacity, buys_back, capacity
from inspect_tui.metrology.kit.passage import Derived, Formula
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Passage
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common import faces_touched
from inspect_tui.shop.kit.facts import KitFacts, reading_u
from inspect_tui.shop.kit.parts import tool_casting

ALONE_MOST = 3  # features named as what buys most back


@frozen_by_name
class KitPassage:
    """A derived characteristic as drawn and as it stands; `wrong` says why a formula can't be worked out."""

    passage: Passage
    source: str  # "tools as measured", or a casting's serial
    drawn: float | None
    now: Derived | None
    capacity: Capacity | None
    buys: tuple[Buys, ...]
    not_read: tuple[str, ...]  # balloons that count as drawn
    unit: str  # of the derived value
    wrong: str | None
    sentence: str
    caveat: str = CAVEAT

    @property
    def misses(self) -> bool:
        """Below its minimum, or below its rating by more than a trifle where no minimum is stated."""
        if self.capacity is None:
            return False
        if self.capacity.minimum is not None:
            return self.capacity.value < self.capacity.minimum
        return self.capacity.level not in ("as rated", "over")


def powers(features: Mapping[str, Feature]) -> dict[str, int]:
    """What a formula may name: sizes are mm, angles plain degrees; balloons that are no names are left out."""
    return {
        balloon: 0 if f.quantity in ("angle", "attribute", "temperature") else 1
        for balloon, f in features.items()
        if balloon.isidentifier()
    }


def read(facts: KitFacts, text: str) -> Formula | str:
    """The formula over this job's balloons, or a sentence that says what was not understood."""
    return formulas.parse(text, powers(facts.balloon))


def lines(facts: KitFacts, style: Style = MM) -> list[KitPassage]:
    """Every passage of the job from its tools as they were measured."""
    return [from_tools(facts, passage, style) for passage in facts.passages]


def from_tools(facts: KitFacts, passage: Passage, style: Style = MM) -> KitPassage:
    """A passage from the castings that the tools as measured would give; sizes nobody read count as drawn."""
    sizes: dict[str, Estimate] = {}
    not_read = []
    formula = read(facts, passage.formula)
    for balloon in formula.names if isinstance(formula, Formula) else ():
        feature = facts.balloon[balloon]
        seen = tool_casting(facts, facts.root[feature.id], feature)
        if seen is None:
            not_read.append(balloon)
            seen = _as_drawn(feature)
        sizes[balloon] = seen
    return _line(facts, passage, formula, sizes, tuple(not_read), "tools as measured", style)


def on_casting(facts: KitFacts, passage: Passage, item: Item, style: Style = MM) -> KitPassage:
    """A passage of one casting from its own readings; raises DataError when none of its sizes was read."""
    formula = read(facts, passage.formula)
    names = formula.names if isinstance(formula, Formula) else ()
    values: dict[str, list[float]] = {}
    certified: dict[str, tuple[float | None, float | None]] = {}
    balloons = {facts.root[facts.balloon[b].id]: b for b in names}
    for reading in facts.item_readings([item.id]):
        balloon = balloons.get(facts.root.get(reading.feature_id, b""))
        if balloon is not None:
            values.setdefault(balloon, []).append(reading.value)
            certified[balloon] = (reading.u95_mm, reading.k)
    if names and not values:
        raise DataError(f"casting {item.serial} has no reading of {', '.join(names)}")
    sizes, not_read = {}, []
    for balloon in names:
        if balloon in values:
            read_of = values[balloon]
            u = reading_u(read_of, *certified[balloon], 0.01, faces_touched.u_rough(facts.balloon[balloon], item))
            sizes[balloon] = Estimate(sum(read_of) / len(read_of), u)
        else:
            not_read.append(balloon)
            sizes[balloon] = _as_drawn(facts.balloon[balloon])
    return _line(facts, passage, formula, sizes, tuple(not_read), f"casting {item.serial}", style)


def _as_drawn(feature: Feature) -> Estimate:
    """The drawn size, as wide as its limits (rectangular) since nobody looked."""
    width = chain.cast_band(feature).width
    if width is None and chain.has_stock(feature):  # it must only clean up: no wider than the drawing wants it
        width = chain.finished_band(feature).width
    u = width / 12**0.5 if width is not None else 0.0
    return Estimate(chain.cast_wanted(feature), u)


def _line(
    facts: KitFacts,
    passage: Passage,
    formula: Formula | str,
    sizes: Mapping[str, Estimate],
    not_read: tuple[str, ...],
    source: str,
    style: Style,
) -> KitPassage:
    if isinstance(formula, str):
        text = f"{passage.label} {passage.name}: {formula}"
        return KitPassage(
            passage=passage,
            source=source,
            drawn=None,
            now=None,
            capacity=None,
            buys=(),
            not_read=(),
            unit="",
            wrong=formula,
            sentence=text,
        )
    try:
        drawn_sizes = {b: chain.cast_wanted(facts.balloon[b]) for b in formula.names}
        drawn = formulas.value_of(formula, drawn_sizes)
        now = formulas.derive(formula, sizes)
        estimated = None
        if passage.rated is not None:
            estimated = capacity(
                now.estimate, drawn, passage.rated, passage.exponent, passage.minimum, passage.unit or "", style
            )
        short = estimated is not None and estimated.level not in ("as rated", "over")
        buys = tuple(buys_back(formula, sizes, drawn)[:ALONE_MOST]) if short else ()
    except DataError as problem:
        text = f"{passage.label} {passage.name}: {problem}"
        return KitPassage(
            passage=passage,
            source=source,
            drawn=None,
            now=None,
            capacity=None,
            buys=(),
            not_read=not_read,
            unit=formula.unit,
            wrong=str(problem),
            sentence=text,
        )
    area = f"{style.figure(now.value, 1)} ± {style.figure(2 * now.u, 1)} {formula.unit}".rstrip()
    text = f"{passage.label} {passage.name} ({source}): {area}"
    if drawn:
        text += f", {style.percent(now.value / drawn - 1, 1, signed=True)} of as drawn"
    if estimated is not None:
        text += f"; {estimated.sentence}"
    if not_read:
        text += f"; as drawn, not read: {', '.join(not_read)}"
    best = next((b for b in buys if b.alone_mm is not None), None)
    if best is not None and best.alone_mm is not None:
        text += f"; {best.feature} {style.signed(best.alone_mm)} on the casting alone would bring it back"
    return KitPassage(
        passage=passage,
        source=source,
        drawn=drawn,
        now=now,
        capacity=estimated,
        buys=buys,
        not_read=not_read,
        unit=formula.unit,
        wrong=None,
        sentence=text,
    )
