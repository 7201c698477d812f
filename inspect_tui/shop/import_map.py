"""How the columns of a file are read: guessed from their heads, stated by a person, remembered for the next file.

Three forms are understood: a row a casting with features across; a row a feature with castings across; a row a
reading. Columns may stand in any order; a unit may stand in a head, `F01 [mm]`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from hashlib import sha256

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen
from inspect_tui.shop import find
from inspect_tui.shop.import_grid import Grid
from inspect_tui.shop.sampling import Sampling
from inspect_tui.shop.table_file import number, split_heading

ROLES = ("serial", "feature", "value", "unit", "instrument", "by", "temperature", "repeat", "ignore")
WORDS = {
    "serial": ("serial", "serial no", "serial number", "casting", "casting no", "piece", "item", "part", "part no"),
    "feature": ("feature", "balloon", "characteristic", "char", "dimension", "dim", "point", "no", "nr"),
    "value": ("value", "reading", "measured", "actual", "size", "result", "height"),
    "unit": ("unit", "units"),
    "instrument": ("instrument", "gauge", "with", "measured with"),
    "by": ("by", "person", "initials", "inspector", "measured by"),
    "temperature": ("temperature", "temp", "work temperature"),
    "repeat": ("repeat", "rep", "trial"),
    "ignore": ("nominal", "lower", "upper", "tolerance", "tol", "deviation", "dev", "name", "remark", "remarks", "note",
               "date", "time", "description", "limits"),
}  # fmt: skip
UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "inch": 25.4,
    "inches": 25.4,
    '"': 25.4,
    "um": 0.001,
    "µm": 0.001,
}
UNIT_NAMES = {"in": "inches"}
DEGREES = ("deg", "°", "degrees")
LOOKS_LIKE_BALLOON = re.compile(r"[A-Za-z]{1,3}[-_ ]?\d{1,4}[A-Za-z]?")
HEAD_ROWS = 30  # rows among which the heads are looked for


@frozen
class Column:
    """One column: its place, its head without the unit, its role ("value" of a feature or casting named in `of`)."""

    place: int
    head: str
    role: str
    of: str = ""  # balloon or serial that the head names
    unit: str = ""


@frozen
class Layout:
    """How a file is read: form "features" or "castings" across, or "long"; where its heads are; its columns."""

    form: str
    head_row: int
    columns: tuple[Column, ...]
    unit: str  # of figures whose column does not say
    signature: str

    def one(self, role: str) -> Column | None:
        """The column with that role, if there is one."""
        return next((column for column in self.columns if column.role == role), None)


def signature(heads: Sequence[str], known: Sequence[str]) -> str:
    """Hash of the heads in any order, without the castings' own serials, which change from file to file."""
    serials = {text.casefold() for text in known}
    names = sorted(head.strip().casefold() for head in heads if head.strip() and head.strip().casefold() not in serials)
    return sha256(json.dumps(names).encode()).hexdigest()


def settings(layout: Layout, given: Mapping[str, str]) -> str:
    """What is remembered of a layout: roles by head, as a person stated them, and the unit."""
    roles = {column.head: column.of or column.role for column in layout.columns if column.role != "ignore"}
    roles.update({head: "ignore" for head, what in given.items() if what == "ignore"})
    return json.dumps({"roles": roles, "unit": layout.unit}, ensure_ascii=True, sort_keys=True)


