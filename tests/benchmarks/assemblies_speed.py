"""100,000 assemblies of 14 cores and 60 loops against the bare draw of the same random numbers and one product.

Run: python -m tests.benchmarks.assemblies_speed. Budget: 1 s, and 1.5 times the bare one.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from inspect_tui.metrology.faces.assemblies import Wall, assemble
from inspect_tui.metrology.faces.stacks import Link, Term

N, CORES, LOOPS = 100_000, 14, 60


def kit(seed: int = 1) -> list[Wall]:
    """Per core four dimensions and two fits (play); each loop runs over two to five cores, 6 to 20 links."""
    rng = np.random.default_rng(seed)
    links = [
        [Link(name=f"c{c} d{k}", a=f"c{c}.{k}", b=f"c{c}.{k + 1}", size=10.0, plus=0.1, minus=0.1) for k in range(4)]
        + [
            Link(
                name=f"c{c} K{k}",
                a=f"c{c}.K{k}",
                b=f"c{c}.S{k}",
                size=0.0,
                plus=0.3,
                minus=0.3,
                kind="fit",
                shape="uniform",
            )
            for k in range(2)
        ]
        for c in range(CORES)
    ]
    walls = []
    for w in range(LOOPS):
        terms = []
        for c in rng.choice(CORES, int(rng.integers(2, 6)), replace=False):
            for k in rng.choice(6, int(rng.integers(3, 5)), replace=False):
                terms.append(Term(links[c][k], float(rng.choice([-1.0, 1.0]))))
        middle = sum(t.sense * t.link.size for t in terms)
        walls.append(Wall(f"wall {w}", tuple(terms), middle - 0.8, middle + 0.8))
    return walls


def bare(normals: int, plays: int) -> float:
    rng = np.random.default_rng(1)
    effect = rng.normal(size=(LOOPS, normals + plays))
    start = time.perf_counter()
    drawn = np.empty((normals + plays, N))
    rng.standard_normal(out=drawn[:normals])
    rng.random(out=drawn[normals:])
    effect @ drawn
    return time.perf_counter() - start


def timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def measure(rounds: int = 7) -> tuple[float, float]:
    """Best times of `assemble` and of the bare draw and product, in alternation so that both see the same machine.

    A short sleep between them: the threads of the bare product spin on for a while and would slow what comes next.
    """
    walls = kit()
    used = {t.link.name: t.link for w in walls for t in w.terms}
    plays = sum(link.shape == "uniform" for link in used.values())
    ours, theirs = [], []
    for _ in range(rounds):
        time.sleep(0.3)
        theirs.append(bare(len(used) - plays, plays))
        time.sleep(0.3)
        ours.append(timed(lambda: assemble(walls, N)))
    return min(ours), min(theirs)


if __name__ == "__main__":
    ours, theirs = measure()
    print(f"assemble {1000 * ours:.0f} ms, bare {1000 * theirs:.0f} ms, ratio {ours / theirs:.2f}")
