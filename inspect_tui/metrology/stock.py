"""Will every machined face clean up: the rigid set-up of the casting that leaves most stock on its leanest face.

The casting is moved as a body, three shifts and three small turns within what the datums allow, until the least
stock over all machined faces is as large as it can be: a linear program, because for small turns every stock is
linear in the motion. Its dual says which faces bind. The small turns are then made exact and the program is solved
again about that place, so that nothing is lost to the small-angle approximation. A best fit by least squares stands
beside it for a look at form (Kabsch 1976; Arun, Huang and Blostein 1987).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]

Vector = tuple[float, float, float]
BIND = 1e-6  # a face binds when its share in the dual is above this
DEFAULT_TURN = 0.02  # rad: 12 mm over 600, more than any casting is ever set up crooked
TIDY = 1e-9  # what the least stock may lose when the motion itself is made small


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPoint:
    """A measured point on a face that will be machined.

    `at` is its place, `normal` points out of the metal, `stock_mm` is how far the surface stands outside the finished
    face along the normal (negative: already below), `required_mm` is what must be there for the cut to clean up.
    """

    name: str
    at: Vector
    normal: Vector
    stock_mm: float
    required_mm: float = 0.0
    u_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Limits:
    """How far the casting may be moved: shifts in mm along x, y, z and turns in radians about them, (low, high).

    A direction that a datum holds is (0, 0); None is free (turns are always held within 0.02 rad).
    """

    shift: tuple[tuple[float, float] | None, ...] = (None, None, None)
    turn: tuple[tuple[float, float] | None, ...] = (None, None, None)


@dataclass(frozen=True, slots=True)
class FaceStock:
    """Stock on one point before and after the set-up; `share` is its part in the dual: how much it holds the answer."""

    name: str
    before_mm: float
    after_mm: float
    required_mm: float
    share: float

    @property
    def spare_mm(self) -> float:
        """What is left beyond what is required after the set-up."""
        return self.after_mm - self.required_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """The answer: how to move the casting, what is left on each face, and what holds it.

    `spare_mm` is the least of stock minus requirement over all faces, `spare_before_mm` the same without moving;
    `u_mm` is the standard uncertainty of `spare_mm` (from the faces that bind). `p_cleans_up` is the probability that
    it is not negative.
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
        return self.spare_mm >= -1e-6

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

    @property
    def sentence(self) -> str:
        """What the machinist is told."""
        leanest = min(self.faces, key=lambda f: f.spare_mm)
        held = ", ".join(self.binding) or leanest.name
        need = f" ({leanest.required_mm:.2f} needed)" if leanest.required_mm else ""
        if self.cleans_up:
            text = f"Cleans up: at least {leanest.after_mm:.2f} stock is left on {held}{need}."
        else:
            text = f"Does not clean up: {held} {'lack' if ',' in held else 'lacks'} {-self.spare_mm:.2f}{need}."
        if self.spare_mm > self.spare_before_mm + 0.005:
            text += f" Set up: {self.offsets}."
        return text

    @property
    def offsets(self) -> str:
        """Shifts in mm and turns in degrees, only those that matter."""
        said = [f"{a} {v:+.2f}" for a, v in zip("XYZ", self.shift_mm, strict=True) if abs(v) >= 0.005]
        said += [
            f"turn about {a} {degrees(v):+.3f} deg" for a, v in zip("XYZ", self.turn_rad, strict=True) if abs(v) >= 5e-6
        ]
        return ", ".join(said) or "as it stands"


