"""Gauges and people that read off and were at work lately: one line of a list, however many sizes they moved."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import Style, day
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.shop.gauges.pooled import Pooled, PooledOffset

LATELY = 182  # days before the newest reading, from which on somebody was at work lately


@frozen
class ReadsOff:
    """A gauge or a person that lately read more or less than the others: one line, however many sizes it moved."""

    found: PooledOffset
    sentence: str


def reads_off(known: Pooled, kept: Sequence[KeptTrend], style: Style) -> tuple[ReadsOff, ...]:
    """Of those that are `known` to read off the ones that were at work lately, by the newest of these summaries."""
    newest = max((k.last_day for k in kept if k.last_day is not None), default=None)
    if newest is None:
        return ()
    lately = day(newest - LATELY)
    return tuple(ReadsOff(found, _words(found, style)) for found in known.named if found.last_day >= lately)


def _words(found: PooledOffset, style: Style) -> str:
    said = found.said(style, short=True)
    if found.changed_on is None:
        return f"{said}; seen since {found.first_day}, taken out of the sizes"
    return f"the {found.hand.kind} changed on {found.changed_on}: {said}; taken out of the sizes"
