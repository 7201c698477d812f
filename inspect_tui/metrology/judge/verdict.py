"""Conforms, does not conform or undecided: a value with its uncertainty against limits, and what would settle it."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import inf, isfinite, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge._dist import TWO_U, normal_cdf, t_cdf, t_quantile, whole_dof
from inspect_tui.model.words import LIMIT_SLACK_MM, RULES, Band, Estimate

MOST_REPEATS = 30  # more repeats of one size than this nobody takes; common practice, no source
_ASKED = {"proof95": 0.95, "full_u": TWO_U}  # probability that a rule asks for before it answers
_NORMAL = {"proof95": t_quantile(0.95), "full_u": 2.0, "plain": 0.0}


class Answer(StrEnum):
    """The three answers, and what there is where nothing can be answered because nothing was asked for."""

    CONFORMS = "conforms"
    DOES_NOT_CONFORM = "does not conform"
    UNDECIDED = "undecided"
    NO_LIMITS = "no limits"


@frozen_by_name
class Verdict:
    """A judged value. `margin` is the distance to the nearest limit, positive inside, inf without limits.

    `guard` is how much of the margin the rule asks for at least before it gives an answer, `p_conform` the probability
    that the true value lies within the limits (None without limits), `nearest` the limit that decides.
    """

    answer: Answer
    p_conform: float | None
    value: float
    u: float
    guard: float
    band: Band
    nearest: float | None
    margin: float


@frozen
class Settle:
    """What would turn *undecided* into an answer: `n` more repeats, another instrument, or neither."""

    n: int | None
    instrument: str | None
    sentence: str


def guard_factor(rule: str, dof: float = inf) -> float:
    """How many standard uncertainties the rule keeps away from a limit.

    proof95: 1.645, one-sided 95 % (ISO 14253-1:2017, for an uncertainty that is small against the band);
    full_u: 2 (the whole U, as the older editions had it); plain: 0. With few degrees of freedom the t-quantile of the
    same one-sided probability takes their place. Errors: DataError for any other rule.
    """
    if rule not in RULES:
        raise DataError(f"{rule} is no rule known here: use {', '.join(RULES[:-1])} or {RULES[-1]}")
    if dof == inf or rule == "plain":
        return _NORMAL[rule]
    return t_quantile(_ASKED[rule], dof)


def conformity(value: float, u: float, band: Band, dof: float = inf) -> float:
    """Probability that the true value lies within the limits (JCGM 106:2012, 7): normal, or t for finite `dof`.

    With u = 0 it is 1 inside and on the limits, 0 outside. The quantity is taken to be unknown beforehand. `value`,
    `u` and limits in one unit, mm as used here.
    """
    lower, upper = band.lower, band.upper
    if u == 0.0:
        return 1.0 if _margin(value, band)[0] >= -LIMIT_SLACK_MM else 0.0
    if upper is None:
        return 1.0 if lower is None else t_cdf((value - lower) / u, dof)
    if lower is None:
        return t_cdf((upper - value) / u, dof)
    # The two tails are taken off separately: near the middle the difference of two ones would lose the small one.
    return max(0.0, 1.0 - t_cdf((lower - value) / u, dof) - t_cdf((value - upper) / u, dof))


def judge(value: float, u: float, band: Band, rule: str = "proof95", dof: float = inf) -> Verdict:
    """Judge `value` with standard uncertainty `u` (mm) against `band` by a rule of the job.

    Conforms when the true value lies within the limits with the probability that the rule asks for, 0.95 or 0.977:
    against one limit, or in a wide band, that is a margin of the guard; in a band a few u wide both limits count, and
    even its middle may not do (JCGM 106:2012, 8.3.2; ISO 14253-1:2017 means the probability too). Does not conform
    beyond a limit by more than the guard: that it lies beyond that very limit is as probable. Otherwise undecided.
    Without a guard (rule plain, or u = 0) it is never undecided. A value on a limit is inside, and so is one on a
    guarded limit; LIMIT_SLACK_MM absorbs binary rounding at both. Without limits there is no verdict. Degrees of
    freedom are cut down to whole ones, as for the U that is printed: with full_u the guard is that very U.
    Errors: DataError for values that are not finite, a negative u, an unknown rule.
    """
    if not isfinite(value) or not isfinite(u) or u < 0.0:
        raise DataError(f"a value of {value} with uncertainty {u} cannot be judged: both must be finite, u not below 0")
    dof = whole_dof(dof)
    guard = guard_factor(rule, dof) * u
    margin, nearest = _margin(value, band)
    chance = None if nearest is None else conformity(value, u, band, dof)
    if nearest is None:
        answer = Answer.NO_LIMITS
    elif margin < -guard - LIMIT_SLACK_MM:
        answer = Answer.DOES_NOT_CONFORM
    elif margin >= guard - LIMIT_SLACK_MM and _probable(chance or 0.0, value, u, band, rule, dof):
        answer = Answer.CONFORMS
    else:
        answer = Answer.UNDECIDED
    return Verdict(
        answer=answer,
        p_conform=chance,
        value=value,
        u=u,
        guard=guard,
        band=band,
        nearest=nearest,
        margin=margin,
    )


def _probable(chance: float, value: float, u: float, band: Band, rule: str, dof: float) -> bool:
    """Whether a value inside the guard is within the limits as probably as the rule asks where both limits count."""
    if band.lower is None or band.upper is None or rule == "plain" or u == 0.0:
        return True  # one tail: that is what the guard asks for
    if chance >= _ASKED[rule]:
        return True
    room = Band(band.lower - LIMIT_SLACK_MM, band.upper + LIMIT_SLACK_MM, band.source)
    return conformity(value, u, room, dof) >= _ASKED[rule]


def guard_in(band: Band, u: float, rule: str, dof: float = inf) -> float:
    """How far inside both limits a value must lie to conform, mm; half the width and more where it never can.

    The guard of `guard_factor` where the band is wide against `u`, more in a narrow one: there both limits count.
    """
    guard = guard_factor(rule, whole_dof(dof)) * u
    if band.lower is None or band.upper is None:
        return guard
    half = (band.upper - band.lower) / 2.0
    if judge(band.lower + half, u, band, rule, dof).answer is not Answer.CONFORMS:
        return max(guard, half)
    low, high = min(guard, half), half
    for _ in range(60):
        middle = (low + high) / 2.0
        if judge(band.lower + middle, u, band, rule, dof).answer is Answer.CONFORMS:
            high = middle
        else:
            low = middle
    return high


def _margin(value: float, band: Band) -> tuple[float, float | None]:
    """Signed distance to the nearest limit, positive inside, and that limit; beyond a limit that one counts."""
    below = inf if band.lower is None else value - band.lower
    above = inf if band.upper is None else band.upper - value
    if below == above == inf:
        return inf, None
    return (below, band.lower) if below < above else (above, band.upper)


def settle(
    value: float,
    band: Band,
    rule: str,
    u_bias: float,
    u_random: float,
    n_done: int = 1,
    instruments: Sequence[tuple[str, float, float]] = (),
    *,
    dof_random: float = inf,
    most: int = MOST_REPEATS,
) -> Settle:
    """What would decide an undecided value, supposing that it stays where it is.

    Only the random part shrinks: u(n)^2 = u_bias^2 + u_random^2 / n (JCGM 100:2008, 4.2.3), `u_random` being that of
    a SINGLE reading (Budget.u_random) and `n_done` the readings already averaged. `dof_random`: its degrees of
    freedom, one more with each repeat. `instruments`: (label, u_bias, u_random) of others on the list; the one that
    needs fewest readings is named, the earlier one when equal. `Settle.n` counts MORE repeats; 0 means that it is
    settled already. Errors: DataError as for `judge`, and for n_done below 1.
    """
    if n_done < 1 or not (u_bias >= 0.0 and u_random >= 0.0):
        raise DataError(f"{n_done} readings with u {u_bias} and {u_random}: take at least one reading and no u below 0")
    now = judge(value, *_mean_of(n_done, u_bias, u_random, dof_random, band, rule))
    if now.answer is Answer.NO_LIMITS:
        return Settle(0, None, "there are no limits to judge by")
    if now.answer is not Answer.UNDECIDED:
        return Settle(0, None, f"it is settled: {now.answer}")

    def first_that_decides(bias: float, random: float, dof: float, fewest: int) -> int | None:
        if guard_factor(rule) * bias > abs(now.margin) + LIMIT_SLACK_MM:  # the part that stays is too large by itself
            return None
        for n in range(fewest, fewest + most):
            mean = _mean_of(n, bias, random, dof + n - fewest, band, rule)
            if judge(value, *mean).answer is not Answer.UNDECIDED:
                return n
        return None

    needed = first_that_decides(u_bias, u_random, dof_random + 1.0, n_done + 1)
    best: tuple[int, str] | None = None
    for label, bias, random in instruments:
        n = first_that_decides(bias, random, inf, 1)
        if n is not None and (best is None or n < best[0]):
            best = (n, label)
    ways: list[str] = []
    more = None if needed is None else needed - n_done
    if more is not None:
        ways.append(
            "1 more repeat would settle it, if it agrees"
            if more == 1
            else f"{more} more repeats would settle it, if they agree"
        )
    if best is not None:
        ways.append(f"{best[1]} would settle it" + (f" with {best[0]} readings" if best[0] > 1 else ""))
    if not ways:
        ways.append("nothing on the list can settle it: measure another way or agree a concession")
    return Settle(more, best[1] if best else None, "; or ".join(ways))


def _mean_of(
    n: int, u_bias: float, u_random: float, dof: float, band: Band, rule: str
) -> tuple[float, Band, str, float]:
    """u of a mean of n readings and what else `judge` takes, with the degrees of freedom of the whole."""
    u = sqrt(u_bias**2 + u_random**2 / n)
    share = (u_random / u) ** 2 / n if u > 0.0 else 0.0
    return u, band, rule, dof / share**2 if share > 1e-9 else inf  # Welch-Satterthwaite with one random line


def below(c: Estimate, limit: float | None) -> float:
    """Probability that a normal quantity lies below a limit (0 without a limit; a known value on it is not below).

    In mm.
    """
    if limit is None:
        return 0.0
    if c.u <= 0:
        return 1.0 if c.value < limit - 1e-6 else 0.0
    return normal_cdf((limit - c.value) / c.u)
