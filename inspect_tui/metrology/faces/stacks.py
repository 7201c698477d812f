"""Stacks: walls and passages as loops of ends over several cores; worst case, likely range, what contributes most.

A wall runs from a face to a face. The other way round, from tool dimension to fit to tool dimension, is its loop; the
loop is found from the links that join faces, so that nobody has to write it down. Play is rectangular wherever a chance
is asked for. What nobody said of a link is named, and counts with the width of practice, never as nought.

Source: worst case and root of the sum of squares are common practice; finding the loop is own derivation.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence
from math import sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.judge.rectangular import chance_between
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

SHAPES = ("normal", "uniform")
TOL_IN_SIGMA = 3.0  # a normal contributor's tolerance is taken as three of its standard deviations


@frozen_by_name
class Link:
    """What joins two faces: going from `a` to `b` adds `size` along the axis (+ or -), and b to a takes it away.

    A tool's dimension or a fit. It may be larger by `plus` and smaller by `minus` (both >= 0), which need not be equal:
    a core that can only rise has plus = the lift and minus = 0. `shape` is how it spreads between: "normal" (three
    standard deviations to the limit) or "uniform" (play). `scale` brings a tooling-scale link to casting scale.
    `measured` is the size of a dimension that was measured (mm, its own scale); what was measured no longer spreads
    over its tolerance. `unknown` says what nobody said of it, so that it counts with a width of practice; "" where all
    is known. A link of kind contraction is a fraction (as are its plus and minus), the sense of its term mm.
    """

    name: str
    a: str
    b: str
    size: float
    plus: float
    minus: float
    tool: str = ""
    kind: str = "dimension"  # dimension, fit, contraction
    shape: str = "normal"
    scale: float = 1.0
    measured: Estimate | None = None
    unknown: str = ""


@frozen
class Term:
    """A link in a stack: `sense` is +1 or -1 times its scale, the effect of 1 mm of the link on the wall."""

    link: Link
    sense: float

    @property
    def centre(self) -> float:
        """Middle of its range as it acts on the wall, mm: one-sided play moves the wall by half of it."""
        return self.sense * (self.link.size + (self.link.plus - self.link.minus) / 2)

    @property
    def half(self) -> float:
        """Half of its range as it acts on the wall, mm."""
        return abs(self.sense) * (self.link.plus + self.link.minus) / 2


@frozen
class Share:
    """How much one link adds to the spread of a wall: its half range (mm) and its share of the squared sum."""

    name: str
    tool: str
    half: float
    share: float


@frozen_by_name
class StackResult:
    """A wall or passage worked out from its loop, mm at casting scale.

    `centre` differs from `nominal` where play goes one way. `rss` is the half range by root-sum-square about the
    centre, `sigma` the standard deviation of the sum. `sigma_ratio` is how many of these the nearer limit lies from the
    centre (below 0: beyond it), None without limits; `p_out` the fraction outside: dimensions normal, play even.
    """

    wall: str
    terms: tuple[Term, ...]
    nominal: float
    worst_low: float
    worst_high: float
    centre: float
    rss: float
    lower: float | None
    upper: float | None
    p_out: float
    shares: tuple[Share, ...]
    sentence: str
    sigma: float
    sigma_ratio: float | None


def find_loop(links: Iterable[Link], a: str, b: str) -> tuple[Term, ...]:
    """Shortest way from face `a` to face `b` over the links: fewest links, and of those the least spread.

    Raises DataError when the faces do not hang together, naming how far each side reaches.
    """
    near: dict[str, list[tuple[Link, str, int]]] = {}
    for link in links:
        near.setdefault(link.a, []).append((link, link.b, 1))
        near.setdefault(link.b, []).append((link, link.a, -1))
    best: dict[str, tuple[float, float]] = {a: (0, 0.0)}
    came: dict[str, tuple[str, Term]] = {}
    heap: list[tuple[float, float, str]] = [(0, 0.0, a)]
    while heap:
        steps, spread, face = heapq.heappop(heap)
        if face == b:
            break
        if (steps, spread) > best[face]:
            continue
        for link, other, sign in near.get(face, ()):
            term = Term(link, sign * link.scale)
            key = (steps + 1, spread + term.half**2)
            if other not in best or key < best[other]:
                best[other], came[other] = key, (face, term)
                heapq.heappush(heap, (*key, other))
    if b not in came:
        if b == a:
            return ()
        reached = ", ".join(sorted(set(best) - {a})) or "nothing"
        raise DataError(
            f"no loop from {a} to {b}: dimensions and fits reach {reached} from {a}; a dimension or a fit is missing"
        )
    path, face = [], b
    while face != a:
        face, term = came[face]
        path.append(term)
    return tuple(reversed(path))


def stack(
    wall: str,
    terms: Sequence[Term],
    lower: float | None = None,
    upper: float | None = None,
    style: Style = MM,
    tol_in_sigma: float = TOL_IN_SIGMA,
) -> StackResult:
    """Worst case, root-sum-square about the centre, and who contributes what; limits in mm at casting scale.

    `tol_in_sigma` is how many standard deviations of a contributor its tolerance stands for, either way; play is even
    over its limits (half / sqrt(3)). Source: one-dimensional tolerance stacks, closed forms. A tolerance given one way
    is centred first (mean shift). Errors: DataError where a link's limits are crossed, its spread is of no known shape,
    or `tol_in_sigma` is not above 0.
    """
    if not tol_in_sigma > 0.0:
        raise DataError("a tolerance stands for some standard deviations: give more than 0, such as 3")
    for term in terms:
        if term.link.plus < -term.link.minus:
            raise DataError(f"{term.link.name}: its upper limit is below its lower limit")
        if term.link.shape not in SHAPES:
            raise DataError(f"{term.link.name}: a spread is {' or '.join(SHAPES)}, not '{term.link.shape}'")
    nominal = sum(t.sense * t.link.size for t in terms)
    centre, worst = sum(t.centre for t in terms), sum(t.half for t in terms)
    rss = sqrt(sum(t.half**2 for t in terms))
    sigma = sqrt(sum((t.half / (sqrt(3) if t.link.shape == "uniform" else tol_in_sigma)) ** 2 for t in terms))
    normal = sqrt(sum((t.half / tol_in_sigma) ** 2 for t in terms if t.link.shape != "uniform"))
    plays = [2.0 * t.half for t in terms if t.link.shape == "uniform"]
    p_out = 1.0 - chance_between(centre, normal, plays, lower, upper)
    rooms = [centre - lower] if lower is not None else []
    rooms += [upper - centre] if upper is not None else []
    shares = tuple(
        sorted(
            (Share(t.link.name, t.link.tool, t.half, t.half**2 / rss**2 if rss > 0 else 0.0) for t in terms),
            key=lambda s: -s.share,
        )
    )
    text = _sentence(wall, nominal, centre, worst, rss, lower, upper, shares, style)
    low, high = centre - worst, centre + worst
    return StackResult(
        wall=wall,
        terms=tuple(terms),
        nominal=nominal,
        worst_low=low,
        worst_high=high,
        centre=centre,
        rss=rss,
        lower=lower,
        upper=upper,
        p_out=p_out,
        shares=shares,
        sentence=text,
        sigma=sigma,
        sigma_ratio=min(rooms) / sigma if rooms and sigma > 0.0 else None,
    )


def by_tool(result: StackResult) -> dict[str, float]:
    """Share of the squared spread by tool or fit, most first. Fractions that sum to 1."""
    sums: dict[str, float] = {}
    for share in result.shares:
        key = share.tool or share.name
        sums[key] = sums.get(key, 0.0) + share.share
    return dict(sorted(sums.items(), key=lambda item: -item[1]))


def _sentence(
    wall: str,
    nominal: float,
    centre: float,
    worst: float,
    rss: float,
    lower: float | None,
    upper: float | None,
    shares: Sequence[Share],
    style: Style,
) -> str:
    def leaves(half: float) -> bool:  # by more than the rounding of a sum
        low, high = centre - half < (lower or 0.0) - 1e-6, centre + half > (upper or 0.0) + 1e-6
        return (lower is not None and low) or (upper is not None and high)

    text = f"{wall}: {style.length(nominal)}; worst case {style.pair(centre - worst, centre + worst, unit=False)}"
    text += f", likely {style.plus_minus(centre, rss, unit=False)}"
    if leaves(rss):
        text += "; leaves its limits by worst case and by root-sum-square"
    elif leaves(worst):
        text += "; inside its limits by root-sum-square, not by worst case"
    elif lower is not None or upper is not None:
        text += "; inside its limits even in the worst case"
    if shares and shares[0].share > 0:
        text += f"; most from {shares[0].name} ({style.percent(shares[0].share)})"
    return text


def as_measured(terms: Sequence[Term]) -> tuple[Estimate, list[tuple[str, float]]]:
    """The wall from what was measured: value and u (mm), and each contributor's share of the variance, most first.

    A link not measured counts as drawn, spread over its tolerance; play that stays (shape uniform) stays uniform.
    """
    value, parts = 0.0, []
    for t in terms:
        centre, u = spread(t.link)
        value += t.sense * centre
        parts.append((t.link.name, (t.sense * u) ** 2))
    variance = sum(v for _, v in parts)
    return Estimate(value, sqrt(variance)), sorted(
        ((name, v / variance if variance > 0 else 0.0) for name, v in parts), key=lambda p: -p[1]
    )


def chance(terms: Sequence[Term], lower: float | None, upper: float | None) -> float:
    """The chance that a wall is within its limits (mm, casting scale) as measured: dimensions normal, play even."""
    mean, variance, plays = 0.0, 0.0, []
    for t in terms:
        centre, u = spread(t.link)
        mean += t.sense * centre
        if t.link.shape == "uniform":
            plays.append(2.0 * t.half)
        else:
            variance += (t.sense * u) ** 2
    return chance_between(mean, sqrt(variance), plays, lower, upper)


def unknowns(terms: Iterable[Term]) -> tuple[str, ...]:
    """What nobody said of these links, each once."""
    return tuple(dict.fromkeys(t.link.unknown for t in terms if t.link.unknown))


def spread(link: Link) -> tuple[float, float]:
    """Mean and standard deviation of one link (mm, its own scale): measured where it was, else its tolerance.

    DataError for measured play: that is given by its limits.
    """
    if link.measured is not None:
        if link.shape == "uniform":
            raise DataError(f"{link.name}: play is given by plus and minus, a measured size is for dimensions")
        return link.measured.value, link.measured.u
    half, mid = (link.plus + link.minus) / 2, (link.plus - link.minus) / 2
    return link.size + mid, half / (sqrt(3) if link.shape == "uniform" else TOL_IN_SIGMA)


def play(name: str, seat: str, print_: str, clearance: float, rise: bool = False, scale: float = 1.0) -> Link:
    """The link of a fit from the seat's face to the print's: half the clearance either way, or all of it upward.

    `clearance` as drawn or as measured (mm, tooling scale); below 0 it leaves no play. `scale` 1 / (1 + a) brings the
    shift, which happens in the mould, to casting scale.
    """
    c = max(clearance, 0.0)
    plus, minus = (c, 0.0) if rise else (c / 2, c / 2)
    return Link(name=name, a=seat, b=print_, size=0.0, plus=plus, minus=minus, kind="fit", shape="uniform", scale=scale)
