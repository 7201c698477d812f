"""Bias of a gauge against references: at one size, along its range (linearity), over time (stability), over runs.

Bias is the mean reading less the reference value (VIM 2.18); it is stated with its interval and never applied.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import inf, isfinite, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.spread.chart_constants import median_moving_range
from inspect_tui.metrology.spread.charts import Break, ControlChart, individuals
from inspect_tui.metrology.spread.least_squares import LinearFit, least_squares
from inspect_tui.metrology.spread.statistics import Summary, finite, from_values
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    from inspect_tui.metrology.spread.statistics import Values

MEDIAN_DOF = 0.3  # degrees of freedom a reading adds to a median successive difference (simulated; a mean adds 0.62)
FEWEST_STEP = 3  # readings on each side of a step: a single wild reading is no step


@frozen_by_name
class Bias:
    """Bias with its interval; `t` and `p` test the readings' part against zero, `u` holds the reference's share too."""

    n: int
    bias: float
    s: float
    u: float
    dof: float
    lower: float
    upper: float
    t: float
    p: float
    differs: bool
    sentence: str


@frozen_by_name
class Linearity:
    """Bias along the range as a straight line: bias = intercept + slope * reference."""

    slope: float
    u_slope: float
    t_slope: float
    p_slope: float
    intercept: float
    u_intercept: float
    t_intercept: float
    p_intercept: float
    t_critical: float
    s: float
    dof: int
    r_squared: float
    references: tuple[float, ...]
    biases: tuple[Bias, ...]
    p_lack_of_fit: float | None
    differs: bool
    sentence: str
    fit: LinearFit

    def at(self, reference: float, level: float = 0.95) -> tuple[float, float, float]:
        """Bias at a size with its confidence limits. (bias, lower, upper) in the unit of the readings."""
        from scipy.special import stdtrit

        value, u = self.fit.at((1.0, reference))
        half = float(stdtrit(self.dof, 0.5 + level / 2)) * u
        return value, value - half, value + half


@frozen_by_name
class LastingChange:
    """A lasting change: from point `index` (from 0) on the mean is `after`, before it was `before`."""

    index: int
    before: float
    after: float
    change: float
    lower: float
    upper: float
    p: float
    sentence: str


@frozen
class Stability:
    """Readings of a reference piece over time: chart of their errors, steps found, and the bias between the steps."""

    chart: ControlChart
    steps: tuple[LastingChange, ...]
    biases: tuple[tuple[int, int, Bias], ...]
    stable: bool
    sentence: str


@frozen_by_name
class Nested:
    """Repeats within days within runs: standard deviations of each level and what days and runs add (variances).

    The added variances are as they come out and may be negative; `combined` counts such as 0.
    """

    run_means: tuple[float, ...]
    run_day_sd: tuple[float, ...]
    repeatability: float
    dof: int
    between_days: float
    between_runs: float | None
    added_by_days: float
    added_by_runs: float | None
    combined: float


def bias_study(
    values: Values, reference: float, u_reference: float = 0.0, level: float = 0.95, style: Style = MM
) -> Bias:
    """Bias from repeated readings of one reference piece whose standard uncertainty is `u_reference`.

    The interval combines the readings' s / sqrt(n) with the reference's uncertainty (GUM, Welch-Satterthwaite); the
    t test looks at the readings alone. All in the unit of the readings. DataError for a reference or an uncertainty
    that is no number, or below 0.
    """
    from scipy.special import ndtri, stdtr, stdtrit

    if not isfinite(reference) or not (isfinite(u_reference) and u_reference >= 0):
        raise DataError("the reference needs a value and an uncertainty that are numbers, the latter not negative")
    a = finite(values, fewest=2)
    summary = from_values(a - reference)
    n, b, s = summary.n, summary.mean, summary.s or 0.0
    u_mean = s / sqrt(n)
    u = sqrt(u_mean**2 + u_reference**2)
    dof = inf if u_mean == 0 else (n - 1) * (u / u_mean) ** 4
    k = float(stdtrit(dof, 0.5 + level / 2)) if dof < 1e9 else float(ndtri(0.5 + level / 2))
    if u_mean > 0:
        t = b / u_mean
        p = 2.0 * float(stdtr(n - 1, -abs(t)))
    else:
        t, p = (0.0, 1.0) if b == 0 else (inf if b > 0 else -inf, 0.0)
    differs = not b - k * u <= 0.0 <= b + k * u
    way = "high" if b > 0 else "low"
    seen = f"({_between(b - k * u, b + k * u, style)}, {n} readings)"
    say = f"reads {style.significant(abs(b), 3, unit=False)} {way} {seen}"
    if not differs:
        say = f"no bias shown: {_signed(b, style)} {seen}"
    if s == 0:
        say += "; all readings are equal: the instrument's steps hide its repeatability"
    return Bias(
        n=n, bias=b, s=s, u=u, dof=dof, lower=b - k * u, upper=b + k * u, t=t, p=p, differs=differs, sentence=say
    )


def _signed(mm: float, style: Style) -> str:
    return style.significant(mm, 3, unit=False, signed=True)


def _between(low: float, high: float, style: Style) -> str:
    return f"{_signed(low, style)} to {_signed(high, style)}"


def linearity_study(
    references: Sequence[float], readings: Sequence[Values], level: float = 0.95, style: Style = MM
) -> Linearity:
    """Bias of several reference pieces (each read several times) against their size, by least squares.

    Tests slope and intercept against 0 (Student's t) and, where pieces were read more than once, the straight line
    itself (lack of fit, F test). All in the unit of the readings; the slope is dimensionless. DataError for fewer
    than two sizes, or for lists that do not match.
    """
    import numpy as np
    from scipy.special import fdtrc, stdtr, stdtrit

    if len(references) != len(readings):
        raise DataError(f"{len(references)} references for {len(readings)} sets of readings: give one set to each")
    sizes = finite(list(references), "reference", fewest=1)
    if np.unique(sizes).size < 2:
        raise DataError("linearity needs at least two different references; one size shows a bias only")
    rows = [finite(r, fewest=1) - x for x, r in zip(sizes, readings, strict=True)]
    x, y = np.repeat(sizes, [r.size for r in rows]), np.concatenate(rows)
    fit = least_squares([x], y)
    (b0, b1), (u0, u1) = fit.b, fit.u

    def test(b: float, u: float) -> tuple[float, float]:
        t = b / u if u > 0 else (0.0 if b == 0 else inf)
        return t, 2.0 * float(stdtr(fit.dof, -abs(t)))

    (t0, p0), (t1, p1) = test(b0, u0), test(b1, u1)
    pure, pure_dof = sum(from_values(r).m2 for r in rows), y.size - len(rows)
    lack_dof = len(rows) - 2
    p_lack = None
    if pure_dof > 0 and lack_dof > 0 and pure > 0:
        p_lack = float(fdtrc(lack_dof, pure_dof, max(fit.ss_residual - pure, 0.0) / lack_dof / (pure / pure_dof)))
    biases = tuple(
        bias_study(r, 0.0, level=level, style=style) if r.size > 1 else _single(float(r[0]), style) for r in rows
    )
    risk = 1.0 - level
    differs = p1 < risk or p0 < risk
    if not differs:
        say = "no bias along the range is shown"
    else:
        say = f"bias = {style.significant(b0, 4, unit=False, signed=True)} {style.figures(b1, 4, signed=True)} x size"
        say += " (the slope is significant)" if p1 < risk else ""
    if p_lack is not None and p_lack < risk:
        lack = f"lack of fit p = {style.figures(p_lack, 2)}"
        say += f"; a straight line does not describe it ({lack}): use the bias of each size"
    critical = float(stdtrit(fit.dof, 0.5 + level / 2))
    return Linearity(
        slope=b1,
        u_slope=u1,
        t_slope=t1,
        p_slope=p1,
        intercept=b0,
        u_intercept=u0,
        t_intercept=t0,
        p_intercept=p0,
        t_critical=critical,
        s=fit.residual_sd,
        dof=fit.dof,
        r_squared=fit.r_squared,
        references=tuple(sizes.tolist()),
        biases=biases,
        p_lack_of_fit=p_lack,
        differs=differs,
        sentence=say,
        fit=fit,
    )


def _single(bias: float, style: Style) -> Bias:
    return Bias(
        n=1,
        bias=bias,
        s=0.0,
        u=inf,
        dof=0.0,
        lower=-inf,
        upper=inf,
        t=0.0,
        p=1.0,
        differs=False,
        sentence=f"one reading, {_signed(bias, style)}: no interval",
    )


# ------------------------------------------------------------------------------ over time
def steps(values: Values, alpha: float = 0.01, style: Style = MM) -> tuple[LastingChange, ...]:
    """Lasting steps of the mean, by splitting where it moves most, again and again (binary segmentation).

    The noise is judged by the median successive difference, which steps do not widen, so that a step up does not hide
    the step down after it. `alpha` is the risk of a step in independent normal readings that have none, kept by
    counting every possible place (Bonferroni, hence on the careful side). Three readings or more lie between steps.
    """
    import numpy as np
    from scipy.special import stdtr, stdtrit

    a = finite(values)
    base = float(a[0]) if a.size else 0.0
    a = a - base
    jumps = np.abs(np.diff(a))
    if a.size < 2 * FEWEST_STEP or not jumps.any():
        return ()
    noise = float(np.median(jumps)) / median_moving_range() or float(np.sqrt((jumps @ jumps) / jumps.size / 2.0))
    noise_dof = max(2.0, MEDIAN_DOF * a.size)

    def split(start: int, stop: int) -> tuple[int, float] | None:
        x = a[start:stop]
        n = int(x.size)
        if n < 2 * FEWEST_STEP:
            return None
        k = np.arange(FEWEST_STEP, n - FEWEST_STEP + 1)
        left = np.cumsum(x - x.mean())[k - 1]
        between = left**2 * n / (k * (n - k))  # sum of squares that a step after k readings explains
        best = int(np.argmax(between))
        t = sqrt(float(between[best])) / noise
        return start + int(k[best]), min(1.0, 2.0 * k.size * float(stdtr(noise_dof, -t)))

    p_at: dict[int, float] = {}
    todo = [(0, int(a.size))]
    while todo:
        start, stop = todo.pop()
        cut = split(start, stop)
        if cut is not None and cut[1] < alpha:
            p_at[cut[0]] = cut[1]
            todo += [(start, cut[0]), (cut[0], stop)]
    places = sorted(p_at)
    edges = [0, *places, int(a.size)]
    out = []
    for i, at in enumerate(places):
        earlier, right = from_values(a[edges[i] : at]), from_values(a[at : edges[i + 2]])
        dof = earlier.n + right.n - 2
        u = sqrt((earlier.m2 + right.m2) / dof * (1.0 / earlier.n + 1.0 / right.n))
        half = float(stdtrit(dof, 0.975)) * u
        out.append(_step(at, base + earlier.mean, base + right.mean, half, p_at[at], style))
    return tuple(out)


def _step(at: int, before: float, after: float, half: float, p: float, style: Style) -> LastingChange:
    change = after - before
    between = _between(change - half, change + half, style)
    say = f"from reading {at + 1} on {_signed(change, style)} ({between}), p = {style.figures(p, 1)}"
    return LastingChange(
        index=at, before=before, after=after, change=change, lower=change - half, upper=change + half, p=p, sentence=say
    )


def stability_study(
    values: Values,
    reference: float,
    u_reference: float = 0.0,
    breaks: Iterable[Break] = (),
    level: float = 0.95,
    style: Style = MM,
) -> Stability:
    """Readings of a reference piece in the order of taking: individuals chart of the errors, steps, bias between steps.

    Steps are looked for within the segments that `breaks` (an adjustment, a new battery) make; the bias is given for
    every stretch between breaks and steps, so that it can be traced back over the readings taken in that time.
    """
    a = finite(values, fewest=1)
    errors = a - reference
    wanted = tuple(breaks)
    chart = individuals(errors, wanted, style=style)
    changes: list[LastingChange] = []
    edges = {0, int(a.size)} | {b.index for b in wanted}
    for part in chart.segments:
        for step in steps(errors[part.start : part.stop]):
            at = step.index + part.start
            changes.append(_step(at, step.before, step.after, step.upper - step.change, step.p, style))
            edges.add(at)
    cuts = sorted(edges)
    stretches = [(i, j) for i, j in pairwise(cuts) if j - i > 1]
    biases = tuple((i, j, bias_study(a[i:j], reference, u_reference, level, style)) for i, j in stretches)
    stable = not changes and not chart.signals
    said = [s.sentence for s in changes] + [f"readings {i + 1} to {j}: {b.sentence}" for i, j, b in biases]
    lead = "stable" if stable else ("changed" if changes else "single readings stand out; no lasting step")
    return Stability(chart, tuple(changes), biases, stable, "; ".join([lead, *said]))


def nested_study(runs: Sequence[Sequence[Summary]]) -> Nested:
    """Repeats within days within runs (three-level nested design), from the summary of each day.

    Level standard deviations as the NIST/SEMATECH e-Handbook, section 2.4; balanced runs. DataError where runs or
    days are not alike or hold fewer than two.
    """
    days = {len(run) for run in runs}
    repeats = {day.n for run in runs for day in run}
    if len(days) != 1 or len(repeats) != 1 or min(days) < 2 or min(repeats) < 2:
        raise DataError("give every run as many days, and every day as many repeats, two or more of each")
    per_run, per_day = days.pop(), repeats.pop()
    dof = len(runs) * per_run * (per_day - 1)
    repeatability2 = sum(day.m2 for run in runs for day in run) / dof
    by_run = [from_values([day.mean for day in run]) for run in runs]
    days2 = sum(r.m2 for r in by_run) / (len(runs) * (per_run - 1))
    added_days = days2 - repeatability2 / per_day
    top = from_values([r.mean for r in by_run])
    added_runs = None if top.s is None else top.s**2 - days2 / per_run
    combined = sqrt(repeatability2 + max(added_days, 0.0) + max(added_runs or 0.0, 0.0))
    return Nested(
        run_means=tuple(r.mean for r in by_run),
        run_day_sd=tuple(r.s or 0.0 for r in by_run),
        repeatability=sqrt(repeatability2),
        dof=dof,
        between_days=sqrt(days2),
        between_runs=top.s,
        added_by_days=added_days,
        added_by_runs=added_runs,
        combined=combined,
    )
