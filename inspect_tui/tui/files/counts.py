"""Takes a table of counts in: its columns as they are called there, its days as the foundry writes them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed import fields
from inspect_tui.tui.files.flow import Flow, lines_of, named
from inspect_tui.tui.files.tools import ORDERS, order
from inspect_tui.tui.forms import Field

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record
    from inspect_tui.shop.common.tables.workbook_apart import Watch
    from inspect_tui.shop.trends.counts.file import AsWritten, CountsTaken
    from inspect_tui.tui.place import Place

WHAT = (
    ("ignore", "nothing: leave it out"),
    ("tool", "tool: of which tool"),
    ("date", "date: on which day"),
    ("total", "total: what its counter showed"),
    ("made", "made: so many more since the last"),
    ("restart", "restart: a new counter begins at this"),
    ("lot", "lot: what they were made for"),
    ("note", "note: a few words"),
)


class CountsFile(Flow):
    """One table of counts, brought in by somebody."""

    TITLE = "Counts of tools of {job} from a table"
    WHAT = WHAT

    def __init__(self, place: Place, job: Job, by: Person) -> None:
        super().__init__(place, job)
        self.by = by

    def fields(self) -> list[Field]:
        """Which file, and what it may not say by itself."""
        return [
            Field("file", "file: columns tool, date, count or made; Tab completes", "", named),
            Field("tool", "tool: such as box 3, where no column says", choices=self.tools),
            Field(
                "days",
                "days: d/m/y, m/d/y or y/m/d; empty: as they tell themselves",
                "",
                fields.optional(order),
                ORDERS,
            ),
        ]

    def _as_written(self) -> AsWritten:
        from inspect_tui.shop.trends.counts.file import AsWritten

        return AsWritten(self.given, self.filled["tool"] or None, self.days or self.filled["days"])

    def look(self, reader: Reader, watch: Watch) -> CountsTaken:
        """In a thread: what it comes to."""
        from inspect_tui.shop.intake.rows import ImportRefused
        from inspect_tui.shop.trends.counts import file as counts_file

        brought = counts_file.bring_in(
            reader,
            reader.job(self.job.of_id),
            self.values["file"],
            self.by,
            sheet=self.sheet,
            as_written=self._as_written(),
            keep=True,
            check_only=True,
        )
        if brought.wrong:
            raise ImportRefused(brought.sentence, brought.wrong)
        return brought

    def answered(self, problem: InspectError) -> bool:
        """Whether a question stands now that the person can answer."""
        from inspect_tui.shop.intake.columns import HeadShown
        from inspect_tui.shop.trends.counts.file import ColumnsMissing

        if isinstance(problem, ColumnsMissing):
            self.say_columns(str(problem), [HeadShown(*head) for head in problem.heads])
            return True
        return super().answered(problem)

    def nothing_new(self, found: CountsTaken) -> str:
        """A sentence where all of it is there."""
        return "" if found.added else f"All of {self.name} is in the record already; nothing was added."

    def shown(self, found: CountsTaken) -> Text:
        """How many come in, what is said of them, and what is asked."""
        return lines_of(found.sentence, [("note", doubt) for doubt in found.doubts], found.asked)

    def write(self, record: Record, found: CountsTaken) -> str:
        """Write them; what is said then."""
        from inspect_tui.shop.trends.counts import file as counts_file

        done = counts_file.bring_in(
            record,
            record.job(self.job.of_id),
            self.values["file"],
            self.by,
            sheet=self.sheet,
            as_written=self._as_written(),
            keep=True,
        )
        return f"{self.name}: {done.sentence}"
