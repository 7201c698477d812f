"""Straight lines with errors in both sizes, and a size read backwards from a fitted line.

Tool size against casting size has errors on both sides; an ordinary regression would put the slope, and with it the
contraction, too low. York's method takes each point's own two uncertainties; Deming's is the closed form when their
ratio is the same everywhere. The way back (which tool gives this casting) is inverse prediction.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.words import Estimate


@frozen
class FittedLine:
    """y = intercept + slope x; `fit` is the weighted sum of squared distances (chi-square with n - 2 degrees)."""

    slope: Estimate
    intercept: Estimate
    covariance: float
    fit: float
    n: int

    def at(self, x: float) -> Estimate:
        """The line at x with its standard uncertainty, in the unit of y."""
        u2 = self.intercept.u**2 + (x * self.slope.u) ** 2 + 2 * x * self.covariance
        return Estimate(self.intercept.value + self.slope.value * x, sqrt(max(u2, 0.0)))


def _checked(*columns: Sequence[float], least: int) -> int:
    n = len(columns[0])
    if any(len(c) != n for c in columns) or n < least:
        raise DataError(f"a line needs at least {least} points and the same number in every column; {n} were given")
    return n


def york_line(x: Sequence[float], y: Sequence[float], ux: Sequence[float], uy: Sequence[float]) -> FittedLine:
    """Line through points with standard uncertainties in both directions, uncorrelated within a point.

    York, Evensen, Martinez and De Basabe Delgado, American Journal of Physics 72 (2004) 367, table I. Uncertainties
    are those of the adjusted points, not scaled by the fit. Raises DataError when x does not vary or u is not positive.
    """
    n = _checked(x, y, ux, uy, least=2)
    if min(ux) <= 0 or min(uy) <= 0:
        raise DataError("every point needs a positive uncertainty in both directions")
    wx, wy = [1 / u**2 for u in ux], [1 / u**2 for u in uy]
    slope = _plain_slope(x, y)
    for _ in range(200):
        w = [a * b / (a + slope**2 * b) for a, b in zip(wx, wy, strict=True)]
        total = sum(w)
        mx = sum(a * b for a, b in zip(w, x, strict=True)) / total
        my = sum(a * b for a, b in zip(w, y, strict=True)) / total
        du, dv = [a - mx for a in x], [a - my for a in y]
        beta = [k * (u / q + slope * v / p) for k, u, v, p, q in zip(w, du, dv, wx, wy, strict=True)]
        down = sum(k * b * u for k, b, u in zip(w, beta, du, strict=True))
        if down == 0:
            raise DataError("all points lie at one place; a line needs two different ones")
        new = sum(k * b * v for k, b, v in zip(w, beta, dv, strict=True)) / down
        done = abs(new - slope) <= 1e-15 * max(abs(new), 1e-300)
        slope = new
        if done:
            break
    intercept = my - slope * mx
    adjusted = [mx + b for b in beta]
    mean = sum(k * a for k, a in zip(w, adjusted, strict=True)) / total
    u2_slope = 1 / sum(k * (a - mean) ** 2 for k, a in zip(w, adjusted, strict=True))
    fit = sum(k * (b - slope * a - intercept) ** 2 for k, a, b in zip(w, x, y, strict=True))
    return FittedLine(
        Estimate(slope, sqrt(u2_slope)),
        Estimate(intercept, sqrt(1 / total + mean**2 * u2_slope)),
        -mean * u2_slope,
        fit,
        n,
    )


def _plain_slope(x: Sequence[float], y: Sequence[float]) -> float:
    mx, my = sum(x) / len(x), sum(y) / len(y)
    sxx = sum((a - mx) ** 2 for a in x)
    if sxx == 0:
        raise DataError("all points lie at one place; a line needs two different ones")
    return sum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / sxx


def deming_line(x: Sequence[float], y: Sequence[float], ratio: float = 1.0) -> tuple[float, float]:
    """Slope and intercept when the error variance of y is `ratio` times that of x at every point.

    Fuller, Measurement Error Models (1987), section 1.3. Raises DataError when the points do not determine a line.
    """
    n = _checked(x, y, least=2)
    mx, my = sum(x) / n, sum(y) / n
    sxx = sum((a - mx) ** 2 for a in x)
    syy = sum((b - my) ** 2 for b in y)
    sxy = sum((a - mx) * (b - my) for a, b in zip(x, y, strict=True))
    if sxy == 0:
        raise DataError("x and y do not vary together; these points do not determine a line")
    d = syy - ratio * sxx
    slope = (d + sqrt(d * d + 4 * ratio * sxy * sxy)) / (2 * sxy)
    return slope, my - slope * mx


def contraction_from_pairs(
    tool: Sequence[float], casting: Sequence[float], u_tool: Sequence[float], u_casting: Sequence[float]
) -> Estimate:
    """Contraction (fraction of the casting) as the slope of tool against casting, free of any common offset.

    Sizes with both ends on one tool only, so that no shift can leak in; an offset that all sizes share (an instrument,
    a coat) stays in the intercept. `contraction.learn` is the one through the origin.
    """
    line = york_line(casting, tool, u_casting, u_tool)
    return Estimate(line.slope.value - 1.0, line.slope.u)


@frozen
class Inverse:
    """The x that gives y on a fitted polynomial, with the residual standard deviation of the fit."""

    x: float
    u: float
    coefficients: tuple[float, ...]
    residual_sd: float


def inverse_prediction(x: Sequence[float], y: Sequence[float], y0: float, degree: int = 1, repeats: int = 1) -> Inverse:
    """Fit y by a polynomial in x (least squares) and find the x in the range of the data that gives y0.

    u is the first-order standard uncertainty, from the scatter of a mean of `repeats` new readings and of the curve
    itself (NIST/SEMATECH e-Handbook of Statistical Methods, 4.5.2.1, single-use calibration). Raises DataError when
    the curve does not reach y0 within the data, stretched by a tenth on both sides.
    """
    import numpy as np

    n = _checked(x, y, least=degree + 2)
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    middle, half = float(xs.max() + xs.min()) / 2, float(xs.max() - xs.min()) / 2
    if half == 0:
        raise DataError("all points lie at one place; a curve needs more")
    design = np.vander((xs - middle) / half, degree + 1, increasing=True)
    fitted, *_ = np.linalg.lstsq(design, ys, rcond=None)
    residual = ys - design @ fitted
    sd = sqrt(float(residual @ residual) / (n - degree - 1))
    poly = np.polynomial.Polynomial(fitted)
    roots = (poly - y0).roots()
    real = [float(r.real) for r in roots if abs(r.imag) < 1e-9 and abs(r.real) <= 1.2]
    if not real:
        raise DataError(f"the fitted curve does not reach {MM.figures(y0)} where there are data")
    root = min(real, key=abs)
    row = np.array([root**k for k in range(degree + 1)])
    curve = float(row @ np.linalg.solve(design.T @ design, row))
    slope = float(poly.deriv()(root))
    u = sd * sqrt(1.0 / repeats + curve) / abs(slope) * half
    plain = np.polynomial.Polynomial(fitted, domain=[middle - half, middle + half]).convert(domain=[-1, 1]).coef
    return Inverse(middle + half * root, u, tuple(float(c) for c in plain), sd)
