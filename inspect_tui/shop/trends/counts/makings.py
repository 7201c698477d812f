"""What each tool makes in a week and how that scatters, for many tools at once: as it was kept, else from their counts.

Counts of years are many: what was made of them is kept beside the summaries, whose rate tells whether it still holds.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable
from typing import TYPE_CHECKING

from inspect_tui.metrology.wear.weeks import Making
from inspect_tui.model.words import Id
from inspect_tui.record.ask.trend_rows import KeptRecent
from inspect_tui.record.ask.trends import MAKING
from inspect_tui.shop.trends.counts.counter import counter
from inspect_tui.shop.trends.counts.tools_in_use import retired_tools, sole_maker

if TYPE_CHECKING:
    from inspect_tui.record.ask.trend_rows import KeptTrend
    from inspect_tui.record.read import Reader


def to_keep(tool_of_id: Id, lately: Making) -> KeptRecent:
    """What a tool makes in a week as it is kept beside the summaries."""
    return KeptRecent(
        tool_of_id=tool_of_id,
        feature_id=tool_of_id,
        source=MAKING,
        place=0,
        width=None,
        value=array("d", (lately.per_week, lately.u, lately.scatter)),
    )


def makings(reader: Reader, kept: Iterable[KeptTrend]) -> dict[Id, Making]:
    """By tool, for the tools of these summaries that have a rate."""
    of_job: dict[Id, set[Id]] = {}
    made: dict[Id, Making] = {}
    known = reader.kept_makings()
    for row in kept:
        if row.source != "casting" and row.per_week and row.tool_of_id not in made:
            figures = known.get(row.tool_of_id)
            if figures is not None and figures[0] == row.per_week:
                made[row.tool_of_id] = Making(*figures)
            else:
                of_job.setdefault(row.job_of_id, set()).add(row.tool_of_id)
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
