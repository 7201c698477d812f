"""Cores left: when a wear line reaches its limit, by inverse prediction with its interval, or "at least so many"."""

from __future__ import annotations

from math import inf, isfinite, sqrt

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.metrology.typed.show import MM, Style, about
from inspect_tui.metrology.wear.line import WearFit, WearLine


@frozen_by_name
class CoresLeft:
    """Cores left before the wear line reaches the limit, with a 95 % interval; `high` is inf without clear wear.

    `left` None: no forecast (no wear seen, or no way to have one). `kind`: left, at least, past, backward, unknown.
    """

    left: float | None
    low: float
    high: float
    limit: float | None
    now: float
    kind: str
    sentence: str


def cores_left(
    fit: WearFit,
    lower: float | None,
    upper: float | None,
    now: float | None = None,
    style: Style = MM,
    unit: str = "mm",
) -> CoresLeft:
    """Cores left before the line reaches the limit on the side to which it wears, with a 95 % interval.

    `now` is the count since the last repair (the last reading's, unless more cores were made since). The interval is
    of the line, not of single cores: low where it is beyond the limit with 2.5 % probability, high where with 97.5 %,
    which never comes while the rate may be 0. With one line left open this is Fieller's interval (1954). `unit` is
    that of the sizes: mm, deg.
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
    low, high = (max(_reach(fit, limit, p, now) - now, 0.0) for p in (0.025, 0.975))
    here = fit.at(now).value
    left: float | None = None
    if fit.backward:
        kind, high = "backward", inf
    elif fit.toward * (here - limit) >= 0:
        kind, left, low = "past", 0.0, 0.0
    elif not fit.seen:
        kind = "at least"
    else:
        kind, left = "left", (limit - here) / fit.rate.value
    text = left_words(
        kind,
        left=left,
        low=low,
        high=high,
        limit=limit,
        now=max(fit.reach, now),
        here=here,
        rate=fit.rate.value,
        unit=unit,
        style=style,
    )
    return CoresLeft(left=left, low=low, high=high, limit=limit, now=now, kind=kind, sentence=text)


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
) -> str:
    """The sentence of a wear line by its figures: `kind` left, at least, past or backward, the rest as `CoresLeft`.

    `here` is the size as it stands and `rate` what a core takes, both in `unit`; `now` not below the last reading's.
    """
    if kind == "backward":
        by = style.with_unit(rate * 1000, unit, digits=3, signed=True)
        return f"moves against wear ({by} per 1000): a repair not logged, or a build-up"
    if kind == "past":
        sure = "" if high <= 0 else ", though not surely"
        size = style.readings_in(unit)[0].length(here, unit=False)
        return f"at its limit or past it{sure}: {size} of {style.with_unit(limit, unit)}"
    if kind == "at least":
        return f"no wear seen in {about(now)} cores, at least {about(low)} left"
    bound = f"{about(low)} to {about(high)}" if isfinite(high) else f"at least {about(low)}"
    worn = style.with_unit(abs(rate) * 1000, unit, digits=3)
    return f"{about(left or 0.0)} cores left ({bound}), wearing {worn} per 1000"


def _reach(fit: WearFit, limit: float, p: float, now: float) -> float:
    """The first count from `now` on at which the line is at or beyond the limit with probability `p`; inf if never.

    Each line alone gives a quadratic; with several the answer lies between theirs.
    """
    ends = [_reach_line(line, limit, fit.toward, p, now) for line in fit.lines]
    near, far = min(ends), max(ends)
    if near in (far, inf):
        return near
    if far == inf:
        far = max(2 * near, 1.0)
        while fit.p_beyond(far, limit) < p:
            near, far = far, far * 4
            if far > 1e9:
                return inf
    for _ in range(60):
        middle = (near + far) / 2
        if fit.p_beyond(middle, limit) < p:
            near = middle
        else:
            far = middle
        if far - near < 1e-6 * far:
            break
    return far


def _reach_line(line: WearLine, limit: float, direction: int, p: float, now: float) -> float:
    if line.p_beyond(now, limit, direction) >= p:
        return now
    t = t_quantile(p, line.dof)  # beyond with probability p: line - limit = t x its u, in the direction of wear
    # squared, a quadratic in the count: its roots are where either edge of the band crosses the limit
    gap = line.level.value - limit
    qa = line.rate.value**2 - (t * line.rate.u) ** 2
    qb, qc = 2 * (line.rate.value * gap - t * t * line.cov), gap * gap - (t * line.level.u) ** 2
    disc = qb * qb - 4 * qa * qc
    if disc < 0:
        return inf
    q = -0.5 * (qb + (1 if qb >= 0 else -1) * sqrt(disc))
    roots = [line.centre + r for r in ([q / qa] if qa else []) + ([qc / q] if q else [])]
    # of the two edges only the one on this side of the line counts: the other has the opposite sign of t
    slack = 1e-9 * max(abs(gap), line.level.u, 1e-9)
    ahead = [r for r in roots if r > now and (direction * (line.at(r).value - limit)) * t >= -slack * abs(t)]
    return min(ahead, default=inf)
