"""Passages of a sampling: the derived size of each casting and of their mean, and the capacity it would pass."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.kit import passage as formulas
from inspect_tui.metrology.kit.capacity import CAVEAT, capacity, in_units
from inspect_tui.metrology.kit.doubts import Doubt, Doubted
from inspect_tui.metrology.kit.passage import Derived, Formula
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.kit import Passage
from inspect_tui.model.words import Estimate
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.result import PassageLine
from inspect_tui.shop.kit.passages import others, rating


def passages(sampling: Sampling) -> tuple[PassageLine, ...]:
    """Every passage of the job on every casting that has its sizes, then on their mean."""
    passage_lines: list[PassageLine] = []
    powers = {f.balloon: 0 if is_angle(f) else 1 for f in sampling.features}
    drawn = {f.balloon: sampling.sizes(f).as_cast for f in sampling.features}
    every = sampling.facts.passages
    for passage in every:
        formula = formulas.parse(passage.formula, powers, others(every, passage.label, passage.formula))
        if isinstance(formula, str):
            passage_lines.append(_unreadable(passage, formula))
            continue
        per_casting: list[dict[str, Doubted]] = []
        for item in sampling.castings:
            sizes = _sizes(sampling, formula.names, item.serial)
            if sizes is not None:
                per_casting.append(sizes)
                passage_lines.append(_of_casting(passage, formula, sizes, drawn, item.serial, sampling.style))
        if len(per_casting) > 1:
            passage_lines.append(_of_mean(passage, formula, per_casting, drawn, sampling.style))
    return tuple(passage_lines)


def _sizes(sampling: Sampling, names: tuple[str, ...], serial: str) -> dict[str, Doubted] | None:
    """The sizes of a casting; what their gauge leaves open is one error in all that it read (JCGM 100, F.1.2.3)."""
    item, sizes = sampling.casting(serial), {}
    for name in names:
        feature = sampling.feature(name)
        cell = sampling.cell(feature, item)
        if cell.value is None or cell.u is None or cell.question:
            return None
        gauge, certified = sampling.of_gauge(feature, item)
        own = sqrt(max(cell.u**2 - gauge**2, 0.0))
        kind = "gauge" if certified else "gauge without a certificate"
        sizes[name] = Doubted(
            cell.value,
            (
                Doubt(f"reading of {name} on {serial}", "readings", own, True),
                Doubt(f"gauge {cell.instrument}", kind, gauge, certified),
            ),
        )
    return sizes


def _of_casting(
    passage: Passage, formula: Formula, sizes: dict[str, Doubted], drawn: dict[str, float], serial: str, style: Style
) -> PassageLine:
    try:
        return _line(passage, formula, formulas.derive(formula, sizes), drawn, serial, style)
    except DataError as problem:
        return _unreadable(passage, str(problem), serial)


def _of_mean(
    passage: Passage, formula: Formula, castings: Sequence[dict[str, Doubted]], drawn: dict[str, float], style: Style
) -> PassageLine:
    try:
        return _line(passage, formula, mean_of(formula, castings), drawn, None, style)
    except DataError as problem:
        return _unreadable(passage, str(problem))


def mean_of(formula: Formula, castings: Sequence[dict[str, Doubted]]) -> Derived:
    """The passage at the mean sizes of several castings; what a gauge leaves open is no smaller for being read often.

    How the castings differ is seen in the passage itself, so that sizes that move together do so here too: s over the
    root of their number, never below what their readings leave open. DataError where the formula has no value.
    """
    n = len(castings)
    sizes = {
        name: Doubted(
            fsum(sizes[name].value for sizes in castings) / n,
            tuple(doubt._replace(u=doubt.u / n) for sizes in castings for doubt in sizes[name].doubts),
        )
        for name in formula.names
    }
    mean = formulas.derive(formula, sizes)
    values = [formulas.value_of(formula, {name: size.value for name, size in c.items()}) for c in castings]
    centre = fsum(values) / n
    scatter = fsum((value - centre) ** 2 for value in values) / (n - 1) / n
    read = fsum(doubt.u**2 for doubt in mean.doubts if doubt.kind == "readings")
    if scatter <= read:
        return mean
    doubts = (*mean.doubts, Doubt("castings", "castings that differ", sqrt(scatter - read), True))
    return replace(mean, u=sqrt(fsum(doubt.u**2 for doubt in doubts)), doubts=doubts)


def _line(
    passage: Passage,
    formula: Formula,
    value: Derived,
    drawn: dict[str, float],
    serial: str | None,
    style: Style,
) -> PassageLine:
    where = f"casting {serial}" if serial else "mean"
    as_drawn = formulas.value_of(formula, drawn)
    rated = rating(passage, formula, as_drawn)
    unit = passage.unit or ""
    unrated = PassageLine(
        name=passage.name,
        serial=serial,
        formula=passage.formula,
        value=value.value,
        u=value.u,
        unit=formula.unit,
        drawn=as_drawn,
        rated=None,
        minimum=None,
        capacity=None,
        u_capacity=None,
        capacity_unit=unit,
        p_meets=None,
        level=None,
        sentence=f"{passage.name}, {where}: {_size(value.estimate, formula.unit, style)}",
        caveat="",
    )
    if rated is None:
        return unrated
    passes = capacity(value, as_drawn, rated, passage.exponent, passage.minimum, unit, style, formula.law)
    return replace(
        unrated,
        rated=rated,
        minimum=passage.minimum,
        capacity=passes.value,
        u_capacity=passes.u,
        p_meets=passes.p_meets,
        level=passes.level,
        sentence=f"{passage.name}, {where}: {passes.sentence}",
        caveat=passes.caveat,
        how=passes.how,
        u_measured=passes.u_measured,
        u_assumed=passes.u_assumed,
        in_units=tuple(in_units(passes.value, unit).items()),
    )


def _size(size: Estimate, unit: str, style: Style) -> str:
    """A derived size with twice its uncertainty: a length in the style, an area, a volume or a number as it is."""
    if unit == "mm":
        return style.plus_minus(size.value, 2 * size.u, 1)
    return f"{style.figure(size.value, 1)} ± {style.figure(2 * size.u, 1)} {unit}"


def _unreadable(passage: Passage, why: str, serial: str | None = None) -> PassageLine:
    return PassageLine(
        name=passage.name,
        serial=serial,
        formula=passage.formula,
        value=0.0,
        u=0.0,
        unit="",
        drawn=0.0,
        rated=passage.rated,
        minimum=passage.minimum,
        capacity=None,
        u_capacity=None,
        capacity_unit=passage.unit or "",
        p_meets=None,
        level=None,
        sentence=f"{passage.name}: {why}",
        caveat=CAVEAT if passage.rated else "",
    )
