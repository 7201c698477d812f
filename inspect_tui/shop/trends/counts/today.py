"""The day for which is forecast: asked of this machine here and nowhere else, so that another may be handed in."""

from __future__ import annotations

from datetime import date


def machine_day() -> str:
    """Today by this machine's clock, ISO date."""
    return date.today().isoformat()


def later(today: str, ordinal: int | None) -> str:
    """Today, or the day of the last count (an ordinal) where that is later: from there on a forecast begins."""
    return today if ordinal is None else max(today, date.fromordinal(ordinal).isoformat())
