"""Passages of a kit: areas by formula from what tools or castings measure, and the capacity they let expect."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit import passage as formulas
from inspect_tui.metrology.kit.capacity import CAVEAT, Buys, Capacity, assumed, buys_back, capacity, exponent_wrong
from inspect_tui.metrology.kit.passage import Derived, Formula
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Passage
from inspect_tui.model.work import Feature, Item
from inspect_tui.record.ask.kit import ItemReading
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.passage_sizes import PassageSize, as_drawn, from_casting, from_tool

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
    wrong: str | None  # why there is no value
    sentence: str
    remarks: tuple[str, ...] = ()  # such as wear that is not known
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


def read(facts: KitFacts, text: str, label: str = "") -> Formula | str:
    """The formula over this job's balloons and its other passages, or a sentence that says what was not understood.

    `label` is the passage's own; naming itself, it would stand in a ring.
    """
    return formulas.parse(text, powers(facts.balloon), others(facts.passages, label, text))


def others(passages: Iterable[Passage], label: str = "", text: str = "") -> dict[str, str]:
    """Formulas by the label of their passage, as another one may name them; `label` is the one that has `text`."""
    given = {p.label: p.formula for p in passages if p.label.isidentifier()}
    return {**given, label: text} if label.isidentifier() else given


def lines(facts: KitFacts, style: Style = MM) -> list[KitPassage]:
    """Every passage of the job from its tools as they were measured."""
    return [from_tools(facts, passage, style) for passage in facts.passages]


def from_tools(facts: KitFacts, passage: Passage, style: Style = MM, now_us: int | None = None) -> KitPassage:
    """A passage from the castings that the tools as measured would give; sizes nobody read count as drawn."""
    formula = read(facts, passage.formula, passage.label)
    names = formula.names if isinstance(formula, Formula) else ()
    sizes = {balloon: from_tool(facts, balloon, style, now_us) for balloon in names}
    return _line(facts, passage, formula, sizes, "tools as measured", style)


def on_casting(facts: KitFacts, passage: Passage, item: Item, style: Style = MM) -> KitPassage:
    """A passage of one casting from its own readings; raises DataError when none of its sizes was read."""
    formula = read(facts, passage.formula, passage.label)
    names = formula.names if isinstance(formula, Formula) else ()
    readings: dict[str, list[ItemReading]] = {}
    balloons = {facts.root[facts.balloon[b].id]: b for b in names}
    for reading in facts.readings_now(item):
        balloon = balloons.get(facts.root.get(reading.feature_id, b""))
        if balloon is not None:
            readings.setdefault(balloon, []).append(reading)
    if names and not readings:
        raise DataError(f"casting {item.serial} has no reading of {', '.join(names)}")
    sizes = {}
    for balloon in names:
        feature = facts.balloon[balloon]
        if balloon in readings:
            sizes[balloon] = PassageSize(from_casting(feature, readings[balloon], item), read=True)
        else:
            sizes[balloon] = PassageSize(as_drawn(feature), read=False)
    return _line(facts, passage, formula, sizes, f"casting {item.serial}", style)


def rating_unit(unit: str, rated: str = "") -> str | Wrong:
    """The unit of a rating as it was typed: of its own field, or behind the figure; empty where none was.

    A word that is no unit of a flow is told, as nothing could be shown or compared in it.
    """
    word = unit.strip()
    if not word and isinstance(fields.figure(rated), Wrong):
        word = rated.strip().lstrip("0123456789.,+- ½¼¾")
    if not word:
        return ""
    known = fields.unit_of(word, "flow")
    return known if isinstance(known, Wrong) else word


def flow(text: str, unit: str) -> float | Wrong | None:
    """A capacity in the unit of the rating: it may be typed in another unit of flow; None for nothing."""
    if not text.strip():
        return None
    known = fields.unit_of(unit, "flow") if unit else ""
    if isinstance(known, Wrong):
        return known
    return fields.flow(text, unit=known, to=known) if known else fields.figure(text, above=0.0)


def wrong(formula: Formula, rated: bool, least: bool, exponent: float) -> str | None:
    """What does not go together in a new passage, as a sentence."""
    if (said := exponent_wrong(exponent)) is not None:
        return said
    if formula.law is not None and exponent != 1.0:
        return "the customer's points are the law already: leave the exponent out."
    if least and not rated and formula.law is None:
        return "a least capacity needs the rating that it belongs to."
    return None


def rating(passage: Passage, formula: Formula, drawn: float) -> float | None:
    """The rated capacity: as stated, or what the customer's points say of the area as drawn."""
    if passage.rated is None and formula.law is not None:
        return formula.law.at(drawn)
    return passage.rated


def _line(
    facts: KitFacts,
    passage: Passage,
    formula: Formula | str,
    taken: Mapping[str, PassageSize],
    source: str,
    style: Style,
) -> KitPassage:
    not_read = tuple(balloon for balloon, size in taken.items() if not size.read)
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
    sizes = {balloon: size.size for balloon, size in taken.items()}
    try:
        drawn_sizes = {b: chain.cast_wanted(facts.balloon[b]) for b in formula.names}
        drawn = formulas.value_of(formula, drawn_sizes)
        now = formulas.derive(formula, sizes)
        estimated = None
        rated = rating(passage, formula, drawn)
        if rated is not None:
            unit, n = passage.unit or "", passage.exponent
            estimated = capacity(now, drawn, rated, n, passage.minimum, unit, style, formula.law)
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
    area = style.derived(now.value, formula.unit, 2 * now.u)
    text = f"{passage.label} {passage.name} ({source}): {area}"
    if drawn:
        text += f", {style.percent(now.value / drawn - 1, 1, signed=True)} of as drawn"
    text += f"; {estimated.sentence}" if estimated is not None else assumed(now.shares, style)
    if not_read:
        text += f"; as drawn, not read: {', '.join(not_read)}"
    remarks = tuple(remark for size in taken.values() for remark in size.remarks)
    text += "".join(f"; {remark}" for remark in remarks)
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
        remarks=remarks,
        unit=formula.unit,
        wrong=None,
        sentence=text,
    )
