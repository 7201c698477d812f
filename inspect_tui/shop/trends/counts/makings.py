"""What each tool makes in a week and how that scatters, for many tools at once: from their counts alone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from inspect_tui.metrology.wear.weeks import Making
from inspect_tui.model.words import Id
from inspect_tui.shop.trends.counts.counter import counter
from inspect_tui.shop.trends.counts.tools_in_use import retired_tools, sole_maker

if TYPE_CHECKING:
    from inspect_tui.record.ask.trend_rows import KeptTrend
    from inspect_tui.record.read import Reader


def makings(reader: Reader, kept: Iterable[KeptTrend]) -> dict[Id, Making]:
    """By tool, for the tools of these summaries that have a rate."""
    of_job: dict[Id, set[Id]] = {}
    for row in kept:
        if row.source != "casting" and row.per_week:
            of_job.setdefault(row.job_of_id, set()).add(row.tool_of_id)
    made: dict[Id, Making] = {}
    retired = set(retired_tools(reader)) if of_job else set()
    for job, wanted in of_job.items():
        tools, core_of, lots = reader.tools(job), reader.core_versions(job), reader.lots(job)
        for tool in tools:
            if tool.of_id in wanted:
                sole = sole_maker(tool, tools, core_of, retired)
                lately = counter(tool, reader.tool_counts(tool.of_id), lots, sole).making
                if lately is not None:
                    made[tool.of_id] = lately
    return made
