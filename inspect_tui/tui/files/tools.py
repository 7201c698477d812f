"""Takes a file of readings of tools in, with the counts beside them: years of a sheet, each reading on its day."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.metrology.typed import day_order, fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.intake.columns import no_unit, unit_named
from inspect_tui.tui.files.flow import Flow, lines_of, named
from inspect_tui.tui.forms import Field

if TYPE_CHECKING:
    from collections.abc import Sequence

    from inspect_tui.model.work import Feature
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record
    from inspect_tui.shop.common.tables.workbook_apart import Watch
    from inspect_tui.shop.intake.columns import HeadShown
    from inspect_tui.shop.intake.tool_take_in import CheckedTools

ORDERS = day_order.ORDERS
WHAT = (
    ("ignore", "nothing: leave it out"),
    ("tool", "tool: which tool was measured"),
    ("day", "day: on which day"),
    ("count", "count: what its counter showed"),
    ("feature", "feature: its balloon"),
    ("value", "value: the reading"),
    ("unit", "unit: of the reading beside it"),
    ("instrument", "instrument: measured with what"),
    ("by", "by: who measured"),
    ("temperature", "temperature: of the tool in °C"),
    ("repeat", "repeat: 1, 2, 3 of the same feature"),
)


class ToolsFile(Flow):
    """One file of readings of tools."""

    TITLE = "Readings of tools of {job} from a file"
    WHAT = WHAT

    def first(self) -> dict[str, str]:
        """Who sits at the Bench, and with what."""
        return self.at_the_bench()

    def fields(self) -> list[Field]:
        """Which file, and what it may not say by itself."""
        return [
            Field("file", "file: columns tool, day, count, feature ...; Tab completes", "", named),
            Field("tool", "tool: such as box 3, where no column says", choices=self.tools),
            Field("by", "who: initials, where no column says", choices=self.people),
            Field("with", "with: an instrument, where no column says", choices=self.gauges),
            Field("unit", "unit: where no column says; empty: mm, asked if it cannot be", "", fields.optional(_unit)),
            Field(
                "days",
                "days: d/m/y, m/d/y or y/m/d; empty: as they tell themselves",
                "",
                fields.optional(order),
                ORDERS,
            ),
            Field("c", "temperature: of the tools in °C; empty is not known", "", fields.optional(fields.temperature)),
        ]

    def look(self, reader: Reader, watch: Watch) -> CheckedTools:
        """In a thread: what is new of it."""
        from inspect_tui.shop.intake import take_in, tool_take_in
        from inspect_tui.shop.intake.rows import Options

        if self.grid is None:
            self.grid = take_in.read(reader, self.values["file"], self.sheet, watch)
        said = self.filled
        options = Options(
            by=said["by"] or None,
            instrument=said["with"] or None,
            unit=self.unit or said["unit"],
            mapping=self.given,
            temperature_c=said["c"],
            sheet=self.sheet,
            tool=said["tool"] or None,
            names=tuple(self.names.items()),
            days=self.days or said["days"],
        )
        job = reader.job(self.job.of_id)
        return tool_take_in.check_tools(reader, job, self.grid, options, watch=watch, style=self.app.written)

    def heads(self, found: CheckedTools) -> Sequence[HeadShown]:
        """The columns of the file."""
        return found.heads

    def features(self) -> Sequence[Feature]:
        """The features of the newest drawing."""
        revisions = self.record.revisions(self.job.of_id)
        return self.record.features(revisions[-1].id) if revisions else []

    def nothing_new(self, found: CheckedTools) -> str:
        """A sentence where all of it is there."""
        return (
            "" if found.readings or found.counts else f"All of {self.name} is in the record already; nothing was added."
        )

    def shown(self, found: CheckedTools) -> Text:
        """How much comes in, and what is asked."""
        lines = [("tools", ", ".join(found.tools) or "counts only")]
        lines += [("note", remark) for remark in found.remarks]
        return lines_of(f"{found.said}{found.there}", lines, found.asked)

    def write(self, record: Record, found: CheckedTools) -> str:
        """Write it; what is said then."""
        from inspect_tui.shop.intake.tool_take_in import write_tools

        write_tools(record, record.job(self.job.of_id), found)
        return f"{self.name}: {found.said} taken in{found.there}"


def _unit(text: str) -> str | Wrong:
    unit = unit_named(text)
    return Wrong(no_unit(text)) if unit is None else unit.name


def order(text: Any) -> str | Wrong:
    """The order of day, month and year in a file."""
    return fields.choice(text, ORDERS, "an order of a day")
