"""Capacity: what a passage of this area would pass, first order, against its rating, in words that stand out.

capacity = rated x (area / area as drawn)^n. Same pressure drop, same surface and loss assumed; the test stand decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot, pi, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge.verdict import below
from inspect_tui.metrology.kit.passage import Derived, Formula, derive, value_of
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

CAVEAT = (
    "First-order estimate, common practice without a source: same pressure drop, surface and losses assumed. "
    "Roughness, core wash, fins, a turned core, entry edges and bends can outweigh the area. It is no flow test: "
    "the test stand decides."
)
AS_RATED = 0.01  # within 1 % of rated nothing is said to miss
FAR = 0.10  # beyond this it is more than a few percent
G = 9.80665


@frozen_by_name
class Capacity:
    """Estimated capacity in the unit of the rating; `p_meets`: the probability of reaching the minimum (or rating)."""

    value: float
    u: float
    rated: float
    minimum: float | None
    area: float
    area_drawn: float
    exponent: float
    p_meets: float
    level: str  # as rated, over, under by a few percent, far under
    sentence: str
    caveat: str = CAVEAT

    @property
    def short(self) -> float:
        """Share of the rating that is missing (0.077 is 7.7 % under); below 0 it is over. A fraction."""
        return 1.0 - self.value / self.rated


def capacity(
    area: Estimate,
    area_drawn: float,
    rated: float,
    n: float = 1.0,
    minimum: float | None = None,
    unit: str = "",
    style: Style = MM,
) -> Capacity:
    """Rated capacity scaled by the area, with its uncertainty; raises DataError for areas or ratings not above 0.

    Source: flow through a passage at constant pressure drop is proportional to its area (fluid mechanics); using it
    for a whole casting is common practice without a source.
    """
    if not (area.value > 0 and area_drawn > 0 and rated > 0):
        raise DataError("a capacity needs an area, an area as drawn and a rating, all above 0")
    ratio = area.value / area_drawn
    value = rated * ratio**n
    u = value * abs(n) * area.u / area.value
    need = rated if minimum is None else minimum
    p_meets = 1.0 - below(Estimate(value, u), need)
    short = 1.0 - value / rated
    level = _level(short)
    text = _sentence(value, u, rated, minimum, short, level, p_meets, unit, style)
    return Capacity(
        value=value,
        u=u,
        rated=rated,
        minimum=minimum,
        area=area.value,
        area_drawn=area_drawn,
        exponent=n,
        p_meets=p_meets,
        level=level,
        sentence=text,
    )


def _level(short: float) -> str:
    if abs(short) <= AS_RATED:
        return "as rated"
    if short < 0:
        return "over"
    return "far under" if short > FAR else "under by a few percent"


def _sentence(
    value: float,
    u: float,
    rated: float,
    minimum: float | None,
    short: float,
    level: str,
    p_meets: float,
    unit: str,
    style: Style,
) -> str:
    end = f" {unit}" if unit else ""
    of = f"{style.figure(value, 1)} of {style.figure(rated, 1)}"
    if level == "as rated":
        text = f"as rated: {of}{end}"
    elif level == "over":
        text = f"{style.percent(-short, 1)} over: {of} rated{end}"
    else:
        text = f"{style.percent(short, 1)} under: {of} rated{end}"
    if u > 0:
        text += f" ± {style.figure(2 * u, 1 if 2 * u >= 0.05 else 2)}"
    if minimum is not None and value < minimum:
        text += f"; below the minimum of {style.figure(minimum, 1)}"
    if minimum is not None and 0.01 < p_meets < 0.99:
        text += f"; reaches {style.figure(minimum, 1)} with probability {style.percent(p_meets)}"
    return text


def series(areas: Sequence[Estimate]) -> Estimate:
    """One area that passes as much as these one after the other: 1/A^2 = sum of 1/Ai^2; the smallest rules.

    In mm2. DataError for no area, or one not above 0.
    """
    if not areas or any(a.value <= 0 for a in areas):
        raise DataError("areas in series have to be above 0")
    total = 1.0 / sqrt(sum(1.0 / a.value**2 for a in areas))
    return Estimate(total, hypot(*((total / a.value) ** 3 * a.u for a in areas)))


def parallel(areas: Sequence[Estimate]) -> Estimate:
    """One area that passes as much as these side by side: their sum. In mm2. DataError for no area."""
    if not areas:
        raise DataError("give at least one area")
    return Estimate(sum(a.value for a in areas), hypot(*(a.u for a in areas)))


def orifice_flow(area_mm2: float, head_m: float, cd: float = 0.62, g: float = G) -> float:
    """Flow through a sharp orifice, m3/s: cd x area x sqrt(2 g head). Source: fluid mechanics.

    `area_mm2` in mm2, `head_m` in m, `g` in m/s2; `cd` is dimensionless.
    """
    return cd * area_mm2 * 1e-6 * sqrt(2 * g * head_m)


def ellipse(width_mm: float, height_mm: float) -> float:
    """Area of an oval passage from its two widths, mm2; a section by templates is better. Widths in mm."""
    return pi / 4 * width_mm * height_mm


@frozen
class Buys:
    """What one feature does for the result: percent of it per mm, and the change that alone would reach the wish."""

    feature: str
    percent_per_mm: float
    alone_mm: float | None


def buys_back(formula: Formula, sizes: Mapping[str, Estimate], wished: float) -> list[Buys]:
    """Which feature brings the derived value back to `wished` with the least change, best first (mm on the casting).

    `alone_mm` is solved on the formula itself, not on its tangent; None when no change within half its size reaches it.
    """
    now: Derived = derive(formula, sizes)
    values = {name: sizes[name].value for name in formula.names}
    purchases = []
    for name in formula.names:
        percent = 100.0 * now.sensitivity[name] / now.value if now.value else 0.0
        purchases.append(Buys(name, percent, _alone(formula, values, name, wished, now.sensitivity[name])))
    return sorted(purchases, key=lambda b: abs(b.alone_mm) if b.alone_mm is not None else float("inf"))


def _alone(formula: Formula, values: dict[str, float], name: str, wished: float, slope: float) -> float | None:
    def miss(change: float) -> float:
        return value_of(formula, {**values, name: values[name] + change}) - wished

    start = miss(0.0)
    if abs(start) < 1e-12 * max(abs(wished), 1.0):
        return 0.0
    if slope == 0.0:
        return None
    toward = -1.0 if (start > 0) == (slope > 0) else 1.0
    near, far = 0.0, toward * max(abs(start / slope), 1e-6)
    while (miss(far) > 0) == (start > 0):
        near, far = far, far * 1.5
        if abs(far) > abs(values[name]) / 2:
            return None
    for _ in range(80):
        middle = (near + far) / 2
        if (miss(middle) > 0) == (start > 0):
            near = middle
        else:
            far = middle
    return (near + far) / 2
