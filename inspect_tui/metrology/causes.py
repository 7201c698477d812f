"""From the castings back to the cause: which contraction, shifted core, grown parting or wrong box explains them.

The deviations from what the measured tools promise are explained by as few candidates as will do. Contraction keeps
near its plan (0.15 % is one standard deviation), a size error of a single tool is always among the candidates, every
casting may have its own cause (one mould wrongly closed is not smeared over the round), and seats, faces and tools
scatter together as they do in the mould. Heavy tails: each reading may be a slip, with its own wide error; a reading
that stands alone is set aside by name and never makes a cause. A shift inside the seating scatter is not a cause but
"cannot tell", with what to measure next.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.metrology import causes_noise as noise_model
from inspect_tui.metrology import causes_search as searching
from inspect_tui.metrology.causes_candidates import candidates as all_candidates
from inspect_tui.metrology.causes_data import (
    Candidate,
    Datum,
    Explanation,
    Face,
    Finding,
    Left,
    Next,
    Noise,
    Observed,
    Odd,
    Read,
    Rival,
)
from inspect_tui.metrology.causes_plan import measure_next
from inspect_tui.model import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

__all__ = [
    "Candidate", "Datum", "Explanation", "Face", "Finding", "Left", "Next", "Noise", "Observed", "Odd", "Read",
    "Rival", "all_candidates", "explain",
]

NAME_AT = 0.90  # probability from which a cause is named
ALIKE = 4.0  # expected gain in 2 log likelihood below which two causes cannot be told apart
UNKNOWN = 1.25  # one casting cannot show how castings scatter; this much is added for not knowing
SHIFTS = ("shift", "carried", "mismatch", "parting")
SEATS_TO_TELL = 2.5  # a shift below this many seating scatters on three castings is not told from scatter


@dataclass(frozen=True, slots=True)
class _Work:
    """Everything the last search knew, for writing the answer."""

    table: noise_model.Table
    x: Array
    candidates: tuple[Candidate, ...]
    sd: Array
    odds: Array
    noise: Noise
    system: noise_model.System
    posterior: searching.Posterior
    h: Array
    g: Array


def explain(
    features: Sequence[Observed],
    *,
    candidates: Sequence[Candidate] | None = None,
    carriers: Mapping[str, Sequence[str]] | None = None,
    reference: str = "drag",
    parting_axis: str = "z",
    datums: Sequence[Datum] = (),
    noise: Noise | None = None,
    learn_noise: bool = True,
    most: int = 4,
    name_at: float = NAME_AT,
) -> Explanation:
    """Which causes explain these castings.

    Features without readings are what could be measured next. `candidates` default to everything the features could
    show. `noise` is how such castings scatter; with two castings or more its seating and surface parts are learned
    from the castings themselves unless `learn_noise` is off. Up to `most` causes every combination is weighed, more
    are reached from the best ones. Raises DataError when nothing was measured or numbers are missing.
    """
    import numpy as np

    measured = [o for o in features if o.readings]
    t = noise_model.table(measured, reference)
    if candidates is None:
        candidates = all_candidates(features, carriers=carriers, reference=reference, parting_axis=parting_axis,
                                    datums=datums)
    x_all = t.columns(candidates)
    seen = np.abs(x_all).max(axis=0, initial=0.0) > 0 if len(candidates) else np.zeros(0, dtype=bool)
    unseen = tuple(c.name for c, s in zip(candidates, seen, strict=True) if not s and not c.serial)
    cands = tuple(c for c, s in zip(candidates, seen, strict=True) if s)
    x = x_all[:, seen]
    sd = np.array([c.sd for c in cands])
    prior = np.array([c.prior for c in cands])
    odds = np.log(prior / (1 - prior))

    now = noise or Noise()
    if learn_noise and len(t.serials) == 1:
        now = replace(now, seat_mm=UNKNOWN * now.seat_mm, face_mm=UNKNOWN * now.face_mm)
    found = noise_model.odd_readings(t, x, sd, now)
    odd = {row: off_odds for row, off_odds in found.items()}
    learned = not learn_noise or len(t.serials) < 2
    exact = False
    for _ in range(12):
        system = noise_model.system(t, x, now, tuple(odd))
        posterior = searching.search(system.gram, system.rhs, sd, odds, most=most, exact=exact)
        alone = _rests_on_one(system, t, sd, odds, posterior.best, x, now)
        fresh = {row: value for row, value in alone.items() if row not in odd}
        if fresh:
            odd.update(fresh)
            continue
        if not learned:
            learned = True
            own = [k for k in posterior.best if cands[k].serial]
            better = noise_model.fit_noise(t, x[:, own], sd[own], noise or Noise(), tuple(odd))
            if better != now:
                now = better
                # what was wild for quiet castings may be ordinary for these, and the other way round
                odd = dict(noise_model.odd_readings(t, x, sd, now))
                continue
        if exact:
            break
        exact = True
    h, g = searching.standardise(system.gram, system.rhs, sd)
    work = _Work(t, x, cands, sd, odds, now, system, posterior, h, g)
    return _answer(work, features, odd, unseen, name_at)


def _rests_on_one(
    system: noise_model.System, t: noise_model.Table, sd: Array, odds: Array, best: Sequence[int], x: Array, noise: Noise
) -> dict[int, tuple[float, float]]:
    """Readings that carry a cause of the best explanation all alone: row -> (mm off, odds).

    The reading is taken out. If the others then no longer speak for the cause (odds below one) and either do not
    show it at 2.5 of its standard deviations or contradict the reading by three, it was that reading and no cause.
    """
    import numpy as np

    out: dict[int, tuple[float, float]] = {}
    if not best:
        return out
    h, g = searching.standardise(system.gram, system.rhs, sd)
    mean, _ = searching.sizes(h, g, sd, best)
    model = np.array([best])
    for place, k in enumerate(best):
        rows = np.flatnonzero(x[:, k])
        rest = [c for c in best if c != k]
        without_k = np.array([rest], dtype=np.intp).reshape(1, -1)
        # what each reading gives to this cause's right-hand side, other causes taken off
        residual = system.py - system.px[:, rest] @ mean[[i for i in range(len(best)) if i != place]]
        weight = system.px[rows, k] * residual[rows] / system.p_diag[rows]
        for row in rows[np.argsort(-np.abs(weight), kind="stable")[:3]]:
            gram, rhs = system.without(int(row))
            h1, g1 = searching.standardise(gram, rhs, sd)
            gain = float(searching.score(h1, g1, odds, model)[0] - searching.score(h1, g1, odds, without_k)[0])
            if gain >= 0:
                continue
            m1, c1 = searching.sizes(h1, g1, sd, best)
            shown = abs(m1[place]) / sqrt(max(c1[place, place], 1e-300))
            p_row, px_row = system.p_diag[row], system.px[row, list(best)]
            off = float((system.py[row] - px_row @ m1) / p_row)
            wild = abs(off) / sqrt(1.0 / p_row + float(px_row @ c1 @ px_row) / p_row**2)
            if shown < 2.5 or wild > 3.0:
                m0, _ = searching.sizes(h1, g1, sd, rest)
                alone = float((system.py[row] - system.px[row, rest] @ m0) / p_row)  # off what the others make of it
                out[int(row)] = (alone, float(np.exp(min(-gain, 50.0))))
                break
    return out


def _answer(
    w: _Work, features: Sequence[Observed], odd: Mapping[int, tuple[float, float]], unseen: tuple[str, ...],
    name_at: float,
) -> Explanation:
    import numpy as np

    post = w.posterior
    every, by_axis = _contractions(w)
    chosen = list(post.best) + [int(k) for k in np.argsort(-post.inclusion, kind="stable")
                                if post.inclusion[k] >= 0.25 and k not in post.best]
    if every is not None and 0.05 < post.inclusion[every] < name_at:
        # "all but x" and "y and z" are the same thing said twice: what each axis does in all is what matters
        chosen = [k for k in chosen if k != every and k not in by_axis.values()]
        chosen += [k for k in by_axis.values() if _any(w, (k, every)) >= 0.25]
    findings, unclear = [], []
    told: set[int] = set()
    for k in chosen:
        if k in told:
            continue
        joint = every if k in by_axis.values() and every not in chosen else None
        group = _alike(w, k)
        told.update(j for j in group if j not in post.best)
        finding = _finding(w, k, group, name_at, joint)
        (findings if finding.status == "named" else unclear).append(finding)
    order = [f.name for f in w.candidates]
    findings.sort(key=lambda f: (-f.probability, order.index(f.candidate.name)))
    rivals = tuple(Rival(tuple(w.candidates[k].name for k in m), float(p))
                   for m, p in list(zip(post.models, post.weights, strict=True))[:8] if p >= 0.005)
    pool = [o for o in features if not o.readings]
    return Explanation(
        findings=tuple(findings), cannot_tell=tuple(f for f in unclear if f.probability >= 0.25), rivals=rivals,
        contraction=_contraction(w), odd=tuple(noise_model.as_odd(w.table, r, *v) for r, v in sorted(odd.items())),
        left=_left(w, odd), unseen=unseen, serials=w.table.serials, noise=w.noise, models=post.weighed,
        exact=post.exact, measure_next=measure_next(pool, w.table, w.candidates, w.h, w.g, w.sd, post, w.noise),
    )


def _alike(w: _Work, k: int) -> list[int]:
    """Candidates that could stand for candidate k at its size without these readings noticing, others held."""
    import numpy as np

    base = sorted({*w.posterior.best, k})
    mean, _ = searching.sizes(w.h, w.g, w.sd, base)
    size = float(mean[base.index(k)])
    rest = [j for j in base if j != k]
    gram = w.system.gram
    if rest:
        inner = gram[np.ix_(rest, rest)] + np.diag(1.0 / w.sd[rest] ** 2)
        gram = gram - gram[:, rest] @ np.linalg.solve(inner, gram[rest])
    own = gram[k, k]
    diagonal = np.maximum(np.diag(gram), 1e-300)
    lost = size * size * np.maximum(own - gram[k] ** 2 / diagonal, 0.0)
    instead = np.abs(size * gram[k] / diagonal)
    near = (lost < ALIKE) & (instead < 3.0 * w.sd) & (gram[k] ** 2 > 0.25 * own * diagonal)
    near[[*base]] = False
    return [k, *(int(j) for j in np.flatnonzero(near))]


def _same_tool(one: Candidate, other: Candidate) -> bool:
    """Whether both causes send the same person to the same tool: one size or its faces, one seat with what rides on it."""
    if one.serial or other.serial or one.axis != other.axis or not (one.parts and other.parts):
        return one is other
    for kinds in (("size", "face"), ("shift", "carried")):
        if one.kind in kinds and other.kind in kinds:
            return one.parts[0] == other.parts[0]
    return one is other


def _contractions(w: _Work) -> tuple[int | None, dict[str, int]]:
    """Which candidate is the contraction of all axes, and which that of each axis."""
    index = {c.axis: i for i, c in enumerate(w.candidates) if c.kind == "contraction"}
    return index.pop("all", None), index


def _any(w: _Work, group: Sequence[int]) -> float:
    """Probability that at least one of these is there."""
    members = set(group)
    return float(sum(p for m, p in zip(w.posterior.models, w.posterior.weights, strict=True) if members.intersection(m)))


def _averaged(w: _Work, group: Sequence[int]) -> tuple[float, float]:
    """Mean and standard uncertainty of a cause (a sum of causes), given that it is there, over the explanations."""
    total = mean = square = 0.0
    models = list(zip(w.posterior.models, w.posterior.weights, strict=True))[:300]
    models = [(m, p) for m, p in models if set(group).intersection(m)]
    for model, weight in models or [(tuple(sorted({*w.posterior.best, *group})), 1.0)]:
        m, cov = searching.sizes(w.h, w.g, w.sd, model)
        own = [i for i, j in enumerate(model) if j in group]
        value = float(m[own].sum())
        total += weight
        mean += weight * value
        square += weight * (float(cov[own][:, own].sum()) + value**2)
    mean /= total
    return float(mean), sqrt(max(square / total - mean * mean, 0.0))


def _finding(w: _Work, k: int, group: Sequence[int], name_at: float, joint: int | None) -> Finding:
    c = w.candidates[k]
    summed = (k,) if joint is None else (k, joint)
    both = _any(w, {*group, *summed})
    own = _any(w, summed)
    size, u = _averaged(w, summed)
    family = all(_same_tool(c, w.candidates[j]) for j in group)
    castings = 1 if c.serial else len(w.table.serials)
    enough = SEATS_TO_TELL * w.noise.seat_mm * sqrt(3.0 / castings)
    if c.kind in SHIFTS and abs(size) < enough:
        status = "below scatter"
    elif own >= name_at or (both >= name_at and family):
        status = "named"
    else:
        status = "cannot tell"
    speaks, against = _evidence(w, k)
    alike = sorted((w.candidates[j] for j in group if j not in summed), key=lambda a: -a.prior)
    return Finding(candidate=c, probability=both, own=own, size=Estimate(size, u), low=size - 1.96 * u,
                   high=size + 1.96 * u, status=status, speaks_for=speaks, against=against, alike=tuple(alike),
                   by_casting=_by_casting(w, k) if not c.serial else ())


def _row_sd(w: _Work) -> Array:
    """Standard deviation of each row about its explanation, without what its tool shares over the castings."""
    import numpy as np

    n, t = w.noise, w.table
    parts = [np.maximum(t.u2[b], 1e-6) + n.seat_mm**2 * np.diag(s) + n.face_mm**2 * np.diag(f) + n.scale**2 * np.diag(c)
             for b, s, f, c in zip(t.blocks, t.seat, t.face, t.scale, strict=True)]
    return np.sqrt(np.concatenate(parts))


def _by_feature(w: _Work, values: Array, rows: Array) -> dict[str, tuple[float, float]]:
    """Mean over the castings and its u, per balloon, of the rows given."""
    sd = _row_sd(w)
    gathered: dict[int, list[int]] = {}
    for r in rows:
        gathered.setdefault(w.table.rows[r][0], []).append(int(r))
    out = {}
    for f, own in gathered.items():
        o = w.table.features[f]
        mean = sum(float(values[r]) for r in own) / len(own)
        out[o.balloon] = (mean, sqrt(sum(float(sd[r]) ** 2 for r in own) / len(own) ** 2 + o.u_predicted**2))
    return out


def _evidence(w: _Work, k: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Features that are better explained with the cause than without, and those that should show it and do not."""
    import numpy as np

    base = sorted({*w.posterior.best, k})
    mean, _ = searching.sizes(w.h, w.g, w.sd, base)
    rest = [j for j in base if j != k]
    partial = w.table.y - w.x[:, rest] @ mean[[base.index(j) for j in rest]]
    effect = w.x[:, k] * mean[base.index(k)]
    rows = np.flatnonzero(w.x[:, k])
    shown = _by_feature(w, partial, rows)
    promised = _by_feature(w, effect, rows)
    speaks, against = [], []
    for o in w.table.features:
        if o.balloon not in shown:
            continue
        (got, u), (due, _u) = shown[o.balloon], promised[o.balloon]
        if abs(due) < 1.5 * u:
            continue
        (speaks if got * due > 0 and abs(got) > abs(due) / 2 else against).append(o.balloon)
    return tuple(speaks), tuple(against)


