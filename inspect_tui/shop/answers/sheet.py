"""Reads the come-back sheet as it was printed, filled in and saved by whoever did it: CSV, XLSX, ODS or XLS.

Columns may stand in any order and further ones may have come to them; a unit may stand in a head or behind a figure.
"""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.answers.said import Answers, Said
from inspect_tui.shop.common.find import get_close_matches
from inspect_tui.shop.common.tables.columns import number
from inspect_tui.shop.common.tables.file import Grid
from inspect_tui.shop.intake.checks import refuse_merged
from inspect_tui.shop.intake.columns import HEAD_ROWS, Layout, bare, unit_named
from inspect_tui.shop.kit.paper.come_back import line_of

# head without its unit -> what it is called; the first of each is what the program prints
HEADS: dict[str, tuple[str, ...]] = {
    "job": ("job",),
    "rev": ("rev", "revision"),
    "kind": ("kind",),
    "core": ("core", "core no", "core number"),
    "what": ("what",),
    "balloon": ("balloon", "feature"),
    "wanted": ("wanted",),
    "lower": ("lower",),
    "upper": ("upper",),
    "casting": ("casting", "mould", "serial"),
    "read": ("read", "reading", "measured", "value"),
    "unit": ("unit",),
    "by": ("by", "who", "initials", "filled in by"),
    "gauge": ("gauge", "instrument", "with"),
    "day": ("day", "date"),
    "remark": ("remark", "remarks", "note"),
    "edition": ("edition",),
}
NEEDED = ("kind", "core", "what", "read")
KINDS = ("core size", "check", "remark")
MOST_WORDS = 1000


def is_sheet(grid: Grid) -> bool:
    """Whether a table is a come-back sheet: a line of it has the heads that are needed."""
    return _head_row(grid) is not None


def _head_row(grid: Grid) -> int | None:
    for row, cells in enumerate(grid.rows[:HEAD_ROWS]):
        if {_role(cell)[0] for cell in cells} >= {"kind", "core", "read"}:
            return row
    return None


def _role(cell: str) -> tuple[str, str]:
    """What a head is called, "" for none that is known, and the unit in it: `read_mm` is read, mm."""
    from inspect_tui.shop.common.tables.columns import split_heading

    unit = split_heading(cell)[1]
    words = bare(cell)
    name, _, last = words.rpartition(" ")
    if not unit and name and unit_named(last) is not None:
        words, unit = name, last
    return next((role for role, names in HEADS.items() if words in names), ""), unit


def read(grid: Grid) -> Answers:
    """What the sheet says; what is wrong in it is among the answers, nothing is raised but for merged cells."""
    return _Sheet(grid).answers()


