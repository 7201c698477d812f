"""Sums of squares of a crossed study and what they are expected to be, also where a few readings lack.

The squares of an unbalanced table are taken one after another, each off what the others explain, and their
expectations follow from traces: Henderson's method III (1953, Biometrics 9), Hartley's synthesis (1967, Biometrics 23).
In a balanced table both are the textbook's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.frozen import NamedTuple, frozen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class SumOfSquares(NamedTuple):
    """A sum of squares with its degrees of freedom; its mean square is expected to be the sum of k * variance.

    `k_own` belongs to the component it is named for, `k_interaction` to the interaction; repeatability counts once.
    """

    ss: float
    dof: int
    k_own: float
    k_interaction: float


@frozen
class Squares:
    """By source (part, person, interaction, repeatability) what is there, and the total about the mean with its dof."""

    by: dict[str, SumOfSquares]
    total: float
    total_dof: int


def squares_of(y: NDArray[np.float64]) -> Squares:
    """The sums of squares of readings parts x people x trials, nan where one lacks; square of their unit.

    Every part was read by everybody at least once. With one reading in each cell the interaction is the repeatability.
    """
    import numpy as np

    there = np.isfinite(y)
    z = y - y[there][0]  # constant leading digits would cost digits of the squares
    z = z - z[there].mean()
    if there.all():
        return _balanced(z)
    return _unbalanced(z, there)


def _balanced(z: NDArray[np.float64]) -> Squares:
    import numpy as np

    p, o, r = z.shape
    cell, part, person = z.mean(axis=2), z.mean(axis=(1, 2)), z.mean(axis=(0, 2))
    by = {
        "part": SumOfSquares(o * r * float(part @ part), p - 1, o * r, r),
        "person": SumOfSquares(p * r * float(person @ person), o - 1, p * r, r),
        "interaction": SumOfSquares(r * float(np.square(cell - part[:, None] - person).sum()), (p - 1) * (o - 1), r, r),
        "repeatability": SumOfSquares(float(np.square(z - cell[:, :, None]).sum()), p * o * (r - 1), 1.0, 0.0),
    }
    if r == 1:
        by["repeatability"] = by.pop("interaction")
    return Squares(by, float(np.square(z).sum()), z.size - 1)


def _unbalanced(z: NDArray[np.float64], there: NDArray[np.bool_]) -> Squares:
    import numpy as np

    p, o, _ = z.shape
    part_at, person_at, _ = np.nonzero(there)
    values = z[there]
    part, person, cell = np.eye(p)[part_at], np.eye(o)[person_at], np.eye(p * o)[part_at * o + person_at]

    def onto(*columns: NDArray[np.float64]) -> tuple[NDArray[np.float64], int]:
        """The projection onto the columns, and their rank."""
        u, s, _ = np.linalg.svd(np.column_stack(columns), full_matrices=False)
        basis = u[:, s > 1e-9 * s[0]]
        return basis @ basis.T, basis.shape[1]

    (of_part, a), (of_person, b), (of_both, ab) = onto(part), onto(person), onto(part, person)
    of_cell, full = onto(cell)

    def square(what: NDArray[np.float64], dof: int, own: NDArray[np.float64]) -> SumOfSquares:
        def k(columns: NDArray[np.float64]) -> float:
            return float(np.einsum("ij,ij->", columns, what @ columns)) / dof if dof else 0.0

        return SumOfSquares(max(float(values @ what @ values), 0.0), dof, k(own), k(cell))

    rest = np.eye(values.size) - of_cell
    by = {
        "part": square(of_both - of_person, ab - b, part),
        "person": square(of_both - of_part, ab - a, person),
        "interaction": square(of_cell - of_both, full - ab, cell),
        "repeatability": SumOfSquares(max(float(values @ rest @ values), 0.0), values.size - full, 1.0, 0.0),
    }
    return Squares(by, float(values @ values), values.size - 1)
