"""Takes in what the foundry sends back about the cores: its sheet, or the answer file of the setting guide."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.metrology.typed import fields
from inspect_tui.tui.files.flow import Flow, lines_of, named
from inspect_tui.tui.files.tools import ORDERS, order
from inspect_tui.tui.forms import Field

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record
    from inspect_tui.shop.answers.check import CheckedAnswers
    from inspect_tui.shop.answers.checklist import CheckedSheet
    from inspect_tui.shop.common.tables.workbook_apart import Watch


def day(text: Any) -> str | fields.Wrong:
    """A day that was, ISO."""
    return fields.day(text, date.today().isoformat(), past=True)


class AnswersFile(Flow):
    """One file from the foundry."""

    TITLE = "What the foundry sent back about {job}"

    def first(self) -> dict[str, str]:
        """Who sits at the Bench, and with what."""
        return self.at_the_bench()

    def fields(self) -> list[Field]:
        """Which file, and what it may not say by itself."""
        return [
            Field("file", "file: come-back sheet, checklist, guide answers; Tab completes", "", named),
            Field("mould", "mould: of which casting or mould, where no line says"),
            Field("by", "who: initials, where the file does not say", choices=self.people),
            Field("with", "with: an instrument, where the file does not say", choices=self.gauges),
            Field("day", "day: of measuring, where the file does not say; empty: today", "", fields.optional(day)),
            Field(
                "days",
                "days: d/m/y, m/d/y or y/m/d; empty: as they tell themselves",
                "",
                fields.optional(order),
                ORDERS,
            ),
        ]

    def look(self, reader: Reader, watch: Watch) -> CheckedAnswers | CheckedSheet:
        """In a thread: what is new of it, put to its cores; of a checklist the trial."""
        from inspect_tui.shop.answers import check, checklist, take_in

        if self.grid is None:
            self.grid = take_in.read(self.values["file"], self.sheet, watch)
        said = self.filled
        if isinstance(self.grid, checklist.FilledIn):
            reads_it: Any = reader  # it reads as a record does
            return checklist.check(
                reads_it,
                check.job_of(reads_it, self.grid, self.job.number),
                self.grid,
                by=said["by"] or None,
                day=said["day"],
                days=self.days or said["days"],
                mould=said["mould"] or None,
                gauge=said["with"] or None,
                unit=self.unit,
                style=self.app.written,
            )
        options = check.AnswerOptions(
            by=said["by"] or None,
            instrument=said["with"] or None,
            names=tuple(self.names.items()),
            mould=said["mould"] or None,
            unit=self.unit,
            day=said["day"],
            days=self.days or said["days"],
        )
        reads: Any = reader  # it reads as a record does
        job = check.job_of(reads, self.grid, self.job.number)
        return check.check(reads, job, self.grid, options, style=self.app.written)

    def known(self) -> list[tuple[str, str]]:
        """What a name of the file may stand for: people and gauges."""
        return self.listed([*self.people(), *self.gauges()])

    def nothing_new(self, found: CheckedAnswers | CheckedSheet) -> str:
        """A sentence where all of it is there."""
        return f"All of {self.name} is in the record already; nothing was added." if found.nothing_new else ""

    def shown(self, found: CheckedAnswers | CheckedSheet) -> Text:
        """What each sand core or line of a trial gets, and what is asked."""
        lines = [(what, words) for what, words in found.lines(self.app.written) if what != "asked"]
        return lines_of(found.sentence, lines, found.asked)

    def write(self, record: Record, found: CheckedAnswers | CheckedSheet) -> str:
        """Write it; what is said then."""
        from inspect_tui.shop.answers import checklist, take_in

        if isinstance(found, checklist.CheckedSheet):
            checklist.write(record, found)
        else:
            take_in.write(record, found)
        return f"{self.name}: {found.sentence} taken in"