def best_set_up(points: Sequence[StockPoint], limits: Limits | None = None) -> SetUp:
    """The rigid motion within `limits` that maximises the least spare stock.

    Among motions that are equally good the smallest is taken (sum of shifts, and of turns over the size of the part).
    Raises DataError without points, for a normal of no length, for a number that is not one, and when nothing stops
    the stock from growing (all faces look one way and that shift is free).
    Linear program: Boyd and Vandenberghe, Convex Optimization, 8.5 (largest inscribed ball is the case of pure shifts).
    """
    import numpy as np

    at, normal, stock, need, u = _arrays(points)
    limits = limits or Limits()
    low, high = _bounds(limits)
    reach = max(float(np.linalg.norm(at - at.mean(axis=0), axis=1).max()), 1.0)
    motion = np.zeros(6)
    rotation = np.eye(3)
    shares = np.zeros(len(points))
    for _ in range(6):
        place = at @ rotation.T
        now = stock + np.einsum("ij,ij->i", normal, place - at)
        rows = np.hstack([normal, np.cross(place, normal)])  # d stock / d (shift, turn): n.t + w.(p x n)
        # `now` holds the turn made so far and no shift; the program finds the whole shift and the turn still wanted
        step, shares = _solve(
            rows, now - need, low - np.r_[0, 0, 0, motion[3:]], high - np.r_[0, 0, 0, motion[3:]], reach
        )
        motion = np.r_[step[:3], motion[3:] + step[3:]]
        rotation = _rotation(motion[3:])
        if float(np.abs(step[3:]).max()) * reach < 1e-9:
            break
    after = stock + np.einsum("ij,ij->i", normal, at @ rotation.T + motion[:3] - at)
    spare = float((after - need).min())
    spread = float(sqrt(((shares * u) ** 2).sum()))
    return SetUp(
        shift_mm=_vector(motion[:3]),
        turn_rad=_vector(motion[3:]),
        rotation=(_vector(rotation[0]), _vector(rotation[1]), _vector(rotation[2])),
        spare_mm=spare,
        spare_before_mm=float((stock - need).min()),
        u_mm=spread,
        p_cleans_up=_p_above(spare, spread),
        faces=tuple(
            FaceStock(p.name, p.stock_mm, float(a), p.required_mm, float(s))
            for p, a, s in zip(points, after, shares, strict=True)
        ),
    )


def _vector(values: Array) -> Vector:
    # -0.0 would be shown as a shift to the minus side
    return float(values[0]) + 0.0, float(values[1]) + 0.0, float(values[2]) + 0.0


def _p_above(value: float, u: float) -> float:
    from statistics import NormalDist

    if u <= 0:
        return 1.0 if value >= -1e-6 else 0.0
    return NormalDist().cdf(value / u)


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


def _bounds(limits: Limits) -> tuple[Array, Array]:
    import numpy as np

    pairs = [p if p is not None else (-np.inf, np.inf) for p in limits.shift]
    pairs += [p if p is not None else (-DEFAULT_TURN, DEFAULT_TURN) for p in limits.turn]
    if any(a > b for a, b in pairs):
        raise DataError("a shift or turn has its lower limit above the upper one; give them the other way round")
    low, high = np.array(pairs, dtype=float).T
    return low, high


def _solve(rows: Array, spare: Array, low: Array, high: Array, reach: float) -> tuple[Array, Array]:
    """Maximise m with spare + rows.step >= m; then the smallest step that keeps m. Returns the step and the dual."""
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
        np.ones(12),
        A_ub=split,
        b_ub=spare - best + TIDY,
        bounds=_split_bounds(low / scale, high / scale),
        method="highs",
    )
    step = (tidy.x[:6] - tidy.x[6:]) if tidy.status == 0 else first.x[:6]
    return step * scale, shares


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


@dataclass(frozen=True, slots=True)
class RigidFit:
    """Q = R P + t in least squares; residuals are the distances left over, point by point."""

    rotation: tuple[tuple[float, ...], ...]
    shift: tuple[float, ...]
    rms: float
    largest: float
    residuals: tuple[float, ...]


def rigid_fit(nominal: ArrayLike, measured: ArrayLike) -> RigidFit:
    """Best rigid motion of `nominal` onto `measured`, both n x 2 or n x 3, by singular values.

    A reflection is never taken: the sign of the weakest direction is turned so that the determinant is +1.
    Raises DataError for fewer points than dimensions or different shapes.
    """
    import numpy as np

    p, q = np.asarray(nominal, dtype=float), np.asarray(measured, dtype=float)
    if p.ndim != 2 or p.shape != q.shape or p.shape[1] not in (2, 3):
        raise DataError("a best fit needs as many measured as nominal points, each with two or three coordinates")
    if len(p) < p.shape[1] or not (np.isfinite(p).all() and np.isfinite(q).all()):
        raise DataError(f"a best fit needs at least {p.shape[1]} points, all of them numbers")
    pc, qc = p.mean(axis=0), q.mean(axis=0)
    left, _, right = np.linalg.svd((p - pc).T @ (q - qc))
    sign = np.ones(p.shape[1])
    sign[-1] = np.sign(np.linalg.det(right.T @ left.T)) or 1.0
    r = right.T @ np.diag(sign) @ left.T
    t = qc - r @ pc
    distance = np.linalg.norm(q - p @ r.T - t, axis=1)
    return RigidFit(
        tuple(tuple(float(v) + 0.0 for v in row) for row in r),
        tuple(float(v) for v in t),
        float(np.sqrt((distance**2).mean())),
        float(distance.max()),
        tuple(float(d) for d in distance),
    )
