"""The face network of 200 sizes, 60 cores and 5 castings: made, adjusted, every reading tested. Budget: 50 ms.

Run: python -m tests.benchmarks.bench_faces
"""

from __future__ import annotations

import random
import time

from inspect_tui.metrology.faces.adjust import Reading, adjust
from inspect_tui.metrology.faces.face import Face, Size
from inspect_tui.metrology.faces.network import Carry, Network

CORES, SIZES, CASTINGS = 60, 200, "12345"


def world() -> tuple[list[Size], list[Carry], list[Reading]]:
    """Cores one in the other in towers of three, sizes over cores, walls and heights, all of them read."""
    rng = random.Random(1)
    carries = [Carry(f"core {k}", "drag" if k <= CORES // 3 else f"core {k - CORES // 3}") for k in range(1, CORES + 1)]
    sizes: list[Size] = []
    while len(sizes) < SIZES:
        n = len(sizes)
        k, axis = n % CORES + 1, "xyz"[n // CORES % 3]
        low = Face(maker=f"core {k}", axis=axis, place_mm=10.0 * k + 50, facing=1)
        high = Face(maker=f"core {k}", axis=axis, place_mm=10.0 * k + 90, facing=-1)
        wall = Face(maker="drag", axis=axis, place_mm=10.0 * k + 43, facing=-1)
        datum = Face(maker="drag", axis=axis, place_mm=0.0, facing=-1)
        a, b = ((low, high), (wall, low), (datum, high))[(n + n // CORES) % 3]
        mm = (b.place_mm or 0.0) - (a.place_mm or 0.0)
        sizes.append(Size(name=f"F{n}", a=a, b=b, mm=mm, contraction=0.01))
    castings = [Reading(size=s.name, mm=s.mm + rng.gauss(0, 0.1), u=0.03, casting=c) for c in CASTINGS for s in sizes]
    own = [s for s in sizes if s.a is not None and s.a.maker == s.b.maker]
    return sizes, carries, castings + [Reading(size=s.name, mm=s.mm + rng.gauss(0, 0.05), u=0.02) for s in own]


if __name__ == "__main__":
    sizes, carries, readings = world()
    best = [float("inf")] * 3
    for _ in range(15):
        start = time.perf_counter()
        network = Network(sizes, carries)
        made = time.perf_counter()
        fit = adjust(network, readings)
        fit.places("1")
        adjusted = time.perf_counter()
        slips = fit.residuals
        tested = time.perf_counter()
        best = [min(b, t) for b, t in zip(best, (made - start, adjusted - made, tested - adjusted), strict=True)]
    print(
        f"{len(sizes)} sizes on {len(network.faces)} faces of {CORES} cores, {len(readings)} readings: network "
        f"{1000 * best[0]:.0f} ms, adjusted {1000 * best[1]:.0f} ms, every reading tested {1000 * best[2]:.0f} ms; "
        f"budget 50 ms ({len(slips)} residuals)"
    )
