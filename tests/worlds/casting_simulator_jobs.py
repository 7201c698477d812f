"""Invented jobs drawn at random, and castings of them with planted causes.

Nothing here uses the program's own signatures of causes: faces are placed one by one (tool size, contraction, shifts,
growth, seats, surfaces, tilted casting) and features are read between them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inspect_tui.frozen import replace
from inspect_tui.metrology.causes.problem import Datum
from inspect_tui.metrology.faces.observed import Observed, Read
from tests.worlds.ends import End, observed

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
    where: str = ""  # of a tilt which target, of a single face at which station
    place: float = 0.0  # of a single face


@dataclass(frozen=True)
class Scatter:
    """How castings of a job scatter; `kind` says how that noise is not the one the program reckons with.

    normal: as it reckons. heavy: readings, surfaces and tools from Student's t with 4 degrees of freedom, of the same
    standard deviation (a seat, a scale or a datum far out is no noise but a cause of that casting). outlier: one reading in 50
    is off by 0.3 to 3 mm. rounded: readings to a tenth. correlated: a person and gauge add one error to all they read
    on a casting, and the mould of each casting is strained, the further from its middle the more.
    """

    seat: float = 0.08
    face: float = 0.06
    scale: float = 0.0003
    tool: float = 0.03
    log: float = 0.01
    kind: str = "normal"

    def draw(self, rng: np.random.Generator, sd: float) -> float:
        if self.kind == "heavy":
            return float(rng.standard_t(4)) * sd / 2**0.5  # the variance of t with 4 degrees of freedom is 2
        return float(rng.normal(0, sd))

    def misread(self, rng: np.random.Generator, value: float) -> float:
        if self.kind == "rounded":
            return round(value, 1)
        if self.kind == "outlier" and rng.random() < 0.02:
            return value + float(rng.choice([-1, 1]) * rng.uniform(0.3, 3.0))
        return value


NOISES = ("normal", "heavy", "outlier", "rounded", "correlated")


def random_job(
    rng: np.random.Generator, *, cores: int = 7, features: int = 60, castings: int = 3, two_heights: bool = False
) -> Job:
    """Cores in a box-shaped casting; walls, gaps, positions, pitches and overall sizes between random faces.

    With `two_heights` heights of cores are taken at two places along x, so that a turned core shows.
    """
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
    pool: dict[str, list[tuple[End, End, str]]] = {a: [] for a in "xyz"}
    for axis, full in length.items():
        end = round(full)
        upper = "cope"
        datum = End("drag", 0.0, -1)
        pool[axis] += [
            (datum, End("drag", end, 1), "height gauge"),
            (datum, End(upper, end, 1), "height gauge"),
            (End("drag", round(0.1 * full), 0), End("drag", round(0.9 * full), 0), "caliper"),
            (datum, End(upper, round(0.7 * full), 1), "height gauge"),
            (End("drag", round(0.2 * full), -1), End("drag", round(0.6 * full), 1), "caliper"),
            (End(upper, round(0.3 * full), -1), End(upper, end, 1), "caliper"),
        ]
        for n in names:
            low, high = span[n, axis]
            middle = round((low + high) / 2)
            far = round(low + 0.9 * (high - low))
            half = "drag" if axis == "z" or rng.random() < 0.5 else upper
            other = upper if axis == "z" or rng.random() < 0.5 else "drag"
            pool[axis] += [
                (datum, End(n, middle, 0), "height gauge"),
                (End(n, low, 1), End(n, high, -1), "caliper"),
                (End(half, low - 7.0, -1), End(n, low, 1), "wall gauge"),
                (End(n, high, -1), End(other, high + 7.0, 1), "wall gauge"),
                (End(n, middle, 0), End(n, far, 0), "caliper"),
            ]
            if two_heights and axis == "z":
                pool[axis] += [(datum, End(n, middle, 0), "height gauge")] * 2
            mate = names[int(rng.integers(cores))]
            if mate != n:
                pool[axis].append((End(n, high, -1), End(mate, high + 7.0, 1), "caliper"))
    made: list[Observed] = []
    axes = [*rng.permutation(np.array(["x", "y", "z"] * (features // 3 + 1)))][:features]
    for axis in axes:
        choice = pool[axis]
        if not choice:
            continue
        a, b, instrument = choice.pop(int(rng.integers(len(choice))) if rng.random() < 0.8 else 0)
        size = b.place_mm - a.place_mm
        station = None
        if axis == "z" and a.maker == "drag" and a.place_mm == 0.0:
            if b.maker in ("drag", "cope"):
                station = round(float(rng.uniform(60, 640)))
            elif two_heights and b.facing == 0:
                station = round(float(rng.uniform(*span[b.maker, "x"])))
        made.append(
            observed(
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


def body(job: Job, core: str, axis: str) -> tuple[float, float] | None:
    """From where to where the sand of a core lies along an axis, as far as its surfaces show."""
    at = [(f.place_mm, f.facing) for o in job.features if o.axis == axis for f in o.faces if f.maker == core]
    low, high = [mm for mm, facing in at if facing > 0], [mm for mm, facing in at if facing < 0]
    return (min(low), max(high)) if low and high and min(low) < max(high) else None


def stations(job: Job, core: str) -> tuple[float, float]:
    """The middle of the stations at which heights of a core are taken, and half the way between the outermost."""
    at = [o.station_mm for o in job.features if o.station_mm is not None and o.b.maker == core]
    return ((min(at) + max(at)) / 2, (max(at) - min(at)) / 2) if at else (0.0, 0.0)


def _moved(job: Job, o: Observed, face: End, p: Plant) -> float:
    """How far a plant moves a face of the casting (mm), but for contraction and a tilted casting."""
    if p.kind == "growth":
        outward = -1 if face.maker.startswith("core") else 1
        return p.size * face.facing * outward if face.maker == p.parts[0] else 0.0
    if p.axis != o.axis:
        return 0.0
    if p.kind == "face":
        station = "" if o.station_mm is None or not face.maker.startswith("core") else f"st {o.station_mm:g}"
        same = face.maker == p.parts[0] and abs(face.place_mm - p.place) < 1e-9 and station == p.where
        return p.size if same else 0.0
    if p.kind == "lifted":
        return p.size if face.maker.startswith("core") else 0.0
    if p.kind == "held back":  # a core holds the metal round it back, from its own middle to both sides
        sand = body(job, face.maker, o.axis) if face.maker.startswith("core") else None
        if sand is None or not sand[0] <= face.place_mm <= sand[1]:
            return 0.0
        return p.size * (face.place_mm - (sand[0] + sand[1]) / 2) / (1 + o.contraction)
    if p.kind == "turned":
        if face.maker not in p.parts or o.station_mm is None:
            return 0.0  # what is not taken at a station is taken in the middle
        centre, reach = stations(job, p.parts[0])
        return p.size * (o.station_mm - centre) / reach
    moves = p.kind in ("shift", "carried", "mismatch", "parting") and face.maker in p.parts
    return p.size if moves else 0.0


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
                size_faces[face.maker, o.axis, face.place_mm] = sign * p.size
    extra = {a: sum(p.size for p in plants if p.kind == "contraction" and p.axis in (a, "all")) for a in "xyz"}
    seats: dict[tuple[str, str, str], float] = {}
    local: dict[tuple[str, str, str, float, float | None], float] = {}
    hands: dict[tuple[str, str], float] = {}
    strain: dict[tuple[str, str], float] = {}
    one_scale = {s: float(rng.normal(0, scatter.scale)) for s in serials}
    length = {
        a: max((abs(f.place_mm) for o in job.features if o.axis == a for f in o.faces), default=1.0) for a in "xyz"
    }
    out = []
    wild_at = (int(rng.integers(len(job.features))), serials[int(rng.integers(len(serials)))]) if wild else (-1, "")
    for n, o in enumerate(job.features):
        plan, real = 0.010, 0.010 + extra[o.axis]
        for face in o.faces:
            if (face.maker, o.axis, face.place_mm) not in tool:
                error = scatter.draw(rng, scatter.tool)
                tool[face.maker, o.axis, face.place_mm] = (error, error + scatter.draw(rng, scatter.log))
        readings = {}
        for s in serials:
            places = []
            for face in o.faces:
                key = (face.maker, o.axis, face.place_mm)
                if (s, face.maker, o.axis) not in seats:
                    seats[s, face.maker, o.axis] = 0.0 if face.maker == "drag" else float(rng.normal(0, scatter.seat))
                spot = o.station_mm if face.maker.startswith("core") else None
                if (s, *key, spot) not in local:
                    datum = face.maker == "drag" and face.place_mm == 0.0  # far out it is a cause of that casting, too
                    local[s, *key, spot] = (
                        float(rng.normal(0, scatter.face)) if datum else scatter.draw(rng, scatter.face)
                    )
                at = (face.place_mm * (1 + plan) + tool[key][0]) / (1 + real) * (1 + one_scale[s])
                at += seats[s, face.maker, o.axis] + local[s, *key, spot]
                at += size_faces.get(key, 0.0)
                at += sum(_moved(job, o, face, p) for p in plants if p.serial in ("", s))
                if scatter.kind == "correlated":
                    pull = strain.setdefault((s, o.axis), float(rng.normal(0, 0.08)))
                    at += pull * (2 * face.place_mm / length[o.axis] - 1) ** 2
                places.append(at)
            gauge = o.readings["1"]
            value = places[1] - places[0] + scatter.draw(rng, gauge.u)
            if scatter.kind == "correlated":
                if (s, gauge.instrument) not in hands:
                    hands[s, gauge.instrument] = float(rng.normal(0, 0.03))
                value += hands[s, gauge.instrument]
            for p in plants:
                if p.kind == "tilt" and p.serial == s and o.station_mm is not None and o.axis == "z":
                    value += p.size * (o.station_mm - FEET.near_mm) / (FEET.far_mm - FEET.near_mm)
            if (n, s) == wild_at:
                value += wild
            readings[s] = Read(scatter.misread(rng, value), gauge.u, gauge.instrument)
        logged = [tool[f.maker, o.axis, f.place_mm][1] for f in o.faces]
        out.append(
            replace(
                o,
                predicted_mm=o.cast_size_mm + (logged[1] - logged[0]) / (1 + plan),
                u_predicted=0.014,
                contraction=plan,
                readings=readings,
            )
        )
    return out
