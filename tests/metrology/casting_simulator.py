"""Invented jobs drawn at random, castings of them with planted causes, and the score of what the search says.

Nothing here uses the program's own signatures of causes to make the castings: faces are placed one by one (tool
size, contraction, shifts, growth, seats, surfaces, warm or tilted casting) and features are read between them. The
program's list of candidates is used only to decide which plants are identifiable, with plain linear algebra.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from inspect_tui.metrology.causes import Candidate, Datum, Explanation, Face, Observed, Read, all_candidates, explain

U = {"caliper": 0.02, "height gauge": 0.03, "wall gauge": 0.05}
FEET = Datum(axis="z", near_mm=40.0, far_mm=540.0, near="near feet", far="far foot")
APART = 5.0  # a plant is identifiable when no other believable cause comes within this many standard deviations
SECOND = 3.5  # ... and when it still shows at this many without its best reading


@dataclass(frozen=True)
class Job:
    features: tuple[Observed, ...]
    carriers: dict[str, tuple[str, ...]]
    castings: int


@dataclass(frozen=True)
class Plant:
    """One planted cause: the name the program should give it, and its size (mm; contraction a fraction)."""

    name: str
    kind: str
    size: float
    axis: str = ""
    parts: tuple[str, ...] = ()
    serial: str = ""
    balloon: str = ""
    where: str = ""


@dataclass(frozen=True)
class Scatter:
    seat: float = 0.08
    face: float = 0.06
    scale: float = 0.0003
    tool: float = 0.03
    log: float = 0.01


@dataclass(frozen=True)
class Score:
    planted: int
    found: int
    wrong: tuple[str, ...]
    inside: int
    sized: int
    named: tuple[str, ...]
    plants: tuple[Plant, ...]
    wild: bool
    explanation: Explanation = field(repr=False)

    @property
    def right(self) -> bool:
        """All planted causes named and nothing else."""
        return self.found == self.planted and not self.wrong


def random_job(rng: np.random.Generator, *, cores: int = 7, features: int = 60, castings: int = 3) -> Job:
    """Cores in a box-shaped casting; walls, gaps, positions, pitches and overall sizes between random faces."""
    length = {"x": rng.uniform(400, 800), "y": rng.uniform(150, 300), "z": rng.uniform(120, 250)}
    names = [f"core {k + 1}" for k in range(cores)]
    carriers = {
        n: ((names[int(rng.integers(k))],) if k and rng.random() < 0.3 else ("drag",)) for k, n in enumerate(names)
    }
    span = {}
    for n in names:
        for axis, full in length.items():
            low = rng.uniform(0.08, 0.55) * full
            span[n, axis] = (round(low), round(low + rng.uniform(0.15, 0.37) * full))
    pool: dict[str, list[tuple[Face, Face, str]]] = {a: [] for a in "xyz"}
    for axis, full in length.items():
        end = round(full)
        upper = "cope"
        datum = Face("drag", 0.0, -1)
        pool[axis] += [
            (datum, Face("drag", end, 1), "height gauge"),
            (datum, Face(upper, end, 1), "height gauge"),
            (Face("drag", round(0.1 * full), 0), Face("drag", round(0.9 * full), 0), "caliper"),
            (datum, Face(upper, round(0.7 * full), 1), "height gauge"),
            (Face("drag", round(0.2 * full), -1), Face("drag", round(0.6 * full), 1), "caliper"),
            (Face(upper, round(0.3 * full), -1), Face(upper, end, 1), "caliper"),
        ]
        for n in names:
            low, high = span[n, axis]
            middle = round((low + high) / 2)
            far = round(low + 0.9 * (high - low))
            half = "drag" if axis == "z" or rng.random() < 0.5 else upper
            other = upper if axis == "z" or rng.random() < 0.5 else "drag"
            pool[axis] += [
                (datum, Face(n, middle, 0), "height gauge"),
                (Face(n, low, 1), Face(n, high, -1), "caliper"),
                (Face(half, low - 7.0, -1), Face(n, low, 1), "wall gauge"),
                (Face(n, high, -1), Face(other, high + 7.0, 1), "wall gauge"),
                (Face(n, middle, 0), Face(n, far, 0), "caliper"),
            ]
            mate = names[int(rng.integers(cores))]
            if mate != n:
                pool[axis].append((Face(n, high, -1), Face(mate, high + 7.0, 1), "caliper"))
    made: list[Observed] = []
    axes = [*rng.permutation(np.array(["x", "y", "z"] * (features // 3 + 1)))][:features]
    for axis in axes:
        choice = pool[axis]
        if not choice:
            continue
        a, b, instrument = choice.pop(int(rng.integers(len(choice))) if rng.random() < 0.8 else 0)
        size = b.coord_mm - a.coord_mm
        station = None
        if axis == "z" and a.part == "drag" and a.coord_mm == 0.0 and b.part in ("drag", "cope"):
            station = round(float(rng.uniform(60, 640)))
        made.append(
            Observed(
                balloon=f"F{len(made) + 1}",
                axis=str(axis),
                a=a,
                b=b,
                predicted_mm=size,
                u_predicted=0.02,
                cast_size_mm=size,
                contraction=0.010,
                target_mm=size,
                lower_mm=size - 1.0,
                upper_mm=size + 1.0,
                readings={"1": Read(size, U[instrument], instrument)},
                station_mm=station,
            )
        )
    return Job(tuple(made), carriers, castings)


def below(job: Job, part: str) -> tuple[str, ...]:
    found = {part}
    while more := {p for p, seats in job.carriers.items() if p not in found and found & set(seats)}:
        found |= more
    return tuple(sorted(found))


def cast(
    job: Job, plants: tuple[Plant, ...], rng: np.random.Generator, scatter: Scatter, wild: float = 0.0
) -> list[Observed]:
    """Place every face in every casting and read every feature; one reading gets `wild` mm added when it is not 0."""
    serials = [str(k + 1) for k in range(job.castings)]
    tool: dict[tuple[str, str, float], tuple[float, float]] = {}
    size_faces: dict[tuple[str, str, float], float] = {}
    by_balloon = {o.balloon: o for o in job.features}
    for p in plants:
        if p.kind == "size":
            o = by_balloon[p.balloon]
            for face, sign in ((o.a, -0.5), (o.b, 0.5)):
                size_faces[face.part, o.axis, face.coord_mm] = sign * p.size
    grown = {p.parts[0]: p.size for p in plants if p.kind == "growth"}
    extra = {a: sum(p.size for p in plants if p.kind == "contraction" and p.axis in (a, "all")) for a in "xyz"}
    seats: dict[tuple[str, str, str], float] = {}
    local: dict[tuple[str, str, str, float], float] = {}
    one_scale = {s: rng.normal(0, scatter.scale) for s in serials}
    out = []
    wild_at = (int(rng.integers(len(job.features))), serials[int(rng.integers(len(serials)))]) if wild else (-1, "")
    for n, o in enumerate(job.features):
        plan, real = 0.010, 0.010 + extra[o.axis]
        for face in o.faces:
            if (face.part, o.axis, face.coord_mm) not in tool:
                error = rng.normal(0, scatter.tool)
                tool[face.part, o.axis, face.coord_mm] = (error, error + rng.normal(0, scatter.log))
        readings = {}
        for s in serials:
            places = []
            for face in o.faces:
                key = (face.part, o.axis, face.coord_mm)
                seat = seats.setdefault(
                    (s, face.part, o.axis), 0.0 if face.part == "drag" else rng.normal(0, scatter.seat)
                )
                rough = local.setdefault((s, *key), rng.normal(0, scatter.face))
                at = (face.coord_mm * (1 + plan) + tool[key][0]) / (1 + real) * (1 + one_scale[s]) + seat + rough
                at += size_faces.get(key, 0.0)
                outward = -1 if face.part.startswith("core") else 1
                at += grown.get(face.part, 0.0) * face.facing * outward
                at += sum(
                    p.size
                    for p in plants
                    if p.kind in ("shift", "carried", "mismatch", "parting")
                    and p.axis == o.axis
                    and face.part in p.parts
                    and p.serial in ("", s)
                )
                places.append(at)
            value = places[1] - places[0] + rng.normal(0, o.readings["1"].u)
            for p in plants:
                if p.kind == "tilt" and p.serial == s and o.station_mm is not None and o.axis == "z":
                    value += p.size * (o.station_mm - FEET.near_mm) / (FEET.far_mm - FEET.near_mm)
            if (n, s) == wild_at:
                value += wild
            readings[s] = Read(value, o.readings["1"].u, o.readings["1"].instrument)
        logged = [tool[f.part, o.axis, f.coord_mm][1] for f in o.faces]
        out.append(
            Observed(
                balloon=o.balloon,
                axis=o.axis,
                a=o.a,
                b=o.b,
                predicted_mm=o.cast_size_mm + (logged[1] - logged[0]) / (1 + plan),
                u_predicted=0.014,
                cast_size_mm=o.cast_size_mm,
                contraction=plan,
                target_mm=o.target_mm,
                lower_mm=o.lower_mm,
                upper_mm=o.upper_mm,
                readings=readings,
                station_mm=o.station_mm,
            )
        )
    return out


def _covariance(job: Job, scatter: Scatter) -> tuple[np.ndarray, np.ndarray]:
    """Covariance of the features in one casting, and the part that all castings share, from the story above."""
    n = len(job.features)
    cov, shared = np.zeros((n, n)), np.eye(n) * 0.014**2
    for i, o in enumerate(job.features):
        for j, q in enumerate(job.features):
            for si, fi in ((-1, o.a), (1, o.b)):
                for sj, fj in ((-1, q.a), (1, q.b)):
                    if o.axis == q.axis and fi.part == fj.part:
                        cov[i, j] += (
                            si
                            * sj
                            * (scatter.seat**2 * (fi.part != "drag") + scatter.face**2 * (fi.coord_mm == fj.coord_mm))
                        )
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


def plant(job: Job, rng: np.random.Generator, count: int, scatter: Scatter) -> tuple[Plant, ...]:
    """Up to `count` causes of believable kinds, each at least 3 u on some feature and identifiable beside the others.

    u is the standard uncertainty of one feature's deviation on one casting (reading, seats, surfaces, scale, tool).
    Identifiable: no other single candidate of up to three times its believable size comes within APART standard
    deviations of the signature, with the other plants free, and the plant does not hang on one reading.
    """
    measured = [_with_serials(o, job.castings) for o in job.features]
    cands = all_candidates(measured, carriers=job.carriers, datums=(FEET,))
    white, sd, second = _whitened(job, cands, scatter)
    index = {o.balloon: i for i, o in enumerate(job.features)}
    plants: list[Plant] = []
    used: list[int] = []
    kinds = ("contraction", "shift", "carried", "mismatch", "parting", "growth", "size", "tilt", "one")
    for _ in range(200):
        if len(plants) == count:
            break
        kind = kinds[int(rng.choice(len(kinds), p=[0.16, 0.24, 0.06, 0.10, 0.10, 0.08, 0.14, 0.03, 0.09]))]
        fit = [
            k
            for k, c in enumerate(cands)
            if k not in used
            and (
                (kind == "one" and c.serial and c.kind in ("shift", "mismatch", "parting"))
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
        if size * size * norm[k] < APART**2 or size * size * second[k] < SECOND**2 or np.any(apart[rival] < APART**2):
            continue
        used.append(k)
        plants.append(Plant(c.name, c.kind, size, c.axis, _moved(job, c), c.serial, c.balloon, c.where))
    return tuple(plants)


def _moved(job: Job, c: Candidate) -> tuple[str, ...]:
    if c.kind == "carried":
        return below(job, c.parts[0])
    return c.parts


def _with_serials(o: Observed, castings: int) -> Observed:
    read = o.readings["1"]
    return Observed(
        balloon=o.balloon,
        axis=o.axis,
        a=o.a,
        b=o.b,
        predicted_mm=o.predicted_mm,
        u_predicted=0.014,
        cast_size_mm=o.cast_size_mm,
        contraction=o.contraction,
        readings={str(k + 1): read for k in range(castings)},
        station_mm=o.station_mm,
    )


def run(
    seed: int, *, cores: int = 7, features: int = 60, castings: int = 0, count: int | None = None, wild: bool = False
) -> Score:
    """One job from its seed: draw, plant, cast, explain, score."""
    rng = np.random.default_rng([20240611, seed])
    scatter = Scatter(seat=0.08 * float(np.exp(rng.normal(0, 0.25))), face=0.06 * float(np.exp(rng.normal(0, 0.2))))
    job = random_job(rng, cores=cores, features=features, castings=castings or int(rng.integers(3, 6)))
    wanted = int(rng.integers(0, 4)) if count is None else count
    plants = plant(job, rng, wanted, scatter)
    off = float(rng.choice([-1, 1]) * rng.uniform(0.8, 12.0)) if wild else 0.0
    observed = cast(job, plants, rng, scatter, off)
    answer = explain(observed, carriers=job.carriers, datums=(FEET,))
    return score(plants, answer, wild)


def score(plants: tuple[Plant, ...], answer: Explanation, wild: bool) -> Score:
    names = {p.name: p for p in plants}
    found = inside = 0
    wrong = []
    met = set()
    for f in answer.findings:
        group = [f.candidate.name, *(c.name for c in f.alike)]
        hit = next((g for g in group if g in names), None)
        if hit is None:
            wrong.append(f.candidate.name)
            continue
        found += hit not in met
        met.add(hit)
        inside += f.low <= names[hit].size <= f.high
    return Score(
        len(plants),
        found,
        tuple(wrong),
        inside,
        found,
        tuple(f.candidate.name for f in answer.findings),
        plants,
        wild,
        answer,
    )
