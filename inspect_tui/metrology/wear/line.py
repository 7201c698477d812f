"""A wear line and what it rests on: size against cores since the last repair, with its uncertainty."""

from __future__ import annotations

from math import sqrt

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import t_cdf
from inspect_tui.model.words import Estimate


@frozen_by_name
class Line:
    """One way to read the readings since the last repair: size = level + rate x (cores - `centre`), with covariance.

    `weight` is the probability of this reading: with one rate for all segments, or with one of its own.
    """

    level: Estimate
    rate: Estimate
    cov: float
    centre: float
    dof: float
    weight: float = 1.0

    def at(self, cores: float) -> Estimate:
        """Size after so many cores since the last repair: of the line, without a reading's noise (mm)."""
        d = cores - self.centre
        variance = self.level.u**2 + 2 * d * self.cov + (d * self.rate.u) ** 2
        return Estimate(self.level.value + self.rate.value * d, sqrt(max(variance, 0.0)))

    def p_beyond(self, cores: float, limit: float, direction: int) -> float:
        """Probability that the line is at or beyond the limit after so many cores."""
        e = self.at(cores)
        gap = direction * (e.value - limit)
        return t_cdf(gap / e.u, self.dof) if e.u > 0 else float(gap >= 0)

    def p_moves(self, direction: int) -> float:
        """Probability that the rate has this sign. `direction` is +1 or -1."""
        if self.rate.u <= 0:
            return float(self.rate.value * direction > 0)
        return t_cdf(direction * self.rate.value / self.rate.u, self.dof)


@frozen_by_name
class WearFit:
    """A wear line and what it rests on. `line` is the one shown, `lines` all that the readings leave open, weighted.

    `rates` are per segment (equal when `shared`), `p_shared` is the F test's p-value (1 when only one segment has a
    rate), `afters` the size just after each repair (first: when new), `flagged` the readings too far off to be
    believed, `reach` the largest count measured since the last repair, `sd` the noise of one reading.
    """

    line: Line
    lines: tuple[Line, ...]
    reach: float
    sd: float
    dof: float
    n: int
    shared: bool
    p_shared: float
    rates: tuple[float | None, ...]
    afters: tuple[Estimate | None, ...]
    flagged: tuple[int, ...]
    direction: int
    borrowed: bool = False  # too few readings since the repair for a rate of its own: the earlier ones' mean

    @property
    def rate(self) -> Estimate:
        """Wear per core (mm, signed) and its standard uncertainty."""
        return self.line.rate

    @property
    def toward(self) -> int:
        """The way it wears: as said, or as the line goes."""
        return self.direction or (1 if self.line.rate.value >= 0 else -1)

    def at(self, cores: float) -> Estimate:
        """Size after so many cores since the last repair, by the line shown (mm)."""
        return self.line.at(cores)

    def p_beyond(self, cores: float, limit: float) -> float:
        """Probability that the tool is at or beyond the limit after so many cores since the last repair."""
        return sum(line.weight * line.p_beyond(cores, limit, self.toward) for line in self.lines)

    @property
    def seen(self) -> bool:
        """Whether the size clearly moves the way wear does (two-sided 95 %)."""
        return sum(line.weight * line.p_moves(self.toward) for line in self.lines) > 0.975

    @property
    def backward(self) -> bool:
        """Whether it clearly moves the other way: a repair nobody logged, a new box, or something that builds up."""
        return bool(self.direction) and sum(line.weight * line.p_moves(-self.toward) for line in self.lines) > 0.975
