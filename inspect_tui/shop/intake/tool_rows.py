"""Goes through the lines of a file and gathers readings and counts of tools, and line by line what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed import fields
from inspect_tui.model.work import Feature, Tool, ToolFeature
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables.file import Grid, nobody_waits
from inspect_tui.shop.common.tables.workbook_apart import Watch
from inspect_tui.shop.intake.columns import HeadColumn, Layout, is_requirement
from inspect_tui.shop.intake.rows import MOST_TYPED, CellReader, Options

MOST_REPEATS = 999


@frozen_by_name
class ToolReading:
    """One reading of a file, mm (degrees for angles) as it will be recorded; `day` is an ISO date."""

    line: int
    tool: Tool
    feature: Feature
    on_tool: ToolFeature
    day: str
    value: float
    typed: str
    unit: str
    rep: int
    by: str
    instrument: str
    work_c: float | None
    stated: bool  # whether the file or a person says the unit


@frozen
class CountRead:
    """What the counter of a tool showed on a day (ISO)."""

    line: int
    tool: Tool
    day: str
    count: int
    by: str


class ToolLineReader(CellReader):
    """Goes through the lines below the heads; `on_tools` are the features of each tool (by its first version)."""

    def __init__(
        self,
        grid: Grid,
        layout: Layout,
        options: Options,
        tools: Sequence[Tool],
        on_tools: Mapping[bytes, Mapping[str, tuple[Feature, ToolFeature]]],
        today: str,
        watch: Watch = nobody_waits,
    ) -> None:
        super().__init__(grid, layout, options, today, watch)
        self.tools, self.on_tools = tools, on_tools
        self.names = {called.strip().casefold(): name for called, name in options.names}
        self.counts: list[CountRead] = []
        self.people: dict[str, int] = {}  # as the file calls them, with the first line
        self.gauges: dict[str, int] = {}
        self.unknown: list[str] = []  # names of tools that nobody knows, each once
        self._tool_named: dict[str, Tool | None] = {}
        self._place: dict[tuple[bytes, str], tuple[Feature, ToolFeature] | None] = {}
        self._repeats: dict[tuple[bytes, bytes, str, str, str], int] = {}
        self._passed: list[int] = []

    def readings(self) -> list[ToolReading]:
        """Every reading that was understood; `wrong` says the rest, `counts` are the counts beside them."""
        read = [reading for cells, line in self._lines() for reading in self._line(cells, line)]
        if self._passed:
            self.remarks.append(
                f"{len(self._passed)} lines that say what is wanted, or a mean, are no readings: left out, the first "
                f"is line {self._passed[0]}"
            )
        return read

    def called(self, name: str) -> str:
        """What a name of the file stands for in the record."""
        return self.names.get(name.strip().casefold(), name)

    def _line(self, cells: tuple[str, ...], line: int) -> list[ToolReading]:
        filled = [(column, text) for column in self.values if (text := self._cell(cells, column))]
        shows = self._cell(cells, self.roles.get("count"))
        if not filled and not shows:
            return []
        name = self._cell(cells, self.roles.get("tool")) or self.options.tool or ""
        if is_requirement(name) or is_requirement(self._cell(cells, self.roles.get("day"))):
            self._passed.append(line)
            return []
        tool, day = self._tool(name, line), self._day(self._cell(cells, self.roles.get("day")), line)
        if day is None:
            self.wrong.append(f"line {line}: no day in column {self._head('day')}")
        by = self._cell(cells, self.roles.get("by")) or self.options.by or ""
        if filled or shows:
            self.people.setdefault(by, line)
        if filled:
            instrument = self._cell(cells, self.roles.get("instrument")) or self.options.instrument or ""
            self.gauges.setdefault(instrument, line)
        if tool is None or not day:  # what else is wrong in the line is told with it
            for column, text in filled:
                self._value(text, line, column, None, self._cell(cells, self.roles.get("unit")))
            return []
        if shows:
            self._count(shows, line, tool, day, by)
        read = []
        for column, text in filled:
            balloon = column.of or self._cell(cells, self.roles.get("feature"))
            reading = self._reading(cells, line, column, text, tool, day, by, balloon)
            if reading is not None:
                read.append(reading)
        return read

    def _tool(self, name: str, line: int) -> Tool | None:
        if name not in self._tool_named:
            try:
                if not name:
                    self.wrong.append(f"line {line}: no tool in column {self._head('tool')}")
                    return None
                tool = find.pick(self.called(name), self.tools, lambda t: t.label, "tool")
                self._tool_named[name] = tool
            except NotFound as problem:
                self._tool_named[name] = None
                self.unknown.append(name)
                self.wrong.append(f"line {line}: {problem}")
        return self._tool_named[name]

    def _count(self, text: str, line: int, tool: Tool, day: str, by: str) -> None:
        count = fields.count(text)
        if isinstance(count, fields.Wrong):
            self.wrong.append(f"line {line}, {self._head('count')}: {count}")
            return
        self.counts.append(CountRead(line, tool, day, count, by))

    def _placed(self, tool: Tool, balloon: str, line: int) -> tuple[Feature, ToolFeature] | None:
        key = (tool.of_id, balloon)
        if key not in self._place:
            here = self.on_tools[tool.of_id]
            try:
                feature = find.feature([feature for feature, _ in here.values()], self.called(balloon))
                self._place[key] = here[feature.balloon]
            except NotFound:
                self._place[key] = None
                self.wrong.append(f"line {line}: {self._not_there(balloon, tool, list(here))}")
        return self._place[key]

    def _not_there(self, balloon: str, tool: Tool, there: Sequence[str]) -> str:
        if not balloon:
            return f"no feature in column {self._head('feature')}"
        close = find.get_close_matches(balloon.upper(), list(there), n=2, cutoff=0.5)
        near = f"nearest: {', '.join(close)}" if close else f"measured there: {', '.join(there[:6]) or 'nothing yet'}"
        return f"{balloon[:24]} is not measured on {tool.label}; {near}"

    def _reading(
        self,
        cells: tuple[str, ...],
        line: int,
        column: HeadColumn,
        text: str,
        tool: Tool,
        day: str,
        by: str,
        balloon: str,
    ) -> ToolReading | None:
        placed = self._placed(tool, balloon, line)
        if placed is None:
            return None
        feature, on_tool = placed
        value = self._value(text, line, column, feature, self._cell(cells, self.roles.get("unit")))
        if value is None:
            return None
        mm, unit, stated = value
        work = self._cell(cells, self.roles.get("temperature"))
        work_c = fields.temperature(work) if work else self.options.temperature_c
        if isinstance(work_c, fields.Wrong):
            self.wrong.append(f"line {line}: {work_c}")
            return None
        instrument = self._cell(cells, self.roles.get("instrument")) or self.options.instrument or ""
        visit = (tool.of_id, feature.id, day, by, instrument)
        self._repeats[visit] = repeat = min(self._repeats.get(visit, 0) + 1, MOST_REPEATS)
        return ToolReading(
            line=line,
            tool=tool,
            feature=feature,
            on_tool=on_tool,
            day=day,
            value=mm,
            typed=text[:MOST_TYPED],
            unit=unit,
            rep=self._rep(cells, line) if "repeat" in self.roles else repeat,
            by=by,
            instrument=instrument,
            work_c=work_c,
            stated=stated,
        )
