"""Propagation of distributions by simulation (JCGM 101), as a check on budgets; numpy is imported when it runs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import floor, inf, isfinite, log10, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen_by_name

TYPE_CHECKING = False
if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

BLOCK = 10_000
ROOT3 = sqrt(3.0)


class Input(NamedTuple):
    """An input quantity for `monte_carlo`: shape normal, t, rectangular, triangular or arcsine; `u` standard.

    For the t, `u` is the scale (s over root n) as JCGM 101:2008, 6.4.9 has it; its standard deviation is larger.
    """

    value: float
    u: float
    shape: str = "normal"
    dof: float = inf


@frozen_by_name
class Propagated:
    """Outcome of a simulation: mean, u, the interval with equal tails and the shortest one of the same coverage.

    `tolerance` is half a unit of the second figure of u (JCGM 101:2008, 7.9.2); `settled` says that mean, u and
    both ends are known to within it, judged from the scatter between blocks of draws.
    """

    mean: float
    u: float
    low: float
    high: float
    shortest_low: float
    shortest_high: float
    coverage: float
    draws: int
    tolerance: float
    settled: bool

    def agrees(self, value: float, expanded: float) -> bool:
        """Whether the budget's value +- expanded reaches both ends within the tolerance (JCGM 101:2008, 8.1).

        In the unit of the function's value.
        """
        ends = (value - expanded - self.low, value + expanded - self.high)
        return max(map(abs, ends)) <= self.tolerance


def monte_carlo(
    function: Callable[..., Array],
    inputs: Sequence[Input],
    draws: int = 1_000_000,
    seed: int = 1,
    coverage: float = 0.95,
    correlations: Sequence[Sequence[float]] | None = None,
    digits: int = 2,
) -> Propagated:
    """Propagation of distributions (JCGM 101:2008, 7): `function` takes one array per input and returns one array.

    `correlations`: matrix for inputs that are all normal (6.4.8). `digits`: figures of u that shall be right.
    The same seed gives the same outcome. Errors: DataError for too few draws, unknown shapes, values not finite. In
    the units of `function`.
    """
    import numpy as np

    blocks = draws // BLOCK
    if blocks < 2 or not 0.0 < coverage < 1.0:
        raise DataError(f"{draws} draws for a coverage of {coverage}: take at least {2 * BLOCK} and a coverage below 1")
    random = np.random.default_rng(seed)
    size = blocks * BLOCK
    y = np.asarray(function(*_draw(random, [Input(*i) for i in inputs], size, correlations)), dtype=float)
    if y.shape != (size,):
        raise DataError("the function must take arrays and return one value for each draw")
    if not np.isfinite(y).all():
        raise DataError(f"{int((~np.isfinite(y)).sum())} of {size} draws gave no finite value: check the function")
    parts = np.sort(y.reshape(blocks, BLOCK), axis=1)
    whole = np.sort(y)
    inside = round(coverage * size)
    cut = (size - inside) // 2
    low, high = whole[cut], whole[cut + inside - 1]
    first = int(np.argmin(whole[inside - 1 :] - whole[: size - inside + 1]))
    u = float(whole.std(ddof=1))
    tolerance = 0.5 * 10.0 ** (floor(log10(u)) - digits + 1) if u > 0.0 else 0.0
    part_cut = (BLOCK - round(coverage * BLOCK)) // 2
    block_figures = (parts.mean(axis=1), parts.std(axis=1, ddof=1), parts[:, part_cut], parts[:, -1 - part_cut])
    settled = all(2.0 * f.std(ddof=1) / sqrt(blocks) <= tolerance for f in block_figures)
    return Propagated(
        mean=float(whole.mean()),
        u=u,
        low=float(low),
        high=float(high),
        shortest_low=float(whole[first]),
        shortest_high=float(whole[first + inside - 1]),
        coverage=coverage,
        draws=size,
        tolerance=tolerance,
        settled=settled,
    )


def _draw(
    random: np.random.Generator, inputs: list[Input], size: int, correlations: Sequence[Sequence[float]] | None
) -> list[Array]:
    if correlations is None:
        return [_one(random, i, size) for i in inputs]
    import numpy as np

    matrix = np.asarray(correlations, dtype=float)
    if any(i.shape != "normal" for i in inputs):
        raise DataError("correlated draws are normal ones: leave the correlations out or the shapes normal")
    if matrix.shape != (len(inputs),) * 2 or not np.allclose(matrix, matrix.T) or not np.allclose(matrix.diagonal(), 1):
        raise DataError("a correlation matrix is square, alike on both sides of its diagonal of ones")
    values, vectors = np.linalg.eigh(matrix)
    if values.min() < -1e-9:
        raise DataError("these correlations cannot exist together: check their signs and sizes")
    z = (vectors * np.sqrt(np.clip(values, 0.0, None))) @ random.standard_normal((len(inputs), size))
    return [i.value + i.u * row for i, row in zip(inputs, z, strict=True)]


def _one(random: np.random.Generator, i: Input, size: int) -> Array:
    import numpy as np

    if not (isfinite(i.value) and 0.0 <= i.u < inf and i.dof > 0.0):
        raise DataError(f"an input of {i.value} with u {i.u} and {i.dof} degrees of freedom cannot be drawn")
    if i.shape == "t" and i.dof < inf:
        return i.value + i.u * random.standard_t(i.dof, size)
    if i.shape in ("normal", "t"):
        return random.normal(i.value, i.u, size)
    if i.shape == "rectangular":
        return random.uniform(i.value - ROOT3 * i.u, i.value + ROOT3 * i.u, size)
    if i.shape == "triangular":
        half = ROOT3 * i.u / sqrt(2.0)
        return i.value + half * (random.uniform(-1.0, 1.0, size) + random.uniform(-1.0, 1.0, size))
    if i.shape == "arcsine":
        return i.value + sqrt(2.0) * i.u * np.sin(random.uniform(-np.pi, np.pi, size))
    raise DataError(f"{i.shape} is no shape known here: normal, t, rectangular, triangular or arcsine")
