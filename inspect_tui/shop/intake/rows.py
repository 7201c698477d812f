"""Goes through the lines of a file and gathers casting readings, and line by line what is wrong with the others."""

from __future__ import annotations

import re
from collections.abc import Sequence

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import quantity
from inspect_tui.metrology.typed.parsed import Ambiguous, Entry
from inspect_tui.metrology.typed.quantity import COLDEST_C, WARMEST_C
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import find
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.table_columns import MINUS, number
from inspect_tui.shop.common.table_file import EVERY, Grid, nobody_waits
from inspect_tui.shop.common.workbook_apart import Watch
from inspect_tui.shop.common.workbook_marks import letters
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.columns import DEGREES, ROLES, Column, Layout, unit_mm
from inspect_tui.todo import Todo

MOST_SHOWN = 40  # lines of a refusal that are shown where nobody can scroll
MOST_KEPT = 2_000  # and where one can
MOST_TYPED = 64
PLAIN_MM = 1e5  # a size above 0 and below this needs no second look
DAY = re.compile(r"\d{4}-\d\d-\d\d(?:T[\d:.]+)?")


class ImportRefused(DataError):
    """A file that was not taken in; `lines` say why, one a line of the file; `below` are the first, in `str()`."""

    def __init__(self, sentence: str, lines: Sequence[str] = (), *, todo: Todo | None = None, about: str = "") -> None:
        self.sentence, self.lines, self.below = sentence, shortened(lines, MOST_KEPT), shortened(lines, MOST_SHOWN)
        super().__init__("\n".join([sentence, *self.below]), todo=todo, about=about)


def shortened(lines: Sequence[str], most: int) -> tuple[str, ...]:
    """The first lines and how many more there are."""
    return tuple(lines) if len(lines) <= most else (*lines[:most], f"and {len(lines) - most:,} more".replace(",", " "))


@frozen_by_name
class Options:
    """What a person says with a file. `mapping` is role or feature -> head of the column."""

    by: str | None = None
    instrument: str | None = None
    unit: str | None = None
    mapping: tuple[tuple[str, str], ...] = ()
    temperature_c: float | None = None
    instrument_c: float | None = None
    heights: bool = False
    sheet: str | None = None
    poured_on: str | None = None


@frozen_by_name
class Row:
    """One reading of a file, mm (degrees for angles) as it will be recorded."""

    line: int
    head: str
    balloon: str
    serial: str
    value: float
    typed: str
    unit: str
    rep: int
    by: str
    instrument: str
    work_c: float | None
    stated: bool = True  # whether the file or a person says the unit


def refused(
    grid: Grid,
    wrong: Sequence[str],
    do: str = "Put it right in the file and take it in again.",
    todo: Todo | None = None,
) -> ImportRefused:
    """The refusal of a file with all that is wrong in it, one a line; `do` and `todo` say what to do."""
    n = len(wrong)
    words = "1 thing is" if n == 1 else f"{n:,} things are".replace(",", " ")
    return ImportRefused(f"{grid.name} was not taken in: {words} wrong. Nothing was added. {do}", wrong, todo=todo)


