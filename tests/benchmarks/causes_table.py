"""1,000 simulated jobs explained, and the speed of the search: the tables of inspect_tui/metrology/causes/causes.md.

Run: python -m tests.benchmarks.causes_table [JOBS [FIRST]] (about ten minutes for 1,000; prints Markdown). FIRST is
added to every seed: jobs that nobody has looked at while the bounds were chosen.
Budgets: 60 features x 5 castings x 30 candidates, all subsets up to 4, in 0.3 s and at least 20 times faster than one
numpy.linalg.lstsq per subset; 200 features and 60 candidates in 3 s.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import combinations
from typing import NamedTuple

import numpy as np

from inspect_tui.metrology.causes import noise as causes_noise
from inspect_tui.metrology.causes import search as causes_search
from inspect_tui.metrology.causes.candidates import candidates as all_candidates
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.problem import Candidate
from inspect_tui.metrology.faces.observed import Observed
from tests.worlds import casting_simulator as simulator
from tests.worlds.casting_simulator_jobs import FEET, NOISES, Scatter, cast, random_job
from tests.worlds.casting_simulator_plants import FACE_KINDS, plant


class Line(NamedTuple):
    """One job: how many causes were planted, named, sized, held by their interval, named or not to be told apart, and
    named wrongly; per plant its kind, whether it was named, whether its interval holds; and per axis whether the
    interval of the contraction, which is given whether named or not, holds the real one."""

    planted: int
    named: int
    sized: int
    inside: int
    told: int
    wrong: int
    plants: tuple[tuple[str, bool, bool], ...]
    contraction: tuple[bool, ...]


def one(seed: int, **job: object) -> Line:
    """One job of this seed, scored."""
    s = simulator.run(seed, **job)  # type: ignore[arg-type]
    found = {f.candidate.name: f for f in s.explanation.findings}
    plants = tuple(
        (
            p.kind + (" in one mould" if p.serial and p.kind != "tilt" else ""),
            p.name in found,
            p.name in found and found[p.name].low <= p.size <= found[p.name].high,
        )
        for p in s.plants
    )
    contraction = tuple(
        abs(e.value - sum(p.size for p in s.plants if p.name in (f"contraction {axis}", "contraction"))) <= 1.96 * e.u
        for axis, e in s.explanation.contraction.items()
    )
    return Line(
        planted=s.planted,
        named=s.found,
        sized=s.sized,
        inside=s.inside,
        told=s.told,
        wrong=len(s.wrong),
        plants=plants,
        contraction=contraction,
    )


def rate(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "-"


def table(title: str, lines: Sequence[Line]) -> Iterator[str]:
    yield f"\n### {title}\n"
    yield "| planted | jobs | with a wrong cause named | causes named | named or listed | 95 % intervals that hold |"
    yield "|---|---|---|---|---|---|"
    groups = [(str(k), [v for v in lines if v.planted == k]) for k in sorted({v.planted for v in lines})]
    for name, own in [*groups, ("all", list(lines))]:
        planted = sum(v.planted for v in own)
        yield (
            f"| {name} | {len(own)} | {rate(sum(bool(v.wrong) for v in own), len(own))} | "
            f"{rate(sum(v.named for v in own), planted)} | {rate(sum(v.told for v in own), planted)} | "
            f"{rate(sum(v.inside for v in own), sum(v.sized for v in own))} |"
        )


def by_kind(lines: Sequence[Line]) -> Iterator[str]:
    yield "\n| kind of cause | planted | named | intervals that hold |"
    yield "|---|---|---|---|"
    plants = [p for v in lines for p in v.plants]
    for kind in sorted({p[0] for p in plants}):
        own = [p for p in plants if p[0] == kind]
        named = sum(p[1] for p in own)
        yield f"| {kind} | {len(own)} | {rate(named, len(own))} | {rate(sum(p[2] for p in own), named)} |"
    axes = [held for v in lines for held in v.contraction]
    yield f"\nContraction of each axis, named or not: {rate(sum(axes), len(axes))} of {len(axes)} intervals hold."


def castings(features: int, cores: int, count: int) -> tuple[list[Observed], list[Candidate]]:
    rng = np.random.default_rng(3)
    job = random_job(rng, features=features, cores=cores, castings=5)
    plants = plant(job, rng, 2, Scatter())
    observed = cast(job, plants, rng, Scatter())
    names = [p.name for p in plants]
    every = all_candidates(observed, carriers=job.carriers, datums=(FEET,))
    return observed, sorted(every, key=lambda c: (c.name not in names, c.serial != "", -c.prior))[:count]


def best_of(run: object, times: int = 5) -> float:
    took = []
    for _ in range(times):
        start = time.perf_counter()
        run()  # type: ignore[operator]
        took.append(time.perf_counter() - start)
    return min(took)


def speed() -> Iterator[str]:
    yield "\n### Speed\n"
    observed, cands = castings(60, 7, 30)
    whole = best_of(lambda: explain(observed, candidates=cands))
    t = causes_noise.table(observed, "drag")
    x = t.columns(cands)
    system = causes_noise.system(t, x, explain(observed, candidates=cands).noise)
    sd = np.array([c.sd for c in cands])
    odds = np.log([c.prior / (1 - c.prior) for c in cands])
    search = best_of(lambda: causes_search.search(system.gram, system.rhs, sd, odds))
    start = time.perf_counter()
    subsets = [s for k in range(1, 5) for s in combinations(range(30), k)]
    for s in subsets:
        np.linalg.lstsq(x[:, s], t.y, rcond=None)
    plain = time.perf_counter() - start
    large, more = castings(200, 12, 60)
    wide = best_of(lambda: explain(large, candidates=more), 3)
    yield f"- 60 features x 5 castings x 30 candidates, {len(subsets) + 1:,} subsets up to 4: {1000 * search:.0f} ms;"
    yield f"  one numpy.linalg.lstsq per subset takes {plain:.2f} s, {plain / search:.0f} times as long."
    yield f"- the whole answer for them, noise learned and odd readings looked for: {1000 * whole:.0f} ms."
    yield f"- 200 features x 5 castings x 60 candidates, all subsets up to 4: {wide:.2f} s."


def main(jobs: int = 1000, first: int = 0) -> None:
    sets = [
        ("7 cores, 60 features, 3 to 5 castings", range(jobs), {}),
        (
            "14 cores, 90 features, 4 castings",
            range(10_000, 10_000 + jobs // 4),
            {"cores": 14, "features": 90, "castings": 4},
        ),
        (
            "plants that stand apart by 3 standard deviations only",
            range(50_000, 50_000 + jobs // 4),
            {"apart_by": 3.0, "second_by": 2.0},
        ),
        (
            "plants of at least 3 u, whether identifiable or not",
            range(60_000, 60_000 + jobs // 4),
            {"apart_by": 0.0, "second_by": 0.0},
        ),
        (
            "one wild reading of 0.8 to 12 mm, nothing planted",
            range(20_000, 20_000 + jobs // 4),
            {"count": 0, "wild": True},
        ),
        ("one wild reading and planted causes", range(30_000, 30_000 + jobs // 4), {"wild": True}),
        ("one casting only", range(40_000, 40_000 + jobs // 4), {"castings": 1}),
        *(
            (
                f"single faces, lifted, turned and holding cores, carried shifts; noise: {noise}",
                range(70_000, 70_000 + jobs // 2),
                {"kinds": FACE_KINDS, "noise": noise},
            )
            for noise in NOISES
        ),
        (
            "the same, of at least 3 u, whether identifiable or not",
            range(80_000, 80_000 + jobs // 2),
            {"kinds": FACE_KINDS, "apart_by": 0.0, "second_by": 0.0},
        ),
    ]
    print("\n".join(speed()), flush=True)
    every: list[Line] = []
    with ProcessPoolExecutor(2) as pool:
        for title, seeds, job in sets:
            lines = list(pool.map(partial(one, **job), [first + seed for seed in seeds], chunksize=10))
            every += lines
            print("\n".join(table(title, lines)))
            if not job or "kinds" in job:
                print("\n".join(by_kind(lines)))
            sys.stdout.flush()
    print("\n".join([*table("all of them together", every), *by_kind(every)]))


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
