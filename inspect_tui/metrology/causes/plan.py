"""What a measuring plan can tell: causes its features cannot tell apart, the fewest to add, the best one to take next.

Nothing needs to be measured for the first two: with the believable size of each cause and the noise to be expected
the question is how much likelier the true cause would be than its best stand-in. Twice the log of that, on average,
is the part of the cause's signature that the stand-ins cannot imitate (noncentrality of the likelihood ratio).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import comb, sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.causes import noise as noise_model
from inspect_tui.metrology.causes import search as searching
from inspect_tui.metrology.causes.problem import AXES, Candidate, NextMeasurement, Noise
from inspect_tui.metrology.faces.observed import Observed, Read

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

TOLD = 6.0  # expected 2 log likelihood ratio at which two explanations are told apart (odds of 20 to 1)
READING_U = 0.03  # of a reading not yet taken, when the caller gives none: common practice, no source


@frozen
class Confusion:
    """`cause` would look like `stand_in`; what would be left over is `told` (expected 2 log likelihood ratio)."""

    cause: str
    stand_in: str
    told: float


@frozen
class MeasuringPlan:
    """What a choice of features can tell: confusions, and causes it would not show at all at a believable size."""

    confusions: tuple[Confusion, ...]
    unseen: tuple[str, ...]

    @property
    def open_questions(self) -> frozenset[str]:
        """Names of all causes that are unseen or confused."""
        return frozenset(self.unseen) | {c.cause for c in self.confusions}


@frozen
class _Bench:
    """Signatures and noise of every feature that could be measured, once on each casting, averaged over them."""

    x: Array
    cov: Array
    candidates: tuple[Candidate, ...]

    def gram(self, rows: Sequence[int]) -> Array:
        """X'V^-1 X of a choice of features."""
        import numpy as np

        r = list(rows)
        x = self.x[r]
        return np.asarray(x.T @ np.linalg.solve(self.cov[np.ix_(r, r)], x))


def _bench(
    features: Sequence[Observed], candidates: Sequence[Candidate], castings: int, noise: Noise, reference: str
) -> _Bench:
    import numpy as np

    common = tuple(c for c in candidates if not c.serial and c.kind != "face")
    planned = [replace(o, readings={"1": Read(o.predicted_mm, _reading_u(o), _gauge(o))}) for o in features]
    t = noise_model.table(planned, reference)
    scatter = np.diag(np.maximum(t.u2, 1e-6)) + noise.seat_mm**2 * t.seat[0] + noise.face_mm**2 * t.face[0]
    cov = (scatter + noise.scale**2 * t.scale[0]) / castings + t.tool @ t.tool.T
    return _Bench(t.columns(common), cov, common)


def _gauge(o: Observed) -> str:
    return next((r.instrument for r in o.readings.values()), "")


