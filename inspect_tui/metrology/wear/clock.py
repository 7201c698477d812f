"""How wear may go with the cores made: each way is a clock on which it goes straight, counted in cores.

Straight; slowing or speeding up all along; fast at first and steady then (wear-in); steady and then fast (wear-out,
a hard skin worn through); hardly at all before it is nearly over (a power of the count). A clock never runs back and
never stops: worn sand faces do not heal. How strongly it bends is a grid of our own, no source: at its steepest but for
that power the rate is nothing when new and doubles to the last reading.
"""

from __future__ import annotations

from math import exp, log, pow, sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

SLOWEST = 0.3  # a slowing clock does not fall below this share of its mean rate; ours, no source
# how much the rate gains from the middle of the readings to their end, with its odds: most at the ends of the grid,
# which stand for wear that begins at nothing or all but stops; few noisy readings cannot deny it, and it costs castings
CURVES = ((-0.7, 0.13), (-0.35, 0.06), (0.35, 0.06), (0.7, 0.06), (1.0, 0.26))
BENDS = ((0.2, 1 / 3), (0.4, 1 / 3), (0.6, 1 / 3), (0.6, 3.0), (0.8, 3.0))  # where, as a share; rate after / before
# places of a bend that shows, as shares: where it lies is as open as how strong it is; the most that a rate changes
PLACES, MOST_BEND = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9), 8.0
CLOSE, FINE = 0.15, (-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0)  # a finer grid: from which u of the gain, in steps of it
P_STRAIGHT, P_BENDS = 0.33, 0.1  # odds beforehand; as those of `CURVES` ours, so that the published coverage holds
P_LATE, LATE = 0.1, 3.0  # odds, and power of the count, of wear that hardly shows before it is nearly over; ours
STRAIGHT, CURVE, BEND, POWER = "straight", "curve", "bend", "power"


class Clock(NamedTuple):
    """A clock over cores since the repair: `kind`, what it bends by, where, over what span, and its mean rate.

    `gain`: of a curve as in `CURVES`, of a bend the rate after over before, of a power its exponent. `at`: the middle
    of a curve, the place of a bend, the last reading of a power. `per`: divided by it the clock runs as fast as the
    count does, in the mean of the readings.
    """

    kind: str = STRAIGHT
    gain: float = 0.0
    at: float = 0.0
    span: float = 1.0
    per: float = 1.0
    prior: float = 1.0

    @property
    def speeds_up(self) -> bool:
        """Whether wear goes faster and faster, or fast after a bend."""
        return self.gain > (0 if self.kind == CURVE else 1) and self.kind != STRAIGHT

    @property
    def slows(self) -> bool:
        """Whether wear slows down, or is slow after a bend."""
        return self.kind != STRAIGHT and not self.speeds_up

    def reads(self, cores: float) -> float:
        """What the clock shows after so many cores."""
        if self.kind == STRAIGHT:
            return cores
        if self.kind == POWER:
            return self.at * pow(max(cores, 0.0) / self.at, self.gain) / self.per
        d = cores - self.at
        if self.kind == BEND:
            return (min(d, 0.0) + self.gain * max(d, 0.0)) / self.per
        inner = min(max(d, self._start), self._end)
        value = inner + self.gain * inner * inner / self.span
        return (value + self._rate(self._start) * (min(d, self._start) - self._start) + self._tail(d)) / self.per

    def _rate(self, d: float) -> float:
        return 1.0 + 2.0 * self.gain * d / self.span

    @property
    def _end(self) -> float:
        """Where a slowing curve goes on straight."""
        return (SLOWEST - 1.0) / (2.0 * self.gain) * self.span if self.gain < 0 else float("inf")

    @property
    def _start(self) -> float:
        """Before the readings a curve goes straight."""
        return -0.5 * self.span

    def _tail(self, d: float) -> float:
        return SLOWEST * max(d - self._end, 0.0)

    def rate(self, cores: float) -> float:
        """How fast the clock runs there, against the count."""
        if self.kind == STRAIGHT:
            return 1.0
        if self.kind == POWER:
            return self.gain * pow(max(cores, 0.0) / self.at, self.gain - 1) / self.per
        d = cores - self.at
        if self.kind == BEND:
            return (1.0 if d < 0 else self.gain) / self.per
        return self._rate(min(max(d, self._start), self._end)) / self.per

    def cores(self, shown: float) -> float:
        """The count at which the clock shows this much, the inverse of `reads`."""
        if self.kind == STRAIGHT:
            return shown
        value = shown * self.per
        if self.kind == POWER:
            return self.at * pow(max(value, 0.0) / self.at, 1 / self.gain)
        if self.kind == BEND:
            return self.at + (value if value < 0 else value / self.gain)
        start = self._start + self.gain * self._start**2 / self.span
        if value <= start:
            first = self._rate(self._start)
            return self.at + self._start + ((value - start) / first if first > 1e-9 else 0.0)
        if self.gain < 0:
            end = self._end + self.gain * self._end**2 / self.span
            if value > end:
                return self.at + self._end + (value - end) / SLOWEST
        under = max(1.0 + 4.0 * self.gain * value / self.span, 0.0)
        return self.at + 2.0 * value / (1.0 + sqrt(under))

    def many(self, cores: NDArray[np.float64]) -> NDArray[np.float64]:
        """`reads` for an array of counts."""
        import numpy as np

        if self.kind == STRAIGHT:
            return cores
        if self.kind == POWER:
            return np.asarray(self.at * (np.maximum(cores, 0.0) / self.at) ** self.gain / self.per)
        d = cores - self.at
        if self.kind == BEND:
            return np.asarray((np.minimum(d, 0.0) + self.gain * np.maximum(d, 0.0)) / self.per)
        inner = np.clip(d, self._start, self._end)
        before = self._rate(self._start) * (np.minimum(d, self._start) - self._start)
        tail = SLOWEST * np.maximum(d - self._end, 0.0) if self.gain < 0 else 0.0
        return np.asarray((inner + self.gain * inner * inner / self.span + before + tail) / self.per)


