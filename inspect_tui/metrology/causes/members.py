"""Whether the features that a cause moves agree with each other about it, and whether causes only undo each other.

A cause says how every one of its features moves. Its members are let loose, each with an offset of its own over all
castings, beside all other causes of the explanation: what is then explained better is their disagreement, chi-squared
with one degree of freedom less than there are members. Where they disagree the worst one is left out, and the next,
until the rest agrees; a cause that the rest does not show by itself rested on those few, and is not named.

Source: generalised least squares and its test of linear restrictions, as in any textbook; the bounds were tried on
planted causes (causes.md).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen
from inspect_tui.metrology.causes import noise as noise_model
from inspect_tui.metrology.causes.problem import Candidate, Noise
from inspect_tui.metrology.judge._dist import f_tail

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

DISAGREE = 0.01  # members disagree when chance alone makes them differ as much in less than one job of a hundred
SHOWN = 2.0  # of its own standard deviations: what the members that agree must still show of the cause
UNDONE = 0.75  # share of what a cause does that the other causes named undo, from which it is not believed
MANY = 1e9  # degrees of freedom of a variance that is known: the F test is then that of chi-squared


@frozen
class Agreement:
    """What the members of a cause say together.

    `p` is the chance of as much disagreement among members of a true cause, `left_out` the features that had to be
    left out before the rest agreed, `shown` how many standard deviations the cause keeps in the rest (0: none left).
    """

    p: float
    left_out: tuple[str, ...]
    shown: float

    @property
    def holds(self) -> bool:
        """Whether the cause may be named as far as its members go."""
        return not self.left_out or self.shown >= SHOWN


def chi_squared_tail(value: float, dof: int) -> float:
    """The chance that chi-squared with `dof` degrees of freedom exceeds `value`."""
    return f_tail(value / dof, float(dof), MANY)


def agreement(
    table: noise_model.ReadingTable,
    x: Array,
    candidates: Sequence[Candidate],
    sd: Array,
    noise: Noise,
    odd: Sequence[int],
    best: Sequence[int],
    k: int,
) -> Agreement:
    """Whether the features of candidate `k` agree, beside the other causes in `best`.

    `x` (readings x candidates) in mm per unit, `sd` the believable sizes, `odd` rows that take no part.
    """
    import numpy as np

    rows = [int(r) for r in np.flatnonzero(x[:, k]) if int(r) not in set(odd)]
    members = sorted({table.rows[r][0] for r in rows})
    if len(members) < 2:
        return Agreement(1.0, (), float("inf"))
    loose = np.zeros((len(table.rows), len(members)))
    for r in rows:
        loose[r, members.index(table.rows[r][0])] = 1.0
    rest = [j for j in best if j != k]
    both = noise_model.system(table, np.concatenate([loose, x[:, [k]], x[:, rest]], axis=1), noise, odd)
    m = len(members)
    gram, rhs = both.gram, both.rhs
    if rest:  # the other causes, each within its believable width, are taken off
        inner = gram[m + 1 :, m + 1 :] + np.diag(1.0 / sd[rest] ** 2)
        solved = np.linalg.solve(inner, np.column_stack([gram[m + 1 :, : m + 1], rhs[m + 1 :]]))
        rhs = rhs[: m + 1] - gram[: m + 1, m + 1 :] @ solved[:, -1]
        gram = gram[: m + 1, : m + 1] - gram[: m + 1, m + 1 :] @ solved[:, :-1]
    return _left_out([table.features[i].balloon for i in members], gram, rhs)


def _left_out(names: Sequence[str], gram: Array, rhs: Array) -> Agreement:
    """Leave the worst member out until the rest agrees. The last row of `gram` and `rhs` is the cause itself."""
    import numpy as np

    m = len(names)
    gram, rhs = gram.copy(), rhs.copy()
    out: list[str] = []
    inside = list(range(m))
    first = 1.0
    while len(inside) > 1:
        own = gram[m, m]
        says = rhs[inside] - gram[inside, m] * (rhs[m] / own)  # what is left of each with the cause at its best size
        among = gram[np.ix_(inside, inside)]
        p = chi_squared_tail(float(says @ np.linalg.solve(among, says)), len(inside) - 1)
        if not out:
            first = p
        if p >= DISAGREE:
            break
        alone = np.diag(among)
        gains = says**2 / np.maximum(alone - gram[inside, m] ** 2 / own, 1e-9 * alone)
        worst = inside[int(np.argmax(gains))]
        out.append(names[worst])
        column, top, corner = gram[:, worst].copy(), rhs[worst], gram[worst, worst]
        gram -= np.outer(column, column) / corner
        rhs -= column * (top / corner)
        inside.remove(worst)
    return Agreement(first, tuple(out), abs(float(rhs[m])) / sqrt(gram[m, m]))


def undone(gram: Array, sizes: Mapping[int, float]) -> dict[int, tuple[int, ...]]:
    """Candidates whose effect on the readings the others of this set mostly undo, each with those that do it.

    `gram` is X'V^-1 X (1/u^2), `sizes` each candidate's size in its own unit.
    """
    gone = {}
    for k, size in sizes.items():
        own = size * size * float(gram[k, k])
        shares = {j: size * other * float(gram[k, j]) for j, other in sizes.items() if j != k}
        if sum(shares.values()) < -UNDONE * own:
            gone[k] = tuple(j for j, share in shares.items() if share < 0)
    return gone
