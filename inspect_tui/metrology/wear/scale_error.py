"""One tool, one scale error: the wrong contraction rule, contraction forgotten or taken twice, wood that swelled.

When every size of a tool is out by the same share, it was laid out with another rule; when only the sizes across the
grain are, the wood took up moisture.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge._dist import f_tail
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

GRAINS = ("along", "across")
CLEAR = 3.0  # a scale error is called one from three standard uncertainties on
SAME = 0.01  # sizes share a scale unless their scatter about it would come up more seldom than this
INCH_RULES = ((1, 16), (1, 12), (1, 10), (1, 8), (5, 32), (3, 16), (1, 4), (5, 16))  # inch in the foot
COMMON_RULES = (
    *((f"{k / 10:g} %", k / 1000) for k in range(5, 27)),
    *((f"{n}/{d} in/ft", n / d / 12) for n, d in INCH_RULES),
)


@frozen_by_name
class ToolSize:
    """One size of a tool: what it should be and what it is (mm); `u` of their difference, laying out included.

    `grain` is how the size runs in wood; `before` is an earlier reading of the same size.
    """

    name: str
    target: float
    reading: float
    u: float
    grain: str | None = None
    before: float | None = None


@frozen_by_name
class CommonScale:
    """A common scale error (fraction, + is larger) with its standard uncertainty.

    `p_same`: how seldom sizes that share it scatter as much about it; `p_offset`: the same for a constant error (a
    dirty zero). `shared` says that it is clear and that one scale explains all sizes.
    """

    scale: float
    u: float
    n: int
    p_same: float
    p_offset: float
    worst: str
    shared: bool


@frozen
class RuleNamed:
    """What would explain the scale, a contraction rule or (`is_rule` False) a contraction left out or taken twice.

    `a` is its contraction, `off` how many standard uncertainties it lies off.
    """

    name: str
    a: float
    off: float
    is_rule: bool = True


@frozen
class WrongRule:
    """The contraction that a tool was in fact laid out with, and the rules that explain it, best first."""

    implied: Estimate
    scale: CommonScale
    rules: tuple[RuleNamed, ...]
    sentence: str


@frozen
class Swelling:
    """Growth along and across the grain (fractions), and per 1 % of moisture when both moistures are known."""

    across: Estimate
    along: Estimate
    per_percent: Estimate | None
    moisture: bool  # grown across only
    sentence: str


def one_scale(sizes: Sequence[ToolSize]) -> CommonScale:
    """The scale error all sizes share: weighted least squares through the origin of reading - target on target.

    Raises DataError without sizes, or with a target or u not above 0. Source: weighted least squares; the scatter is
    tested by chi-square. One size alone gives a scale that it cannot share with anyone.
    """
    if not sizes:
        raise DataError("no sizes of this tool were measured")
    if any(s.target <= 0 or s.u <= 0 for s in sizes):
        raise DataError("a scale needs targets above 0 and an uncertainty above 0 for each")
    weight = sum((s.target / s.u) ** 2 for s in sizes)
    scale = sum(s.target * (s.reading - s.target) / s.u**2 for s in sizes) / weight
    rest = [(s.reading - s.target * (1 + scale)) / s.u for s in sizes]
    mean = sum((s.reading - s.target) / s.u**2 for s in sizes) / sum(1 / s.u**2 for s in sizes)
    offset = [(s.reading - s.target - mean) / s.u for s in sizes]
    p_same, p_offset = _p_scatter(rest), _p_scatter(offset)
    worst = max(zip(rest, sizes, strict=True), key=lambda pair: abs(pair[0]))[1].name
    u = 1 / sqrt(weight)
    shared = len(sizes) > 1 and abs(scale) > CLEAR * u and p_same > SAME
    return CommonScale(scale=scale, u=u, n=len(sizes), p_same=p_same, p_offset=p_offset, worst=worst, shared=shared)


def _p_scatter(rest: Sequence[float]) -> float:
    dof = len(rest) - 1
    return f_tail(sum(r * r for r in rest) / dof, dof, 1e9) if dof else 1.0


def wrong_rule(
    sizes: Sequence[ToolSize], planned_a: float, shop_rules: Iterable[tuple[str, float]] = (), style: Style = MM
) -> WrongRule | None:
    """Was this tool laid out with another contraction rule? None when its sizes don't share a clear scale error.

    `planned_a` is the contraction in the targets (fraction of the casting); `shop_rules` are the rules at hand (name,
    a), preferred over the common ones. Contraction forgotten and taken twice are tried as well.
    """
    scale = one_scale(sizes)
    if not scale.shared:
        return None
    implied = Estimate((1 + planned_a) * (1 + scale.scale) - 1, (1 + planned_a) * scale.u)
    special = [("contraction forgotten", 0.0), ("contraction taken twice", (1 + planned_a) ** 2 - 1)]
    rules_found: list[tuple[float, RuleNamed]] = []
    for rank, group in enumerate((tuple(shop_rules), special if planned_a else (), COMMON_RULES)):
        for name, a in group:
            off = (implied.value - a) / implied.u
            known = any(abs(rule.a - a) < 1e-9 for _, rule in rules_found)
            if abs(off) <= CLEAR and abs(a - planned_a) > 1e-9 and not known:
                # a rule that lies in the drawer is likelier than one out of a book: half a standard uncertainty a rank
                rules_found.append((abs(off) + 0.5 * rank, RuleNamed(name, a, off, group is not special)))
    rules = tuple(rule for _, rule in sorted(rules_found, key=lambda f: f[0]))
    return WrongRule(implied, scale, rules, _rule_sentence(scale, implied, planned_a, rules, style))


def _rule_sentence(
    scale: CommonScale, implied: Estimate, planned: float, rules: Sequence[RuleNamed], style: Style
) -> str:
    more = "over" if scale.scale > 0 else "under"
    text = (
        f"all {scale.n} sizes are {style.percent(abs(scale.scale), 2)} {more} target: laid out with "
        f"{style.figure(100 * implied.value)} ± {style.percent(2 * implied.u, 2)} "
        f"instead of {style.percent(planned, 2)}"
    )
    if rules:
        best = rules[0]
        text += f": the {best.name} rule?" if best.is_rule else f": {best.name}?"
        if len(rules) > 1:
            text += " (not excluded: " + ", ".join(r.name for r in rules[1:4]) + ")"
    if scale.p_offset > SAME:
        text += "; a constant error would explain it too: check the zero and measure the longest size again"
    return text


def swelling(
    sizes: Sequence[ToolSize],
    moisture_before: float | None = None,
    moisture_now: float | None = None,
    style: Style = MM,
) -> Swelling | None:
    """Growth of a wooden tool along and across the grain; None when sizes of one of the two are missing.

    Against the earlier reading where there is one, else against the target. Moistures as fractions (0.12). Wood moves
    across the grain with moisture and hardly along it (wood handbooks), so across alone means moisture, not a rule.
    """
    groups: dict[str, list[ToolSize]] = {"along": [], "across": []}
    for s in sizes:
        if s.grain in groups:
            base = s.target if s.before is None else s.before
            groups[s.grain].append(ToolSize(name=s.name, target=base, reading=s.reading, u=s.u, grain=s.grain))
    if not groups["along"] or not groups["across"]:
        return None
    along, across = one_scale(groups["along"]), one_scale(groups["across"])
    clear = abs(across.scale) > CLEAR * across.u
    # apart from each other, and along still: a scale that runs both ways is a rule or a temperature
    apart = abs(across.scale - along.scale) > CLEAR * sqrt(across.u**2 + along.u**2)
    still = abs(along.scale) < max(2.0 * along.u, 0.1 * abs(across.scale))
    moisture = clear and apart and still
    rate = None
    if moisture_before is not None and moisture_now is not None and moisture_now != moisture_before:
        points = 100 * (moisture_now - moisture_before)
        rate = Estimate(across.scale / points, across.u / abs(points))
    ways = [style.percent(scale.scale, 2, signed=True) for scale in (across, along)]
    text = f"across the grain {ways[0]}, along it {ways[1]}"
    if moisture:
        text += f": {'swelled' if across.scale > 0 else 'shrank'} with moisture, not a wrong rule"
        if rate is not None and moisture_now is not None and moisture_before is not None:
            dried = f"{style.percent(moisture_before)} to {style.percent(moisture_now)}"
            text += f" ({dried}: {style.percent(rate.value, 2)} per 1 %)"
        text += "; bring it back to the moisture it was made at and measure again before it is cast up"
    elif not clear:
        text += ": no movement to speak of"
    else:
        text += ": moved along the grain as well, so not moisture alone"
    return Swelling(Estimate(across.scale, across.u), Estimate(along.scale, along.u), rate, moisture, text)
