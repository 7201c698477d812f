"""Two years of an invented production: one core box that wears and is lined, a seat that wears, a foundry that changes.

400 lots of 40 castings; each lot one sample core (tooling scale) and one casting are measured, odd lots by bench 1 with
one caliper, even lots by bench 2 with another that reads high until it is adjusted. All plants can be moved.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

LOTS = 400


@dataclass(frozen=True)
class Plants:
    rate: float = 0.030 / 1000  # mm per core on W and H of the core
    rate_port: float = 0.020 / 1000
    lined_after: int = 225  # lot
    residual: float = 0.02
    drift: tuple[int, int] = (251, 300)  # lots of the worn seat
    shift: tuple[float, float] = (0.05, 0.40)
    seat_sd: tuple[float, float] = (0.08, 0.20)
    contraction_from: int = 310  # lot
    contraction_step: float = 0.0010


@dataclass(frozen=True)
class Production:
    lot: np.ndarray
    cores: np.ndarray  # cores made when the lot's sample was taken
    bench: list[str]
    series: dict[str, np.ndarray] = field(default_factory=dict)


def produce(seed: int, plants: Plants | None = None) -> Production:
    p, rng = plants or Plants(), np.random.default_rng(seed)
    lot = np.arange(1, LOTS + 1)
    cores = 40.0 * lot
    lined = lot > p.lined_after
    since = np.where(lined, cores - 40.0 * p.lined_after, cores)
    left = np.where(lined, p.residual, 0.0)
    even = lot % 2 == 0
    bias = np.where(even & (lot <= 180), 0.05, 0.0)

    def caliper(u95: float, biased: bool = True) -> np.ndarray:
        return (bias if biased else 0.0) + rng.normal(0, 1, LOTS) * np.where(even, 3.0, 1.0) * u95 / 2

    def surfaces(n: int = 2) -> np.ndarray:
        return rng.normal(0, 0.06 * n**0.5, LOTS)

    series = {}
    for name, start, rate in (("W", 82.82, p.rate), ("H", 78.78, p.rate), ("P", 52.52, p.rate_port)):
        series[name] = start + left + rate * since + rng.normal(0, 0.06, LOTS) + caliper(0.04)
    scale = rng.normal(0, 0.0003, LOTS) - np.where(lot >= p.contraction_from, p.contraction_step, 0.0)
    series["F09"] = 420 * (1 + scale) + surfaces() + caliper(0.08, biased=False)
    series["F10"] = 52 * (1 + scale) + (left + p.rate_port * since) / 1.01 + surfaces() + caliper(0.04)
    ramp = np.clip((lot - p.drift[0]) / (p.drift[1] - p.drift[0]), 0, 1)
    worn = (lot >= p.drift[0]) & (lot <= p.drift[1])
    shift = np.where(worn, p.shift[0] + ramp * (p.shift[1] - p.shift[0]), p.shift[0])
    sd = np.where(worn, p.seat_sd[0] + ramp * (p.seat_sd[1] - p.seat_sd[0]), p.seat_sd[0])
    series["F38"] = (
        88 * (1 + rng.normal(0, 0.0003, LOTS))
        + shift
        + rng.normal(0, 1, LOTS) * sd
        + surfaces()
        + rng.normal(0, 0.03, LOTS)
    )
    series["F41"] = 70 * (1 + rng.normal(0, 0.0003, LOTS)) + surfaces() + rng.normal(0, 0.015, LOTS)
    series["F50"] = 7 + rng.normal(0, 0.08 * 2**0.5, LOTS) + surfaces() + rng.normal(0, 0.05, LOTS)
    series["F51"] = (
        157 * (1 + rng.normal(0, 0.0003, LOTS)) + rng.normal(0, 0.08, LOTS) + surfaces() + rng.normal(0, 0.03, LOTS)
    )
    cut = lot % 20 == 0  # every twentieth lot one casting is cut up
    series["F29"] = np.where(
        cut, 82 * (1 + scale) + (left + p.rate * since) / 1.01 + surfaces() + caliper(0.04), np.nan
    )
    return Production(lot, cores, ["bench 2" if e else "bench 1" for e in even], series)
