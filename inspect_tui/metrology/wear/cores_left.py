"""Cores left: when a wear line reaches its limit, by inverse prediction with its interval, or "at least so many"."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import copysign, inf, isfinite, log, sqrt

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.metrology.typed.show import MM, Style, about
from inspect_tui.metrology.wear.line import BENT, WearFit, WearLine

CLOSE = 1e-7  # of a count, to which it is found
# chance to be at the limit sooner than is said of boxes that show no end. Those were picked: in many of them the rate
# came out low by chance, and 2.5 % of all boxes are up to a fifth of these few; ours, by simulation
NO_END = 0.005
JUDGED = 2  # degrees of freedom from which an end is said: one difference alone does not tell the noise; ours
FOREVER = 1e9  # cores: no tool makes as many


@frozen_by_name
class CoresLeft:
    """Cores left before the wear line reaches the limit, with a 95 % interval; `high` is inf without clear wear.

    `left` None: no forecast (no wear seen, or no way to have one). `kind`: left, at least, past, backward, unknown.
    `straight` is the interval if wear went on straight, where the readings cannot tell whether it does; `alone`: and if
    readings do not lean on each other, which so few cannot tell either.
    """

    left: float | None
    low: float
    high: float
    limit: float | None
    now: float
    kind: str
    sentence: str
    straight: tuple[float, float] | None = None
    alone: bool = False


def cores_left(
    fit: WearFit,
    lower: float | None,
    upper: float | None,
    now: float | None = None,
    style: Style = MM,
    unit: str = "mm",
) -> CoresLeft:
    """Cores left before the line reaches the limit on the side to which it wears, with a 95 % interval.

    `now` is the count since the last repair (the last reading's, unless more cores were made since); `weeks` carries an
    old one forward. The interval is of the line, not of single cores: low where it is beyond the limit with 2.5 %
    probability, high where with 97.5 %, which never comes while the rate may be 0, and is not said where one difference
    alone tells the noise: what is left is then at least `low`, with 97.5 %. With one line left open this is Fieller's
    interval (1954). `unit` is that of the sizes: mm, deg.
    """
    now = fit.reach if now is None else now
    limit = upper if fit.toward > 0 else lower
    made = f"{about(max(fit.reach, now))} cores"
    if limit is None:
        return CoresLeft(
            left=None,
            low=0.0,
            high=inf,
            limit=None,
            now=now,
            kind="unknown",
            sentence="no limit on the side to which it wears",
        )
    if fit.dof < 1 or fit.sd <= 1e-9 * max(abs(limit), 1.0):
        why = "too few readings" if fit.n - len(fit.flagged) < 5 else "readings too coarse to scatter"
        return CoresLeft(
            left=None,
            low=0.0,
            high=inf,
            limit=limit,
            now=now,
            kind="unknown",
            sentence=f"{why} in {made} to say how many are left",
        )
    low, high = (max(reach(fit.lines, limit, fit.toward, p, now) - now, 0.0) for p in (0.025, 0.975))
    middle = min(max(_reach_line(fit.line, limit, fit.toward, 0.5, now) - now, low), high)
    left: float | None = None
    straight = None
    if fit.backward:
        kind, high = "backward", inf
    elif middle <= 0:
        kind, left, low = "past", 0.0, 0.0
    elif not fit.seen or not isfinite(middle):
        kind = "at least"
        low, straight = max(reach(fit.lines, limit, fit.toward, NO_END, now) - now, 0.0), _straight(fit, limit, now)
        straight = (straight[0], inf) if straight is not None and straight[0] > low else None
    else:
        kind, left, straight = "left", middle, _straight(fit, limit, now)
        if fit.dof < JUDGED:
            high, straight = inf, None
    text = left_words(
        kind,
        left=left,
        low=low,
        high=high,
        limit=limit,
        now=max(fit.reach, now),
        here=fit.at(now).value,
        rate=fit.rate.value if kind == "backward" else fit.rate_now,
        unit=unit,
        style=style,
        straight=straight,
        alone=fit.alone,
        bent=fit.bent,
    )
    return CoresLeft(
        left=left,
        low=low,
        high=high,
        limit=limit,
        now=now,
        kind=kind,
        sentence=text,
        straight=straight,
        alone=fit.alone,
    )


def left_words(
    kind: str,
    *,
    left: float | None,
    low: float,
    high: float,
    limit: float,
    now: float,
    here: float,
    rate: float,
    unit: str = "mm",
    style: Style = MM,
    straight: tuple[float, float] | None = None,
    alone: bool = False,
    bent: str = "",
) -> str:
    """The sentence of a wear line by its figures: `kind` left, at least, past or backward, the rest as `CoresLeft`.

    `here` is the size as it stands and `rate` what a core takes now, both in `unit`; `now` not below the last
    reading's. `bent`: `speeds up`, `slows down` or nothing.
    """
    if kind == "backward":
        by = style.with_unit(rate * 1000, unit, digits=3, signed=True)
        return f"moves against wear ({by} per 1000): a repair not logged, or a build-up"
    if kind == "past":
        sure = "" if high <= 0 else ", though not surely"
        size = style.readings_in(unit)[0].length(here, unit=False)
        return f"at its limit or past it{sure}: {size} of {style.with_unit(limit, unit)}"
    if kind == "at least":
        seen = f"no wear seen in {about(now)} cores"
        if not isfinite(low):
            return seen
        return f"{seen}, at least {about(low)} left{_if_straight(straight, alone)}"
    worn = style.with_unit(abs(rate) * 1000, unit, digits=3)
    text = f"{about(left or 0.0)} cores left ({_span(low, high)}), wearing {worn} per 1000"
    if bent:
        return f"{text}; wear {bent}"
    return text + _if_straight(straight, alone)


def if_straight(alone: bool) -> str:
    """What the interval of straight wear goes by, after "if"."""
    return "it goes on straight" + (" and no reading leans on the one before" if alone else "")


def _if_straight(straight: tuple[float, float] | None, alone: bool) -> str:
    if straight is None:
        return ""
    return f"; {_span(*straight)} if {if_straight(alone)}, which the readings cannot show yet"


def _span(low: float, high: float) -> str:
    return f"{about(low)} to {about(high)}" if isfinite(high) else f"at least {about(low)}"


def _straight(fit: WearFit, limit: float, now: float) -> tuple[float, float] | None:
    """The interval by the straight lines alone, unless the readings show how wear goes."""
    lines = fit.straight
    if not lines or fit.p_straight > BENT:
        return None
    near, far = (max(reach(lines, limit, fit.toward, p, now) - now, 0.0) for p in (0.025, 0.975))
    return near, far


def reach(lines: Sequence[WearLine], limit: float, direction: int, p: float, now: float) -> float:
    """The first count from `now` on at which it is at or beyond the limit with probability `p`; inf if never.

    Each line alone gives a quadratic on its clock; with several the answer lies between theirs.
    """
    ends = [_reach_line(line, limit, direction, p, now) for line in lines]
    near, far = min(ends), max(ends)
    if near in (far, inf):
        return near
    return first_at(lambda count: sum(w.weight * w.p_beyond(count, limit, direction) for w in lines), p, near, far)


def first_at(chance: Callable[[float], float], p: float, near: float, far: float = inf, most: float = FOREVER) -> float:
    """The first place from `near` on at which a rising chance is at least `p`; inf beyond `most` of them."""
    if chance(near) >= p:
        return near
    step = max(0.05 * abs(near), 1e-3 * (most if near == 0 else abs(near)) * 1e-3)
    if far == inf:
        far = near + step
        while chance(far) < p:
            near, step = far, step * 2
            far = near + step
            if far > most:
                return inf
    return _between(lambda place: _odds(chance(place)) - _odds(p), near, far)


def _odds(p: float) -> float:
    """Logarithm of the odds: of a chance that rises along a bell curve this is nearly straight."""
    return log(max(p, 1e-15) / max(1.0 - p, 1e-15))


def _between(rises: Callable[[float], float], near: float, far: float) -> float:
    """Where it comes to 0 between a place below and one that is not: never slower than halving, near it as a secant.

    Source: Oliveira and Takahashi 2021, ACM Trans. Math. Softw. 47, 5 (interpolate, truncate, project; from memory).
    """
    width, below, above = far - near, rises(near), rises(far)
    curb = 0.2 / width
    while (exact := CLOSE * max(abs(near), abs(far))) < far - near:
        half, secant = (near + far) / 2, (near * above - far * below) / (above - below)
        inward = copysign(min(curb * (far - near) ** 2, abs(half - secant)), half - secant)
        allowed = width - (far - near) / 2
        width = max(width / 2, exact)  # what halving from the first place on would leave
        place = min(max(secant + inward, half - allowed), half + allowed)
        value = rises(place)
        if value < 0:
            near, below = place, value
        else:
            far, above = place, value
    return far


def _reach_line(line: WearLine, limit: float, direction: int, p: float, now: float) -> float:
    if line.p_beyond(now, limit, direction) >= p:
        return now
    if p == 0.5:  # where the line itself comes there
        rate, gap = line.rate.value, limit - line.level.value
        return max(line.clock.cores(line.centre + gap / rate), now) if direction * rate > 0 else inf
    t = t_quantile(p, line.dof)  # beyond with probability p: line - limit = t x its u, in the direction of wear
    # squared, a quadratic in what the clock shows: its roots are where either edge of the band crosses the limit
    gap = line.level.value - limit
    qa = line.rate.value**2 - (t * line.rate.u) ** 2
    qb, qc = 2 * (line.rate.value * gap - t * t * line.cov), gap * gap - (t * line.level.u) ** 2
    disc = qb * qb - 4 * qa * qc
    if disc < 0:
        return inf
    q = -0.5 * (qb + (1 if qb >= 0 else -1) * sqrt(disc))
    roots = [line.centre + r for r in ([q / qa] if qa else []) + ([qc / q] if q else [])]
    # of the two edges only the one on this side of the line counts: the other has the opposite sign of t
    slack, from_ = 1e-9 * max(abs(gap), line.level.u, 1e-9), line.clock.reads(now)
    ahead = [r for r in roots if r > from_ and (direction * (line.shown(r).value - limit)) * t >= -slack * abs(t)]
    return line.clock.cores(min(ahead)) if ahead else inf
