"""Readings of a casting that are in question: a slip, another unit, rows swapped, repeats that do not agree.

A reading in question decides nothing until somebody measures again or puts it right: a figure that was written down
wrongly neither condemns a feature nor passes it. Only what is plainly not honest is doubted, so that a casting that
really is far out stays out: a slip must explain the reading far better, and two readings that agree always stand.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, sqrt
from typing import TYPE_CHECKING, Protocol

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import slips
from inspect_tui.metrology.typed.parsed import Size
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.first_article.findings import QuestionLine
from inspect_tui.todo import plain

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Instrument, Setup
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Feature, Item
    from inspect_tui.record.ask.first_article import SamplingReading
    from inspect_tui.shop.common.sizes import Sizes


class Readings(Protocol):
    """What is asked of the readings of a sampling."""

    castings: tuple[Item, ...]
    features: list[Feature]
    style: Style

    @property
    def instruments(self) -> dict[Id, Instrument]:
        """What there is to measure with, by id."""

    def taken(self, feature: Feature, item: Item, state: str = "raw") -> list[SamplingReading]:
        """The readings that count of one cell, oldest first."""

    def setup(self, setup_id: Id) -> Setup:
        """Who measured with what."""

    def sizes(self, feature: Feature, state: str = "raw") -> Sizes:
        """Size and limits on the casting."""

    def usual(self, feature: Feature) -> float | None:
        """What the castings mostly read there."""


UNIT_WORDS = {"in": "inches", "cm": "cm", "m": "m"}
UNIT_MM = {"in": 25.4, "cm": 10.0, "m": 1000.0}
ENOUGH_ROWS = 3  # rows of one setup from which the unit of the whole is asked about
FAR_OUT = 0.5  # share of the band beyond a limit from which a reading is looked at
AGREE = 0.25  # share of the band within which a second reading bears the first out
AGAIN_US = 5_000_000  # what was typed in one go is one look at the gauge; later than this it was measured again


def mean_of(taken: Sequence[SamplingReading]) -> float:
    """The mean of readings as they were read."""
    return fsum(reading.value for reading in taken) / len(taken)


@frozen
class CellDoubt:
    """Why a cell is in question: the sentence, what it would be then (mm), and the reading that it is about."""

    sentence: str
    suggested: float | None
    reading: SamplingReading | None = None


@frozen
class CastingDoubts:
    """What is in question on one casting as a whole: lines to show, and the doubt by balloon."""

    lines: tuple[QuestionLine, ...]
    cells: dict[str, CellDoubt]


# ------------------------------------------------------------------------------ whole castings
def of_casting(sampling: Readings, item: Item) -> CastingDoubts:
    """Setups in another unit and rows that were swapped on one casting; readings as they stand in the record."""
    cells: dict[str, CellDoubt] = {}
    lengths = [f for f in sampling.features if not is_angle(f) and f.nominal_known]
    read = {f.balloon: (f, taken) for f in lengths if (taken := sampling.taken(f, item))}
    lines = _units(sampling, item, read, cells) + _swaps(sampling, item, read, cells)
    return CastingDoubts(tuple(lines), cells)


def _units(
    sampling: Readings, item: Item, read: dict[str, tuple[Feature, list[SamplingReading]]], cells: dict[str, CellDoubt]
) -> list[QuestionLine]:
    """Setups whose readings only fit the drawing in another unit."""
    from inspect_tui.metrology.faces.rows import unit_of

    style = sampling.style
    groups: dict[Id, dict[str, SamplingReading]] = {}
    for balloon, (_, taken) in read.items():
        for reading in taken:
            groups.setdefault(reading.setup_id, {})[balloon] = reading
    lines = []
    for setup_id, last in groups.items():
        if len(last) < ENOUGH_ROWS:
            continue
        values = {balloon: reading.value for balloon, reading in last.items()}
        unit, share = unit_of(values, {balloon: sampling.sizes(read[balloon][0]).as_cast for balloon in values})
        if unit not in UNIT_WORDS:
            continue
        label = sampling.instruments[sampling.setup(setup_id).instrument_id].label
        words, mm = UNIT_WORDS[unit], UNIT_MM[unit]
        for balloon, value in values.items():
            said = f"{last[balloon].typed} written as mm? In {words} it is {style.length(value * mm)}."
            cells[balloon] = CellDoubt(said, value * mm, last[balloon])
        text = (
            f"Casting {item.serial}: {len(values)} readings with {label} fit the drawing in {words}, not in mm "
            f"({style.percent(share)} of them). Were they written as mm by mistake? "
            f"× {style.figures(mm)} puts them right."
        )
        lines.append(QuestionLine(kind="unit", serial=item.serial, balloons=tuple(values), sentence=text, value=mm))
    return lines


def _swaps(
    sampling: Readings, item: Item, read: dict[str, tuple[Feature, list[SamplingReading]]], cells: dict[str, CellDoubt]
) -> list[QuestionLine]:
    """Pairs of rows that have each other's reading."""
    from inspect_tui.metrology.faces.rows import CastingRow, swapped

    rows = []
    for balloon, (feature, taken) in read.items():
        if balloon not in cells:
            size = sampling.sizes(feature)
            usual = sampling.usual(feature)
            expected = size.as_cast if usual is None else usual
            rows.append(CastingRow(balloon, mean_of(taken), expected, (size.band.width or 0.0) / 6.0))
    lines = []
    for swap in swapped(item.serial, rows):
        lines.append(
            QuestionLine(
                kind="rows swapped",
                serial=swap.serial,
                balloons=(swap.first, swap.second),
                sentence=f"{swap.said(sampling.style)} Rows swapped?",
            )
        )
        for own, other in ((swap.first, swap.second), (swap.second, swap.first)):
            cells[own] = CellDoubt(f"fits {other}, and {other} fits this. Rows swapped?", None)
    return lines


