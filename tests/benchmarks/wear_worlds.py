"""How often the 95 % interval for the cores left holds, in simulated worlds that a plain line does not know of.

Run: python -m tests.benchmarks.wear_worlds [boxes] [seed] [world ...]. Every box has one planted count at which it reaches its
limit (0.30 mm after 10,000 cores) and is looked at after 40 to 80 % of it; 15 to 60 visits, noise 0.02 to 0.06 mm. The
tests run a smaller version. `interval`: what the answer says; `straight`: what it says of going on straight.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite, pi

import numpy as np

from inspect_tui.metrology.wear.cores_left import CoresLeft, cores_left
from inspect_tui.metrology.wear.line import WearFit, fit_wear
from inspect_tui.metrology.wear.visits import visits

LIFE, LIMIT = 10_000.0, 0.30
Rng = np.random.Generator


@dataclass
class World:
    """One box: visits' counts, sizes (growth, mm) and days, which are in question, and a known swing."""

    x: np.ndarray
    y: np.ndarray
    day: np.ndarray
    in_question: np.ndarray | None = None
    season: float = 0.0


def plain(rng: Rng, growth: Callable[[np.ndarray], np.ndarray] = lambda z: z, n: int = 0, sd: float = 0.0) -> World:
    n = n or int(rng.integers(15, 60))
    z = np.linspace(0, rng.uniform(0.4, 0.8), n)
    return World(z * LIFE, LIMIT * growth(z) + rng.normal(0, sd or rng.uniform(0.02, 0.06), n), z * 700)


def few(rng: Rng, n: int) -> World:
    return plain(rng, n=n, sd=rng.uniform(0.005, 0.03))


def lagged(rng: Rng, rho: float) -> World:
    made = plain(rng, sd=1e-9)
    noise, e = rng.uniform(0.02, 0.06), rng.normal()
    for i in range(len(made.y)):
        made.y[i] += noise * e
        e = rho * e + (1 - rho * rho) ** 0.5 * rng.normal()
    return made


def seasonal(rng: Rng, years: float, known: bool = False) -> World:
    made = plain(rng)
    made.day = np.linspace(0, years * 365.25, len(made.x))
    swing = rng.normal(0, 0.04, 2)
    turn = 2 * pi * made.day / 365.25
    made.y = made.y + swing[0] * np.cos(turn) + swing[1] * np.sin(turn)
    made.season = 0.04 if known else 0.0
    return made


def repeated(rng: Rng) -> World:
    """Two to eight repeats a visit, with what the day adds as large as what repeats."""
    made = plain(rng, n=int(rng.integers(8, 25)), sd=0.03)
    keys = np.repeat(np.arange(len(made.x)), rng.integers(2, 9, len(made.x)))
    values = made.y[keys] + rng.normal(0, 0.03, len(keys))
    put = visits(keys.tolist(), made.day[keys].tolist(), made.x[keys].tolist(), values.tolist())
    return World(np.array(put.count), np.array(put.value), np.array(put.day))


def good_one_flagged(rng: Rng) -> World:
    """Nothing is wrong, but the reading that looked worst was called in question."""
    made = plain(rng, n=int(rng.integers(8, 25)))
    off = made.y - np.polyval(np.polyfit(made.x, made.y, 1), made.x)
    made.in_question = np.arange(len(off)) == int(np.argmax(np.abs(off)))
    return made


def bad_one_flagged(rng: Rng) -> World:
    made = plain(rng, n=int(rng.integers(8, 25)))
    at = int(rng.integers(0, len(made.y)))
    made.y[at] += rng.choice([-1, 1]) * rng.uniform(0.2, 2.0)
    made.in_question = np.arange(len(made.y)) == at
    return made


def bent(change: float) -> Callable[[Rng], World]:
    """Rate from 1 - change when new to 1 + change at the limit."""
    return lambda rng: plain(rng, lambda z: (1 - change) * z + change * z * z)


def worn_in(rng: Rng) -> World:
    """2.4 times as fast for the first 15 % of life."""
    return plain(rng, lambda z: np.minimum(z, 0.15) * 2.4 + np.maximum(z - 0.15, 0) * 0.64 / 0.85)


def late(rng: Rng, n: int = 0) -> World:
    """With the third power of the count: hardly any wear shows before it is nearly over."""
    return plain(rng, lambda z: z**3, n=n)


