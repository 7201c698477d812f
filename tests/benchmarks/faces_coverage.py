"""How often 95 % intervals of sizes that nobody read hold, on invented moulds whose noise is not the model's.

Tools' faces, seats, contraction and growth are drawn as wide as practice is said to be, seats and growth evenly
(rectangular) and readings with heavy tails (Student's t, 4 degrees of freedom, of the stated u); sand is a random walk.
Run: python -m tests.benchmarks.faces_coverage [moulds]
"""

from __future__ import annotations

import sys
from itertools import combinations

import numpy as np

from inspect_tui.metrology.faces.adjust import PRACTICE, Reading, adjust
from inspect_tui.metrology.faces.face import Face, Size
from inspect_tui.metrology.faces.network import Carry, Network

CORES, CASTINGS = 6, ("1", "2", "3")


def mould(rng: np.random.Generator) -> Network:
    """One axis: a drag and cores in it, each with a passage, walls to the drag, some keyed into the one before."""
    datum = Face(maker="drag", axis="x", place_mm=0.0, facing=-1)
    carries = [Carry("core 1", "drag")]
    sizes = []
    for k in range(1, CORES + 1):
        low = 100.0 * k + float(rng.integers(0, 20))
        high = low + float(rng.integers(30, 60))
        a = Face(maker=f"core {k}", axis="x", place_mm=low, facing=1)
        b = Face(maker=f"core {k}", axis="x", place_mm=high, facing=-1)
        wall = Face(maker="drag", axis="x", place_mm=low - 7.0, facing=-1)
        sizes += [(f"P{k}", a, b), (f"W{k}", wall, a), (f"H{k}", datum, wall), (f"T{k}", datum, b)]
        if k > 1:
            carries.append(Carry(f"core {k}", f"core {k - 1}" if rng.random() < 0.5 else "drag"))
    made = [
        Size(name=name, a=a, b=b, mm=(b.place_mm or 0.0) - (a.place_mm or 0.0), contraction=0.01)
        for name, a, b in sizes
    ]
    return Network(made, carries)


def even(rng: np.random.Generator, sd: float) -> float:
    """Evenly spread with this standard deviation."""
    return float(rng.uniform(-1, 1)) * sd * 3**0.5


def places(network: Network, rng: np.random.Generator) -> dict[str, np.ndarray]:
    """Where every face really lies on each casting, by the casting's serial."""
    p, faces = PRACTICE, network.faces
    drawn = np.array([f.place_mm or 0.0 for f in faces])
    common = drawn.copy()
    for n, face in enumerate(faces):
        if not network.is_datum(face):
            common[n] += rng.normal() * p.tool_face
    columns = {c.name: c for c in network.columns()}
    common -= drawn / 1.01 * even(rng, p.contraction)
    held = columns["inside held back x"].moves
    inside = even(rng, p.held_back)
    common += np.array([held.get(f.name, 0.0) * inside for f in faces])
    own = {serial: np.zeros(len(faces)) for serial in CASTINGS}
    for maker in network.makers:
        grown = columns[f"{maker} growth"].moves if f"{maker} growth" in columns else {}
        size = even(rng, p.growth)
        common += np.array([grown.get(f.name, 0.0) * size for f in faces])
        if maker == "drag":
            continue
        rides = np.array([float(f.maker in network.rides_with(maker, "x")) for f in faces])
        common += rides * even(rng, p.shift)
        for serial in CASTINGS:
            own[serial] += rides * even(rng, p.seat)
    order = np.argsort(drawn)
    for serial in CASTINGS:
        own[serial] += rng.normal(size=len(faces)) * p.face + drawn * even(rng, p.scale)
        steps = np.sqrt(np.maximum(np.diff(drawn[order], prepend=drawn[order][0]), 0.0) / 100.0) * 0.06
        own[serial][order] += np.cumsum(rng.normal(size=len(faces)) * steps)
    return {serial: common + own[serial] for serial in CASTINGS}


def coverage(moulds: int, seed: int = 1) -> tuple[int, int]:
    """How many of the intervals of sizes nobody read hold the truth, and how many there were."""
    rng = np.random.default_rng(seed)
    held = asked = 0
    for _ in range(moulds):
        network = mould(rng)
        truth = places(network, rng)
        at = network.number
        readings = []
        for serial in CASTINGS:
            for size in network.sizes:
                if rng.random() < 0.6 and size.a is not None:
                    real = truth[serial][at[size.b.name]] - truth[serial][at[size.a.name]]
                    noise = rng.standard_t(4) / 2**0.5 * 0.03
                    readings.append(Reading(size=size.name, mm=real + noise, u=0.03, casting=serial))
        fit = adjust(network, readings)
        pairs = list(combinations([f.name for f in network.faces], 2))
        some = [pairs[i] for i in rng.choice(len(pairs), 20, replace=False)]
        for serial in CASTINGS:
            mean, cov = fit.joint(some, serial)
            real = np.array([truth[serial][at[b]] - truth[serial][at[a]] for a, b in some])
            held += int((np.abs(mean - real) <= 1.96 * np.sqrt(np.diag(cov))).sum())
            asked += len(some)
    return held, asked


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    good, every = coverage(count)
    print(f"{count} moulds, {every} sizes between two faces: {100 * good / every:.1f} % of the 95 % intervals hold")
