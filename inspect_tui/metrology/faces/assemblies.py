"""Monte Carlo assemblies: every wall of a kit from one matrix product, as drawn or as measured.

All walls share one draw of every link in each assembly, so that walls hanging on the same core or fit move together
and "every wall holds" is counted assembly by assembly.

Source: propagation of distributions by a Monte Carlo method, JCGM 101:2008.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.faces.stacks import Link, Term, spread, unknowns
from inspect_tui.metrology.typed.show import MM, Style

CHUNK = 8192  # assemblies drawn at a time: stays in the processor's cache
SMALL = 900_000  # multiplications in one block of a product: below this the libraries don't start threads that wait
QUANTILES = 25_000  # so many of them give the 95 % range, to 2 % of a standard deviation; counts come from all


@frozen
class Wall:
    """What to count: a named wall, its terms and its limits (mm, casting scale)."""

    name: str
    terms: tuple[Term, ...]
    lower: float | None = None
    upper: float | None = None


@frozen_by_name
class WallCount:
    """One wall over all assemblies, mm. `se` is the standard error of `p_holds` from counting."""

    name: str
    mean: float
    sd: float
    low: float  # 2.5 % of assemblies are below
    high: float  # 2.5 % are above
    p_below: float
    p_above: float
    p_holds: float
    se: float


@frozen_by_name
class Assemblies:
    """`p_all`: the share of assemblies in which every wall holds its limits; `weakest` is the wall that fails most.

    `unknown` is what nobody said of the links: they were drawn from the widths of practice.
    """

    n: int
    walls: tuple[WallCount, ...]
    p_all: float
    se: float
    weakest: str
    sentence: str
    unknown: tuple[str, ...] = ()


def assemble(
    walls: Sequence[Wall], n: int = 100_000, seed: int = 1, style: Style = MM, unknown: Sequence[str] = ()
) -> Assemblies:
    """Draw `n` assemblies of all links and work out every wall in each; deterministic for a seed.

    Normal links take three standard deviations to their limit (or their measured value and u), play is rectangular.
    A link is the same link in every wall that has it (by name and faces). `unknown`: what else nobody said, so that no
    answer is certain. Cost: the draw plus one product
    (walls x links) @ (links x n). Sizes in mm at casting scale. DataError without a wall, or where one link is
    given twice with different sizes.
    """
    import numpy as np

    if n < 1 or not walls:
        raise DataError("give at least one wall and one assembly")
    links: dict[tuple[str, str, str], Link] = {}
    for wall in walls:
        for t in wall.terms:
            if links.setdefault(_key(t.link), t.link) != t.link:
                raise DataError(f"{t.link.name} is given twice with different sizes: one link, one size")
    # rows of normal draws first, then rows of rectangular ones, so that each kind fills one block
    spreads = {key: spread(link) for key, link in links.items()}
    ordered = sorted((k for k, (_, sd) in spreads.items() if sd), key=lambda key: links[key].shape == "uniform")
    column = {key: i for i, key in enumerate(ordered)}
    normals = sum(links[key].shape != "uniform" for key in ordered)
    middle, width = np.zeros(len(ordered)), np.zeros(len(ordered))
    for i, key in enumerate(ordered):
        mean, sd = spreads[key]
        width[i] = sd if i < normals else sd * sqrt(12)
        middle[i] = mean if i < normals else mean - width[i] / 2  # rectangular draws start at 0
    effect, base = np.zeros((len(walls), len(ordered))), np.zeros(len(walls))
    for row, wall in enumerate(walls):
        for t in wall.terms:
            key = _key(t.link)
            if key in column:
                effect[row, column[key]] += t.sense
            else:  # it does not spread
                base[row] += t.sense * spreads[key][0]
    base += effect @ middle
    effect *= width
    lower = np.array([-np.inf if w.lower is None else w.lower for w in walls]) - base - 1e-9
    upper = np.array([np.inf if w.upper is None else w.upper for w in walls]) - base + 1e-9

    rng = np.random.default_rng(seed)
    kept = np.empty((len(walls), min(n, QUANTILES)), dtype=np.float32)  # small floats sort several times faster
    sums, squares = np.zeros(len(walls)), np.zeros(len(walls))
    below, above, good = np.zeros(len(walls), dtype=np.int64), np.zeros(len(walls), dtype=np.int64), 0
    block = max(16, min(256, SMALL // max(effect.size, 1)))
    blocks = -(-min(CHUNK, n) // block)
    bell, flat = np.empty((blocks, normals, block)), np.empty((blocks, len(ordered) - normals, block))
    of_bell, of_flat = np.ascontiguousarray(effect[:, :normals]), np.ascontiguousarray(effect[:, normals:])
    for start in range(0, n, blocks * block):
        count = min(blocks * block, n - start)
        rng.standard_normal(out=bell)
        rng.random(out=flat)
        product = of_bell @ bell
        product += of_flat @ flat
        values = product.transpose(1, 0, 2).reshape(len(walls), -1)[:, :count]
        room = kept[:, start : start + count]
        room[:] = values[:, : room.shape[1]]
        sums += values.sum(axis=1)
        squares += np.einsum("ij,ij->i", values, values)
        low, high = values < lower[:, None], values > upper[:, None]
        below += np.count_nonzero(low, axis=1)
        above += np.count_nonzero(high, axis=1)
        good += count - int(np.count_nonzero((low | high).any(axis=0)))
    kept.sort(axis=1)
    means = sums / n
    sds = np.sqrt(np.maximum(squares / n - means**2, 0.0) * n / max(n - 1, 1))
    first, last = int(0.025 * (kept.shape[1] - 1)), round(0.975 * (kept.shape[1] - 1))
    results = []
    for i, wall in enumerate(walls):
        p_below, p_above = float(below[i]) / n, float(above[i]) / n
        p = 1.0 - p_below - p_above
        results.append(
            WallCount(
                name=wall.name,
                mean=float(base[i] + means[i]),
                sd=float(sds[i]),
                low=float(base[i] + kept[i, first]),
                high=float(base[i] + kept[i, last]),
                p_below=p_below,
                p_above=p_above,
                p_holds=p,
                se=_se(p, n),
            )
        )
    weakest = min(results, key=lambda r: r.p_holds)
    p_all = good / n
    unknown = tuple(dict.fromkeys((*unknowns(t for wall in walls for t in wall.terms), *unknown)))
    return Assemblies(
        n=n,
        walls=tuple(results),
        p_all=p_all,
        se=_se(p_all, n),
        weakest=weakest.name,
        sentence=_sentence(p_all, weakest, n, unknown, style),
        unknown=unknown,
    )


def _key(link: Link) -> tuple[str, str, str]:
    return link.name, link.a, link.b


def _se(p: float, n: int) -> float:
    """Standard error of a counted share; never 0, since n good assemblies don't prove the next one (rule of three)."""
    return max(sqrt(max(p * (1.0 - p), 0.0) / n), 1.0 / n)


def _sentence(p_all: float, weakest: WallCount, n: int, unknown: Sequence[str], style: Style) -> str:
    if p_all >= 1.0 - 0.5 / n:
        if not unknown:
            return f"every wall holds in all {n} assemblies"
        text = f"no wall failed in {n} assemblies"
    else:
        text = (
            f"every wall holds in {style.percent(p_all, 1)} of {n} assemblies; most often {weakest.name} does not "
            f"({style.percent(1.0 - weakest.p_holds, 1)}: {style.pair(weakest.low, weakest.high)} in 95 %)"
        )
    return f"{text}, but nobody said {told(unknown)}" if unknown else text


def told(unknown: Sequence[str]) -> str:
    """What is not known, as far as one reads it: the first three and how many more."""
    more = f" and {len(unknown) - 3} more" if len(unknown) > 3 else ""
    return "; ".join(unknown[:3]) + more