def jumped(rng: Rng) -> World:
    """Straight wear of 11 visits, with a jump of one to three times the noise that nobody can see."""
    made = plain(rng, n=11, sd=1e-9)
    z, noise = made.x / LIFE, rng.uniform(0.02, 0.06)
    step = rng.choice([-1, 1]) * rng.uniform(1, 3) * noise
    made.y = (LIMIT - step) * z + step * (np.arange(11) >= rng.integers(3, 9)) + rng.normal(0, noise, 11)
    return made


WORLDS: dict[str, Callable[[Rng], World]] = {
    "straight": plain,
    "3 visits": lambda rng: few(rng, 3),
    "4 visits": lambda rng: few(rng, 4),
    "6 visits": lambda rng: few(rng, 6),
    "10 visits": lambda rng: few(rng, 10),
    "repeats, day effects": repeated,
    "lag 0.3": lambda rng: lagged(rng, 0.3),
    "lag 0.6": lambda rng: lagged(rng, 0.6),
    "lag 0.8": lambda rng: lagged(rng, 0.8),
    "swing, two years": lambda rng: seasonal(rng, 2.0),
    "swing, one year": lambda rng: seasonal(rng, 1.0),
    "swing known, half a year": lambda rng: seasonal(rng, 0.5, known=True),
    "a good reading flagged": good_one_flagged,
    "a slip flagged": bad_one_flagged,
    "speeds up, 0.7 to 1.3": bent(0.3),
    "speeds up, 0.4 to 1.6": bent(0.6),
    "speeds up, 0 to 2": bent(1.0),
    "slows down, 1.3 to 0.7": bent(-0.3),
    "slows down, 1.6 to 0.4": bent(-0.6),
    "wear-in, then steady": worn_in,
    "late": late,
    "late, 11 visits": lambda rng: late(rng, 11),
    "a small jump, 11 visits": jumped,
}


def answer(world: World) -> tuple[WearFit, CoresLeft]:
    """Fit and forecast of one box as it would be asked for."""
    asked = None if world.in_question is None else world.in_question.tolist()
    fit = fit_wear(world.x, world.y, days=world.day, in_question=asked, season=world.season)  # type: ignore[arg-type]
    return fit, cores_left(fit, None, LIMIT)


@dataclass
class Score:
    """What was answered in so many boxes, and the shares of it that hold; `Share` is (share, of how many).

    `holds`, `ends`: the interval, whether it has an end. `straight_holds`: that of straight wear, or the only one where
    no other is given; `ended`: the same where it has an end; `endless`: at least so many, where it has none. `open`:
    said that it cannot be told whether wear stays straight; `open_holds`: the interval that leaves it open. `bent`:
    said to bend, and what holds of it.
    """

    boxes: int
    holds: float
    ends: float
    open: float
    bent: float
    straight_holds: float
    ended: tuple[float, int]
    endless: tuple[float, int]
    open_holds: tuple[float, int]
    bent_holds: tuple[float, int]


def score(name: str, boxes: int, seed: int = 1) -> Score:
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(boxes):
        world = WORLDS[name](rng)
        fit, left = answer(world)
        true = LIFE - float(world.x[-1])
        low, high = left.straight or (left.low, left.high)
        held, open_, end = left.low <= true <= left.high, left.straight is not None, isfinite(left.high)
        rows.append((held, end, open_, bool(fit.bent) and left.kind == "left", low <= true <= high))
    held, end, open_, bent_, plainly = (np.array(column, dtype=bool) for column in zip(*rows, strict=True))
    shares = [float(np.mean(column)) for column in (held, end, open_, bent_, plainly)]
    of = [(plainly, end), (held, ~end), (held, open_ & end), (held, bent_)]
    return Score(boxes, *shares, *((float(what[who].mean()) if who.any() else 1.0, int(who.sum())) for what, who in of))


def main(boxes: int = 1000, seed: int = 1, *names: str) -> None:
    print(f"{'':26} cannot  straight  with an end    left open      no end         said to bend")
    print(f"{'':26} tell    holds     holds    of     holds    of    holds    of    holds    of")
    for name in names or WORLDS:
        s = score(name, boxes, seed)
        parts = "   ".join(
            f"{100 * share:5.1f} % {of:5d}" if of else f"{'':13}"
            for share, of in (s.ended, s.open_holds, s.endless, s.bent_holds)
        )
        print(f"{name:26} {100 * s.open:4.0f} %  {100 * s.straight_holds:5.1f} %  {parts}", flush=True)


if __name__ == "__main__":
    main(*(int(a) if i < 2 else a for i, a in enumerate(sys.argv[1:])))  # type: ignore[arg-type]
