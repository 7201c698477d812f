"""Alarms of a track that last: stretches of readings outside the limits of their smoothed mean."""

from __future__ import annotations

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import day
from inspect_tui.shop.trends.residuals import believable
from inspect_tui.shop.trends.tracks import Segments, Track

MOST_ALARMED = 3000  # newest readings that may raise alarms


@frozen
class Alarm:
    """A stretch of readings that stays outside the limits of its smoothed mean; places in the track, + is up."""

    first: int
    stop: int
    side: int
    words: str


def alarms(main: Track, pieces: Segments) -> tuple[Alarm, ...]:
    """Alarms that last, each segment with a level of its own; readings far off the others take no part."""
    import numpy as np

    from inspect_tui.metrology.wear.steps import sustained

    kept = np.flatnonzero(believable(main.even))[-MOST_ALARMED:]
    restarts = [int(i) + 1 for i in np.flatnonzero(np.diff(pieces.segment[kept]))]
    lasting = []
    for begin, end, side in sustained(main.even[kept].tolist(), restarts):
        first, last = int(kept[begin]), int(kept[end - 1])
        names = [main.words(i) or day(main.day[i]) for i in (first, last)]
        words = f"runs {'above' if side > 0 else 'below'} its level from {names[0]} to {names[1]}"
        lasting.append(Alarm(first, last + 1, side, words))
    return tuple(lasting)
