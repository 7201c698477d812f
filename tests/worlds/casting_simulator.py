"""Simulated jobs explained and scored: are the planted causes named, and nothing else, and do the intervals hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.problem import Explanation
from tests.worlds.casting_simulator_jobs import FEET, Plant, Scatter, cast, random_job
from tests.worlds.casting_simulator_plants import APART, SECOND, plant


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
    def told(self) -> int:
        """Planted causes that are named, or among those that cannot be told apart."""
        said = {n for f in self.explanation.findings for n in (f.candidate.name, *(c.name for c in f.alike))}
        said |= {n for f in self.explanation.cannot_tell for n in (f.candidate.name, *(c.name for c in f.alike))}
        return sum(p.name in said for p in self.plants)

    @property
    def right(self) -> bool:
        """All planted causes named and nothing else."""
        return self.found == self.planted and not self.wrong


def run(
    seed: int,
    *,
    cores: int = 7,
    features: int = 60,
    castings: int = 0,
    count: int | None = None,
    wild: bool = False,
    apart_by: float = APART,
    second_by: float = SECOND,
    kinds: Mapping[str, float] | None = None,
    noise: str = "normal",
) -> Score:
    """One job from its seed: draw, plant, cast, explain, score. With `kinds` heights of cores have two stations."""
    rng = np.random.default_rng([20240611, seed])
    scatter = Scatter(
        seat=0.08 * float(np.exp(rng.normal(0, 0.25))), face=0.06 * float(np.exp(rng.normal(0, 0.2))), kind=noise
    )
    job = random_job(
        rng, cores=cores, features=features, castings=castings or int(rng.integers(3, 6)), two_heights=kinds is not None
    )
    wanted = int(rng.integers(0, 4)) if count is None else count
    plants = plant(job, rng, wanted, scatter, apart_by, second_by, kinds)
    off = float(rng.choice([-1, 1]) * rng.uniform(0.8, 12.0)) if wild else 0.0
    observed = cast(job, plants, rng, scatter, off)
    answer = explain(observed, carriers=job.carriers, datums=(FEET,))
    return score(plants, answer, wild)


def score(plants: tuple[Plant, ...], answer: Explanation, wild: bool) -> Score:
    names = {p.name: p for p in plants}
    found = inside = sized = 0
    wrong = []
    met = set()
    for f in answer.findings:
        group = [f.candidate.name, *(c.name for c in f.alike)]
        hit = next((g for g in group if g in names), None)
        if hit is None:
            wrong.append(f.candidate.name)
            continue
        found += hit not in met
        if hit not in met and hit == f.candidate.name:
            sized += 1
            inside += f.low <= names[hit].size <= f.high
        met.add(hit)
    return Score(
        planted=len(plants),
        found=found,
        wrong=tuple(wrong),
        inside=inside,
        sized=sized,
        named=tuple(f.candidate.name for f in answer.findings),
        plants=plants,
        wild=wild,
        explanation=answer,
    )
