"""The cuts that were taken over: which of them are still to be made, on which tools, and by what the others are done.

A cut is done when its tool was measured since at every size whose target it moved (a seat: at the seat), when a repair
says so, or when castings of a later sampling were measured: what those show is then the state of the tools.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import day_of
from inspect_tui.model.first_article import CutAccepted, CutPromise
from inspect_tui.model.kit import Fit
from inspect_tui.model.trends import ToolRepair
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.read import Reader
from inspect_tui.shop.first_article.castings.job_facts import JobFacts

SEAT_OF = re.compile(r"core (\S+)(?: with .+| turned)? [xyz]")  # causes that are put right at the seat of a core
CUT_ON = ("core_box", "pattern_drag", "pattern_cope", "loose_piece", "production_pattern")


@frozen_by_name
class CutWork:
    """A cut that became work: which round led to it, on which tool, what is to be done, and the day it was taken."""

    round: str
    tool: str
    cause: str
    words: str
    casting_words: str
    change_mm: float  # at the tool
    day: str
    promises: tuple[tuple[str, float], ...]  # balloon, mm on the casting
    tools: tuple[Id, ...]  # where it is to be made, first versions: a core's keys may be put right on either side
    done: str  # how it is known to be done; empty while it is still to be made


def work(record: Reader, job: Job, facts: JobFacts | None = None) -> tuple[CutWork, ...]:
    """Every cut of a job that was taken over, oldest first; `facts` where some were read just now."""
    facts = facts or JobFacts(record, job)
    accepted = facts.cuts_accepted
    if not accepted:
        return ()
    rows = {row.id: row.balloon for row in record.revised_features(job.of_id)}
    at = record.entry_times([cut.id for cut, _ in accepted])
    seen = _ToolsSince(record, job, facts)
    out = []
    for cut, promised in accepted:
        tools = seen.tools_of(cut)
        out.append(
            CutWork(
                round=seen.labels.get(cut.lot_id or b"", "no lot"),
                tool=cut.tool,
                cause=cut.cause,
                words=cut.words,
                casting_words=cut.casting_words or "",
                change_mm=cut.change_mm,
                day=day_of(*at[cut.id]),
                promises=tuple((rows.get(p.feature_id, "?"), p.promised_mm) for p in promised),
                tools=tuple(tool.of_id for tool in tools),
                done=seen.done(cut, promised, tools),
            )
        )
    return tuple(out)


def to_make(record: Reader, job: Job, tool: Tool) -> tuple[CutWork, ...]:
    """The cuts that are still to be made on a tool."""
    return tuple(cut for cut in work(record, job) if not cut.done and tool.of_id in cut.tools)


class _ToolsSince:
    """What the record says of the tools of a job since cuts were taken over."""

    def __init__(self, record: Reader, job: Job, facts: JobFacts) -> None:
        self.record = record
        self.tools, self.tool_of = facts.tools, facts.tool_versions
        self.fits = facts.fits
        self.order = {round_.lot.id: n for n, round_ in enumerate(facts.rounds) if round_.lot}
        self.measured = record.lots_measured(job.of_id)
        self.repairs: list[ToolRepair] = facts.repairs
        self.labels = {lot.id: lot.label for lot in facts.lots}
        self.core = {str(core.number): core.of_id for core in facts.cores}
        self._core_of: dict[Id, Id] = {core.id: core.of_id for core in facts.cores}
        self._on: dict[Id, set[Id]] = {}

    def core_of(self, core_id: Id | None) -> Id | None:
        """The first version of a core, by the id of any."""
        if core_id is None:
            return None
        if core_id not in self._core_of:
            self._core_of[core_id] = self.record.core(core_id).of_id
        return self._core_of[core_id]

    def seat(self, cut: CutAccepted) -> Id | None:
        """The core whose seat is put right; None for another kind of cut."""
        match = SEAT_OF.fullmatch(cut.cause)
        return self.core.get(match[1]) if match else None

    def _seats(self, core: Id) -> list[Fit]:
        return [fit for fit in self.fits if self.core_of(fit.inner_core_id) == core]

    def tools_of(self, cut: CutAccepted) -> list[Tool]:
        """The tool that was named; for a seat without one the tools of the core and of what it sits in."""
        if cut.tool_id is not None:
            named = self.tool_of[cut.tool_id]
            return [tool for tool in self.tools if tool.of_id == named]
        core = self.seat(cut)
        if core is None:
            return []
        cores = {core, *(self.core_of(fit.outer_core_id) for fit in self._seats(core) if fit.outer_core_id)}
        halves = {f"pattern_{fit.outer_half}" for fit in self._seats(core) if fit.outer_half}
        return [
            tool
            for tool in self.tools
            if tool.kind in halves or (tool.kind in CUT_ON and tool.core_id and self.core_of(tool.core_id) in cores)
        ]

    def done(self, cut: CutAccepted, promised: Sequence[CutPromise], tools: Sequence[Tool]) -> str:
        """How a cut is known to be done; empty while it is not."""
        here = self.order.get(cut.lot_id or b"")
        later = [lot for lot, n in self.order.items() if here is not None and n > here and lot in self.measured]
        if later:
            return f"{self.labels[later[0]]} was measured after it"
        core = self.seat(cut)
        sizes = self._sizes(promised, core)
        of_ids = {tool.of_id for tool in tools}
        lines = self._lines(sizes)
        for repair in self.repairs:
            if repair.tool_of_id not in of_ids or repair.id < cut.id:
                continue
            at_seat = core is not None and self.core_of(repair.core_id) == core
            if repair.what == cut.words or at_seat or any(repair.feature_id in line for line in lines):
                return f"done on {repair.done_on}"
        if sizes and tools:
            read = set().union(*(self.record.sizes_read_since(tool.of_id, cut.id) for tool in tools))
            there = set().union(*(self._sizes_on(tool) for tool in tools))
            on = [line for line in lines if not there.isdisjoint(line)]
            if on and all(not read.isdisjoint(line) for line in on):
                return "measured since"
        return ""

    def _sizes(self, promised: Sequence[CutPromise], core: Id | None) -> set[Id]:
        """The sizes that show on the tool whether it was cut: of a seat its own, else those whose target moved."""
        if core is None:
            moved = {promise.feature_id for promise in promised if promise.tool_feature_id is not None}
            return moved or {promise.feature_id for promise in promised}
        ends = {f for fit in self._seats(core) for f in (fit.outer_feature_id, fit.gap_feature_id)}
        return {size for size in ends if size is not None}

    def _lines(self, sizes: set[Id]) -> list[set[Id]]:
        """Each size with all its rows through the revisions of the drawing."""
        return [{size, *self.record.feature_lineage(size)} for size in sizes]

    def _sizes_on(self, tool: Tool) -> set[Id]:
        """The features that stand on a tool, read once."""
        if tool.of_id not in self._on:
            self._on[tool.of_id] = {tool_feature.feature_id for tool_feature in self.record.tool_features(tool.of_id)}
        return self._on[tool.of_id]