def clocks(
    cores: Sequence[float],
    gain: tuple[float, float] | None = None,
    bend: tuple[float, float, float] | None = None,
) -> list[Clock]:
    """All clocks over the readings' counts, the straight one first; a bend needs two readings on either side.

    Where readings tell the gain of a curve (value, standard uncertainty) or a bend (place, rate after over before, its
    relative standard uncertainty) better than the grid, the grid is laid closely about what they tell; over all places
    of a bend, since the place that fits best was picked with the noise.
    """
    import numpy as np

    x = np.asarray(cores, dtype=float)
    low, high = float(x.min()), float(x.max())
    span, middle = high - low, (high + low) / 2
    if span <= 0 or len(x) < 5:
        return [Clock()]
    made = [Clock(prior=P_STRAIGHT)]
    gains = dict(CURVES)
    if gain is not None and gain[1] < CLOSE:
        least, most = min(gains), max(gains)
        near = {min(max(gain[0] + k * gain[1], least), most) for k in FINE}
        step = max(gain[1] / (most - least), 1e-3) * len(CURVES)
        gains = {g: step * float(np.interp(g, list(gains), list(gains.values()))) for g in near if abs(g) > 1e-9}
    made += [_even(Clock(kind=CURVE, gain=g, at=middle, span=span, prior=p), x) for g, p in gains.items()]
    bends = [(low + share * span, ratio) for share, ratio in BENDS]
    if bend is not None:
        bends = [(low + share * span, bend[1] * exp(k * bend[2])) for share in PLACES for k in FINE]
    # a fine grid covers a part of the ratios that may be, and has no more than that part of the odds
    odds = P_BENDS if bend is None else P_BENDS * min(len(FINE) * bend[2] / (2 * log(MOST_BEND)), 1.0)
    bends = [(at, ratio) for at, ratio in bends if min((x < at).sum(), (x > at).sum()) >= 2]
    made += [_even(Clock(kind=BEND, gain=ratio, at=at, span=span, prior=odds / len(bends)), x) for at, ratio in bends]
    made.append(_even(Clock(kind=POWER, gain=LATE, at=high, span=span, prior=P_LATE), x))
    total = sum(clock.prior for clock in made)
    return [clock._replace(prior=clock.prior / total) for clock in made]


def _even(clock: Clock, x: NDArray[np.float64]) -> Clock:
    shown, d = clock.many(x), x - x.mean()
    per = float(shown @ d) / float(d @ d)
    return clock._replace(per=per) if per > 0 else clock
