"""How often the interval of the weeks left and that of the weekly rate hold, and whether the risk comes true.

Run: python -m tests.benchmarks.weeks_worlds [futures] [seed]. Every tool has a planted count left, known to 10 %; weeks
scatter by 5 to 50 % of their mean. The tests run a smaller version.
"""

from __future__ import annotations

import sys
from math import inf

import numpy as np

from inspect_tui.metrology.wear.weeks import Z95, ahead, making

MEAN, DAYS = 200.0, 2800
Rng = np.random.Generator
# how the weeks go, and on which days it is counted: kind, weeks counted, days between counts (0: any days)
WORLDS: dict[str, tuple[str, int, int]] = {
    "counted each week for 2 weeks": ("alone", 2, 7),
    "3 weeks": ("alone", 3, 7),
    "5 weeks": ("alone", 5, 7),
    "12 weeks": ("alone", 12, 7),
    "a year": ("alone", 52, 7),
    "every other week, 12 weeks": ("alone", 12, 14),
    "on any day, 12 weeks": ("alone", 12, 0),
    "lots of 100 on any day": ("lots", 12, 7),
    "busy weeks follow busy ones, 12": ("leaning", 12, 7),
    "the same, half a year": ("leaning", 26, 7),
    "the same, a year": ("leaning", 52, 7),
}


def made_daily(rng: Rng, kind: str) -> np.ndarray:
    sd = rng.uniform(10, 100)
    if kind == "lots":
        return np.where(rng.random(DAYS) < MEAN / 700, 100.0, 0.0)
    if kind == "alone":
        shape = (MEAN / 7) ** 2 / (sd**2 / 7)
        return rng.gamma(shape, MEAN / 7 / shape, DAYS)
    week, e = np.zeros(DAYS // 7), 0.0
    for i in range(len(week)):
        e = 0.5 * e + rng.normal() * 0.75**0.5
        week[i] = np.exp(e * sd / MEAN - 0.5 * (sd / MEAN) ** 2)
    return np.repeat(week, 7) * MEAN / 7


def score(name: str, futures: int, seed: int = 1) -> tuple[float, float, np.ndarray]:
    """Shares of futures in which the weeks and the rate hold; each risk within four weeks, and whether it came (0, 1)."""
    rng = np.random.default_rng(seed)
    kind, weeks, every = WORLDS[name]
    rows = []
    for _ in range(futures):
        made = np.concatenate([[0.0], np.cumsum(made_daily(rng, kind))])
        last = 7 * weeks
        days = np.arange(0, last + 1, every) if every else np.unique([0, last, *rng.integers(0, last, 10)])
        lately = making(days.tolist(), made[days].tolist())
        left = rng.uniform(0.3, 30) * MEAN
        stands = left * (1 + 0.1 * rng.normal())
        if lately is None:
            continue
        half = Z95 * 0.1 * left
        today = ahead("left", stands, max(stands - half, 0.0), stands + half, lately)
        ahead_of = made - made[last]
        comes = (np.argmax(ahead_of >= left) - last) / 7 if ahead_of[-1] >= left else inf
        assert today.weeks_low is not None and today.weeks_high is not None and today.risk is not None
        held = today.weeks_low <= comes <= today.weeks_high
        rows.append((held, abs(lately.per_week - MEAN) <= Z95 * lately.u, today.risk, comes <= 4))
    held_, rate, risk, came = (np.array(column, dtype=float) for column in zip(*rows, strict=True))
    return float(held_.mean()), float(rate.mean()), np.column_stack([risk, came])


def main(futures: int = 2000, seed: int = 5) -> None:
    for name in WORLDS:
        held, rate, risks = score(name, futures, seed)
        near = risks[(risks[:, 0] > 0.05) & (risks[:, 0] < 0.95)]
        print(
            f"{name:32} weeks {100 * held:5.1f} %  rate {100 * rate:5.1f} %  risk {near.mean(axis=0).round(3)}",
            flush=True,
        )


if __name__ == "__main__":
    main(*(int(a) for a in sys.argv[1:]))