class RowReader:
    """Goes through the lines below the heads and gathers readings and what is wrong."""

    def __init__(
        self, sampling: Sampling, grid: Grid, layout: Layout, options: Options, watch: Watch = nobody_waits
    ) -> None:
        self.sampling, self.grid, self.layout, self.options, self.watch = sampling, grid, layout, options, watch
        self.wrong: list[str] = []
        self.heads = grid.rows[layout.head_row]
        self.values = [column for column in layout.columns if column.role == "value"]
        self.roles = {role: layout.one(role) for role in ROLES if role != "value"}
        self.named: dict[str, str] = {}
        self.serials = {item.serial.casefold(): item.serial for item in sampling.castings}
        self.exact = {item.serial for item in sampling.castings}
        self.features = {f.balloon: f for f in sampling.features}
        targets = sampling.record.datum_targets(sampling.job.of_id) if options.heights else []
        self.targets = {target.label for target in targets}
        self.marks: dict[str, int] = {}
        self.seen: dict[tuple[str, str, int], int] = {}

    def rows(self) -> list[Row]:
        """Every reading that was understood; `wrong` says the rest."""
        serials = [item.serial for item in self.sampling.castings]
        twice = sorted({serial for serial in serials if serials.count(serial) > 1})
        if twice:
            self.wrong.append(f"casting {', '.join(twice)} is in the record twice; it cannot be said which is meant")
        found: list[Row] = []
        start = self.layout.first_row
        self._headless(start)
        for n, (cells, line) in enumerate(zip(self.grid.rows[start:], self.grid.lines[start:], strict=True)):
            if n % EVERY == 0:
                self.watch("checked", n, len(self.grid.rows) - start)
            if self.grid.separator and len(cells) > len(self.heads):
                self._too_many_cells(cells, line)
                continue
            found += self._line(cells, line)
        if len(self.marks) > 1:
            self.wrong.append(
                f"decimal points (line {self.marks['.']}) and decimal commas (line {self.marks[',']}) in one file: "
                "write them all one way and leave thousands without a mark"
            )
        return found

    def _headless(self, start: int) -> None:
        """Columns of figures that no head names: nobody could say later what became of them."""
        for place in range(self.grid.width):
            if place < len(self.heads) and self.heads[place]:
                continue
            filled = [row[place] for row in self.grid.rows[start:] if place < len(row) and row[place]]
            if place >= len(self.heads) and self.grid.separator:
                break  # said line by line
            if sum(number(cell) is not None for cell in filled) > len(filled) / 2:
                self.wrong.append(
                    f"column {letters(place)} holds {len(filled)} cell{'s' * (len(filled) > 1)} such as "
                    f"{filled[0][:24]} and has no head: give it one, or empty it"
                )

    def _too_many_cells(self, cells: tuple[str, ...], line: int) -> None:
        hint = "quotation marks keep a separator inside a cell"
        if self.grid.separator == ",":
            hint = "where commas are decimal marks, part the cells by semicolons or tabs"
        n = len(self.heads)
        self.wrong.append(f"line {line}: {len(cells)} cells under {n} head{'s' * (n != 1)}; {hint}")

    def _cell(self, cells: tuple[str, ...], column: Column | None) -> str:
        return cells[column.place] if column is not None and column.place < len(cells) else ""

    def _line(self, cells: tuple[str, ...], line: int) -> list[Row]:
        layout = self.layout
        serial = self._cell(cells, self.roles["serial"])
        if serial and serial not in self.exact:  # c1 is C1, and as it was spelled first in the file
            serial = self.serials.setdefault(serial.casefold(), serial)
        name = self._cell(cells, self.roles["feature"])
        found: list[Row] = []
        if layout.form == "features" and not serial:
            if any(self._cell(cells, c) for c in self.values):
                self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return found
        balloon = ""
        if layout.form != "features":
            if not name:
                if any(self._cell(cells, c) for c in self.values):
                    self.wrong.append(f"line {line}: no feature in column {self._head('feature')}")
                return found
            balloon = self._balloon(name, line)
            if not balloon:
                return found
        for column in self.values:
            text = self._cell(cells, column)
            if not text:
                continue
            whose = (
                (column.of, serial)
                if layout.form == "features"
                else (balloon, column.of)
                if layout.form == "castings"
                else (balloon, serial)
            )
            row = self._reading(cells, line, column, text, *whose)
            if row is not None:
                found.append(row)
        return found

    def _head(self, role: str) -> str:
        column = self.layout.one(role)
        return column.head if column else role

    def _balloon(self, name: str, line: int) -> str:
        if name in self.targets:
            return name
        if name not in self.named:
            try:
                self.named[name] = find.feature(self.sampling.features, name, self.sampling.revision.rev).balloon
            except NotFound as problem:
                self.named[name] = f"\0{problem}"
        if self.named[name].startswith("\0"):
            self.wrong.append(f"line {line}: {self.named[name][1:]}")
            return ""
        return self.named[name]

    def _reading(
        self, cells: tuple[str, ...], line: int, column: Column, text: str, balloon: str, serial: str
    ) -> Row | None:
        if not serial:
            self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return None
        if len(serial) > 40:
            self.wrong.append(f"line {line}: {serial[:24]}… is no serial: 40 characters are the most")
            return None
        feature = self.features.get(balloon)
        value = self._value(text, line, column, feature, self._cell(cells, self.roles["unit"]))
        if value is None:
            return None
        mm, unit, stated = value
        rep = self._rep(cells, line)
        key = (balloon, serial, rep)
        if key in self.seen:
            both = ", or say with a column repeat (1, 2, 3) that both count" if self.layout.form == "long" else ""
            before = f"stands in line {self.seen[key]} already"
            self.wrong.append(f"line {line}: {balloon} of casting {serial} {before}: take one out{both}")
            return None
        self.seen[key] = line
        work = self._cell(cells, self.roles["temperature"])
        work_c = number(work) if work else self.options.temperature_c
        if work and work_c is None:
            self.wrong.append(f"line {line}: {work[:24]} is no temperature: write degrees Celsius, such as 23")
            return None
        if work_c is not None and not COLDEST_C <= work_c <= WARMEST_C:
            self.wrong.append(f"line {line}: no work is measured at {work_c:g} °C: write degrees Celsius, such as 23")
            return None
        return Row(
            line=line,
            head=column.head,
            balloon=balloon,
            serial=serial,
            value=mm,
            typed=text[:MOST_TYPED],
            unit=unit,
            rep=rep,
            by=self._cell(cells, self.roles["by"]) or self.options.by or "",
            instrument=self._cell(cells, self.roles["instrument"]) or self.options.instrument or "",
            work_c=work_c,
            stated=stated,
        )

    def _rep(self, cells: tuple[str, ...], line: int) -> int:
        text = self._cell(cells, self.roles["repeat"])
        if not text:
            return 1
        rep = number(text)
        if rep is None or rep != int(rep) or not 1 <= rep <= 999:
            self.wrong.append(f"line {line}: {text[:24]} is no number of a repeat: write 1, 2, 3")
            return 1
        return int(rep)

    def _value(
        self, text: str, line: int, column: Column, feature: Feature | None, unit_cell: str
    ) -> tuple[float, str, bool] | None:
        """The reading in mm (degrees), its unit, and whether that is stated; None when it is none (said in `wrong`)."""
        said = unit_cell or column.unit
        angle = feature is not None and is_angle(feature)
        where = f"line {line}, {column.head}"
        if said and angle and said.casefold() not in DEGREES:
            self.wrong.append(
                f"{where}: {feature.balloon if feature else ''} is an angle, not in {said}: write degrees"
            )
            return None
        if said and not angle and unit_mm(said) is None:
            self.wrong.append(f"{where}: {said} is no unit of length known here; give mm, cm, m, um or in")
            return None
        unit = "deg" if angle else (said or self.layout.unit or "mm")
        stated = angle or bool(unit_cell or self.options.unit) or bool(column.unit and not column.kept)
        plain = text.translate(MINUS).strip()
        if plain.startswith("=") or plain.startswith("@"):
            shown = plain if len(plain) <= 24 else plain[:23] + "…"
            self.wrong.append(f"{where}: {shown} is a formula, kept as text; save the file with values")
            return None
        value = number(plain)
        if (line, column.place) in self.grid.steered:
            self.wrong.append(f"{where}: control characters stood in {plain[:24]}, it may not be whole: write it anew")
            return None
        if value is not None:
            for mark in ".,":
                if mark in plain:
                    self.marks.setdefault(mark, line)
            mm = value * (1.0 if angle else unit_mm(unit) or 1.0)
            if 0.0 < mm < PLAIN_MM and not angle:
                return mm, _short(unit), stated
        if DAY.fullmatch(plain):
            self.wrong.append(
                f"{where}: {plain[:10]} is a day, made of a fraction by the spreadsheet? Write a decimal, or make "
                "the cell text"
            )
            return None
        # heights over the table may lie below its zero
        kind = "position" if self.options.heights else feature.quantity if feature else "length"
        parsed = quantity.parse_line(text, _short(unit), 0.0, kind)
        if isinstance(parsed, Entry) and len(parsed.sizes) == 1:
            return parsed.sizes[0].mm, parsed.sizes[0].unit, stated or value is None
        if isinstance(parsed, Ambiguous):
            self.wrong.append(f"{where}: {parsed.sentence} Leave thousands without a mark")
            return None
        sentence = f"{plain[:24]} is several sizes: one a cell" if isinstance(parsed, Entry) else parsed.sentence
        self.wrong.append(f"{where}: {sentence}")
        return None


def _short(unit: str) -> str:
    return {"inch": "in", "inches": "in", '"': "in", "µm": "um"}.get(unit.casefold(), unit.casefold())
