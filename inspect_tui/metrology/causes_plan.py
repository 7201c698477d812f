"""What a measuring plan can tell: causes its features cannot tell apart, the fewest to add, the best one to take next.

Nothing needs to be measured for the first two: with the believable size of each cause and the noise to be expected
the question is how much likelier the true cause would be than its best stand-in. Twice the log of that, on average,
is the part of the cause's signature that the stand-ins cannot imitate (noncentrality of the likelihood ratio).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import comb, sqrt
from typing import TYPE_CHECKING

from inspect_tui.metrology import causes_noise as noise_model
from inspect_tui.metrology import causes_search as searching
from inspect_tui.metrology.causes_candidates import is_datum
from inspect_tui.metrology.causes_data import AXES, Candidate, Next, Noise, Observed, Read

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

TOLD = 6.0  # expected 2 log likelihood ratio at which two explanations are told apart (odds of 20 to 1)
READING_U = 0.03  # of a reading not yet taken, when the caller gives none: common practice, no source


@dataclass(frozen=True, slots=True)
class Confusion:
    """`cause` would look like `stand_ins` (one, or two together); what would be left over is `told` (2 log odds)."""

    cause: str
    stand_ins: tuple[str, ...]
    told: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What a choice of features can tell: confusions, and causes it would not show at all at a believable size."""

    confusions: tuple[Confusion, ...]
    unseen: tuple[str, ...]

    @property
    def open_questions(self) -> frozenset[str]:
        """Names of all causes that are unseen or confused."""
        return frozenset(self.unseen) | {c.cause for c in self.confusions}


def _gram(
    features: Sequence[Observed], candidates: Sequence[Candidate], castings: int, noise: Noise, reference: str
) -> Array:
    """X'V^-1 X of the planned measurements: every feature once on each of `castings` castings."""
    planned = [replace(o, readings={f"{k}": Read(o.predicted_mm, _reading_u(o)) for k in range(castings)})
               for o in features]
    t = noise_model.table(planned, reference)
    return noise_model.system(t, t.columns(candidates), noise).gram


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
    pairs: bool = True,
) -> Plan:
    """Which of these causes the chosen features cannot tell apart, and which they cannot see.

    A cause of its own `sd` is tried against every other one, and against every two others together when `pairs`.
    Causes of a single casting and of single faces are left out: the first are told by comparing castings, the
    second only say where on a tool.
    """
    import numpy as np

    common = [c for c in candidates if not c.serial and c.kind != "face"]
    if not features:
        return Plan((), tuple(c.name for c in common))
    gram = _gram(features, common, castings, noise or Noise(), reference)
    sd = np.array([c.sd for c in common])
    g = gram * np.outer(sd, sd)
    diagonal = np.diag(g).copy()
    seen = diagonal >= TOLD
    confusions = []
    ridge = 1.0 / 3.0**2  # a stand-in may be up to about three times its believable size, not any size at all
    for i, c in enumerate(common):
        if not seen[i]:
            continue
        others = np.array([j for j in range(len(common)) if j != i and diagonal[j] > 0], dtype=np.intp)
        left = diagonal[i] - g[i, others] ** 2 / (diagonal[others] + ridge)
        close = [(float(left[n]), (int(j),)) for n, j in enumerate(others) if left[n] < TOLD]
        if not close and pairs and len(others) > 1:
            close = _pair_stand_ins(g, diagonal, i, others, ridge)
        confusions += [Confusion(c.name, tuple(common[j].name for j in js), max(value, 0.0))
                       for value, js in sorted(close)[:6]]
    return Plan(tuple(confusions), tuple(c.name for c, s in zip(common, seen, strict=True) if not s))


def _pair_stand_ins(g: Array, diagonal: Array, i: int, others: Array, ridge: float) -> list[tuple[float, tuple[int, ...]]]:
    import numpy as np

    first, second = np.triu_indices(len(others), 1)
    a, b = others[first], others[second]
    p, q, r = diagonal[a] + ridge, diagonal[b] + ridge, g[a, b]
    u, v = g[i, a], g[i, b]
    explained = (q * u * u - 2 * r * u * v + p * v * v) / np.maximum(p * q - r * r, 1e-12)
    left = diagonal[i] - explained
    return [(float(left[n]), (int(a[n]), int(b[n]))) for n in np.flatnonzero(left < TOLD)]