class Chooser:
    """Finds the layout of a grid for a sampling; `given` maps heads (casefolded) to roles, balloons or serials."""

    def __init__(self, grid: Grid, sampling: Sampling, given: Mapping[str, str], unit: str | None) -> None:
        self.grid, self.sampling = grid, sampling
        self.given = {head.strip().casefold(): what.strip() for head, what in given.items()}
        self.unit = unit
        self.serials = {item.serial.casefold(): item.serial for item in sampling.castings}
        self.targets = {t.label.casefold(): t.label for t in sampling.record.datum_targets(sampling.job.of_id)}

    def layout(self) -> Layout:
        """The layout; DataError says which column is not understood and how to map it."""
        head_row = self._head_row()
        heads = self.grid.rows[head_row]
        columns = [self._column(place, head) for place, head in enumerate(heads) if head]
        self._refuse_twice(columns)
        form = self._form(columns)
        if form == "castings":
            columns = [self._casting_column(c) for c in columns]
        columns = [self._settled(column, head_row, form) for column in columns]
        for role in ("serial", "feature", "value"):
            if (
                role
                in {"features": ("serial",), "castings": ("feature",), "long": ("serial", "feature", "value")}[form]
            ):
                self._need(columns, role)
        return Layout(form, head_row, tuple(columns), self.unit or "", signature(heads, list(self.serials.values())))

    # ---------------------------------------------------------------- which row holds the heads
    def _head_row(self) -> int:
        best, score = 0, 0
        for row, cells in enumerate(self.grid.rows[:HEAD_ROWS]):
            found = sum(bool(cell) and self._known(cell) for cell in cells)
            if found > score:
                best, score = row, found
        if not score:
            shown = ", ".join(self.grid.rows[0][:8])
            raise DataError(
                f"No line of {self.grid.name} names a feature of job {self.sampling.job.number} or a column that is "
                f"known; its first line reads: {shown}. Name the columns in a line of their own, or map them: "
                "--map serial=HEAD, --map F01=HEAD."
            )
        return best

    def _known(self, cell: str) -> bool:
        head, _ = split_heading(cell)
        low = head.casefold()
        return (
            cell.casefold() in self.given or low in self.given or self._balloon(head) is not None
            or low in self.serials or low in self.targets or any(low in words for words in WORDS.values())
        )  # fmt: skip

    def _balloon(self, name: str) -> str | None:
        try:
            return find.feature(self.sampling.features, name, self.sampling.revision.rev).balloon
        except NotFound:
            return None

    # ---------------------------------------------------------------- what a column is
    def _column(self, place: int, text: str) -> Column:
        head, unit = split_heading(text)
        stated = self.given.get(text.casefold(), self.given.get(head.casefold()))
        if stated is not None:
            if stated.casefold() in ROLES:
                return Column(place, head, stated.casefold(), unit=unit)
            balloon = self._balloon(stated)
            if balloon is not None:
                return Column(place, head, "value", balloon, unit)
            if stated.casefold() in self.serials:
                return Column(place, head, "value", self.serials[stated.casefold()], unit)
            raise DataError(
                f"{head} is mapped to {stated}, which is neither a feature on revision {self.sampling.revision.rev} "
                f"nor one of {', '.join(ROLES)}."
            )
        balloon = self._balloon(head)
        if balloon is not None:
            return Column(place, head, "value", balloon, unit)
        low = head.casefold()
        if low in self.targets:
            return Column(place, head, "value", self.targets[low], unit)
        role = next((role for role, words in WORDS.items() if low in words), "")
        return Column(place, head, role, unit=unit)

    def _form(self, columns: Sequence[Column]) -> str:
        across = [c for c in columns if c.role == "value" and c.of and c.of.casefold() not in self.serials]
        if across:
            return "features"
        roles = {c.role for c in columns}
        if "feature" in roles and any(c.head.casefold() in self.serials or c.of for c in columns):
            return "castings"
        if "feature" in roles and "serial" not in roles:
            return "castings"
        return "long"

    def _casting_column(self, column: Column) -> Column:
        if column.role in ("", "value") and not column.of:
            return Column(column.place, column.head, "value", self.serials.get(column.head.casefold(), column.head),
                          column.unit)  # fmt: skip
        return column

    def _settled(self, column: Column, head_row: int, form: str) -> Column:
        """A column without a role: text is left alone, figures or what looks like a balloon must be mapped."""
        if column.role:
            return column
        cells = [row[column.place] for row in self.grid.rows[head_row + 1 :] if column.place < len(row)]
        filled = [cell for cell in cells if cell]
        figures = sum(number(cell) is not None for cell in filled)
        if LOOKS_LIKE_BALLOON.fullmatch(column.head) or (filled and figures > len(filled) / 2 and form != "long"):
            raise DataError(
                f"{self.grid.name}, column {column.head}: {self._unknown(column.head)} Say what it is with "
                f"--map FEATURE='{column.head}', or leave it out with --map ignore='{column.head}'."
            )
        return Column(column.place, column.head, "ignore", unit=column.unit)

    def _unknown(self, head: str) -> str:
        balloons = [f.balloon for f in self.sampling.features]
        close = get_close_matches(head.upper(), balloons, n=2, cutoff=0.5)
        near = f"; nearest: {', '.join(close)}" if close else ""
        return f"no feature {head} on revision {self.sampling.revision.rev}{near}."

    def _refuse_twice(self, columns: Sequence[Column]) -> None:
        seen: dict[tuple[str, str], str] = {}
        for column in columns:
            if column.role in ("ignore", "") or (column.role == "value" and not column.of):
                continue
            key = (column.role, column.of)
            if key in seen:
                what = column.of or column.role
                raise DataError(
                    f"{self.grid.name} has two columns for {what}: {seen[key]} and {column.head}. Leave one out with "
                    f"--map ignore='{column.head}'."
                )
            seen[key] = column.head

    def _need(self, columns: list[Column], role: str) -> None:
        if any(column.role == role for column in columns):
            return
        heads = ", ".join(column.head for column in columns[:12])
        raise DataError(
            f"{self.grid.name}: no column gives the {role}; its columns are: {heads}. Say which with --map {role}=HEAD."
        )


def unit_mm(text: str) -> float | None:
    """How many mm a length unit is, as written in a head; None when it is none."""
    return UNITS.get(text.strip().casefold())