# ------------------------------------------------------------------------------ one cell
def of_cell(
    sampling: Readings,
    feature: Feature,
    item: Item,
    size: Sizes,
    readings: Sequence[SamplingReading],
    values: Sequence[float],
    u: float,
    resolution_mm: float,
) -> CellDoubt | None:
    """What is in question in one cell: `values` are its `readings` as they are judged, with their uncertainty `u`.

    `size` is that of the feature as its readings name it, in the state that they were read in.
    """
    band, width = size.band, _width(size)
    if width is None or is_angle(size.feature):
        return None
    expected: slips.Expectation | None = None
    for reading, value in zip(readings, values, strict=True):
        low = band.lower if band.lower is not None else value
        high = band.upper if band.upper is not None else value
        if max(low - value, value - high) < FAR_OUT * width:
            continue
        if _borne_out(reading, value, readings, values, width):
            continue
        expected = expected or _expected(sampling, feature, item, size, width, u)
        asked = slip(
            reading.value, reading.typed, reading.typed_unit, expected, max(resolution_mm, 1e-6), sampling.style
        )
        if asked is not None:
            return CellDoubt(*asked, reading)
        if max(values) - min(values) > FAR_OUT * width:
            said = " and ".join(dict.fromkeys(r.typed for r in readings))
            return CellDoubt(f"{said} do not agree. Measure it again and take back the wrong one.", None, reading)
    return None


def _width(size: Sizes) -> float | None:
    """The width of the limits; against one limit twice the way to it, as with stock to clean up."""
    if size.band.width is not None:
        return size.band.width
    limit = size.band.lower if size.band.lower is not None else size.band.upper
    return 2.0 * abs(size.target - limit) or None if limit is not None else None


def _borne_out(
    reading: SamplingReading, value: float, readings: Sequence[SamplingReading], values: Sequence[float], width: float
) -> bool:
    """Whether it was measured again and came out alike."""
    return any(
        abs(other.at_us - reading.at_us) >= AGAIN_US and abs(v - value) <= AGREE * width
        for other, v in zip(readings, values, strict=True)
    )


def _expected(
    sampling: Readings, feature: Feature, item: Item, size: Sizes, width: float, u: float
) -> slips.Expectation:
    """What an honest reading would be, seen beside the other castings of the round."""
    beside = [sampling.taken(feature, other, size.state) for other in sampling.castings if other.id != item.id]
    others = [taken[-1].value for taken in beside if taken]
    n = len(others)
    mean = fsum(others) / n if n else 0.0
    s = sqrt(fsum((v - mean) ** 2 for v in others) / (n - 1)) if n > 1 else 0.0
    return slips.expectation_from_history(n, mean, s, size.drawn, width, u=u, balloon=feature.balloon)


def slip(
    value: float,
    typed: str,
    unit: str,
    expected: slips.Expectation,
    resolution_mm: float = slips.FINEST_MM,
    style: Style = MM,
) -> tuple[str, float | None] | None:
    """What a figure that was written down looks like instead, in a sentence and in mm; None where it looks honest."""
    place = 10.0 ** -(len(typed.partition(".")[2])) if "." in typed else 1.0
    try:
        asked = slips.check(Size(value, typed, unit, place), expected, resolution_mm=resolution_mm, style=style)
    except DataError:
        return None
    return (plain(asked), asked.suggested_mm) if asked else None
