"""How mould and metal spread from casting to casting: more between faces that lie far apart than between near ones.

The table gives the standard deviation of a size by its length. Between its rows the variance is interpolated straight;
beyond the last row it grows on with the cube root. As the variance rises with the distance and bends downward, it is a
variogram along an axis (Polya's criterion, with Schoenberg's): any set of faces gets a proper covariance from it.

Source: the figures are common practice, no source; the growth is that of the tolerance factor of ISO 286-1:2010.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from inspect_tui.metrology.sizes import tables

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]


@cache
def _rows() -> tuple[tuple[float, float], ...]:
    return tuple((float(row["size_mm"]), float(row["spread_mm"])) for row in tables.rows("sand_spread"))


def spread_mm(size_mm: float) -> float:
    """Standard deviation of a size of this length from casting to casting, by its length alone. In mm."""
    import numpy as np

    return float(np.sqrt(variance(np.array([abs(size_mm)]))[0]))


def variance(apart: Array) -> Array:
    """Variance of the distance of two faces that lie `apart` (mm, any shape) of each other along an axis, in mm2."""
    import numpy as np

    sizes, spreads = (np.array(column) for column in zip(*_rows(), strict=True))
    inside: Array = np.interp(np.abs(apart), sizes, spreads**2)
    last, most = sizes[-1], spreads[-1] ** 2
    return np.where(np.abs(apart) > last, most * (np.abs(apart) / last) ** (2.0 / 3.0), inside)


def covariance(places: Array) -> Array:
    """Covariance of the places of faces along one axis, counted from 0, in mm2. `places` (n) in mm; (n x n)."""
    from_zero = variance(places)
    between = variance(places[:, None] - places[None, :])
    out: Array = 0.5 * (from_zero[:, None] + from_zero[None, :] - between)
    return out
