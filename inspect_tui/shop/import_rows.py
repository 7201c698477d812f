"""Goes through the lines of a file and gathers casting readings, and line by line what is wrong with the others."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen
from inspect_tui.metrology import quantity
from inspect_tui.model import Feature
from inspect_tui.shop import find
from inspect_tui.shop.import_grid import Grid
from inspect_tui.shop.import_map import DEGREES, Column, Layout, unit_mm
from inspect_tui.shop.sampling import Sampling, is_angle
from inspect_tui.shop.table_file import MINUS, number

MOST_SHOWN = 40  # lines of a refusal that are shown
MOST_TYPED = 64


class ImportRefused(DataError):
    """A file that was not taken in; `lines` say why, one a line of the file."""

    def __init__(self, sentence: str, lines: Sequence[str] = ()) -> None:
        super().__init__("\n".join([sentence, *lines]))
        self.sentence, self.lines = sentence, tuple(lines)


@frozen
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


@frozen
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


def refused(grid: Grid, wrong: Sequence[str]) -> ImportRefused:
    """The refusal of a file with all that is wrong in it, one a line."""
    shown = list(wrong[:MOST_SHOWN])
    if len(wrong) > MOST_SHOWN:
        shown.append(f"and {len(wrong) - MOST_SHOWN} more")
    n = len(wrong)
    wrong_words = "thing is" if n == 1 else "things are"
    return ImportRefused(f"{grid.name} was not taken in: {n} {wrong_words} wrong in it.", shown)


class RowReader:
    """Goes through the lines below the heads and gathers readings and what is wrong."""

    def __init__(self, sampling: Sampling, grid: Grid, layout: Layout, options: Options) -> None:
        self.sampling, self.grid, self.layout, self.options = sampling, grid, layout, options
        self.wrong: list[str] = []
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
        start = self.layout.head_row + 1
        for cells, line in zip(self.grid.rows[start:], self.grid.lines[start:], strict=True):
            found += self._line(cells, line)
        if len(self.marks) > 1:
            self.wrong.append(
                f"decimal points (line {self.marks['.']}) and decimal commas (line {self.marks[',']}) in one file: "
                "write them all one way and leave thousands without a mark"
            )
        return found

    def _cell(self, cells: tuple[str, ...], column: Column | None) -> str:
        return cells[column.place] if column is not None and column.place < len(cells) else ""

    def _line(self, cells: tuple[str, ...], line: int) -> list[Row]:
        layout = self.layout
        serial = self._cell(cells, layout.one("serial"))
        name = self._cell(cells, layout.one("feature"))
        found: list[Row] = []
        if layout.form == "features" and not serial:
            if any(self._cell(cells, c) for c in layout.columns if c.role == "value"):
                self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return found
        balloon = ""
        if layout.form != "features":
            if not name:
                if any(self._cell(cells, c) for c in layout.columns if c.role == "value"):
                    self.wrong.append(f"line {line}: no feature in column {self._head('feature')}")
                return found
            balloon = self._balloon(name, line)
            if not balloon:
                return found
        for column in layout.columns:
            if column.role != "value":
                continue
            text = self._cell(cells, column)
            if not text:
                continue
            whose = (
                (column.of, serial) if layout.form == "features"
                else (balloon, column.of) if layout.form == "castings" else (balloon, serial)
            )  # fmt: skip
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
        try:
            return find.feature(self.sampling.features, name, f"{self.sampling.revision.rev} (line {line})").balloon
        except NotFound as problem:
            self.wrong.append(f"line {line}: {problem}")
            return ""

    def _reading(
        self, cells: tuple[str, ...], line: int, column: Column, text: str, balloon: str, serial: str
    ) -> Row | None:
        if not serial:
            self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return None
        if len(serial) > 40:
            self.wrong.append(f"line {line}: {serial[:24]}… is no serial; 40 characters are the most")
            return None
        feature = self.features.get(balloon)
        value = self._value(text, line, column, feature, self._cell(cells, self.layout.one("unit")))
        if value is None:
            return None
        mm, unit = value
        rep = self._rep(cells, line)
        key = (balloon, serial, rep)
        if key in self.seen:
            more = "" if self.layout.form != "long" else "; a column repeat (1, 2, 3) says that both count"
            first = self.seen[key]
            self.wrong.append(f"line {line}: {balloon} of casting {serial} stands in line {first} already{more}")
            return None
        self.seen[key] = line
        work = self._cell(cells, self.layout.one("temperature"))
        work_c = number(work) if work else self.options.temperature_c
        if work and work_c is None:
            self.wrong.append(f"line {line}: {work[:24]} is no temperature")
            return None
        return Row(
            line, column.head, balloon, serial, mm, text[:MOST_TYPED], unit, rep,
            self._cell(cells, self.layout.one("by")) or self.options.by or "",
            self._cell(cells, self.layout.one("instrument")) or self.options.instrument or "", work_c,
        )  # fmt: skip

    def _rep(self, cells: tuple[str, ...], line: int) -> int:
        text = self._cell(cells, self.layout.one("repeat"))
        if not text:
            return 1
        rep = number(text)
        if rep is None or rep != int(rep) or not 1 <= rep <= 999:
            self.wrong.append(f"line {line}: {text[:24]} is no number of a repeat")
            return 1
        return int(rep)

    def _value(
        self, text: str, line: int, column: Column, feature: Feature | None, unit_cell: str
    ) -> tuple[float, str] | None:
        """The reading in mm (degrees) and the unit it was written in; None when it is none (said in `wrong`)."""
        said = unit_cell or column.unit
        angle = feature is not None and is_angle(feature)
        where = f"line {line}, {column.head}"
        if said and angle and said.casefold() not in DEGREES:
            self.wrong.append(f"{where}: {feature.balloon if feature else ''} is an angle, not in {said}")
            return None
        if said and not angle and unit_mm(said) is None:
            self.wrong.append(f"{where}: {said} is no unit of length known here; give mm, cm, m, um or in")
            return None
        unit = "deg" if angle else (said or self.layout.unit or "mm")
        plain = text.translate(MINUS).strip()
        if plain.startswith("=") or plain.startswith("@"):
            shown = plain if len(plain) <= 24 else plain[:23] + "…"
            self.wrong.append(f"{where}: {shown} is a formula, kept as text; save the file with values")
            return None
        value = number(plain)
        if value is not None:
            for mark in ".,":
                if mark in plain:
                    self.marks.setdefault(mark, line)
            return value * (1.0 if angle else unit_mm(unit) or 1.0), _short(unit)
        parsed = quantity.parse_line(text, _short(unit), 0.0, feature.quantity if feature else "length")
        if isinstance(parsed, quantity.Entry) and len(parsed.sizes) == 1:
            return parsed.sizes[0].mm, parsed.sizes[0].unit
        sentence = "several sizes in one cell" if isinstance(parsed, quantity.Entry) else parsed.sentence
        self.wrong.append(f"{where}: {sentence}")
        return None


def _short(unit: str) -> str:
    return {"inch": "in", "inches": "in", '"': "in", "µm": "um"}.get(unit.casefold(), unit.casefold())
