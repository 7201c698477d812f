"""Which causes may be planted in a simulated job: believable, large enough to be seen, and identifiable.

Plain linear algebra on the noise as it is drawn, apart from the program's own.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from inspect_tui.frozen import replace
from inspect_tui.metrology.causes.candidates import candidates as all_candidates
from inspect_tui.metrology.causes.problem import Candidate
from inspect_tui.metrology.faces.observed import Observed
from tests.worlds.casting_simulator_jobs import FEET, Job, Plant, Scatter, below

APART = 5.0  # a plant is identifiable when no other believable cause comes within this many standard deviations
SECOND = 3.5  # ... and when it still shows at this many without its best reading
KINDS = {  # what is planted, and how often
    "contraction": 0.16,
    "shift": 0.24,
    "carried": 0.06,
    "mismatch": 0.10,
    "parting": 0.10,
    "growth": 0.08,
    "size": 0.14,
    "tilt": 0.03,
    "one": 0.09,
}
FACE_KINDS = {"face": 0.4, "lifted": 0.15, "held back": 0.15, "turned": 0.15, "carried": 0.15}


def _covariance(job: Job, scatter: Scatter) -> tuple[np.ndarray, np.ndarray]:
    """Covariance of the features in one casting, and the part that all castings share, from the story above."""
    n = len(job.features)
    cov, shared = np.zeros((n, n)), np.eye(n) * 0.014**2
    for i, o in enumerate(job.features):
        for j, q in enumerate(job.features):
            for si, fi in ((-1, o.a), (1, o.b)):
                for sj, fj in ((-1, q.a), (1, q.b)):
                    if o.axis == q.axis and fi.maker == fj.maker:
                        same = fi.place_mm == fj.place_mm and (fi.maker == "drag" or o.station_mm == q.station_mm)
                        cov[i, j] += si * sj * (scatter.seat**2 * (fi.maker != "drag") + scatter.face**2 * same)
            cov[i, j] += scatter.scale**2 * o.cast_size_mm * q.cast_size_mm
        cov[i, i] += o.readings["1"].u ** 2
    return cov, shared


def _whitened(job: Job, cands: tuple[Candidate, ...], scatter: Scatter) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Signatures in units of the noise (features x castings rows), the sd of each feature on one casting, and what is
    left of the squared length of each signature when its best reading is taken away."""
    cov, shared = _covariance(job, scatter)
    n, s = len(job.features), job.castings
    full = np.kron(np.eye(s), cov) + np.kron(np.ones((s, s)), shared)
    x = np.zeros((n * s, len(cands)))
    for k, c in enumerate(cands):
        for i, o in enumerate(job.features):
            for m in range(s):
                if o.balloon in c.column and c.serial in ("", str(m + 1)) and not c.instrument:
                    x[m * n + i, k] = c.column[o.balloon]
    precision = np.linalg.inv(full)
    px = precision @ x
    second = (x * px).sum(axis=0) - (px**2 / np.diag(precision)[:, None]).max(axis=0)
    return np.linalg.solve(np.linalg.cholesky(full), x), np.sqrt(np.diag(cov + shared)), second


def plant(
    job: Job,
    rng: np.random.Generator,
    count: int,
    scatter: Scatter,
    apart_by: float = APART,
    second_by: float = SECOND,
    kinds: Mapping[str, float] | None = None,
) -> tuple[Plant, ...]:
    """Up to `count` causes of believable kinds, each at least 3 u on some feature and identifiable beside the others.

    u is the standard uncertainty of one feature's deviation on one casting (reading, seats, surfaces, scale, tool).
    Identifiable: no other single candidate of up to three times its believable size comes within `apart_by` standard
    deviations of the signature, with the other plants free, and the plant does not hang on one reading.
    """
    measured = [_with_serials(o, job.castings) for o in job.features]
    cands = all_candidates(measured, carriers=job.carriers, datums=(FEET,))
    white, sd, second = _whitened(job, cands, scatter)
    index = {o.balloon: i for i, o in enumerate(job.features)}
    plants: list[Plant] = []
    used: list[int] = []
    kinds = kinds or KINDS
    for _ in range(200):
        if len(plants) == count:
            break
        kind = list(kinds)[int(rng.choice(len(kinds), p=list(kinds.values())))]
        fit = [
            k
            for k, c in enumerate(cands)
            if k not in used
            and (
                (kind == "one" and c.serial and c.kind in ("shift", "carried", "mismatch", "parting"))
                or (c.kind == kind and bool(c.serial) == (kind == "tilt"))
            )
            and not (kind == "tilt" and c.where != FEET.far)
        ]
        if not fit:
            continue
        k = int(rng.choice(fit))
        c = cands[k]
        if c.kind == "contraction" and any(p.kind == "contraction" and "all" in (p.axis, c.axis) for p in plants):
            continue  # "all and x" is also "y and z": two true names for one thing
        least = 3.0 * min(sd[index[b]] / abs(v) for b, v in c.column.items())
        size = float(rng.choice([-1, 1])) * (least + abs(rng.normal(0, 0.7 * c.sd)))
        if abs(size) > 3.0 * c.sd or (c.kind in ("size",) and c.balloon not in index):
            continue
        rest = [j for j in used]
        w = white
        if rest:
            q, _ = np.linalg.qr(white[:, rest])
            w = white - q @ (q.T @ white)
        norm = np.maximum((w * w).sum(axis=0), 1e-12)
        dot = w.T @ w[:, k]
        apart = size * size * (norm[k] - dot**2 / norm)
        believable = np.abs(size * dot / norm) < 3.0 * np.array([o.sd for o in cands])
        rival = believable & (np.arange(len(cands)) != k) & ~np.isin(np.arange(len(cands)), rest)
        if (
            size * size * norm[k] < apart_by**2
            or size * size * second[k] < second_by**2
            or np.any(apart[rival] < apart_by**2)
        ):
            continue
        used.append(k)
        plants.append(
            Plant(
                name=c.name,
                kind=c.kind,
                size=size,
                axis=c.axis,
                parts=_moved(job, c),
                serial=c.serial,
                balloon=c.balloon,
                where=c.where or c.name[c.name.index(" st ") + 1 :] if " st " in c.name else c.where,
                place=c.place_mm or 0.0,
            )
        )
    return tuple(plants)


def _moved(job: Job, c: Candidate) -> tuple[str, ...]:
    if c.kind == "carried" or (c.kind == "turned" and len(c.parts) > 1):
        core = c.parts[0]
        return (core, *(part for part in below(job, core) if part != core))
    return c.parts


def _with_serials(o: Observed, castings: int) -> Observed:
    return replace(o, u_predicted=0.014, readings={str(k + 1): o.readings["1"] for k in range(castings)})
