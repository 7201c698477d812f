"""Normal, t and F distributions in plain Python, so that a verdict needs neither numpy nor scipy.

Accuracy about 1e-13 for degrees of freedom that budgets meet; the tests compare with closed forms and with scipy.
"""

from __future__ import annotations

from functools import lru_cache
from math import erfc, exp, expm1, floor, inf, isfinite, isnan, lgamma, log, log1p, pi, sqrt, tan

from inspect_tui.errors import DataError

SQRT_2PI = sqrt(2.0 * pi)
_TINY = 1e-300
_NEARLY_NORMAL = 1e6  # from here on two terms beyond the normal are exact to 1e-12 of the tail


def normal_pdf(z: float) -> float:
    """Density of the standard normal at `z`. Per standard deviation."""
    return exp(-0.5 * z * z) / SQRT_2PI


def normal_cdf(z: float) -> float:
    """Probability that a standard normal is at most `z`; the lower tail keeps its relative accuracy.

    `z` in standard deviations.
    """
    return 0.5 * erfc(-z / sqrt(2.0))


TWO_U = normal_cdf(2.0)  # one-sided probability of 2 u, 0.977: what k = 2 stands for, and its t at few dof


def whole_dof(dof: float) -> float:
    """Degrees of freedom cut down to a whole number as JCGM 100:2008, G.4.1 says; below 1 they stay, inf stays inf."""
    return dof if dof < 1.0 or dof == inf else float(floor(dof * (1.0 + 1e-12)))


def normal_quantile(p: float) -> float:
    """The z below which the standard normal lies with probability `p`. Errors: DataError unless 0 <= p <= 1."""
    _probability(p)
    if p in (0.0, 1.0):
        return inf if p else -inf
    q = min(p, 1.0 - p)
    t = sqrt(-2.0 * log(q))
    # Abramowitz & Stegun 26.2.23 starts within 5e-4; two steps of Halley end at machine precision.
    z = (2.515517 + t * (0.802853 + t * 0.010328)) / (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))) - t
    for _ in range(3):
        step = (normal_cdf(z) - q) / normal_pdf(z)
        z -= step / (1.0 + 0.5 * z * step)
    return z if p < 0.5 else -z


def beta_cdf(x: float, a: float, b: float) -> float:
    """Regularised incomplete beta function I_x(a, b) by its continued fraction (modified Lentz)."""
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    return _beta(x, 1.0 - x, log(x), log1p(-x), a, b)


