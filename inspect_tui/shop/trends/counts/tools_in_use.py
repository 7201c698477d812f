"""Since when a tool is in the record, whether it is out of use, and whether it alone makes what it makes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.metrology.typed import show
from inspect_tui.model.words import Id
from inspect_tui.model.work import Tool

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader


PATTERNS = ("pattern_cope", "pattern_drag", "production_pattern")


def opened_on(reader: Reader, tool: Tool) -> str | None:
    """The day a tool came into the record, ISO date; the first reading or count may be older than that."""
    at = reader.written_on([tool.of_id]).get(tool.of_id)
    return None if at is None else show.day_of(*at)


def sole_maker(tool: Tool, tools: Sequence[Tool], core_of: Mapping[Id, Id], retired: set[Id]) -> bool:
    """Whether no other tool in use makes the same core, or the same half of the mould."""
    for other in tools:
        if other.of_id == tool.of_id or other.of_id in retired or other.kind != tool.kind:
            continue
        if tool.core_id and other.core_id and core_of.get(tool.core_id) == core_of.get(other.core_id):
            return False
        if not tool.core_id and not other.core_id and tool.kind in PATTERNS:
            return False
    return True


def retired_tools(reader: Reader) -> dict[Id, str]:
    """Tools that are out of use, with the day since when."""
    return {tool: states[-1].since_on for tool, states in reader.tool_states().items() if states[-1].state == "retired"}
