"""Capacity: what a passage of this area would pass, first order, against its rating, in words that stand out.

capacity = rated x (area / area as drawn)^n, or what the customer's own points say. Same pressure drop, same surface and
loss assumed; the test stand decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot, pi, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge.verdict import below
from inspect_tui.metrology.kit.doubts import Doubt, Doubted, DoubtShare, shares, together
from inspect_tui.metrology.kit.law import Law
from inspect_tui.metrology.kit.passage import Derived, Formula, derive, value_of
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.units import Unit, look_up
from inspect_tui.model.words import Estimate

CAVEAT = (
    "First-order estimate, common practice without a source: same pressure drop, surface and losses assumed. "
    "Roughness, core wash, fins, a turned core, entry edges and bends can outweigh the area. It is no flow test: "
    "the test stand decides."
)
AS_RATED = 0.01  # within 1 % of rated nothing is said to miss
FAR = 0.10  # beyond this it is more than a few percent
MAX_EXPONENT = 10.0
SAID = 0.05  # an assumed part below this share of the whole doubt is not worth words
# flows as people ask for them; exact by definition: gallons of 231 in3, feet of 304.8 mm (NIST SP 811, appendix B)
FLOW_UNITS = {
    "m3/h": "m³/h",
    "m3/min": "m³/min",
    "l/s": "L/s",
    "gal/min": "gal/min (US)",
    "ft3/min": "ft³/min",
}
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
    how: str  # how the capacity follows from the area, and who says so
    shares: tuple[DoubtShare, ...]  # what each kind of doubt comes to, in the unit of the rating
    sentence: str
    caveat: str = CAVEAT

    @property
    def short(self) -> float:
        """Share of the rating that is missing (0.077 is 7.7 % under); below 0 it is over. A fraction."""
        return 1.0 - self.value / self.rated

    @property
    def u_measured(self) -> float:
        """The part of `u` that comes from readings and their gauges, in its unit."""
        return together(self.shares, measured=True)

    @property
    def u_assumed(self) -> float:
        """The part of `u` that nobody measured, in its unit."""
        return together(self.shares, measured=False)


def exponent_wrong(n: float) -> str | None:
    """What is wrong with an exponent of the law of flow, as a sentence."""
    if n == 0:
        return "an exponent of 0 says that the area does not matter: type 1 where the flow is in proportion to it"
    if not 0 < n <= MAX_EXPONENT:
        return f"an exponent of {MM.figures(n)} is no law of flow: it is above 0 and at most {MM.figures(MAX_EXPONENT)}"
    return None


def capacity(
    area: Estimate | Derived,
    area_drawn: float,
    rated: float,
    n: float = 1.0,
    minimum: float | None = None,
    unit: str = "",
    style: Style = MM,
    law: Law | None = None,
) -> Capacity:
    """Rated capacity scaled by the area, with its uncertainty; raises DataError for what has no capacity.

    With `law` the capacity is the customer's at that area, and `n` is not asked. An estimate alone counts as measured.
    Source: flow through a passage at constant pressure drop is proportional to its area (fluid mechanics); using it
    for a whole casting is common practice without a source.
    """
    if not (area.value > 0 and area_drawn > 0 and rated > 0):
        raise DataError("a capacity needs an area, an area as drawn and a rating, all above 0")
    if law is None and (wrong := exponent_wrong(n)) is not None:
        raise DataError(wrong)
    doubts = area.doubts if isinstance(area, Derived) else (Doubt("area", "readings", area.u, True),)
    if law is None:
        value = rated * (area.value / area_drawn) ** n
        slope = n * value / area.value
    else:
        value = law.at(area.value)
        slope = law.slope(area.value, area.u)
    of_kind = list(shares(doubts, slope))
    if law is not None and (bend := law.bend(area.value) / sqrt(3.0)) > 0.0:
        of_kind.append(DoubtShare("the curve between the customer's points", bend, False))
        of_kind.sort(key=lambda share: -share.u)
    u = hypot(*(share.u for share in of_kind))
    need = rated if minimum is None else minimum
    p_meets = 1.0 - below(Estimate(value, u), need)
    short = 1.0 - value / rated
    level = _level(short)
    text = _sentence(value, u, rated, minimum, short, level, p_meets, unit, style)
    text += assumed(of_kind, style)
    how = _how(n, law, area_drawn, rated, style)
    if law is not None and not law.reaches(area.value, 2 * area.u):
        how += "; the uncertainty of the area reaches beyond these points"
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
        how=how,
        shares=tuple(of_kind),
        sentence=text,
    )


def assumed(of_kind: Sequence[DoubtShare], style: Style = MM) -> str:
    """`; of that ± 0.1 measured, assumed: contraction ± 1.1`, twice each u; empty where all of it is measured."""
    whole = hypot(*(share.u for share in of_kind))
    named = [share for share in of_kind if not share.measured and share.u >= SAID * whole > 0.0]
    if not named:
        return ""
    kinds = ", ".join(f"{share.kind} ± {_half(share.u, style)}" for share in named)
    return f"; of that ± {_half(together(of_kind, True), style)} measured, assumed: {kinds}"


def _half(u: float, style: Style) -> str:
    return style.figure(2 * u, 1 if 2 * u >= 0.05 or u == 0 else 2)


def _how(n: float, law: Law | None, area_drawn: float, rated: float, style: Style) -> str:
    if law is None:
        if n == 1.0:
            return "in proportion to the area: assumed"
        return f"as the area to the power {style.figures(n)}: as stated with the rating"
    many = f"{len(law.points)} points of the customer, {style.figures(law.low)} to {style.figures(law.high)}"
    try:
        drawn = law.at(area_drawn)
    except DataError:
        return f"by {many}; the area as drawn, {style.figure(area_drawn, 1)}, lies outside them"
    if abs(drawn / rated - 1.0) > AS_RATED:
        return f"by {many}; as drawn they say {style.figure(drawn, 1)}, the rating says {style.figure(rated, 1)}"
    return f"by {many}"


def flows(value: float, unit: str, style: Style = MM) -> str:
    """`that is 2760 m³/h, 46.0 m³/min ...`, to a tenth below a thousand; empty where the unit is no flow's."""

    def figure(flow: float) -> str:
        return style.figure(flow, 1 if flow < 1000 else 0) if flow >= 1 else style.figures(flow, 3)

    said = ", ".join(f"{figure(flow)} {FLOW_UNITS[name]}" for name, flow in in_units(value, unit).items())
    return f"that is {said}" if said else ""


def in_units(value: float, unit: str) -> dict[str, float]:
    """A flow in each of the units that people ask for, by its short name; empty where the unit is no flow's."""
    of = look_up(unit, "flow") if unit else ""
    if isinstance(of, str):
        return {}
    known = {}
    for name in FLOW_UNITS:
        to = look_up(name, "flow")
        assert isinstance(to, Unit)
        known[name] = value * (of.num * to.den) / (of.den * to.num)
    return known


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
        raise DataError("areas in series: give at least one, all above 0")
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


def buys_back(formula: Formula, sizes: Mapping[str, Estimate | Doubted], wished: float) -> list[Buys]:
    """Which feature brings the derived value back to `wished` with the least change, best first (mm on the casting).

    `alone_mm` is solved on the formula itself, not on its tangent; None when no change within half its size reaches it.
    """
    now = derive(formula, sizes)
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
