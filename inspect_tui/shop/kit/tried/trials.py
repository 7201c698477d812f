"""The trials of a job with what has changed since each: a tool, a size or a seat that is no longer what was tried."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import day_of
from inspect_tui.model.proving import How, Proving, ProvingLine
from inspect_tui.shop.kit.tried import words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from inspect_tui.model.kit import Fit
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Tool, ToolFeature
    from inspect_tui.shop.kit.facts import KitFacts

# what of a fit makes its seat another one; its label, mark and notes do not
OF_SEAT = (
    "kind",
    "inner_half",
    "outer_half",
    "axis",
    "way_in",
    "points",
    "holds",
    "lift_mm",
    "at_x",
    "at_y",
    "at_z",
    "count",
    "active",
)
SIZES_OF_SEAT = ("inner_feature_id", "outer_feature_id", "gap_feature_id")
PARTS_OF_SEAT = ("inner_core_id", "outer_core_id")


@frozen_by_name
class Trial:
    """One trial; `cores` are the numbers of those that were in the mould, `items` what each of its lines is of."""

    proving: Proving
    lines: tuple[ProvingLine, ...]
    items: tuple[str, ...]
    cores: tuple[str, ...]
    bad: tuple[tuple[str, str], ...]  # core, what was found of it that does not let it count as proven
    mould: str  # mould 1, the foundry's mould 7; empty where nobody said
    whole: str  # why nothing of it counts any more, empty where that is not so
    of_core: tuple[tuple[str, str], ...]  # core, what has changed of it since
    of_fit: tuple[tuple[Id, str], ...]  # fit, what has changed of its seat or of a tool that makes it

    @property
    def name(self) -> str:
        """`trying in of 2026-03-02`."""
        return words.name_of(self.proving)

    @property
    def tools(self) -> set[Id]:
        """The sticks that were tried, or the boxes that the cores came from, and the mould."""
        named = {line.tool_of_id for line in self.lines} | {self.proving.tool_of_id}
        return {tool for tool in named if tool is not None}

    def since(self, core: str) -> str:
        """What has changed of a core since, or of all of it; empty where nothing has."""
        return self.whole or dict(self.of_core).get(core, "")

    def since_of_fit(self, fit_of_id: Id) -> str:
        """What has changed of a fit since; empty where it still is what was tried."""
        return self.whole or dict(self.of_fit).get(fit_of_id, "")


def trials(facts: KitFacts) -> list[Trial]:
    """The trials of a job by day; those written after the moment that the facts are of are left out."""
    if "trials" not in facts.worked_out:
        facts.worked_out["trials"] = _trials(facts)
    made: list[Trial] = facts.worked_out["trials"]
    return made


def _trials(facts: KitFacts) -> list[Trial]:
    held = facts.record.provings(facts.job.of_id)
    if not held:
        return []
    at = facts.record.entry_times(proving.of_id for proving, _ in held)
    known = [(p, lines) for p, lines in held if facts.until_us is None or at[p.of_id][0] <= facts.until_us]
    changes = _Changes(facts)
    return [changes.trial(proving, lines, *at[proving.of_id]) for proving, lines in known]


class _Changes:
    """What was done to tools, sizes and seats of a job, and when; read once for all of its trials."""

    def __init__(self, facts: KitFacts) -> None:
        self.facts = facts

    # ---------------------------------------------------------------- one trial
    def trial(self, proving: Proving, lines: tuple[ProvingLine, ...], at_us: int, tz_min: int) -> Trial:
        facts = self.facts
        numbers = [facts.number(line.core_of_id) for line in lines if line.sort == "core"]
        cores = tuple(dict.fromkeys(number for number in numbers if number != "?"))
        self.day, self.at_us, self.tz_min = proving.on_date, at_us, tz_min
        self._wanted_then = {
            (facts.tool_of[on.tool_id], facts.root[on.feature_id]): on
            for on in facts.record.job_tool_features(facts.job.of_id, at_us)
            if on.feature_id in facts.root
        }
        whole = self._of_mould(proving)
        tools = {facts.number(line.core_of_id): line.tool_of_id for line in lines if line.sort == "core"}
        of_core: dict[str, str] = {}
        for number in cores:
            if reason := self._of_tool(tools.get(number), proving.inside) or self._of_sizes(number):
                of_core[number] = reason
        of_fit = dict(self._of_fits(cores, tools, of_core))
        return Trial(
            proving=proving,
            lines=lines,
            items=tuple(self._item(line) for line in lines),
            cores=cores,
            bad=tuple(self._bad(lines).items()),
            mould=self._mould(proving),
            whole=whole,
            of_core=tuple(of_core.items()),
            of_fit=tuple(of_fit.items()),
        )

    def _item(self, line: ProvingLine) -> str:
        """What a line is of, as it is typed: core 3, K6-3, F48, closing, remark; `?` where it is gone."""
        if line.sort == "core":
            return f"core {self.facts.number(line.core_of_id)}"
        if line.sort == "fit":
            return next((fit.name for fit, _ in reversed(self._fits) if fit.of_id == line.fit_of_id), "?")
        if line.sort == "wall":
            feature = self.facts.feature.get(self.facts.drawn.get(line.feature_id or b"", b""))
            return feature.balloon if feature is not None else "?"
        return line.sort

    def _mould(self, proving: Proving) -> str:
        tool = self.facts.tool.get(proving.tool_of_id or b"")
        if tool is not None:
            return tool.label
        if not proving.mould or (proving.sort == "trying_in" and not proving.mould.isdigit()):
            return proving.mould or ""
        return f"mould {proving.mould}" if proving.sort == "trying_in" else f"the foundry's mould {proving.mould}"

    def _bad(self, lines: tuple[ProvingLine, ...]) -> dict[str, str]:
        """Cores that rubbed or did not go in, by what was found of them or of a fit of theirs."""
        bad: dict[str, str] = {}
        fits = {fit.of_id: fit for fit in self.facts.fits}
        for line in lines:
            if line.result not in words.RUBS:
                continue
            how = "rubbed" if line.result == How.RUBS else "did not go in"
            if line.sort == "core":
                bad.setdefault(self.facts.number(line.core_of_id), how)
            elif (fit := fits.get(line.fit_of_id or b"")) is not None and fit.inner_core_id:
                bad.setdefault(self.facts.number(fit.inner_core_id), f"{how} at {fit.name}")
        return bad

    # ---------------------------------------------------------------- when
    # What was done to a tool has its day: it came after the trial on a later day, or later on that day. What the kit is
    # said to be is taken as it stood when the trial was written down: who did that knew what had been tried.
    def _done_after(self, day: str, at_us: int) -> bool:
        return day > self.day or (day == self.day and at_us > self.at_us)

    def _said_after(self, at_us: int) -> bool:
        return at_us > self.at_us

    def _known(self, at_us: int) -> bool:
        return self.facts.until_us is None or at_us <= self.facts.until_us

    # ---------------------------------------------------------------- tools
    @cached_property
    def _repairs(self) -> dict[Id, list[tuple[str, int, str]]]:
        """Tool -> (day, written at, what was done) of its repairs that hold."""
        record = self.facts.record
        mine = [repair for tool in self.facts.tools for repair in record.tool_repairs(tool.of_id)]
        at = record.written_at(repair.of_id for repair in mine)
        made: dict[Id, list[tuple[str, int, str]]] = {}
        for repair in mine:
            made.setdefault(repair.tool_of_id, []).append((repair.done_on, at[repair.of_id], repair.what))
        return made

    @cached_property
    def _notes(self) -> dict[Id, list[tuple[int, str]]]:
        """Tool -> (written at, text) of its notes: a repair is known by its own day."""
        repaired = {(tool, what) for tool, repairs in self._repairs.items() for _, _, what in repairs}
        return {
            tool: [(at, text) for at, text in notes if (tool, text) not in repaired]
            for tool, notes in self.facts.tool_notes.items()
        }

    @cached_property
    def _written(self) -> dict[Id, int]:
        """When the first version of each tool was written."""
        return self.facts.record.written_at(tool.of_id for tool in self.facts.tools)

    def _of_tool(self, tool_of_id: Id | None, inside: str = "") -> str:
        """What has been done to a tool, or that another one has taken its place."""
        if tool_of_id is None:
            return ""
        facts, tool = self.facts, self.facts.tool.get(tool_of_id)
        if tool is None:
            return "the tool that it was tried with is withdrawn"
        for day, at_us, what in self._repairs.get(tool_of_id, ()):
            if self._done_after(day, at_us) and self._known(at_us):
                return f"{tool.label} was repaired on {day}: {what}"
        for at_us, text in self._notes.get(tool_of_id, ()):
            if self._done_after(day_of(at_us, self.tz_min), at_us):
                return f"{tool.label} was noted on {day_of(at_us, self.tz_min)}: {text}"
        for (on, root), version in facts.on_tool.items():
            before = self._wanted_then.get((on, root)) if on == tool_of_id else None
            if before is not None and _wanted(before) != _wanted(version):
                return f"{facts.feature[root].balloon} is wanted otherwise on {tool.label}"
        if inside and (newer := self._newer(tool)) is not None:
            return f"{newer.label} has come in the place of {tool.label}"
        return ""

    def _newer(self, tool: Tool) -> Tool | None:
        core = self.facts.core_of.get(tool.core_id or b"")
        same = [t for t in self.facts.tools_of(core, (tool.kind,)) if t.of_id != tool.of_id] if core else []
        return next((t for t in same if self._said_after(self._written[t.of_id])), None)

    def _of_mould(self, proving: Proving) -> str:
        """What has been done to the mould, to the pattern that it was taken off, or to the patterns of the foundry."""
        tool = self.facts.tool.get(proving.tool_of_id or b"")
        if proving.tool_of_id is not None:
            if reason := self._of_tool(proving.tool_of_id):
                return reason
            parent = self.facts.tool_of.get(tool.made_from_id or b"") if tool is not None else None
            return self._of_tool(parent)
        for half in ("drag", "cope"):
            for pattern in self.facts.half_tools(half):
                if reason := self._of_tool(pattern.of_id):
                    return reason
        return ""

    # ---------------------------------------------------------------- sizes and seats
    @cached_property
    def _sizes_at(self) -> dict[Id, int]:
        """When each size of the newest drawing was first asked for as it is now."""
        return self.facts.record.written_at({self.facts.root[f.id] for f in self.facts.features})

    def _changed_size(self, feature_id: Id | None) -> str:
        """That a size was asked for otherwise when it was tried; empty for one that is as it was, or is new."""
        root = self.facts.drawn.get(feature_id or b"", b"")
        feature = self.facts.feature.get(root)
        if feature is None or feature.same_as_id is None or root not in self._sizes_at:
            return ""
        at_us = self._sizes_at[root]
        return (
            f"{feature.balloon} is another size on the drawing"
            if self._said_after(at_us) and self._known(at_us)
            else ""
        )

    def _of_sizes(self, number: str) -> str:
        """A size of a core's own that was changed."""
        core = self.facts.by_number[number]
        for feature in self.facts.features:
            mine = any(self.facts.core_of.get(end.core_id or b"") == core for end in feature.ends)
            if mine and (reason := self._changed_size(feature.id)):
                return reason
        return ""

    @cached_property
    def _fits(self) -> list[tuple[Fit, int]]:
        """Every version of every fit with when it was written, oldest first."""
        every = self.facts.record.fit_history(self.facts.job.of_id)
        at = self.facts.record.written_at(fit.id for fit in every)
        return [(fit, at[fit.id]) for fit in every]

    def _of_fits(
        self, cores: tuple[str, ...], tools: dict[str, Id | None], of_core: dict[str, str]
    ) -> Iterator[tuple[Id, str]]:
        """What has changed of each fit; a seat that is another one takes both of its cores along."""
        facts = self.facts
        now = {fit.of_id: fit for fit in facts.fits}
        then = {fit.of_id: fit for fit, at_us in self._fits if not self._said_after(at_us)}
        for of_id in dict.fromkeys(fit.of_id for fit, _ in self._fits):
            fit, before = now.get(of_id), then.get(of_id)
            reason = self._other_seat(fit, before)
            if not reason and fit is not None:
                reason = next(filter(None, (self._changed_size(getattr(fit, name)) for name in SIZES_OF_SEAT)), "")
            either = fit or before
            if either is None:  # it came and went since
                continue
            both = [facts.number(core) for core in (either.inner_core_id, either.outer_core_id) if core]
            if reason:
                for number in both:
                    if number in cores:
                        of_core.setdefault(number, reason)
                yield of_id, reason
                continue
            if reason := next((of_core[number] for number in both if number in of_core), ""):
                yield of_id, reason

    def _other_seat(self, now: Fit | None, before: Fit | None) -> str:
        """What has become of a seat: it is new, gone, or another one; empty where it is what it was."""
        if before is None or not before.active:
            return f"{now.name} has come to it" if now is not None else ""
        if now is None:
            return f"{before.name} was taken out"
        same = all(getattr(now, name) == getattr(before, name) for name in OF_SEAT)
        for names, of in ((SIZES_OF_SEAT, self.facts.drawn), (PARTS_OF_SEAT, self.facts.core_of)):
            pairs = ((getattr(now, name) or b"", getattr(before, name) or b"") for name in names)
            same = same and all(of.get(a, a) == of.get(b, b) for a, b in pairs)
        return "" if same else f"{now.name} was said otherwise"


def _wanted(on: ToolFeature) -> tuple[object, ...]:
    """What a size of a tool is to be: its steps and its limits."""
    return (*((step.kind, step.scale, step.offset_mm) for step in on.steps), on.lower, on.upper)
