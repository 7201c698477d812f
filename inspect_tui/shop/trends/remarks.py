"""What is to be said about the readings of a track: counts, clocks, repairs, slips, what was not fitted, jumps."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from inspect_tui.metrology.sizes import roughness
from inspect_tui.metrology.typed.show import MM, Style, about, count, day
from inspect_tui.metrology.wear.cores_left import CoresLeft, if_straight
from inspect_tui.metrology.wear.curve import bend
from inspect_tui.metrology.wear.line import WearFit
from inspect_tui.model.work import Tool
from inspect_tui.shop.trends.alarms import MOST_ALARMED
from inspect_tui.shop.trends.counts.counter import STALE_DAYS, Counter
from inspect_tui.shop.trends.job_view import JUMP, Mark
from inspect_tui.shop.trends.residuals import believable
from inspect_tui.shop.trends.tracks import CASTING, Segments, Track

A_YEAR = 300.0  # days from which what comes back with the season is told from wear
LEAST_BEND, BEND_ALPHA = 6, 0.01  # counts, and how unlikely by chance, from which the place of a bend is said


def remarks(
    main: Track, pieces: Segments, counter: Counter, fit: WearFit | None, jumps: Sequence[Mark], style: Style = MM
) -> list[str]:
    """What is to be said about the readings of a track: counts, clocks, what was not fitted, jumps.

    `style` fits the unit of the readings.
    """
    import numpy as np

    said = list(counter.remarks)
    if len(main) and main.uncounted:
        n = main.uncounted
        which = "no reading has a count" if n == len(main) else f"{n} of {len(main)} readings have no count"
        late = counter.day and bool((np.floor(main.day[np.isnan(main.count)]) > counter.day[-1] + STALE_DAYS).any())
        why = f": the last count is of {day(counter.day[-1])}" if late else ""
        said.append(f"{which}{why}; they are on the chart over dates and take no part in the wear line")
    if main.doubtful:
        doubtful = count(main.doubtful, "reading was", "readings were")
        said.append(f"{doubtful} logged while the clock was wrong: kept in the order they were logged in")
    for group in pieces.marks:
        if len(group) > 1:
            said.append(f"{len(group)} repairs on {day(group[0].day)}: the wear line begins once after them")
    if fit is None and 0 < len(main) <= MOST_ALARMED:
        wild = np.flatnonzero(~believable(main.value))
        if len(wild):
            few = ", ".join(style.given(float(main.value[i]), unit=False) for i in wild[:3])
            few += " ..." if len(wild) > 3 else ""
            said.append(f"far off the readings around: {few}: no alarm is made of it, look whether it is a slip")
    if fit is not None:
        last = "jump" if pieces.marks and pieces.marks[-1][-1].kind == JUMP else "repair"
        if fit.flagged:
            flagged = count(len(fit.flagged), "reading lies", "readings lie")
            said.append(f"{flagged} too far off to be wear: shown, not fitted")
        if not fit.shared:
            said.append(
                f"wears at another rate since the last {last} (p = {style.figures(fit.p_shared, 2)} for one rate)"
            )
        if fit.borrowed:
            said.append(f"too few readings since the last {last} for a rate of its own: the earlier ones' is used")
        said += _goes(main, pieces, fit, style)
    said += [mark.words for mark in jumps]
    return said


def _goes(main: Track, pieces: Segments, fit: WearFit, style: Style) -> list[str]:
    """How wear goes where it does not go straight, and what else runs through the readings."""
    import numpy as np

    def per_1000(rate: float) -> str:
        return style.length(abs(rate) * 1000, 3)

    said = []
    if fit.bent:
        first = per_1000(fit.line.rate_at(0.0))
        text = f"wear {fit.bent}: {first} per 1000 at first, {per_1000(fit.rate_now)} now, and so on"
        here = (pieces.segment == pieces.current) & ~np.isnan(pieces.since)
        here[np.flatnonzero(~np.isnan(pieces.since))[list(fit.flagged)]] = False
        x, y = pieces.since[here].tolist(), main.value[here].tolist()
        bent = bend(x, y) if len(set(x)) >= LEAST_BEND else None
        if bent is not None and bent.p < BEND_ALPHA and bent.x > 0:
            text += f"; it bends at about {about(bent.x)} {'cores' if main.of != CASTING else 'castings'}"
        said.append(text)
    if fit.lag:
        said.append(
            f"readings lean on the ones before (correlation {style.figures(fit.lag, 1)}): the interval is wider"
        )
    if fit.season:
        said.append("a swing with the year is allowed for: no temperatures, or something follows the season")
    return said


def of_the_season(main: Track, tool: Tool) -> list[str]:
    """Wood that dries or swells with the year looks like wear, until it was watched for a year."""
    span = float(main.day.max() - main.day.min()) if len(main) else 0.0
    wooden = roughness.of_material(tool.material) == roughness.of_surface(roughness.WOOD)
    if not wooden or span >= A_YEAR:
        return []
    return [
        f"{tool.label} is of wood and was watched for {count(round(span), 'day')}: drying and wear look alike so far"
    ]


def open_words(left: CoresLeft, word: str) -> list[str]:
    """What would be left if wear went on straight, where the readings cannot show whether it does."""
    if left.straight is None:
        return []
    low, high = left.straight
    span = f"{about(low)} to {about(high)}" if isfinite(high) else f"at least {about(low)}"
    condition = if_straight(left.alone)
    return [f"whether wear stays straight cannot be told yet; if {condition}, {span} {word} from the last count on"]
