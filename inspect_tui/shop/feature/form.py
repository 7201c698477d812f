"""Straightness, flatness or roundness from readings as typed, or from the columns of a table.

Straightness: along, height. Flatness: x, y, height. Roundness: angle and radius or diameter, or x and y.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.form import form
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import LIMIT_SLACK_MM
from inspect_tui.shop.common.tables import columns as table_columns

if TYPE_CHECKING:
    from inspect_tui.metrology.form.form import CircleForm, DiameterForm, LineForm, PlaneForm
    from inspect_tui.shop.common.tables.columns import Table

KINDS = ("straightness", "flatness", "roundness")
NO_U = "the uncertainty of the readings is not in this figure"


@frozen_by_name
class FormView:
    """What a form comes to: `width` of the zone (mm), the limit, whether it is inside, None without a limit.

    For diameters `width` is what the deviation is at least, so only *too much* can be said of it.
    """

    kind: str
    of: LineForm | PlaneForm | CircleForm | DiameterForm
    width: float
    limit: float | None
    inside: bool | None
    sentences: tuple[str, ...]


def typed(
    kind: str,
    readings: Sequence[str],
    *,
    every: float = 1.0,
    rows: int | None = None,
    radii: bool = False,
    limit: float | None = None,
    style: Style = MM,
) -> FormView:
    """Form from heights along a line, over a grid (row by row, `rows` of them), or from diameters or radii all round.

    `every` is the distance from one height to the next. DataError for readings that are no sizes or too few.
    """
    values = [_size(text, kind == "roundness", style.word) for text in readings]
    return of_values(kind, values, every=every, rows=rows, radii=radii, limit=limit, style=style)


def of_values(
    kind: str,
    values: Sequence[float],
    *,
    every: float = 1.0,
    rows: int | None = None,
    radii: bool = False,
    limit: float | None = None,
    style: Style = MM,
) -> FormView:
    """As `typed`, of sizes in mm. DataError where they are too few or do not make up the rows."""
    if not every > 0.0:
        raise DataError("The readings stand some distance apart: give more than 0.")
    if kind == "straightness":
        return line([(i * every, h) for i, h in enumerate(values)], limit, style)
    if kind == "flatness":
        if rows is None or rows < 2 or len(values) % rows:
            raise DataError(
                f"{len(values)} heights do not make up {'rows' if rows is None else f'{rows} rows'}: give heights row "
                "by row, in two rows or more with as many in each, and say how many rows."
            )
        wide = len(values) // rows
        return plane([(i % wide * every, i // wide * every, h) for i, h in enumerate(values)], limit, style)
    if radii:
        return circle(form.around(values), limit, style)
    return across(values, None, limit, style)


def from_table(
    kind: str, path: str | Path, sheet: str | None = None, limit: float | None = None, style: Style = MM
) -> FormView:
    """Form from a table; DataError names the columns that lack."""
    table = table_columns.read(path, sheet)
    if kind == "straightness":
        along, height = _columns(table, "along", "height")
        return line(list(zip(along, height, strict=True)), limit, style)
    if kind == "flatness":
        x, y, height = _columns(table, "x", "y", "height")
        return plane(list(zip(x, y, height, strict=True)), limit, style)
    headings = {table_columns.split_heading(h)[0].casefold() for h in table.headings}
    if {"angle", "diameter"} <= headings:
        angle, diameter = _columns(table, "angle", "diameter")
        return across(diameter, angle, limit, style)
    if {"angle", "radius"} <= headings:
        angle, radius = _columns(table, "angle", "radius")
        return circle(form.around(radius, angle), limit, style)
    x, y = _columns(table, "x", "y")
    return circle(list(zip(x, y, strict=True)), limit, style)


def _size(text: str, above_zero: bool, unit: str) -> float:
    read = fields.size(text, unit, signed=not above_zero)
    if isinstance(read, fields.Wrong):
        raise DataError(f"{read}.")
    return read


def _columns(table: Table, *names: str) -> list[list[float]]:
    """The columns as figures, lengths in mm; every row must hold all of them."""
    lack = [n for n in names if n not in {table_columns.split_heading(h)[0].casefold() for h in table.headings}]
    if lack:
        shown = ", ".join(h for h in table.headings if h) or "none with a name"
        raise DataError(f"{table.name} has no column {' and no column '.join(lack)}. Its columns are: {shown}.")
    columns = []
    for name in names:
        unit = table_columns.split_heading(table.headings[table_columns.find_column(table, name)])[1]
        to = "deg" if name == "angle" else "mm"
        columns.append(table_columns.column(table, name, to if unit else None))
    kept = set.intersection(*(set(column.rows) for column in columns))
    short = sorted(set().union(*(set(column.rows) for column in columns)) - kept)
    if short:
        raise DataError(f"line {table.lines[short[0]]} of {table.name} lacks one of {', '.join(names)}.")
    return [list(column.values) for column in columns]


# ------------------------------------------------------------------------------ in words
def line(points: Sequence[tuple[float, float]], limit: float | None = None, style: Style = MM) -> FormView:
    """Straightness of points (along, height), mm."""
    made = form.straightness(points)
    on = ", ".join(str(i + 1) for i in made.on)
    say = f"straightness {style.significant(made.zone, 3)} (narrowest zone, of {made.n} readings; rests on {on})"
    more = f"about the least-squares line it would be {style.significant(made.least_squares, 3)}"
    return _view("straightness", made, made.zone, limit, [say, more], style)


def plane(points: Sequence[tuple[float, float, float]], limit: float | None = None, style: Style = MM) -> FormView:
    """Flatness of points (x, y, height), mm."""
    made = form.flatness(points)
    on = ", ".join(str(i + 1) for i in made.on)
    say = f"flatness {style.significant(made.zone, 3)} (narrowest zone, of {made.n} readings; rests on {on})"
    more = f"about the least-squares plane it would be {style.significant(made.least_squares_across, 3)}"
    return _view("flatness", made, made.zone, limit, [say, more], style)


def circle(points: Sequence[tuple[float, float]], limit: float | None = None, style: Style = MM) -> FormView:
    """Roundness of points (x, y) of one section, mm."""
    made = form.roundness(points)
    say = f"roundness {style.significant(made.zone, 3)} (narrowest ring, of {made.n} readings)"
    around = f"largest circle inside: radius {style.length(made.inscribed, 3)}; smallest around: radius "
    around += style.length(made.circumscribed, 3)
    more = f"about the least-squares centre it would be {style.significant(made.least_squares, 3)}"
    return _view("roundness", made, made.zone, limit, [say, around, more], style)


def across(
    values: Sequence[float], at: Sequence[float] | None = None, limit: float | None = None, style: Style = MM
) -> FormView:
    """Roundness that diameters in several directions (degrees) show, mm: at least half of what they differ."""
    made = form.diameters(values, at)
    (most, where_most), (least, where_least) = made.largest, made.smallest
    say = f"roundness at least {style.significant(made.at_least, 3)}: diameter {style.length(most, 3)} at "
    say += f"{style.angle(where_most)}, {style.length(least, 3)} at {style.angle(where_least)}, mean "
    say += style.length(made.mean, 3)
    lobes = "diameters do not show three or five lobes: turn the piece under a dial, or take radii, to see them"
    return _view("roundness", made, made.at_least, limit, [say, lobes], style, at_least=True)


def _view(
    kind: str,
    made: LineForm | PlaneForm | CircleForm | DiameterForm,
    width: float,
    limit: float | None,
    say: list[str],
    style: Style,
    at_least: bool = False,
) -> FormView:
    inside: bool | None = None
    if limit is not None:
        within = width <= limit + LIMIT_SLACK_MM
        inside = None if within and at_least else within
        stated = style.given(limit)
        if inside is None:
            say = [*say, f"not over {stated} as far as diameters tell; whether it is inside they cannot tell"]
        else:
            say = [*say, f"{'inside' if inside else 'over'} {stated}; {NO_U}"]
    return FormView(kind=kind, of=made, width=width, limit=limit, inside=inside, sentences=tuple(say))
