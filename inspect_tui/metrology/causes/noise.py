"""The readings as one linear system: how noise is shared between them, and what that leaves of each candidate.

Model of the deviations y = reading - prediction: y = X causes + tool + seat + face + scale + reading error, with
tool errors shared by all castings, seats by all faces of one part in one casting, faces by the features that end
there, one scale per casting. Everything a search needs is in two small arrays, X'V^-1 X and X'V^-1 y; a reading is
taken out of count by a rank-one change of both. The covariance is block diagonal by casting but for the tool errors.

Source: own derivation on generalised least squares as in any textbook; the scatters are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.causes.problem import AXES, Candidate, Noise, OddReading
from inspect_tui.metrology.faces.observed import Observed, of_observed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

SET_ASIDE = 1e6  # mm2: the variance of a reading that is set aside, so wide that it pulls at nothing


@frozen_by_name
class ReadingTable:
    """Rows of readings, casting by casting, with the patterns by which they share noise."""

    features: tuple[Observed, ...]
    serials: tuple[str, ...]
    rows: tuple[tuple[int, int], ...]  # feature, casting
    blocks: tuple[slice, ...]
    y: Array
    u2: Array
    tool: Array  # rows x features, u of the prediction
    seat: tuple[Array, ...]  # per casting: which rows share a seat, as a matrix of +1, 0, -1 products
    face: tuple[Array, ...]
    scale: tuple[Array, ...]

    def place(self, row: int) -> tuple[str, str]:
        """Balloon and serial of the reading in this row."""
        feature, casting = self.rows[row]
        return self.features[feature].balloon, self.serials[casting]

    def columns(self, candidates: Sequence[Candidate]) -> Array:
        """The matrix X, one row per reading and one column per candidate.

        mm of size for one unit of the cause (1 mm, or 1 of contraction).
        """
        import numpy as np

        x = np.zeros((len(self.rows), len(candidates)))
        by_balloon: dict[str, list[int]] = {}
        for r, (f, _) in enumerate(self.rows):
            by_balloon.setdefault(self.features[f].balloon, []).append(r)
        for k, c in enumerate(candidates):
            for balloon, value in c.column.items():
                for r in by_balloon.get(balloon, ()):
                    f, s = self.rows[r]
                    serial = self.serials[s]
                    if c.serial and c.serial != serial:
                        continue
                    if c.instrument and self.features[f].readings[serial].instrument != c.instrument:
                        continue
                    x[r, k] = value
        return x


@frozen
class System:
    """X'V^-1 X, X'V^-1 y and what is needed to take single readings out again."""

    gram: Array
    rhs: Array
    px: Array  # V^-1 X
    py: Array  # V^-1 y
    p_diag: Array  # diagonal of V^-1

    def without(self, row: int) -> tuple[Array, Array]:
        """Gram matrix and right-hand side as if this reading had not been taken. In 1/u^2 (per mm2)."""
        import numpy as np

        w = self.px[row]
        return self.gram - np.outer(w, w) / self.p_diag[row], self.rhs - w * (self.py[row] / self.p_diag[row])


def table(features: Sequence[Observed], reference: str) -> ReadingTable:
    """Set the readings out by casting. Raises DataError when there is nothing to explain or a number is not one."""
    import numpy as np

    balloons = [o.balloon for o in features]
    if len(set(balloons)) != len(balloons):
        twice = sorted({b for b in balloons if balloons.count(b) > 1})
        raise DataError(f"{', '.join(twice)}: given twice; give each feature once with all its readings")
    serials = tuple(sorted({s for o in features for s in o.readings}))
    if not serials:
        raise DataError("nothing was measured on a casting yet; measure at least one feature and ask again")
    rows = tuple((i, s) for s, serial in enumerate(serials) for i, o in enumerate(features) if serial in o.readings)
    reads = [features[i].readings[serials[s]] for i, s in rows]
    y = np.array([r.mm - features[i].predicted_mm for r, (i, _) in zip(reads, rows, strict=True)])
    u2 = np.array([r.u**2 for r in reads])
    if not (np.isfinite(y).all() and np.isfinite(u2).all()):
        bad = [features[i].balloon for k, (i, _) in enumerate(rows) if not np.isfinite(y[k] + u2[k])]
        raise DataError(
            f"{', '.join(bad)}: not a number among the readings or predictions; leave it out or type it again"
        )
    tool = np.zeros((len(rows), len(features)))
    for r, (i, _) in enumerate(rows):
        tool[r, i] = features[i].u_predicted
    blocks, seat, face, scale = [], [], [], []
    ends = [
        ((1.0, size.b), (-1.0, size.a)) if size.a is not None else ((1.0, size.b),) for size in of_observed(features)
    ]
    start = 0
    for s in range(len(serials)):
        numbers = [i for i, k in rows if k == s]
        own = [features[i] for i in numbers]
        blocks.append(slice(start, start + len(own)))
        start += len(own)
        seats: dict[object, Array] = {}
        faces: dict[object, Array] = {}
        for r, i in enumerate(numbers):
            for sign, end in ends[i]:
                faces.setdefault(end.key, np.zeros(len(own)))[r] += sign
                if end.axis in AXES and end.maker != reference:
                    seats.setdefault((end.maker, end.axis), np.zeros(len(own)))[r] += sign
        seat.append(_products(seats, len(own)))
        face.append(_products(faces, len(own)))
        size = np.array([o.cast_size_mm if o.axis in AXES else 0.0 for o in own])
        scale.append(np.outer(size, size))
    return ReadingTable(
        features=tuple(features),
        serials=serials,
        rows=rows,
        blocks=tuple(blocks),
        y=y,
        u2=u2,
        tool=tool,
        seat=tuple(seat),
        face=tuple(face),
        scale=tuple(scale),
    )


def _products(loads: Mapping[object, Array], n: int) -> Array:
    import numpy as np

    if not loads:
        return np.zeros((n, n))
    m = np.array(list(loads.values()))
    products: Array = m.T @ m
    return products


def inverse_blocks(t: ReadingTable, noise: Noise, extra: Array) -> list[Array]:
    """Inverse of the covariance within each casting, in 1/mm2; `extra` is further variance of each reading, mm2."""
    import numpy as np

    out: list[Array] = []
    for k, block in enumerate(t.blocks):
        # a floor on the reading's own variance: nobody reads better than this, and the matrix stays invertible
        a = np.diag(np.maximum(t.u2[block], 1e-6) + extra[block])
        a += noise.seat_mm**2 * t.seat[k] + noise.face_mm**2 * t.face[k] + noise.scale**2 * t.scale[k]
        out.append(np.asarray(np.linalg.inv(a), dtype=float))
    return out


def applied(inverses: Sequence[Array], t: ReadingTable, m: Array) -> Array:
    """The inverse of the covariance within castings times `m` (rows x anything), in 1/mm2 times its unit."""
    import numpy as np

    return np.concatenate([inv @ m[block] for inv, block in zip(inverses, t.blocks, strict=True)])


def system(t: ReadingTable, x: Array, noise: Noise, odd: Sequence[int] = ()) -> System:
    """Weigh the readings (rows in `odd` not at all) and form the small system of the candidates."""
    import numpy as np

    extra = np.zeros(len(t.rows))
    extra[list(odd)] = SET_ASIDE
    inverses = inverse_blocks(t, noise, extra)
    everything = np.concatenate([t.y[:, None], x, t.tool], axis=1)
    solved = applied(inverses, t, everything)
    n = x.shape[1] + 1
    at = solved[:, n:]  # A^-1 tool
    core = np.linalg.inv(np.eye(t.tool.shape[1]) + t.tool.T @ at)
    left = solved[:, :n] - at @ (core @ (t.tool.T @ solved[:, :n]))
    p_diag = np.concatenate([np.diag(inv) for inv in inverses]) - np.einsum("ij,jk,ik->i", at, core, at, optimize=True)
    return System(x.T @ left[:, 1:], x.T @ left[:, 0], left[:, 1:], left[:, 0], p_diag)


def precision(t: ReadingTable, noise: Noise, odd: Sequence[int], rows: Index) -> Array:
    """V^-1 among these rows (numbers of rows), rows in `odd` weighed not at all. In 1/mm2."""
    import numpy as np

    extra = np.zeros(len(t.rows))
    extra[list(odd)] = SET_ASIDE
    inverses = inverse_blocks(t, noise, extra)
    at = applied(inverses, t, t.tool)
    core = np.linalg.inv(np.eye(t.tool.shape[1]) + t.tool.T @ at)
    out: Array = -at[rows] @ core @ at[rows].T
    for inv, block in zip(inverses, t.blocks, strict=True):
        inside = np.flatnonzero((rows >= block.start) & (rows < block.stop))
        own = rows[inside] - block.start
        out[np.ix_(inside, inside)] += inv[np.ix_(own, own)]
    return out


def odd_readings(t: ReadingTable, x: Array, sd: Array, noise: Noise) -> dict[int, tuple[float, float]]:
    """Readings that stay alone however the candidates are set: row -> (mm off, odds of a slip).

    All candidates are let in at once with their believable widths, so that nothing a cause could explain is called
    odd; each reading is then compared with what all others make of it. The worst is set aside, the rest compared
    again, until none is more likely a slip than not.
    """
    import numpy as np

    inverses = inverse_blocks(t, noise, np.zeros(len(t.rows)))
    z = np.concatenate([t.tool, x * sd], axis=1)
    az = applied(inverses, t, z)
    full = np.zeros((len(t.rows), len(t.rows)))
    for inv, block in zip(inverses, t.blocks, strict=True):
        full[block, block] = inv
    full -= az @ np.linalg.solve(np.eye(z.shape[1]) + z.T @ az, az.T)
    q = full @ t.y
    out: dict[int, tuple[float, float]] = {}
    prior = np.log(noise.odd_share / (1 - noise.odd_share))
    while len(out) < max(3, len(t.rows) // 5):
        variance = 1.0 / np.maximum(np.diag(full), 1e-12)
        off = q * variance
        wide = noise.odd_mm**2
        odds = prior - 0.5 * np.log1p(wide / variance) + 0.5 * off**2 * wide / (variance * (variance + wide))
        odds[list(out)] = -np.inf
        worst = int(np.argmax(odds))
        if odds[worst] <= 0:
            break
        out[worst] = (float(off[worst]), float(np.exp(min(odds[worst], 50.0))))
        column = full[:, worst].copy()
        share = SET_ASIDE / (1.0 + SET_ASIDE * column[worst])
        q = q - column * (share * q[worst])
        full = full - np.outer(column, column) * share
    return out


def as_odd(t: ReadingTable, row: int, off: float, odds: float) -> OddReading:
    """The reading of this row, in words of the job."""
    return OddReading(*t.place(row), off, odds)