def _by_casting(w: _Work, k: int) -> tuple[tuple[str, Estimate], ...]:
    """The size of a common cause on each casting by itself, the other causes held as found."""
    import numpy as np

    serials = w.table.serials
    if len(serials) < 2:
        return ()
    rest = [j for j in w.posterior.best if j != k]
    alone = np.zeros((len(w.table.rows), len(serials)))
    for r, (_, s) in enumerate(w.table.rows):
        alone[r, s] = w.x[r, k]
    x = np.concatenate([alone, w.x[:, rest]], axis=1)
    sd = np.concatenate([np.full(len(serials), w.sd[k]), w.sd[rest]])
    s = noise_model.system(w.table, x, w.noise)
    h, g = searching.standardise(s.gram, s.rhs, sd)
    mean, cov = searching.sizes(h, g, sd, range(len(sd)))
    return tuple((serial, Estimate(float(mean[i]), sqrt(cov[i, i]))) for i, serial in enumerate(serials)
                 if np.any(alone[:, i]))


def _contraction(w: _Work) -> dict[str, Estimate]:
    """Per axis the difference of the real contraction from the plan, whatever was named."""
    out = {}
    every, by_axis = _contractions(w)
    for axis, k in by_axis.items():
        model = tuple(sorted({*w.posterior.best, k}))
        mean, cov = searching.sizes(w.h, w.g, w.sd, model)
        own = [model.index(j) for j in (k, every) if j in model]
        out[axis] = Estimate(float(mean[own].sum()), sqrt(float(cov[own][:, own].sum())))
    return out


def _left(w: _Work, odd: Mapping[int, object]) -> tuple[Left, ...]:
    import numpy as np

    best = list(w.posterior.best)
    values = w.table.y.copy()
    if best:
        mean, _ = searching.sizes(w.h, w.g, w.sd, best)
        values = values - w.x[:, best] @ mean
    rows = np.array([r for r in range(len(w.table.rows)) if r not in odd], dtype=np.intp)
    left = [Left(b, mm, u) for b, (mm, u) in _by_feature(w, values, rows).items() if abs(mm) > 2.5 * u]
    return tuple(sorted(left, key=lambda v: -abs(v.mm / v.u)))


def cause_sizes(found: Explanation) -> dict[str, Estimate]:
    """Name and size of each named cause. Raises DataError when none was named."""
    if not found.findings:
        raise DataError("no cause was named; nothing follows for the tools")
    return {f.candidate.name: f.size for f in found.findings}
