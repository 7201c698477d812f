"""How the columns of a file of tool readings are read: a row a reading, or a row a visit with features across."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from difflib import get_close_matches

from inspect_tui.frozen import replace
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables.columns import number, signature, split_heading
from inspect_tui.shop.common.tables.file import Grid
from inspect_tui.shop.intake.columns import (
    HEAD_ROWS,
    LOOKS_LIKE_BALLOON,
    SAMPLES,
    WORDS,
    ColumnsUnclear,
    HeadColumn,
    HeadShown,
    Layout,
    bare,
    is_requirement,
    unit_named,
)
from inspect_tui.todo import Todo

TOOL_WORDS: dict[str, tuple[str, ...]] = {
    "tool": (
        "tool",
        "box",
        "core box",
        "pattern",
        "stick",
        "core stick",
        "kernkasten",
        "modell",
        "werkzeug",
        "outil",
        "boîte à noyaux",
        "modèle",
        "caja",
        "modelo",
        "cassa",
        "modello",
    ),
    "day": ("day", "date", "measured on", "on", "datum", "tag", "jour", "fecha", "data", "dato", "päivä"),
    "count": ("count", "counter", "total", "cores", "moulds", "cores made", "moulds made", "zähler", "zählerstand"),
    "feature": WORDS["feature"],
    "value": WORDS["value"],
    "unit": WORDS["unit"],
    "instrument": (*WORDS["instrument"], "caliper"),
    "by": (*WORDS["by"], "maker", "who"),
    "temperature": WORDS["temperature"],
    "repeat": WORDS["repeat"],
    "ignore": WORDS["ignore"],
}
TOOL_ROLES = tuple(TOOL_WORDS)
MOST_LOOKED = 200  # lines by which it is seen what a column holds


def names_tools(grid: Grid, mapping: Sequence[tuple[str, str]], labels: Collection[str] = ()) -> bool:
    """Whether a file is one of tools: a head among its first lines says so, or what stands below one, or a person."""
    if any(split_heading(what)[0].casefold() == "tool" for what, _ in mapping):
        return True
    for cells in grid.rows[:HEAD_ROWS]:
        heads = {bare(cell) for cell in cells}
        if not heads.isdisjoint(TOOL_WORDS["tool"]) and len(heads) > 1 and heads.isdisjoint(WORDS["serial"]):
            return True
    known = {label.casefold() for label in labels}
    rows = grid.rows[:MOST_LOOKED]
    columns = ([row[place] for row in rows if place < len(row) and row[place]] for place in range(grid.width))
    return any(sum(cell.casefold() in known for cell in cells) > len(cells) / 2 for cells in columns if cells)


class ToolColumns:
    """Finds the layout of a grid of tool readings; `given` maps heads to roles or balloons."""

    def __init__(
        self,
        grid: Grid,
        features: Sequence[Feature],
        given: Mapping[str, str],
        unit: str | None,
        tool_said: bool,
        labels: Collection[str] = (),
    ) -> None:
        """`labels` are those of the tools: a column of them is known whatever it is called."""
        self.grid, self.unit, self.tool_said = grid, unit, tool_said
        self.labels = frozenset(label.casefold() for label in labels)
        self.given = {head.strip().casefold(): what.strip() for head, what in given.items()}
        self.balloons = {find.balloon_key(f.balloon): f.balloon for f in reversed(features)}
        self.balloons |= {f.balloon: f.balloon for f in features}

    def layout(self) -> Layout:
        """The layout; ColumnsUnclear says which column is not understood and how to map it."""
        head_row = self._head_row()
        heads = self.grid.rows[head_row]
        columns = [self._column(place, head) for place, head in enumerate(heads) if head]
        columns = self._by_content(columns, head_row)
        across = [c for c in columns if c.role == "value" and c.of]
        columns = [self._settled(column, head_row) for column in columns]
        shown = [HeadShown(c.head, tuple(self._below(c.place, head_row)[:SAMPLES]), c.of or c.role) for c in columns]
        seen: dict[tuple[str, str], str] = {}
        for column in columns:
            key = (column.role, column.of)
            if column.role in ("ignore", "") or key not in seen:
                seen[key] = column.head
                continue
            why = f"{self.grid.name} has two columns for {column.of or column.role}: {seen[key]} and {column.head}."
            raise ColumnsUnclear(why, Todo.LEAVE_COLUMN_OUT, column.head, shown)
        roles = {column.role for column in columns}
        if across and "feature" in roles:
            raise ColumnsUnclear(
                f"{self.grid.name} has features across and a column of features too.",
                Todo.LEAVE_COLUMN_OUT,
                next(c.head for c in columns if c.role == "feature"),
                shown,
            )
        needed = ["day", *([] if self.tool_said else ["tool"]), *([] if across else ["feature", "value"])]
        for role in needed:
            if role not in roles:
                listed = ", ".join(column.head for column in columns[:12])
                why = f"{self.grid.name}: no column gives the {role}; its columns are: {listed}."
                todo = Todo.SAY_WHICH_TOOL if role == "tool" else Todo.SAY_WHICH_COLUMN
                raise ColumnsUnclear(why, todo, "" if role == "tool" else role, shown)
        return Layout(
            form="features" if across else "long",
            head_row=head_row,
            first_row=head_row + 1,
            columns=tuple(columns),
            unit=self.unit or "",
            signature=signature(heads, ()),
        )

    def _by_content(self, columns: list[HeadColumn], head_row: int) -> list[HeadColumn]:
        """Columns of tools and of features whose heads nobody knows, found by what stands below them."""
        roles = {column.role for column in columns}
        across = any(column.role == "value" and column.of for column in columns)
        wanted = [] if self.tool_said or "tool" in roles else [("tool", lambda cell: cell.casefold() in self.labels)]
        wanted += [] if across or "feature" in roles else [("feature", lambda cell: bool(self._balloon(cell)))]
        for role, holds in wanted:
            for n, column in enumerate(columns):
                cells = self._below(column.place, head_row) if not column.role else []
                if cells and sum(map(holds, cells)) > len(cells) / 2:
                    columns[n] = replace(column, role=role)
                    break
        return columns

    def _head_row(self) -> int:
        best, score = 0, 0
        for row, cells in enumerate(self.grid.rows[:HEAD_ROWS]):
            known = sum(bool(self._role(cell)) for cell in cells if cell)
            if known > score:
                best, score = row, known
        return best

    def _role(self, text: str) -> str:
        """A role, or a balloon; "" for what is not known."""
        head = split_heading(text)[0]
        stated = self.given.get(text.casefold(), self.given.get(head.casefold()))
        if stated is not None:
            return split_heading(stated)[0]
        if balloon := self._balloon(head):
            return balloon
        word = bare(head)
        return next(
            (role for role, words in TOOL_WORDS.items() if word in words),
            "ignore" if is_requirement(head, self._balloon) else "",
        )

    def _balloon(self, name: str) -> str:
        return self.balloons.get(name.strip()) or self.balloons.get(find.balloon_key(name)) or ""

    def _column(self, place: int, text: str) -> HeadColumn:
        head, unit = split_heading(text)
        name, _, last = head.replace("_", " ").rpartition(" ")
        if not unit and name and (unit_named(last) or unit_named(last, "angle")) and self._role(name):
            head, unit = name.strip(), last
        stated = self.given.get(text.casefold(), self.given.get(head.casefold()))
        unit = split_heading(stated)[1] or unit if stated else unit
        role = self._role(text if stated else head)
        if role.casefold() in TOOL_ROLES:
            return HeadColumn(place=place, head=head, role=role.casefold(), unit=unit)
        if balloon := self._balloon(role):
            return HeadColumn(place=place, head=head, role="value", of=balloon, unit=unit)
        if stated is not None:
            raise ColumnsUnclear(
                f"{head} is mapped to {stated}, which is neither a feature of a tool nor one of "
                f"{', '.join(TOOL_ROLES)}.",
                Todo.SAY_WHAT_COLUMN,
                head,
            )
        return HeadColumn(place=place, head=head, role="", unit=unit)

    def _below(self, place: int, head_row: int) -> list[str]:
        return [row[place] for row in self.grid.rows[head_row + 1 :] if place < len(row) and row[place]]

    def _settled(self, column: HeadColumn, head_row: int) -> HeadColumn:
        """A column nobody knows: one of words is left alone, one of figures or named as a balloon is asked about."""
        if column.role:
            return column
        filled = self._below(column.place, head_row)
        figures = sum(number(cell) is not None for cell in filled)
        if LOOKS_LIKE_BALLOON.fullmatch(column.head) or (filled and figures > len(filled) / 2):
            close = get_close_matches(column.head.upper(), list(dict.fromkeys(self.balloons.values())), n=2, cutoff=0.5)
            near = f"; nearest: {', '.join(close)}" if close else ""
            raise ColumnsUnclear(
                f"{self.grid.name}, column {column.head}: no feature of a tool is called so{near}.",
                Todo.SAY_WHAT_COLUMN,
                column.head,
            )
        return replace(column, role="ignore")
