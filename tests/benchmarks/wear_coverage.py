"""Simulated core boxes with planted wear: how often the interval for cores left is right, how far off forecasts are.

Run: python -m tests.benchmarks.wear_coverage [boxes] [seed]. Planted: a rate (or none at all), repairs that leave a
little, rates that differ after a repair in a third of the repaired boxes, outliers. The tests run a smaller version.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass

import numpy as np

from inspect_tui.metrology.wear.cores_left import cores_left
from inspect_tui.metrology.wear.line import fit_wear

LIMIT = 0.30  # growth above new at which a box is refurbished


@dataclass(frozen=True)
class Box:
    cores: np.ndarray
    sizes: np.ndarray
    segments: np.ndarray
    left: float  # planted
    wears: bool
    outliers: int


def make_box(rng: np.random.Generator, wears: bool, share_of_life: float | None = None) -> Box:
    """One box: 12 to 120 readings in each of 1 to 3 segments (few right after a repair), noise 0.02 to 0.06 mm."""
    noise = rng.uniform(0.02, 0.06)
    repairs = int(rng.integers(0, 3))
    rate = rng.uniform(0.015, 0.06) / 1000 if wears else 0.0
    apart = repairs and rng.random() < 1 / 3
    new, cores, sizes, segments = 80.0, [], [], []
    level = new
    for segment in range(repairs + 1):
        if apart and wears:
            rate = rng.uniform(0.015, 0.06) / 1000
        life = (LIMIT - (level - new)) / rate if rate else rng.uniform(4000, 15000)
        last = segment == repairs
        used = (share_of_life or rng.uniform(0.3, 0.85)) if last else rng.uniform(0.7, 1.0)
        fresh = (
            last and repairs and share_of_life is None and rng.random() < 0.1
        )  # repaired a short while ago: hardly any readings since
        used = 0.05 if fresh else used
        at = np.sort(rng.uniform(0, life * used, int(rng.integers(1, 6) if fresh else rng.integers(12, 121))))
        at[-1] = life * used
        cores.append(at)
        sizes.append(level + rate * at)
        segments.append(np.full(len(at), segment))
        left = life * (1 - used)
        level = new + rng.uniform(0.0, 0.05)
    y = np.concatenate(sizes) + rng.normal(0, noise, sum(map(len, sizes)))
    bad = rng.random(len(y)) < rng.uniform(0, 0.04)
    y[bad] += rng.choice([-1, 1], bad.sum()) * rng.uniform(0.3, 2.0, bad.sum())
    return Box(
        cores=np.concatenate(cores),
        sizes=y,
        segments=np.concatenate(segments),
        left=left if wears else float("inf"),
        wears=wears,
        outliers=int(bad.sum()),
    )


def covered(box: Box) -> bool:
    fit = fit_wear(box.cores, box.sizes, box.segments)
    answer = cores_left(fit, None, 80.0 + LIMIT)
    return answer.low <= box.left * (1 + 1e-9) and (answer.high >= box.left * (1 - 1e-9))


def half_life_error(box: Box) -> float:
    answer = cores_left(fit_wear(box.cores, box.sizes, box.segments), None, 80.0 + LIMIT)
    return float("inf") if answer.left is None else abs(answer.left / box.left - 1)


def main(boxes: int = 2000, seed: int = 1) -> None:
    rng = np.random.default_rng(seed)
    start = time.perf_counter()
    wearing = [covered(make_box(rng, True)) for _ in range(boxes)]
    still = [covered(make_box(rng, False)) for _ in range(boxes // 5)]
    halves = [half_life_error(make_box(rng, True, 0.5)) for _ in range(boxes // 4)]
    seconds = time.perf_counter() - start
    print(f"{boxes} wearing boxes: interval covers {100 * np.mean(wearing):.1f} %")
    print(f"{boxes // 5} boxes without wear: covers {100 * np.mean(still):.1f} % (97.5 expected: one side only)")
    print(f"all together: {100 * np.mean(wearing + still):.1f} %")
    print(f"forecast at half life, {len(halves)} boxes: median error {100 * np.median(halves):.1f} %")
    print(f"{seconds:.1f} s, {1000 * seconds / (boxes * 1.45):.2f} ms a box")


if __name__ == "__main__":
    main(*(int(a) for a in sys.argv[1:]))