def _reading_u(o: Observed) -> float:
    known = [r.u for r in o.readings.values()]
    return sorted(known)[len(known) // 2] if known else READING_U


def identifiable(
    features: Sequence[Observed],
    candidates: Sequence[Candidate],
    *,
    castings: int = 3,
    noise: Noise | None = None,
    reference: str = "drag",
) -> MeasuringPlan:
    """Which of these causes the chosen features cannot tell apart, and which they cannot see.

    A cause of its own `sd` is tried against every other one. Two others together could imitate more, but two causes
    are a priori so much rarer than one that the single one is believed then. Causes of a single casting and of single
    faces are left out: the first are told by comparing castings, the second only say where on a tool.
    """
    if not features:
        return MeasuringPlan((), tuple(c.name for c in candidates if not c.serial and c.kind != "face"))
    bench = _bench(features, candidates, castings, noise or Noise(), reference)
    return _judge(bench, range(len(features)))


def _judge(bench: _Bench, rows: Sequence[int]) -> MeasuringPlan:
    import numpy as np

    common = bench.candidates
    sd = np.array([c.sd for c in common])
    g = bench.gram(rows) * np.outer(sd, sd)
    diagonal = np.diag(g).copy()
    seen = diagonal >= TOLD
    confusions = []
    ridge = 1.0 / 3.0**2  # a stand-in may be up to about three times its believable size, not any size at all
    left = diagonal[:, None] - np.square(g) / (diagonal + ridge)
    close = seen[:, None] & (diagonal > 0) & (left < TOLD)
    np.fill_diagonal(close, False)
    for i in np.flatnonzero(close.any(axis=1)).tolist():
        stand_ins = np.flatnonzero(close[i])
        for j in stand_ins[np.argsort(left[i, stand_ins], kind="stable")].tolist():
            confusions.append(Confusion(common[i].name, common[j].name, max(float(left[i, j]), 0.0)))
    return MeasuringPlan(tuple(confusions), tuple(c.name for c, s in zip(common, seen, strict=True) if not s))


def fewest_to_add(
    chosen: Sequence[Observed],
    pool: Sequence[Observed],
    candidates: Sequence[Candidate],
    *,
    castings: int = 3,
    noise: Noise | None = None,
    reference: str = "drag",
    tries: int = 2000,
) -> tuple[tuple[str, ...], MeasuringPlan]:
    """The fewest features of the pool that settle everything the pool can settle, and the plan with them.

    All sets of one, two, three ... features are tried while there are no more than `tries` of them; beyond that the
    feature that settles most is taken each time (then the answer may not be the very fewest).
    """

    everything = [*chosen, *pool]
    bench = _bench(everything, candidates, castings, noise or Noise(), reference)
    first = list(range(len(chosen)))
    names = [c.name for c in bench.candidates]

    def plan(extra: Sequence[int]) -> MeasuringPlan:
        rows = [*first, *extra]
        return _judge(bench, rows) if rows else MeasuringPlan((), tuple(names))

    rest = range(len(chosen), len(everything))
    now = plan(())
    goal = plan(rest).open_questions
    if now.open_questions <= goal:
        return (), now
    # a feature that touches none of the open causes cannot help
    open_names = now.open_questions - goal
    related = {name for c in now.confusions if c.cause in open_names for name in (c.cause, c.stand_in)} | open_names
    touching = {b for c in candidates if c.name in related for b in c.column}
    useful = [k for k in rest if everything[k].balloon in touching]
    for count in range(1, len(useful) + 1):
        if comb(len(useful), count) > tries:
            break
        for extra in combinations(useful, count):
            got = plan(extra)
            if got.open_questions <= goal:
                return tuple(everything[k].balloon for k in extra), got
    taken: list[int] = []
    while not now.open_questions <= goal and len(taken) < len(useful):
        trials = [(len(plan([*taken, k]).open_questions - goal), k) for k in useful if k not in taken]
        taken.append(min(trials)[1])
        now = plan(taken)
    return tuple(everything[k].balloon for k in taken), now


def measure_next(
    pool: Sequence[Observed],
    t: noise_model.ReadingTable,
    candidates: Sequence[Candidate],
    h: Array,
    g: Array,
    sd: Array,
    posterior: searching.Posterior,
    noise: Noise,
    reference: str = "drag",
    keep: int = 5,
) -> tuple[NextMeasurement, ...]:
    """Features not yet measured, by the information one more reading on one casting is expected to bring.

    Expected information about which explanation is right: entropy of what the reading could be over all
    explanations minus its mean entropy within each (Lindley 1956), integrated numerically; in all: minus the entropy
    of the noise alone.
    """
    import numpy as np

    if not pool:
        return ()
    models = list(posterior.models)[:120]
    weights = posterior.weights[: len(models)] / posterior.weights[: len(models)].sum()
    known = [searching.sizes(h, g, sd, m) for m in models]
    x = np.array(
        [[c.column.get(o.balloon, 0.0) if not (c.serial or c.instrument) else 0.0 for c in candidates] for o in pool]
    )
    typical = sqrt(float(np.median(t.u2)))
    out = []
    for n, o in enumerate(pool):
        loose_parts = {end.maker for end in o.faces} - {reference}
        apart = len({end.maker for end in o.faces}) > 1 or o.a is None
        loose = noise.seat_mm**2 * len(loose_parts) if apart else 0.0  # within one part its seat cancels
        scale = noise.scale * o.cast_size_mm if o.axis in AXES else 0.0
        v = typical**2 + o.u_predicted**2 + loose + noise.face_mm**2 * len(o.faces) + scale**2
        mean = np.array([float(x[n, list(m)] @ k[0]) if m else 0.0 for m, k in zip(models, known, strict=True)])
        spread = np.array(
            [float(x[n, list(m)] @ k[1] @ x[n, list(m)]) if m else 0.0 for m, k in zip(models, known, strict=True)]
        )
        s = np.sqrt(spread + v)
        grid = np.linspace(float((mean - 6 * s).min()), float((mean + 6 * s).max()), 801)
        density = (weights / (s * sqrt(2 * np.pi))) @ np.exp(-0.5 * ((grid - mean[:, None]) / s[:, None]) ** 2)
        step = grid[1] - grid[0]
        entropy = -float((density * np.log(np.maximum(density, 1e-300))).sum() * step)
        within = float(weights @ (0.5 * np.log(2 * np.pi * np.e * s * s)))
        bits = max(entropy - within, 0.0) / np.log(2)
        in_all = max(entropy - 0.5 * float(np.log(2 * np.pi * np.e * v)), 0.0) / np.log(2)
        out.append(NextMeasurement(o.balloon, float(bits), float(in_all)))
    return tuple(sorted(out, key=lambda v: (-round(v.bits, 3), -v.bits_in_all))[:keep])
