"""How castings scatter, learned from how they differ among themselves: seats, surfaces, readings worse than stated.

Restricted maximum likelihood: whatever is common to all castings is left free, so that no cause of the tools can hide
in the noise. Readings of one instrument on one casting (one person, one day) that differ from the other castings by
more than their uncertainty allows are taken for as bad as they show themselves; better than stated nobody reads.

Source: restricted likelihood and its score test as in any textbook (Searle, Casella and McCulloch, Variance
Components); the widths of belief are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection
from math import exp, log, sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import replace
from inspect_tui.metrology.causes import noise as noise_model
from inspect_tui.metrology.causes.problem import Noise

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

FACTORS = (0.5, 0.6, 0.7, 0.85, 1.0, 1.2, 1.45, 1.75, 2.2, 3.0)  # of common practice
BELIEF = 0.5  # standard deviation of the log of a believable factor: between about a half and twice as much
LOOSE_MM = 10.0  # what is left free may be off by so much
FEWEST = 3  # readings of one instrument on one casting, before anything is said of them
SUSPECT = 2.0  # standard deviations of the score, from which a worse reading is tried
WORSE = (1.5, 2.0, 3.0, 4.5)  # times the uncertainty that is stated
RARE = 0.1  # share of instruments on a casting that are read so much worse


class _Likelihood:
    """The restricted likelihood of one table of readings, rows in `odd` out of count."""

    def __init__(self, t: noise_model.ReadingTable, x: Array, sd: Array, odd: Collection[int]) -> None:
        import numpy as np

        self.t = t
        self.extra = np.zeros(len(t.rows))
        self.extra[list(odd)] = noise_model.SET_ASIDE
        self.free = np.concatenate([np.where(t.tool != 0, LOOSE_MM, 0.0), x * sd], axis=1)
        for row, (feature, _) in enumerate(t.rows):
            self.free[row, feature] = LOOSE_MM

    def log(self, noise: Noise, extra: Array | None = None) -> float:
        """Log likelihood (natural) of this noise; `extra` is further variance of the readings, mm2."""
        import numpy as np

        inverses = noise_model.inverse_blocks(self.t, noise, self.extra if extra is None else self.extra + extra)
        logdet = -sum(float(np.linalg.slogdet(inv)[1]) for inv in inverses)
        az = noise_model.applied(inverses, self.t, np.concatenate([self.t.y[:, None], self.free], axis=1))
        inner = np.eye(self.free.shape[1]) + self.free.T @ az[:, 1:]
        v = self.free.T @ az[:, 0]
        fit = float(self.t.y @ az[:, 0] - v @ np.linalg.solve(inner, v))
        return -0.5 * (logdet + float(np.linalg.slogdet(inner)[1]) + fit)

    def projected(self, noise: Noise) -> Array:
        """V^-1 with all that is free taken off, rows x rows."""
        import numpy as np

        inverses = noise_model.inverse_blocks(self.t, noise, self.extra)
        full = np.zeros((len(self.t.rows), len(self.t.rows)))
        for inv, block in zip(inverses, self.t.blocks, strict=True):
            full[block, block] = inv
        az = noise_model.applied(inverses, self.t, self.free)
        out: Array = full - az @ np.linalg.solve(np.eye(self.free.shape[1]) + self.free.T @ az, az.T)
        return out


def learned(
    t: noise_model.ReadingTable, x: Array, sd: Array, noise: Noise, odd: Collection[int]
) -> tuple[Noise, noise_model.ReadingTable]:
    """Noise with the seat and face scatter of these castings, and the readings with the uncertainty that they show.

    `x` (readings x causes of single castings already named, sd their believable sizes) in mm per unit, `odd` rows
    that take no part. With one casting nothing can be said, and both come back as they are.
    """
    if len(t.serials) < 2:
        return noise, t
    likelihood = _Likelihood(t, x, sd, odd)
    better = _seats_and_faces(likelihood, noise)
    return better, _worse_readings(likelihood, better, set(odd))


def _seats_and_faces(likelihood: _Likelihood, noise: Noise) -> Noise:
    import numpy as np

    tried: dict[tuple[int, int], float] = {}

    def at(seat: int, face: int) -> float:
        if (seat, face) not in tried:
            by = FACTORS[seat], FACTORS[face]
            believed = sum(log(factor) ** 2 for factor in by) / (2 * BELIEF**2)
            trial = replace(noise, seat_mm=noise.seat_mm * by[0], face_mm=noise.face_mm * by[1])
            tried[seat, face] = likelihood.log(trial) - believed
        return tried[seat, face]

    seat = face = FACTORS.index(1.0)
    moved = True
    while moved:
        moved = False
        for ds, df in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            s, f = seat + ds, face + df
            if 0 <= s < len(FACTORS) and 0 <= f < len(FACTORS) and at(s, f) > at(seat, face) + 1e-9:
                seat, face, moved = s, f, True
    # how well the seating is known, from the likelihood beside the best: an estimate itself, it widens every interval
    near = range(max(seat - 3, 0), min(seat + 4, len(FACTORS)))
    steps = np.gradient(np.log(FACTORS))
    weights = np.array([exp(at(s, face) - at(seat, face)) * steps[s] for s in near])
    weights /= weights.sum()
    factor = np.array([FACTORS[s] for s in near])
    spread = float(weights @ np.log(factor) ** 2 - (weights @ np.log(factor)) ** 2)
    return replace(
        noise,
        seat_mm=noise.seat_mm * sqrt(float(weights @ factor**2)),
        face_mm=noise.face_mm * FACTORS[face],
        dof=1.0 / (2.0 * spread),
    )


def _worse_readings(likelihood: _Likelihood, noise: Noise, odd: Collection[int]) -> noise_model.ReadingTable:
    """The table with the variance of readings raised where an instrument on a casting scatters more than is stated."""
    import numpy as np

    t = likelihood.t
    groups: dict[tuple[int, str], list[int]] = {}
    for row, (feature, casting) in enumerate(t.rows):
        if row not in odd:
            instrument = t.features[feature].readings[t.serials[casting]].instrument
            groups.setdefault((casting, instrument), []).append(row)
    p = likelihood.projected(noise)
    q = p @ t.y
    u2 = t.u2.copy()
    for rows in groups.values():
        stated = t.u2[rows]
        slope = 0.5 * float(q[rows] ** 2 @ stated - np.diag(p)[rows] @ stated)
        width = sqrt(0.5 * float(stated @ p[np.ix_(rows, rows)] ** 2 @ stated))
        if len(rows) < FEWEST or slope < SUSPECT * width:
            continue
        alone = likelihood.log(noise)
        weights = [1.0 - RARE]
        for factor in WORSE:
            more = np.zeros(len(t.rows))
            more[rows] = (factor**2 - 1.0) * stated
            weights.append(RARE / len(WORSE) * exp(min(likelihood.log(noise, more) - alone, 50.0)))
        mean_square = float(np.average(np.array((1.0, *WORSE)) ** 2, weights=weights))
        u2[rows] = mean_square * stated
    return replace(t, u2=u2)