def fewest_to_add(
    chosen: Sequence[Observed],
    pool: Sequence[Observed],
    candidates: Sequence[Candidate],
    *,
    castings: int = 3,
    noise: Noise | None = None,
    reference: str = "drag",
    tries: int = 400,
) -> tuple[tuple[str, ...], Plan]:
    """The fewest features of the pool that settle everything the pool can settle, and the plan with them.

    All sets of one, two, three ... features are tried while there are no more than `tries` of them; beyond that the
    feature that settles most is taken each time (then the answer may not be the very fewest).
    """
    def plan(extra: Iterable[Observed]) -> Plan:
        return identifiable([*chosen, *extra], candidates, castings=castings, noise=noise, reference=reference,
                            pairs=False)

    now = plan(())
    goal = plan(pool).open_questions
    if now.open_questions <= goal:
        return (), now
    # a feature that touches none of the open causes cannot help
    open_names = now.open_questions - goal
    related = {name for c in now.confusions if c.cause in open_names for name in (c.cause, *c.stand_ins)} | open_names
    touching = {b for c in candidates if c.name in related for b in c.column}
    useful = [o for o in pool if o.balloon in touching] or list(pool)
    for count in range(1, len(useful) + 1):
        if comb(len(useful), count) > tries:
            break
        for extra in combinations(useful, count):
            got = plan(extra)
            if got.open_questions <= goal:
                return tuple(o.balloon for o in extra), got
    taken: list[Observed] = []
    while not now.open_questions <= goal and len(taken) < len(useful):
        trials = [(len(plan([*taken, o]).open_questions - goal), n) for n, o in enumerate(useful) if o not in taken]
        taken.append(useful[min(trials)[1]])
        now = plan(taken)
    return tuple(o.balloon for o in taken), now


def measure_next(
    pool: Sequence[Observed],
    t: noise_model.Table,
    candidates: Sequence[Candidate],
    h: Array,
    g: Array,
    sd: Array,
    posterior: searching.Posterior,
    noise: Noise,
    keep: int = 5,
) -> tuple[Next, ...]:
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
    x = np.array([[c.column.get(o.balloon, 0.0) if not (c.serial or c.instrument) else 0.0 for c in candidates]
                  for o in pool])
    typical = sqrt(float(np.median(t.u2)))
    out = []
    for n, o in enumerate(pool):
        seats = {end.part for end in o.faces if not is_datum(end, "drag") and end.part != "drag"}
        loose = noise.seat_mm**2 * len(seats) if len({e.part for e in o.faces}) > 1 or o.a is None else 0.0
        scale = noise.scale * o.cast_size_mm if o.axis in AXES else 0.0
        v = typical**2 + o.u_predicted**2 + loose + noise.face_mm**2 * len(o.faces) + scale**2
        mean = np.array([float(x[n, list(m)] @ k[0]) if m else 0.0 for m, k in zip(models, known, strict=True)])
        spread = np.array([float(x[n, list(m)] @ k[1] @ x[n, list(m)]) if m else 0.0
                           for m, k in zip(models, known, strict=True)])
        s = np.sqrt(spread + v)
        grid = np.linspace(float((mean - 6 * s).min()), float((mean + 6 * s).max()), 801)
        density = (weights / (s * sqrt(2 * np.pi))) @ np.exp(-0.5 * ((grid - mean[:, None]) / s[:, None]) ** 2)
        step = grid[1] - grid[0]
        entropy = -float((density * np.log(np.maximum(density, 1e-300))).sum() * step)
        within = float(weights @ (0.5 * np.log(2 * np.pi * np.e * s * s)))
        bits = max(entropy - within, 0.0) / np.log(2)
        in_all = max(entropy - 0.5 * float(np.log(2 * np.pi * np.e * v)), 0.0) / np.log(2)
        out.append(Next(o.balloon, float(bits), float(in_all)))
    return tuple(sorted(out, key=lambda v: (-round(v.bits, 3), -v.bits_in_all))[:keep])
