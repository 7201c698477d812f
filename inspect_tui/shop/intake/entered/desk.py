"""Where lines of a table are read: the record with the lines before, so that a tool retired in line 2 is in line 9."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.trends import ToolRepair, ToolState
from inspect_tui.record.kinds import kind_of
from inspect_tui.shop.common import find

if TYPE_CHECKING:
    from collections.abc import Callable

    from inspect_tui.model.measuring import Instrument, Person
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Feature, Item, Job, Tool
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record


class Desk:
    """One file on the desk: of which record and job, in whose name, today, and the rows of the lines so far."""

    def __init__(self, record: Record, job: Job | None, by: Person, today: str, style: Style = MM) -> None:
        self.record, self.by, self.today, self.style = record, by, today, style
        self._job = job
        self.pending: list[Any] = []
        self.asked: list[str] = []  # of the line at hand
        self._kept: dict[str, Any] = {}
        self.reader: Reader = _WithPending(record, self.pending)  # type: ignore[assignment]  # it answers all the same

    @property
    def job(self) -> Job:
        """The job that the file is of."""
        if self._job is None:
            raise DataError("Say of which job: the record has several.")
        return self._job

    def once(self, what: str, ask: Callable[[], Any]) -> Any:
        """What the record says to a question that every line asks, asked once."""
        if what not in self._kept:
            self._kept[what] = ask()
        return self._kept[what]

    def tool(self, name: str) -> Tool:
        """A tool of the job by its label."""
        tools = self.once("tools", lambda: self.record.tools(self.job.of_id))
        tool: Tool = find.pick(name, tools, lambda t: t.label, "tool", f" in job {self.job.number}")
        return tool

    def item(self, name: str) -> Item:
        """A casting or sand core of the job by its serial, with or without the word before it."""
        items = self.once("items", lambda: self.record.items(self.job.of_id))
        bare = [item for item in items if item.serial.casefold() == name.strip().casefold()]
        if len(bare) == 1:
            items = bare
            name = f"{bare[0].kind} {bare[0].serial}"
        item: Item = find.pick(name, items, lambda i: f"{i.kind} {i.serial}", "casting", f" in job {self.job.number}")
        return item

    def feature(self, name: str) -> Feature:
        """A feature of the newest drawing by its balloon."""
        revision = self.once("revision", lambda: find.latest_revision(self.record, self.job))
        features = self.once("features", lambda: self.record.features(revision.id))
        return find.feature(features, name, revision.rev)

    def gauge(self, name: str) -> Instrument:
        """An instrument by its label."""
        gauges = self.once("gauges", self.record.instruments)
        gauge: Instrument = find.pick(name, gauges, lambda i: i.label, "instrument")
        return gauge

    def person(self, initials: str) -> Person:
        """Who a line names; who brings the file in where it names nobody."""
        return find.person(self.record, initials) if initials.strip() else self.by


class _WithPending:
    """The record, with the repairs and states of lines that are not written yet."""

    def __init__(self, record: Record, pending: list[Any]) -> None:
        self._record, self._pending = record, pending

    def __getattr__(self, name: str) -> Any:
        return getattr(self._record, name)

    def tool_states(self) -> Mapping[Id, list[ToolState]]:
        """As the record's, in the order of the days."""
        said = {of_id: list(states) for of_id, states in self._record.tool_states().items()}
        for row in self._pending:
            if isinstance(row, ToolState):
                said.setdefault(row.tool_of_id, []).append(row)
        return {of_id: sorted(states, key=lambda state: state.since_on) for of_id, states in said.items()}

    def tool_repairs(self, tool_of_id: Id) -> list[ToolRepair]:
        """As the record's, in the order of the days."""
        new = [row for row in self._pending if isinstance(row, ToolRepair) and row.tool_of_id == tool_of_id]
        return sorted([*self._record.tool_repairs(tool_of_id), *new], key=lambda repair: repair.done_on)


def plain(row: Any) -> Any:
    """A row without its own ids: two that say the same are equal."""
    bare = {"id": b"", **({"of_id": b"", "replaces_id": None} if kind_of(row).versioned else {})}
    return replace(row, **bare)