class _Sheet:
    """One sheet on its way: places of its columns, what was read, what is wrong."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.head_row = _head_row(grid) or 0
        self.heads = grid.rows[self.head_row]
        self.place: dict[str, int] = {}
        self.unit: dict[str, str] = {}
        self.wrong: list[str] = []
        self.remarks: list[str] = list(grid.remarks)
        self.rows: list[Said] = []
        self.lines: list[tuple[str, str]] = []
        self.once: dict[str, dict[str, int]] = {"job": {}, "rev": {}, "edition": {}}  # value -> its first line
        self._columns()

    def _columns(self) -> None:
        unknown: list[tuple[int, str]] = []
        for place, head in enumerate(self.heads):
            role, unit = _role(head)
            if not role:
                unknown.append((place, head))
            elif role in self.place:
                first = self.heads[self.place[role]]
                self.wrong.append(f"line {self._line(self.head_row)}: two columns for {role}: {first} and {head}")
            else:
                self.place[role], self.unit[role] = place, unit
        printed = [names[0] for role, names in HEADS.items() if role not in self.place]
        for role in NEEDED:
            if role not in self.place:
                near = get_close_matches(HEADS[role][0], [head.casefold() for _, head in unknown], 1, 0.6)
                hint = f"; is it {near[0]}?" if near else ""
                self.wrong.append(f"line {self._line(self.head_row)}: no column {HEADS[role][0]}{hint}")
        for place, head in unknown:
            filled = [row[place] for row in self.grid.rows[self.head_row + 1 :] if place < len(row) and row[place]]
            if not filled:
                continue
            if not head:
                self.wrong.append(f"column {place + 1} holds {show.count(len(filled), 'cell')} and has no head")
                continue
            near = get_close_matches(bare(head), printed, 1, 0.6)
            hint = f"; is it {near[0]}?" if near else ""
            self.wrong.append(
                f"line {self._line(self.head_row)}, {head[:40]}: the sheet has no such column{hint} Empty it, or call "
                "it remark"
                if not hint
                else f"line {self._line(self.head_row)}, {head[:40]}: the sheet has no such column{hint}"
            )

    def _line(self, row: int) -> int:
        return self.grid.lines[row]

    def _cell(self, cells: Sequence[str], role: str) -> str:
        place = self.place.get(role)
        text = cells[place] if place is not None and place < len(cells) else ""
        # an apostrophe that keeps a spreadsheet from computing is no part of the text
        return text[1:] if text.startswith("'") and len(text) > 1 else text

    def _head(self, role: str) -> str:
        return self.heads[self.place[role]] if role in self.place else role

    def answers(self) -> Answers:
        refuse_merged(
            self.grid,
            Layout(form="long", head_row=self.head_row, first_row=self.head_row + 1, columns=(), unit="", signature=""),
        )
        if not {role for role in NEEDED if role not in self.place}:
            for row, cells in enumerate(self.grid.rows[self.head_row + 1 :], start=self.head_row + 1):
                self._row(cells, self._line(row))
        for role, values in self.once.items():
            if len(values) > 1:
                told = ", ".join(f"{value} (line {line})" for value, line in list(values.items())[:4])
                self.wrong.append(f"{self._head(role)}: lines of several sheets in one file: {told}")
        return Answers(
            name=self.grid.name,
            sha256=self.grid.sha256,
            job=next(iter(self.once["job"]), ""),
            rev=next(iter(self.once["rev"]), ""),
            edition=next(iter(self.once["edition"]), ""),
            rows=tuple(self.rows),
            wrong=tuple(self.wrong),
            remarks=tuple(self.remarks),
            lines=tuple(self.lines),
        )

    def _row(self, cells: Sequence[str], line: int) -> None:
        for role, values in self.once.items():
            if text := self._cell(cells, role):
                values.setdefault(text, line)
        if len(cells) > len(self.heads):
            hint = "quotation marks keep a separator inside a cell"
            if self.grid.separator == ",":
                hint = "where commas are decimal marks, part the cells by semicolons or tabs"
            self.wrong.append(f"line {line}: {len(cells)} cells under {len(self.heads)} heads; {hint}")
            return
        kind = fields.choice(self._cell(cells, "kind"), KINDS, "the kind of a line")
        number_of = self._core(cells, line)
        limits = [self._limit(cells, role) for role in ("wanted", "lower", "upper")]
        core = None if isinstance(number_of, Wrong) else number_of
        if not isinstance(kind, Wrong):
            what, balloon = self._cell(cells, "what"), self._cell(cells, "balloon")
            self.lines.append((f"line {line}", line_of(kind, core, what, balloon, *limits)))
        if not (self._cell(cells, "read") or self._cell(cells, "remark")):
            return  # not filled in
        if isinstance(kind, Wrong):
            self.wrong.append(f"line {line}, {self._head('kind')}: {kind}")
        if isinstance(number_of, Wrong):
            self.wrong.append(f"line {line}, {self._head('core')}: {number_of}")
        if isinstance(kind, Wrong) or isinstance(number_of, Wrong):
            return
        self._filled(cells, line, kind, number_of, limits[1], limits[2])

    def _core(self, cells: Sequence[str], line: int) -> int | Wrong | None:
        text = self._cell(cells, "core").casefold().removeprefix("core").strip()
        if not text:
            return None
        whole = number(text)  # 3.0 of a spreadsheet
        return fields.count(str(int(whole)) if whole is not None and whole.is_integer() else text, 1, 999)

    def _limit(self, cells: Sequence[str], role: str) -> float | None:
        text = self._cell(cells, role)
        size = fields.size(text, self.unit.get(role) or "mm", signed=True, zero=True) if text else None
        return None if isinstance(size, Wrong) else size

    def _filled(
        self, cells: Sequence[str], line: int, kind: str, core: int | None, lower: float | None, upper: float | None
    ) -> None:
        balloon, what = self._cell(cells, "balloon"), self._cell(cells, "what")
        read_, remark = self._cell(cells, "read"), self._cell(cells, "remark")

        def said(sort: str, role: str, what: str, text: str, result: str = "") -> None:
            self.rows.append(
                Said(
                    at=f"line {line}, {self._head(role)}",
                    sort=sort,
                    core=core,
                    what=what[:200],
                    text=text,
                    unit=self._cell(cells, "unit") or self.unit.get("read", "") if sort in ("size", "check") else "",
                    result=result,
                    lower=lower if sort == "check" else None,
                    upper=upper if sort == "check" else None,
                    mould=self._cell(cells, "casting"),
                    who=self._cell(cells, "by"),
                    gauge=self._cell(cells, "gauge"),
                    day=self._cell(cells, "day"),
                )
            )

        for role, text in (("read", read_), ("remark", remark)):
            if len(text) > MOST_WORDS:
                self.wrong.append(f"line {line}, {self._head(role)}: {len(text)} letters; {MOST_WORDS} are the most")
                return
        if kind == "remark":  # its question is answered wherever there was room
            said("rub", "remark" if remark else "read", what or "remark", "; ".join(filter(None, (read_, remark))))
            return
        if kind == "core size" and not balloon:
            self.wrong.append(f"line {line}, {self._head('balloon')}: no balloon: which size of the core is it?")
            return
        if kind == "check" and not what:
            self.wrong.append(f"line {line}, {self._head('what')}: what was checked?")
            return
        if read_:
            said("size" if kind == "core size" else "check", "read", balloon if kind == "core size" else what, read_)
        if remark:
            said("remark", "remark", " ".join(filter(None, (balloon, what))), remark)
