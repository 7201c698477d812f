"""Readings of a gauge study in another unit than the rest, and the width of a band as it is typed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed import units as quantity_units
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import called

ALIKE = 0.05  # sorted readings of one piece that follow within 5 % are alike; so near a factor counts as that factor
MOST = 0.75  # of the readings of a piece must be alike or off by a factor, else nothing is said about their unit
FACTORS = {
    25.4: "inches among mm",
    10.0: "a decimal point that slipped, or cm among mm",
    100.0: "a decimal point that slipped",
    1000.0: "mm among µm, or m among mm",
}


# ------------------------------------------------------------------------------ units within one file
@frozen
class StudyReading:
    """One reading of a study with the line it stands in."""

    part: str
    person: str
    value: float
    line: int


def factor_between(value: float, other: float) -> float | None:
    """The factor from `value` to `other` when it is one that units or a slipped point make; None otherwise."""
    if not value or not other or (value > 0) != (other > 0):
        return None
    ratio = other / value
    for factor in FACTORS:
        for exact in (factor, 1.0 / factor):
            if abs(ratio / exact - 1.0) <= ALIKE:
                return exact
    return None


def split(values: Sequence[float]) -> list[list[int]]:
    """Places of values that are alike, the largest group first; [] unless all groups differ by such factors.

    A quarter of the values may lie anywhere: one wild reading does not hide the others' unit.
    """
    order = sorted(range(len(values)), key=lambda i: values[i])
    groups: list[list[int]] = [order[:1]]
    for before, after in pairwise(order):
        near = abs(values[after] - values[before]) <= ALIKE * max(abs(values[after]), abs(values[before]))
        groups[-1].append(after) if near else groups.append([after])
    groups.sort(key=len, reverse=True)
    middle = median(values[i] for i in groups[0])
    linked = [g for g in groups[1:] if factor_between(median(values[i] for i in g), middle) is not None]
    kept = [groups[0], *linked]
    return kept if sum(map(len, kept)) >= MOST * len(values) else []


def check(readings: Sequence[StudyReading], file: str, style: Style = MM) -> tuple[str, ...]:
    """Look for readings in another unit: DataError for some of a part, a remark for a whole part.

    Readings of one part are alike, so a factor of 25.4, 10, 100 or 1000 between them is no measuring. Parts may really
    differ. Nothing is said where most parts scatter too widely to tell (deviations about 0). Their figures are said as
    the file has them: their unit is what is asked about.
    """
    by: dict[str, list[StudyReading]] = {}
    for reading in readings:
        by.setdefault(reading.part, []).append(reading)
    groups_of = {part: split([c.value for c in own]) for part, own in by.items() if len(own) > 1}
    mixed = {part: groups for part, groups in groups_of.items() if len(groups) > 1}
    if mixed and 2 * sum(map(bool, groups_of.values())) >= len(groups_of):
        raise DataError(_mixed(by, mixed, file, style))
    middles = {part: median(c.value for c in own) for part, own in by.items()}
    names = list(middles)
    groups = split([middles[name] for name in names]) if len(names) > 2 else []
    usual = median(middles[names[i]] for i in groups[0]) if groups else 0.0
    odd = [names[i] for group in groups[1:] for i in group]
    if not odd or len(groups[0]) <= len(names) / 2:
        return ()
    exact = factor_between(middles[odd[0]], usual) or 1.0
    shown = ", ".join(f"{part} ({style.figures(middles[part], 4)})" for part in odd[:4])
    return (
        f"Part {shown} and the other parts (about {style.figures(usual, 4)}) are {_times(exact, style)} apart: "
        f"{_word(exact)}? Parts may really differ, so nothing was changed.",
    )


def _mixed(by: dict[str, list[StudyReading]], mixed: dict[str, list[list[int]]], file: str, style: Style) -> str:
    part, groups = next(iter(mixed.items()))
    own = by[part]
    usual = median(own[i].value for i in groups[0])
    odd = [own[i] for i in groups[1]]
    exact = factor_between(odd[0].value, usual) or 1.0
    lines = sorted(by[p][i].line for p, gs in mixed.items() for g in gs[1:] for i in g)
    listed = ", ".join(map(str, lines[:8])) + (f" and {len(lines) - 8} more" if len(lines) > 8 else "")
    whose = Counter(by[p][i].person for p, gs in mixed.items() for g in gs[1:] for i in g)
    people = ", ".join(called("person", name) for name in list(whose)[:4])
    same = f", the reading of {people}" if len(lines) == 1 else f", readings of {people}"
    return (
        f"line{'s' if len(lines) > 1 else ''} {listed} of {file}{same}: {style.figures(odd[0].value)} on "
        f"{called('part', part)}, where the others read about {style.figures(usual, 4)}, {_times(exact, style)} apart: "
        f"{_word(exact)}? Write all values in one unit."
    )


def _times(exact: float, style: Style) -> str:
    return f"{style.figures(max(exact, 1 / exact))} times"


def _word(exact: float) -> str:
    """What a factor from the odd reading to the usual one may come from."""
    factor = min(FACTORS, key=lambda f: abs(max(exact, 1.0 / exact) - f))
    return "mm among inches" if factor == 25.4 and exact < 1.0 else FACTORS[factor]


def against_reference(cells: Sequence[tuple[float, float, int]], file: str, style: Style = MM) -> None:
    """Readings (value, reference, line) that are such a factor off their reference are refused with DataError."""
    off = [(v, r, line, exact) for v, r, line in cells if (exact := factor_between(v, r)) is not None]
    if off:
        value, reference, line, exact = off[0]
        more = f" and {len(off) - 1} more" if len(off) > 1 else ""
        raise DataError(
            f"line {line}{more} of {file}: {style.figures(value)} where the reference is "
            f"{style.figures(reference)}, {_times(exact, style)} apart: {_word(exact)}? Write all values in one unit."
        )


# ------------------------------------------------------------------------------ the width of the band
def band_width(text: str, family: str = "length", heading: str = "") -> float:
    """The width of a tolerance in mm, or in deg for angles: `0.5`, `1/64 in`, `0.02 in`.

    A bare number is in the unit of the heading, mm or deg where that names none. DataError when it is no such width.
    """
    unit = quantity_units.short_unit(heading, family) or quantity_units.BASE[family]
    width = fields.size(text, unit.name, quantity="angle" if family == "angle" else "")
    if isinstance(width, fields.Wrong):
        raise DataError(f"The band is the upper limit less the lower one, such as 0.5 or 0.02 in. {width}.")
    if not width > 0.0:
        raise DataError(f"The band is the upper limit less the lower one: {text} is none.")
    return width


def step(text: str, family: str = "length", heading: str = "") -> float:
    """What a gauge reads in, as typed: mm, or deg for angles; a bare number is in the unit of the heading.

    DataError when it is no such step.
    """
    unit = quantity_units.short_unit(heading, family) or quantity_units.BASE[family]
    reads_in = fields.size(text, unit.name, quantity="angle" if family == "angle" else "")
    if isinstance(reads_in, fields.Wrong):
        raise DataError(f"The step is what the gauge reads in, such as 0.02 or 1/64 in. {reads_in}.")
    return reads_in