def _beta(x: float, y: float, log_x: float, log_y: float, a: float, b: float) -> float:
    """I_x(a, b) with y = 1 - x; both and their logarithms are given, as one of them may be lost in the other."""
    front = exp(a * log_x + b * log_y - log_beta(a, b))
    if x * (a + b + 2.0) < a + 1.0:
        return front * _fraction(x, a, b) / a
    return 1.0 - front * _fraction(y, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1.0 / _away(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for m in range(1, 100_000):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        change = 1.0
        for term in (even, odd):
            d = 1.0 / _away(1.0 + term * d)
            c = _away(1.0 + term / c)
            change = c * d
            value *= change
        if abs(change - 1.0) < 1e-15:
            break
    return value


def _away(x: float) -> float:
    return x if abs(x) > _TINY else _TINY


def log_beta(a: float, b: float) -> float:
    """Logarithm of the beta function; for one large argument the difference of log-gammas is taken as a series.

    Dimensionless.
    """
    small, large = min(a, b), max(a, b)
    if large < 1e3 or small != 0.5:
        return lgamma(a) + lgamma(b) - lgamma(a + b)
    # ln G(x+1/2) - ln G(x) = ln(x)/2 - 1/(8x) + 1/(192x^3) - ...: lgamma itself would lose nine digits at 1e6.
    return 0.5 * log(pi) - (0.5 * log(large) - 1.0 / (8.0 * large) + 1.0 / (192.0 * large**3))


def t_tail(t: float, dof: float) -> float:
    """Probability that Student's t with `dof` degrees of freedom is above `t` >= 0, accurate far out as well."""
    if t == inf:
        return 0.0
    if dof == inf:
        return normal_cdf(-t)
    if dof >= _NEARLY_NORMAL:
        # Fisher's expansion in 1/dof, two terms.
        second = t * (((3.0 * t * t - 7.0) * t * t - 5.0) * t * t - 3.0) / (96.0 * dof * dof)
        return normal_cdf(-t) + normal_pdf(t) * (t * (t * t + 1.0) / (4.0 * dof) + second)
    ratio = t * t / dof
    if ratio == 0.0:
        return 0.5
    if ratio == inf:
        return exp(0.5 * dof * (log(dof) - 2.0 * log(t)) - log_beta(0.5 * dof, 0.5)) / dof
    x, y = 1.0 / (1.0 + ratio), ratio / (1.0 + ratio)
    return 0.5 * _beta(x, y, -log1p(ratio), log(ratio) - log1p(ratio), 0.5 * dof, 0.5)


def t_cdf(t: float, dof: float = inf) -> float:
    """Probability that Student's t is at most `t`; `dof` > 0 need not be whole, and inf is the normal.

    Dimensionless. DataError for NaN.
    """
    _dof(dof)
    if isnan(t):
        raise DataError("t is not a number: give a finite value")
    return 1.0 - t_tail(t, dof) if t > 0.0 else t_tail(-t, dof)


def t_pdf(t: float, dof: float = inf) -> float:
    """Density of Student's t. Dimensionless, per unit of t; `dof` above 0."""
    if dof == inf:
        return normal_pdf(t)
    return exp(-0.5 * (dof + 1.0) * log1p(t * t / dof) - log_beta(0.5 * dof, 0.5)) / sqrt(dof)


@lru_cache(maxsize=1024)  # the bench asks for the same few all day, 0.3 ms each
def t_quantile(p: float, dof: float = inf) -> float:
    """The t below which Student's t lies with probability `p`; one-sided: k for 95 % both ways is t_quantile(0.975).

    `dof` > 0 need not be whole, and inf gives the normal. Errors: DataError unless 0 <= p <= 1 and dof > 0.
    """
    _probability(p)
    _dof(dof)
    if p == 0.5:
        return 0.0
    if p in (0.0, 1.0) or dof == inf:
        return normal_quantile(p)
    q = min(p, 1.0 - p)
    t = _upper_t(q, dof)
    return t if p > 0.5 else -t


def _upper_t(q: float, dof: float) -> float:
    """The t > 0 with tail `q` < 1/2: Newton on the logarithm of the tail, kept inside a bracket."""
    if dof == 1.0:
        return 1.0 / tan(pi * q)
    if dof == 2.0:
        return (1.0 - 2.0 * q) / sqrt(2.0 * q * (1.0 - q))
    z = -normal_quantile(q)
    t = z + z * (z * z + 1.0) / (4.0 * dof)
    low, high = 0.0, inf
    for _ in range(200):
        tail = t_tail(t, dof)
        if tail > q:
            low = t
        else:
            high = t
        slope = t_pdf(t, dof)
        # In the tail the logarithm of the probability is nearly straight in log t, in the middle nearly so in t.
        if tail > 0.0 and slope > 0.0:
            gain = log(tail / q)
            step = t * expm1(min(gain * tail / (slope * t), 50.0)) if q < 0.05 and t > 0.0 else (tail - q) / slope
            new = t + step
        else:
            new = high
        if abs(new - t) <= 4e-16 * t:
            return new
        if not low < new < high or not isfinite(new):
            new = 2.0 * low + 1.0 if high == inf else (sqrt(low * high) if low > 0.0 else 0.5 * high)
        if high < inf and high - low <= 4e-16 * high:
            return new
        t = new
    return t


def f_tail(ratio: float, dof_upper: float, dof_lower: float) -> float:
    """Probability that a ratio of two variances of equal expectation exceeds `ratio` (Fisher's F)."""
    if ratio <= 0.0:
        return 1.0
    return beta_cdf(dof_lower / (dof_lower + dof_upper * ratio), 0.5 * dof_lower, 0.5 * dof_upper)


def _probability(p: float) -> None:
    if not 0.0 <= p <= 1.0:
        raise DataError(f"{p} is no probability: give a value from 0 to 1")


def _dof(dof: float) -> None:
    if not dof > 0.0:
        raise DataError(f"{dof} degrees of freedom: there must be more than 0")
