"""Passages of a sampling: the derived size of each casting and of their mean, and the capacity it would pass."""

from __future__ import annotations

from math import sqrt

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit import passage as formulas
from inspect_tui.metrology.kit.capacity import CAVEAT, capacity
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.kit import Passage
from inspect_tui.model.words import Estimate
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.result import PassageLine


def passages(sampling: Sampling) -> tuple[PassageLine, ...]:
    """Every passage of the job on every casting that has its sizes, then on their mean."""
    passage_lines: list[PassageLine] = []
    powers = {f.balloon: 0 if is_angle(f) else 1 for f in sampling.features}
    drawn = {f.balloon: sampling.sizes(f).as_cast for f in sampling.features}
    for passage in sampling.record.passages(sampling.job.of_id):
        formula = formulas.parse(passage.formula, powers)
        if isinstance(formula, str):
            passage_lines.append(_unreadable(passage, formula))
            continue
        per_casting: list[dict[str, Estimate]] = []
        for item in sampling.castings:
            sizes = _sizes(sampling, formula.names, item.serial)
            if sizes is not None:
                per_casting.append(sizes)
                passage_lines.append(_line(passage, formula, sizes, drawn, item.serial, sampling.style))
        if len(per_casting) > 1:
            passage_lines.append(_line(passage, formula, _means(per_casting), drawn, None, sampling.style))
    return tuple(passage_lines)


def _sizes(sampling: Sampling, names: tuple[str, ...], serial: str) -> dict[str, Estimate] | None:
    item = sampling.casting(serial)
    cells = {name: sampling.cell(sampling.feature(name), item) for name in names}
    if any(cell.value is None or cell.u is None or cell.question for cell in cells.values()):
        return None
    return {name: Estimate(cell.value or 0.0, cell.u or 0.0) for name, cell in cells.items()}


def _means(castings: list[dict[str, Estimate]]) -> dict[str, Estimate]:
    """Mean over the castings with the uncertainty of the mean: from their scatter, never below one reading's share."""
    n = len(castings)
    out = {}
    for name in castings[0]:
        values = [sizes[name].value for sizes in castings]
        mean = sum(values) / n
        scatter = sum((v - mean) ** 2 for v in values) / (n - 1) / n
        read = sum(sizes[name].u ** 2 for sizes in castings) / n**2
        out[name] = Estimate(mean, sqrt(max(scatter, read)))
    return out


def _line(
    passage: Passage,
    formula: formulas.Formula,
    sizes: dict[str, Estimate],
    drawn: dict[str, float],
    serial: str | None,
    style: Style,
) -> PassageLine:
    where = f"casting {serial}" if serial else "mean"
    try:
        value = formulas.derive(formula, sizes)
        as_drawn = formulas.value_of(formula, drawn)
        if passage.rated is None:
            text = f"{passage.name}, {where}: {_size(value.estimate, formula.unit, style)}"
            return PassageLine(
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
                capacity_unit=passage.unit or "",
                p_meets=None,
                level=None,
                sentence=text,
                caveat="",
            )
        passes = capacity(
            value.estimate, as_drawn, passage.rated, passage.exponent, passage.minimum, passage.unit or "", style
        )
    except DataError as problem:
        return _unreadable(passage, str(problem), serial)
    return PassageLine(
        name=passage.name,
        serial=serial,
        formula=passage.formula,
        value=value.value,
        u=value.u,
        unit=formula.unit,
        drawn=as_drawn,
        rated=passage.rated,
        minimum=passage.minimum,
        capacity=passes.value,
        u_capacity=passes.u,
        capacity_unit=passage.unit or "",
        p_meets=passes.p_meets,
        level=passes.level,
        sentence=f"{passage.name}, {where}: {passes.sentence}",
        caveat=passes.caveat,
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
