"""Goes through the lines of a file and gathers casting readings, and line by line what is wrong with the others."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import day_order, fields, quantity, show
from inspect_tui.metrology.typed.parsed import Ambiguous, TypedLine
from inspect_tui.metrology.typed.units import DEG, MM, Unit
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import find
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.common.sizes import RAW
from inspect_tui.shop.common.tables.columns import MINUS, number
from inspect_tui.shop.common.tables.file import EVERY, Grid, nobody_waits
from inspect_tui.shop.common.tables.workbook_apart import Watch
from inspect_tui.shop.common.tables.workbook_marks import letters
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.columns import NOTHING, HeadColumn, Layout, is_requirement, no_unit, unit_named
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
    return tuple(lines) if len(lines) <= most else (*lines[:most], f"and {show.number(len(lines) - most)} more")


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
    state: str = RAW  # of the castings: raw, or finished by machining
    tool: str | None = None  # the tool that was measured, where no column says
    names: tuple[tuple[str, str], ...] = ()  # what the file calls a person, gauge or tool -> what it is called here
    day: str | None = None  # on which castings were measured, where no column says: ISO date
    days: str | None = None  # the order of day, month and year in the file, such as d/m/y
    keep: bool = False  # take in what was asked about as it stands


@frozen_by_name
class FileReading:
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
    day: str = ""  # ISO date on which it was measured; "": that of the file


def refused(
    grid: Grid,
    wrong: Sequence[str],
    do: str = "Put it right in the file and take it in again.",
    todo: Todo | None = None,
) -> ImportRefused:
    """The refusal of a file with all that is wrong in it, one a line; `do` and `todo` say what to do."""
    words = f"{show.count(len(wrong), 'thing')} {'is' if len(wrong) == 1 else 'are'}"
    return ImportRefused(f"{grid.name} was not taken in: {words} wrong. {NOTHING} {do}", wrong, todo=todo)


def asked_first(grid: Grid, asked: Sequence[str], column: str | None = None) -> ImportRefused:
    """The refusal of a file about which something is to be answered, a question a line; `column`: one asked about."""
    words = f"{show.count(len(asked), 'thing')} {'is' if len(asked) == 1 else 'are'}"
    sentence = f"{grid.name} was not taken in: {words} to be looked at first. {NOTHING}"
    todo = Todo.KEEP_ODD if column is None else Todo.LEAVE_OUT_OR_KEEP
    return ImportRefused(sentence, asked, todo=todo, about=column or "")


def refuse_order(days: str | None) -> None:
    """DataError for an order of day, month and year that is none."""
    if days is not None and days not in day_order.ORDERS:
        raise DataError(f"{days} is no order of a day: {', '.join(day_order.ORDERS)}. {NOTHING}")


class CellReader:
    """What every reader of a file of readings does with a line: its cells, figures, repeats; `wrong` says the rest."""

    def __init__(self, grid: Grid, layout: Layout, options: Options, today: str, watch: Watch = nobody_waits) -> None:
        self.grid, self.layout, self.options, self.today, self.watch = grid, layout, options, today, watch
        self.wrong: list[str] = []
        self.remarks: list[str] = []
        self.heads = grid.rows[layout.head_row]
        self.values = [column for column in layout.columns if column.role == "value"]
        self.roles = {column.role: column for column in layout.columns if column.role not in ("value", "ignore", "")}
        self.marks: dict[str, int] = {}
        self.unclear_days = False  # a day may be two, and nobody said the order
        self._days: dict[str, str] = {}
        self._order = options.days or self._told_order()

    def _told_order(self) -> str | None:
        """The order of day and month where days of the column tell it by themselves; said as a remark."""
        column = self.roles.get("day")
        rows = self.grid.rows[self.layout.first_row :]
        told = day_order.order_of(self._cell(cells, column) for cells in rows)
        if told is None:
            return None
        words = "day first" if told[0] == "d/m/y" else "month first"
        self.remarks.append(f"days are read with the {words}, as {told[1]} tells")
        return told[0]

    def _day(self, text: str, line: int) -> str | None:
        """The day (ISO date) of a cell; "" where it is none (said in `wrong`, once), None where the cell is empty."""
        if not text:
            return None
        if text in self._days:
            return self._days[text]
        self._days[text] = ""
        day = day_order.day_in(text, self._order, self.today)
        if isinstance(day, fields.Wrong):
            self.unclear_days = self.unclear_days or (self._order is None and day_order.may_be_two(text))
            self.wrong.append(f"line {line}, {self._head('day')}: {day}")
        elif day > self.today:
            self.wrong.append(f"line {line}: {day} is still to come: a reading has the day on which it was measured")
        else:
            self._days[text] = day
        return self._days[text]

    def _lines(self) -> Iterator[tuple[tuple[str, ...], int]]:
        """The lines below the heads with their numbers; what no head names and what has too many cells is said."""
        start = self.layout.first_row
        self._headless(start)
        for n, (cells, line) in enumerate(zip(self.grid.rows[start:], self.grid.lines[start:], strict=True)):
            if n % EVERY == 0:
                self.watch("checked", n, len(self.grid.rows) - start)
            if self.grid.separator and len(cells) > len(self.heads):
                self._too_many_cells(cells, line)
                continue
            yield cells, line
        if len(self.marks) > 1:
            self.wrong.append(
                f"decimal points (line {self.marks['.']}) and decimal commas (line {self.marks[',']}) in one file: "
                "write them all one way and leave thousands without a mark"
            )

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
                    f"column {letters(place)} holds {show.count(len(filled), 'cell')} such as "
                    f"{filled[0][:24]} and has no head: give it one, or empty it"
                )

    def _too_many_cells(self, cells: tuple[str, ...], line: int) -> None:
        hint = "quotation marks keep a separator inside a cell"
        if self.grid.separator == ",":
            hint = "where commas are decimal marks, part the cells by semicolons or tabs"
        self.wrong.append(f"line {line}: {len(cells)} cells under {show.count(len(self.heads), 'head')}; {hint}")

    def _cell(self, cells: tuple[str, ...], column: HeadColumn | None) -> str:
        return cells[column.place] if column is not None and column.place < len(cells) else ""

    def _head(self, role: str) -> str:
        column = self.layout.column_of(role)
        return column.head if column else role

    def _rep(self, cells: tuple[str, ...], line: int) -> int:
        text = self._cell(cells, self.roles.get("repeat"))
        if not text:
            return 1
        rep = fields.count(text, 1, 999)
        if isinstance(rep, fields.Wrong):
            self.wrong.append(f"line {line}: {text[:24]} is no number of a repeat: write 1, 2, 3")
            return 1
        return rep

    def _value(
        self, text: str, line: int, column: HeadColumn, feature: Feature | None, unit_cell: str
    ) -> tuple[float, str, bool] | None:
        """The reading in mm (degrees), its unit, and whether that is stated; None when it is none (said in `wrong`)."""
        said = unit_cell or column.unit
        angle = feature is not None and is_angle(feature)
        where = f"line {line}, {column.head}"
        unit: Unit | None = DEG if angle else MM
        if said or (self.layout.unit and not angle):
            unit = unit_named(said or self.layout.unit, "angle" if angle else "length")
        if unit is None and angle:
            self.wrong.append(
                f"{where}: {feature.balloon if feature else ''} is an angle, not in {said}: write degrees"
            )
            return None
        if unit is None:
            self.wrong.append(f"{where}: {no_unit(said)}")
            return None
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
            mm = value * unit.num / unit.den
            if 0.0 < mm < PLAIN_MM and not angle:
                return mm, unit.name, stated
        if DAY.fullmatch(plain):
            self.wrong.append(
                f"{where}: {plain[:10]} is a day, made of a fraction by the spreadsheet? Write a decimal, or make "
                "the cell text"
            )
            return None
        # heights over the table may lie below its zero
        kind = "position" if self.options.heights else feature.quantity if feature else "length"
        parsed = quantity.parse_line(text, unit.name, 0.0, kind)
        if isinstance(parsed, TypedLine) and len(parsed.sizes) == 1:
            return parsed.sizes[0].mm, parsed.sizes[0].unit, stated or value is None
        if isinstance(parsed, Ambiguous):
            self.wrong.append(f"{where}: {parsed.sentence} Leave thousands without a mark")
            return None
        sentence = f"{plain[:24]} is several sizes: one a cell" if isinstance(parsed, TypedLine) else parsed.sentence
        self.wrong.append(f"{where}: {sentence}")
        return None


class LineReader(CellReader):
    """Goes through the lines below the heads and gathers readings of castings and what is wrong."""

    def __init__(
        self,
        sampling: Sampling,
        grid: Grid,
        layout: Layout,
        options: Options,
        today: str,
        watch: Watch = nobody_waits,
    ) -> None:
        super().__init__(grid, layout, options, today, watch)
        self.sampling = sampling
        self.named: dict[str, str | NotFound] = {}  # feature as the file calls it -> its balloon
        self.serials = {item.serial.casefold(): item.serial for item in sampling.castings}
        self.exact = {item.serial for item in sampling.castings}
        self.features = {f.balloon: f for f in sampling.features}
        targets = sampling.record.datum_targets(sampling.job.of_id) if options.heights else []
        self.targets = {target.label for target in targets}
        self.seen: dict[tuple[str, str, str, int], int] = {}

    def readings(self) -> list[FileReading]:
        """Every reading that was understood; `wrong` says the rest."""
        serials = [item.serial for item in self.sampling.castings]
        twice = sorted({serial for serial in serials if serials.count(serial) > 1})
        if twice:
            self.wrong.append(f"casting {', '.join(twice)} is in the record twice; it cannot be said which is meant")
        return [reading for cells, line in self._lines() for reading in self._line(cells, line)]

    def _line(self, cells: tuple[str, ...], line: int) -> list[FileReading]:
        layout = self.layout
        serial = self._cell(cells, self.roles.get("serial"))
        if serial and serial not in self.exact:  # c1 is C1, and as it was spelled first in the file
            serial = self.serials.setdefault(serial.casefold(), serial)
        name = self._cell(cells, self.roles.get("feature"))
        read: list[FileReading] = []
        if serial not in self.exact and is_requirement(serial):
            self.remarks.append(f"line {line} ({serial}) says what is wanted, or a mean, and is no casting: left out")
            return read
        if layout.form == "features" and not serial:
            if any(self._cell(cells, c) for c in self.values):
                self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return read
        balloon = ""
        if layout.form != "features":
            if not name:
                if any(self._cell(cells, c) for c in self.values):
                    self.wrong.append(f"line {line}: no feature in column {self._head('feature')}")
                return read
            balloon = self._balloon(name, line)
            if not balloon:
                return read
        for column in self.values:
            text = self._cell(cells, column)
            if not text:
                continue
            reading = self._reading(
                cells,
                line,
                column,
                text,
                column.of if layout.form == "features" else balloon,
                column.of if layout.form == "castings" else serial,
            )
            if reading is not None:
                read.append(reading)
        return read

    def _balloon(self, name: str, line: int) -> str:
        if name in self.targets:
            return name
        if name not in self.named:
            try:
                self.named[name] = find.feature(self.sampling.features, name, self.sampling.revision.rev).balloon
            except NotFound as problem:
                self.named[name] = problem
        balloon = self.named[name]
        if isinstance(balloon, NotFound):
            self.wrong.append(f"line {line}: {balloon}")
            return ""
        return balloon

    def _reading(
        self, cells: tuple[str, ...], line: int, column: HeadColumn, text: str, balloon: str, serial: str
    ) -> FileReading | None:
        if not serial:
            self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return None
        if len(serial) > 40:
            self.wrong.append(f"line {line}: {serial[:24]}… is no serial: 40 characters are the most")
            return None
        feature = self.features.get(balloon)
        value = self._value(text, line, column, feature, self._cell(cells, self.roles.get("unit")))
        if value is None:
            return None
        mm, unit, stated = value
        rep = self._rep(cells, line)
        day = self._day(self._cell(cells, self.roles.get("day")), line)
        if day == "":
            return None
        key = (balloon, serial, day or "", rep)
        if key in self.seen:
            both = ", or say with a column repeat (1, 2, 3) that both count" if self.layout.form == "long" else ""
            before = f"stands in line {self.seen[key]} already"
            self.wrong.append(f"line {line}: {balloon} of casting {serial} {before}: take one out{both}")
            return None
        self.seen[key] = line
        work = self._cell(cells, self.roles.get("temperature"))
        work_c = fields.temperature(work) if work else self.options.temperature_c
        if isinstance(work_c, fields.Wrong):
            self.wrong.append(f"line {line}: {work_c}")
            return None
        return FileReading(
            line=line,
            head=column.head,
            balloon=balloon,
            serial=serial,
            value=mm,
            typed=text[:MOST_TYPED],
            unit=unit,
            rep=rep,
            by=self._cell(cells, self.roles.get("by")) or self.options.by or "",
            instrument=self._cell(cells, self.roles.get("instrument")) or self.options.instrument or "",
            work_c=work_c,
            stated=stated,
            day=day or self.options.day or "",
        )
