"""Will every machined face clean up: the rigid set-up of the casting that leaves most stock on its leanest face.

The casting is moved as a body, three shifts and three small turns within what the datums allow, until the least
stock over all machined faces is as large as it can be: a linear program, because for small turns every stock is
linear in the motion. Its dual says which faces bind. The small turns are then made exact and the program is solved
again about that place, kept where the exact turn leaves more, so that nothing is lost to the small-angle approximation.
Each face counts once, at its place with the covariance of all places: what one size says of two faces is shared by
them. Which turns make sense, and what the machinist is told of them, is in `stock_turns`.

Of 4000 invented castings (`tests/benchmarks/stock_chance.py`: errors half normal, half rectangular, rounded, one in
fifty three times as large; half of them tied to a datum, half shared) 74.8 % cleaned up where 74.6 % was said:
said below 5 %: 808, said 0.3 %, got 0.1 %; 5 to 35 %: 146, 17.5 and 20.5; 35 to 65 %: 98, 49.2 and 51.0; 65 to 95 %:
218, 83.7 and 84.4; from 95 % on: 2730, 99.8 and 99.8.

Source: own derivation; linear programs over the faces, the stock wanted is the drawing's.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import prod, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.judge.joint import p_all_above
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]

Vector = tuple[float, float, float]
BIND = 1e-6  # a face binds when its share in the dual is above this
DEFAULT_TURN = 0.02  # rad: 12 mm over 600, more than any casting is ever set up crooked
TIDY = 1e-9  # what the least stock may lose when the motion itself is made small
STEPS, CLOSE = 30, 1e-6  # programs at most until the exact turn has no more to gain than this, mm
SURE = 0.95  # probability to clean up from which that is said without more: chosen here, no source
ROUNDING = 1e-6  # mm: what is lacking by no more than this is there
RATHER_SHIFT = 1000.0  # among equals: a turn counts as this many times the shift at the rim, so shifts are used first


@frozen_by_name
class StockPoint:
    """A measured point on a face that will be machined.

    `at` is its place, `normal` points out of the metal, `stock_mm` is how far the surface stands outside the finished
    face along the normal (negative: already below), `required_mm` is what must be there for the cut to clean up.
    `known` are the axes along which the place is known: what is not named there stands in `at` as 0 and says nothing.
    """

    name: str
    at: Vector
    normal: Vector
    stock_mm: float
    required_mm: float = 0.0
    u_mm: float = 0.0
    known: str = "xyz"


@frozen
class SetUpLimits:
    """How far the casting may be moved: shifts in mm along x, y, z and turns in radians about them, (low, high).

    A direction that a datum holds is (0, 0); None is free (turns are always held within 0.02 rad). `pivot[i]` is the
    place whose movement along axis i the shift limits speak of: with (0, 0) the casting turns about it as far as that
    axis goes, such as about the middle of the datum targets that hold it there. `shared[i]`: along axis i it is not
    moved by a figure but set by its own faces, both sides touched and what is there shared.
    """

    shift: tuple[tuple[float, float] | None, ...] = (None, None, None)
    turn: tuple[tuple[float, float] | None, ...] = (None, None, None)
    pivot: tuple[Vector, Vector, Vector] = ((0.0, 0.0, 0.0),) * 3
    shared: tuple[bool, bool, bool] = (False, False, False)


@frozen
class FaceStock:
    """Stock on one point before and after the set-up; `share` is its part in the dual: how much it holds the answer."""

    name: str
    before_mm: float
    after_mm: float
    required_mm: float
    share: float

    @property
    def spare_mm(self) -> float:
        """What is left beyond what is required after the set-up. mm; below 0 it does not clean up."""
        return self.after_mm - self.required_mm


@frozen_by_name
class SetUp:
    """The answer: how to move the casting, what is left on each face, and what holds it.

    `spare_mm` is the least of stock minus requirement over all faces, `spare_before_mm` the same without moving;
    `shift_mm` is the shift of the drawing's zero, `turn_rad` the turn vector.
    `u_mm` is the standard uncertainty of `spare_mm`, the best that this casting allows: by the dual, so from the faces
    that bind, each with its share. `p_cleans_up` is the probability that every face has its stock in this very set-up,
    and not the normal probability of `spare_mm` with `u_mm`: the set-up was chosen by the measured stock, so a casting
    that is not as measured is not turned anew. n faces that bind with the same u and know nothing of each other give
    the nth power of what one of them gives, while their `u_mm` falls. Only along axes that are `shared` the casting
    finds its place by its faces as they are.
    """

    shift_mm: Vector
    turn_rad: Vector
    rotation: tuple[Vector, Vector, Vector]
    spare_mm: float
    spare_before_mm: float
    u_mm: float
    p_cleans_up: float
    faces: tuple[FaceStock, ...]

    @property
    def cleans_up(self) -> bool:
        """Whether every face has at least what it needs."""
        return self.spare_mm >= -ROUNDING

    @property
    def binding(self) -> tuple[str, ...]:
        """The faces that hold the answer, the strongest first."""
        ranked = sorted((f for f in self.faces if f.share > BIND), key=lambda f: -f.share)
        return tuple(dict.fromkeys(f.name for f in ranked))

    def moved(self, place: Vector) -> Vector:
        """How far a point of the casting moves: the height to set at a datum target, say."""
        r = self.rotation
        x, y, z = (sum(r[i][j] * place[j] for j in range(3)) + self.shift_mm[i] - place[i] for i in range(3))
        return x, y, z

    def verdict(self, style: Style = MM) -> str:
        """Whether it cleans up and how likely, with how much and on which faces."""
        leanest = min(self.faces, key=lambda f: f.spare_mm)
        held = ", ".join(self.binding) or leanest.name
        need = f" ({style.length(leanest.required_mm, unit=False)} needed)" if leanest.required_mm else ""
        chance = f" (chance {style.chance(self.p_cleans_up)})"
        if self.cleans_up:
            word = "Cleans up" if self.p_cleans_up >= SURE else "Cleans up as measured, which is not sure"
            return (
                f"{word}{chance}: at least {style.length(leanest.after_mm, unit=False)} stock is left on {held}{need}."
            )
        lacking = style.length(-self.spare_mm, unit=False)
        return f"Does not clean up{chance}: {held} {'lack' if ',' in held else 'lacks'} {lacking}{need}."

    @property
    def helps(self) -> bool:
        """Whether moving the casting leaves more than it has as it stands."""
        return self.spare_mm > self.spare_before_mm + 0.005


def best_set_up(points: Sequence[StockPoint], limits: SetUpLimits | None = None, cov: ArrayLike | None = None) -> SetUp:
    """The rigid motion within `limits` that maximises the least spare stock.

    `cov` is the covariance of the points' stock, n x n in mm2; without it each knows nothing of the others and has its
    own `u_mm`. Among motions that are equally good the smallest is taken, a turn only where no shift does as well.
    Raises DataError without points, for a normal of no length, for a number that is not one, and when nothing stops
    the stock from growing (all faces look one way and that shift is free).
    Linear program: Boyd and Vandenberghe, Convex Optimization, 8.5 (largest inscribed ball is the case of pure shifts).
    """
    import numpy as np

    at, normal, stock, need, u = _arrays(points)
    spread = np.diag(u**2) if cov is None else np.asarray(cov, dtype=float)
    limits = limits or SetUpLimits()
    low, high = _bounds(limits)
    pivot = np.array(limits.pivot, dtype=float)
    reach = max(float(np.linalg.norm(at - at.mean(axis=0), axis=1).max()), 1.0)
    motion = np.zeros(6)  # shifts of the pivots, then the turn
    rotation = np.eye(3)
    still = bool((low <= 0).all() and (high >= 0).all())
    after, spare = stock, float((stock - need).min()) if still else -np.inf
    trust = np.inf  # how far a turn is believed to be linear, mm at the rim
    for _ in range(STEPS):
        rows, turned = _linear(at, normal, pivot, rotation)
        # shifts are linear whatever the turn: they are found whole, from the turn made so far
        step, shares, hope = _solve(
            rows,
            stock + turned - need,
            np.r_[low[:3], np.maximum(low[3:] - motion[3:], -trust / reach)],
            np.r_[high[:3], np.minimum(high[3:] - motion[3:], trust / reach)],
            reach,
        )
        tried = np.r_[step[:3], motion[3:] + step[3:]]
        moved = _rotation(tried[3:])
        got = stock + _linear(at, normal, pivot, moved)[1] + normal @ tried[:3]
        size = float(np.abs(step[3:]).max()) * reach
        if float((got - need).min()) > spare:
            motion, rotation, after, spare = tried, moved, got, float((got - need).min())
        elif hope > spare + CLOSE:
            trust = size / 4.0  # the exact turn leaves less: not so far at once
        if size < CLOSE or hope <= spare + CLOSE:
            break
    turned = after - normal @ motion[:3] - need
    zero = motion[:3] + np.diag(pivot - pivot @ rotation.T)  # the same motion, as a shift of the drawing's zero
    return SetUp(
        shift_mm=_vector(zero),
        turn_rad=_vector(motion[3:]),
        rotation=(_vector(rotation[0]), _vector(rotation[1]), _vector(rotation[2])),
        spare_mm=spare,
        spare_before_mm=float((stock - need).min()),
        u_mm=sqrt(max(float(shares @ spread @ shares), 0.0)),
        p_cleans_up=_chance(turned, normal, spread, (low[:3], high[:3], motion[:3]), limits.shared),
        faces=tuple(
            FaceStock(p.name, p.stock_mm, float(a), p.required_mm, float(s))
            for p, a, s in zip(points, after, shares, strict=True)
        ),
    )


def together(body: SetUp | None, alone: Sequence[SetUp]) -> SetUp:
    """One answer of a casting's set-up and of groups of faces that stand by themselves, whatever the set-up is.

    The leanest of them holds the answer; that each cleans up is independent of the rest. DataError without any.
    """
    every = [*([body] if body else []), *alone]
    if not every:
        raise DataError("no machined face was measured; measure at least one point on each and ask again")
    lean = min(every, key=lambda one: one.spare_mm)
    still = body or replace(every[0], shift_mm=(0.0, 0.0, 0.0), turn_rad=(0.0, 0.0, 0.0))
    return replace(
        still,
        spare_mm=lean.spare_mm,
        spare_before_mm=min(one.spare_before_mm for one in every),
        u_mm=lean.u_mm,
        p_cleans_up=prod(one.p_cleans_up for one in every),
        faces=tuple(f if one is lean else replace(f, share=0.0) for one in every for f in one.faces),
    )


def _linear(at: Array, normal: Array, pivot: Array, rotation: Array) -> tuple[Array, Array]:
    """What a shift of the pivots and a further turn do to each stock (n x 6), and what `rotation` has done to it.

    Along axis i a point moves as its arm from pivot i does: stock grows by n.s + sum over i of n_i (w x arm_i)_i.
    """
    import numpy as np

    start = at[:, None, :] - pivot[None, :, :]
    arm = start @ rotation.T
    ahead, behind = (1, 2, 0), (2, 0, 1)  # (w x a)_i = w_ahead a_behind - w_behind a_ahead
    turn = np.zeros((len(at), 3))
    for i in range(3):
        turn[:, ahead[i]] += normal[:, i] * arm[:, i, behind[i]]
        turn[:, behind[i]] -= normal[:, i] * arm[:, i, ahead[i]]
    return np.hstack([normal, turn]), np.einsum("ni,nii->n", normal, arm - start)


def stops(points: Sequence[StockPoint], limits: SetUpLimits) -> bool:
    """Whether these faces stop every motion that `limits` leave free: none lets all of them gain stock.

    The bounds of what is free are lifted: bounded only by them, a program runs up to them for nothing. By Gordan's
    theorem such a motion is missing exactly where weights of the faces balance, as the dual of the set-up needs.
    """
    import numpy as np
    from scipy.optimize import linprog

    at, normal, _, _, _ = _arrays(points)
    rows = _linear(at, normal, np.array(limits.pivot, dtype=float), np.eye(3))[0]
    low, high = _bounds(limits)
    free = rows[:, high > low]
    size = np.abs(free).max(axis=0, initial=0.0)
    free = free[:, size > 0] / size[size > 0]
    if not free.shape[1]:
        return True
    count = free.shape[1]
    gain = linprog(
        np.r_[np.zeros(count), -1.0],
        A_ub=np.hstack([-free, np.ones((len(free), 1))]),
        b_ub=np.zeros(len(free)),
        bounds=[*((-1.0, 1.0),) * count, (None, 1.0)],
        method="highs",
    )
    return gain.status == 0 and float(gain.x[-1]) <= BIND


def _vector(values: Array) -> Vector:
    # -0.0 would be shown as a shift to the minus side
    return float(values[0]) + 0.0, float(values[1]) + 0.0, float(values[2]) + 0.0


def _chance(
    spare: Array, normal: Array, spread: Array, shift: tuple[Array, Array, Array], shared: Sequence[bool]
) -> float:
    """The chance that every face has what it needs; `spare` is what it has before the shift (low, high, as told).

    Along a shared axis some shift does for all where the leanest faces of either side have enough between them, and
    neither needs more of the way than the limits give (Helly in a line). A face that looks aslant keeps its axes to the
    shift as told.
    """
    import numpy as np

    low, high, told = shift
    aslant = ((np.abs(normal) > 1e-9) & (np.abs(normal) < 1.0 - 1e-9)).any(axis=0)
    free = np.array(shared) & ~aslant
    unit, rest = np.eye(len(spare)), spare + normal @ np.where(free, 0.0, told)
    rows = [unit[k] for k in np.flatnonzero(~(np.abs(normal) > 0.5)[:, free].any(axis=1))]
    room = [0.0] * len(rows)
    for axis in np.flatnonzero(free):
        plus, minus = np.flatnonzero(normal[:, axis] > 0.5), np.flatnonzero(normal[:, axis] < -0.5)
        rows += [unit[a] + unit[b] for a in plus for b in minus]
        room += [0.0] * (len(plus) * len(minus))
        for some, most in ((plus, high[axis]), (minus, -low[axis])):
            if np.isfinite(most):
                rows += [unit[k] for k in some]
                room += [float(most)] * len(some)
    each = np.array(rows)
    return p_all_above(each @ rest + room + ROUNDING, each @ spread @ each.T)


def _arrays(points: Sequence[StockPoint]) -> tuple[Array, Array, Array, Array, Array]:
    import numpy as np

    if not points:
        raise DataError("no machined face was measured; measure at least one point on each and ask again")
    at = np.array([p.at for p in points], dtype=float)
    normal = np.array([p.normal for p in points], dtype=float)
    rest = np.array([[p.stock_mm, p.required_mm, p.u_mm] for p in points], dtype=float)
    bad = [
        p.name for p, ok in zip(points, np.isfinite(np.hstack([at, normal, rest])).all(axis=1), strict=True) if not ok
    ]
    if bad:
        raise DataError(f"{', '.join(bad)}: not a number among place, normal and stock; type it again or leave it out")
    length = np.linalg.norm(normal, axis=1)
    if (length < 1e-9).any():
        none = [p.name for p, n in zip(points, length, strict=True) if n < 1e-9]
        raise DataError(f"{', '.join(none)}: the normal has no direction; give the way the face looks out of the metal")
    return at, normal / length[:, None], rest[:, 0], rest[:, 1], rest[:, 2]


def _bounds(limits: SetUpLimits) -> tuple[Array, Array]:
    import numpy as np

    pairs = [p if p is not None else (-np.inf, np.inf) for p in limits.shift]
    pairs += [p if p is not None else (-DEFAULT_TURN, DEFAULT_TURN) for p in limits.turn]
    if any(a > b for a, b in pairs):
        raise DataError("a shift or turn has its lower limit above the upper one; give them the other way round")
    low, high = np.array(pairs, dtype=float).T
    return low, high


def _solve(rows: Array, spare: Array, low: Array, high: Array, reach: float) -> tuple[Array, Array, float]:
    """Maximise m with spare + rows.step >= m; then the smallest step that keeps m. Returns the step, the dual and m."""
    import numpy as np
    from scipy.optimize import linprog

    scale = np.r_[1.0, 1.0, 1.0, np.full(3, 1.0 / reach)]  # turns as mm at the rim, so that all unknowns are alike
    a = rows * scale
    bounds = [*zip(low / scale, high / scale, strict=True), (None, None)]
    constraints = np.hstack([-a, np.ones((len(a), 1))])
    first = linprog(np.r_[np.zeros(6), -1.0], A_ub=constraints, b_ub=spare, bounds=bounds, method="highs")
    if first.status == 3:
        raise DataError("nothing holds the casting: every face gains stock by the same shift; say what the datums hold")
    if first.status != 0:
        raise DataError("no set-up satisfies these limits; widen the shifts and turns")
    best = float(first.x[6])
    shares = -np.asarray(first.ineqlin.marginals)
    # second program: the same least stock with the least movement, split in plus and minus parts
    split = np.hstack([-a, a])
    tidy = linprog(
        np.tile(np.r_[np.ones(3), np.full(3, RATHER_SHIFT)], 2),
        A_ub=split,
        b_ub=spare - best + TIDY,
        bounds=_split_bounds(low / scale, high / scale),
        method="highs",
    )
    step = (tidy.x[:6] - tidy.x[6:]) if tidy.status == 0 else first.x[:6]
    return step * scale, shares, best


def _split_bounds(low: Array, high: Array) -> list[tuple[float, float | None]]:
    """Bounds of the plus and minus parts of each unknown."""
    plus = [(max(a, 0.0), None if b == float("inf") else max(b, 0.0)) for a, b in zip(low, high, strict=True)]
    minus = [(max(-b, 0.0), None if a == float("-inf") else max(-a, 0.0)) for a, b in zip(low, high, strict=True)]
    return [*plus, *minus]


def _rotation(turn: Array) -> Array:
    """The exact rotation of a turn vector (Rodrigues)."""
    import numpy as np

    angle = float(np.linalg.norm(turn))
    if angle < 1e-15:
        return np.eye(3)
    x, y, z = turn / angle
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    out: Array = np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * (k @ k)
    return out
