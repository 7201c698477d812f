"""Which sizes of a tool are due to be measured again: by wear, and by how many cores or moulds were made since."""

from __future__ import annotations

from datetime import date
from math import isfinite

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import about
from inspect_tui.model.work import Tool
from inspect_tui.record.read import Reader
from inspect_tui.shop.trends import kept
from inspect_tui.shop.trends.counts.today import machine_day

DUE_AT = 0.5  # a size is due once half of what it had left in the worst case was made: common practice, no source


@frozen
class Due:
    """Of one size: how many were made since it was read (None: nobody counts), and whether wear says it is due."""

    made: float | None
    by_wear: bool
    words: str


def due(reader: Reader, tool: Tool, today: str | None = None) -> dict[str, Due]:
    """By balloon, of the sizes whose wear is known; `today`: the day (ISO) that is reckoned to."""
    day = date.fromisoformat(today or machine_day()).toordinal()
    out: dict[str, Due] = {}
    for row in kept.current(reader)[0]:
        if row.tool_of_id != tool.of_id or row.source != "tool":
            continue
        days = max(day - row.last_day, 0) if row.last_day is not None else None
        made = row.per_week * days / 7.0 if row.per_week is not None and days is not None else None
        words = [] if made is None else [f"about {about(made)} made since it was read"]
        worst = row.low if row.low is not None and isfinite(row.low) else None
        by_wear = row.kind == "past" or (worst is not None and made is not None and made >= DUE_AT * worst)
        if row.kind == "past":
            words.append("due by wear: past its limit")
        elif worst is not None:
            words.append(f"{'due by wear: ' if by_wear else ''}limit after {about(worst)} more at the earliest")
        if words:
            out[row.balloon] = Due(made, by_wear, "; ".join(words))
    return out


def first(found: dict[str, Due]) -> list[str]:
    """The balloons that are due by wear, those with the most made since first."""
    worn = [(-(item.made or 0.0), balloon) for balloon, item in found.items() if item.by_wear]
    return [balloon for _, balloon in sorted(worn)]
