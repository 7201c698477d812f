"""One point a visit: repeats of one visit share its day, its setting of the gauge and its temperature.

So they are one point of the wear line, however many they are: repeating shrinks only the part that repeats.

Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from math import floor, fsum, isfinite, sqrt
from statistics import median

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.wear.line import WearFit, fit_wear

APART = 8.0  # a repeat so many spreads off the middle of its visit is no repeat of it


@frozen_by_name
class Visits:
    """Visits in the order of their first reading: day (ordinal), count (nan: none known), mean of the readings.

    `u_repeat` is the standard uncertainty of the mean by what repeats (mm), `n` how many readings it is of, `of` the
    visit of each reading. `in_question`: one of its readings is, and nothing that is not remains beside it.
    """

    day: tuple[float, ...]
    count: tuple[float, ...]
    value: tuple[float, ...]
    u_repeat: tuple[float, ...]
    n: tuple[int, ...]
    in_question: tuple[bool, ...]
    of: tuple[int, ...]


def visits(
    keys: Sequence[Hashable],
    day: Sequence[float],
    count: Sequence[float],
    value: Sequence[float],
    in_question: Sequence[bool] | None = None,
    u_repeat: float = 0.0,
) -> Visits:
    """Readings of equal `keys` (piece, day, person, gauge) put together, mm.

    `u_repeat` is how far one reading repeats (standard deviation); the scatter of all repeats together where it is
    larger. A reading in question leaves a visit that has others. DataError where the columns differ in length.
    """
    asked = [False] * len(keys) if in_question is None else list(in_question)
    if not len(keys) == len(day) == len(count) == len(value) == len(asked):
        raise DataError("visits need a day, a count and a size for every reading")
    places: dict[Hashable, list[int]] = {}
    for i, key in enumerate(keys):
        places.setdefault(key, []).append(i)
    groups = list(places.values())
    kept = [[i for i in group if not asked[i]] or group for group in groups]
    spread = max(u_repeat, _spread([[value[i] for i in group] for group in kept]))
    of = [0] * len(keys)
    for number, group in enumerate(groups):
        for i in group:
            of[i] = number
    known = [[count[i] for i in group if isfinite(count[i])] for group in groups]
    return Visits(
        day=tuple(min(day[i] for i in group) for group in groups),
        count=tuple(fsum(c) / len(c) if c else float("nan") for c in known),
        value=tuple(fsum(value[i] for i in group) / len(group) for group in kept),
        u_repeat=tuple(spread / sqrt(len(group)) for group in kept),
        n=tuple(len(group) for group in kept),
        in_question=tuple(all(asked[i] for i in group) for group in groups),
        of=tuple(of),
    )


def _spread(groups: Sequence[Sequence[float]]) -> float:
    """Standard deviation of repeats about their own means, pooled; 0 without a repeat."""
    dof = sum(len(group) - 1 for group in groups)
    squares = []
    for group in groups:
        mean = fsum(group) / len(group)
        squares += [(v - mean) ** 2 for v in group]
    return sqrt(fsum(squares) / dof) if dof else 0.0


def fit_readings(
    cores: Sequence[float],
    sizes: Sequence[float],
    segments: Sequence[int],
    days: Sequence[float],
    direction: int = 1,
    current: int | None = None,
    u_reading: float = 0.0,
    *,
    in_question: Sequence[bool] | None = None,
    u_shared: float = 0.0,
    season: float = 0.0,
) -> WearFit:
    """`fit_wear` of readings: those of one day and one segment are one point. Arguments as there, one a reading.

    `flagged` of the answer are readings. Of three or more of a visit one that lies far off the others is called in
    question, so that it does not move their mean.
    """
    keys = [(segment, floor(day)) for segment, day in zip(segments, days, strict=True)]
    asked = list(in_question) if in_question is not None else [False] * len(keys)
    strays = _strays(keys, sizes)
    put = visits(keys, days, cores, sizes, [a or s for a, s in zip(asked, strays, strict=True)])
    first = {number: i for i, number in reversed(list(enumerate(put.of)))}
    fit = fit_wear(
        put.count,
        put.value,
        [segments[first[number]] for number in range(len(put.day))],
        direction,
        current,
        max(u_reading / sqrt(max(put.n)), 0.0) if put.n else u_reading,
        days=put.day,
        in_question=put.in_question,
        u_shared=u_shared,
        season=season,
    )
    flagged = set(fit.flagged)
    return replace(fit, flagged=tuple(i for i, v in enumerate(put.of) if v in flagged or strays[i]))


def _strays(keys: Sequence[Hashable], values: Sequence[float]) -> list[bool]:
    """Repeats that lie far off the middle of their own visit, of visits of three or more."""
    places: dict[Hashable, list[int]] = {}
    for i, key in enumerate(keys):
        places.setdefault(key, []).append(i)
    groups = [group for group in places.values() if len(group) > 2]
    out = [False] * len(keys)
    if not groups:
        return out
    middles = [median(values[j] for j in group) for group in groups]
    off = {i: abs(values[i] - middle) for group, middle in zip(groups, middles, strict=True) for i in group}
    spread = 1.4826 * median(off.values())
    for i, far in off.items():
        out[i] = spread > 0 and far > APART * spread
    return out
