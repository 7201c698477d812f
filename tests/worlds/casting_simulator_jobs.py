"""Invented jobs drawn at random, and castings of them with planted causes.

Nothing here uses the program's own signatures of causes: faces are placed one by one (tool size, contraction, shifts,
growth, seats, surfaces, tilted casting) and features are read between them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inspect_tui.metrology.causes.problem import Datum
from inspect_tui.metrology.faces.observed import Face, Observed, Read

U = {"caliper": 0.02, "height gauge": 0.03, "wall gauge": 0.05}
FEET = Datum(axis="z", near_mm=40.0, far_mm=540.0, near="near feet", far="far foot")


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
