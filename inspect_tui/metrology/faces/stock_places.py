"""Where the faces of one casting stand off their drawn places: its readings adjusted, each face once, with covariance.

A size says how far its two faces are apart and nothing about either. So the error of a size belongs to both: readings
of one casting are levelled by generalised least squares from the datum, faces that no reading ties to the datum are
levelled among themselves, and what the piece that they make is off the datum by is a doubt that they share.

Source: levelling nets in geodesy (adjustment by observation equations); R. T. Birge, Physical Review 40 (1932) 207-227
for widening where readings disagree by more than they should.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.faces.face import Face, FaceKey, Size
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LOOSE_MM = 0.5  # how far a piece that nothing ties to the datum may stand off: common practice, no source


@frozen_by_name
class Placed:
    """Faces of one casting: `off_mm` is how far each stands along its axis from where it is drawn, `cov` theirs (mm2).

    `piece` numbers what hangs together through readings; `tied` whether the piece hangs on the datum. `sizes` are the
    sizes that were read at each face.
    """

    faces: tuple[Face, ...]
    off_mm: tuple[float, ...]
    cov: tuple[tuple[float, ...], ...]
    piece: tuple[int, ...]
    tied: tuple[bool, ...]
    sizes: tuple[tuple[str, ...], ...]

    def number(self, face: Face) -> int | None:
        """Where a face stands in these rows; None for one that no reading reaches."""
        return next((k for k, known in enumerate(self.faces) if known.key == face.key), None)


def placed(
    sizes: Sequence[Size],
    read: Mapping[str, Estimate],
    datums: Sequence[Face] = (),
    ties: Mapping[int, Estimate] | None = None,
    shared_u: Mapping[str, tuple[str, float]] | None = None,
) -> Placed:
    """Every face at the end of a size that was read; `read` gives casting mm and u by the name of a size.

    `datums` stand where they are drawn. `ties`: how far the middle of a piece stands off its drawn place, by the number
    of the piece (nought with `LOOSE_MM` without it). `shared_u`: by the name of a size what it was read with and the u
    (mm) that all readings with it share; it is part of the u of `read`. A size without an end A starts at the datum.
    DataError for a reading without an uncertainty.
    """
    import numpy as np

    fixed = {face.key for face in datums}
    known = [size for size in sizes if size.name in read]
    for size in known:
        if not read[size.name].u > 0.0:
            raise DataError(f"{size.name}: a reading has an uncertainty; give more than 0")
    faces = {face.key: face for size in known for face in size.faces if face.key not in fixed}
    if not faces:
        return Placed(faces=(), off_mm=(), cov=(), piece=(), tied=(), sizes=())
    column = {key: k for k, key in enumerate(faces)}
    rows = np.zeros((len(known), len(faces)))
    for r, size in enumerate(known):
        for sign, face in ((1.0, size.b), (-1.0, size.a)):
            if face is not None and face.key in column:
                rows[r, column[face.key]] += sign
    piece, tied = _pieces(rows)
    loose = sorted({number for number, on in zip(piece, tied, strict=True) if not on})
    middle = np.array([[(number == n) / piece.count(n) for number in piece] for n in loose]).reshape(-1, len(faces))
    stand = [(ties or {}).get(n, Estimate(0.0, LOOSE_MM)) for n in loose]
    design = np.vstack([rows, middle])
    seen = np.array([read[size.name].value - size.mm for size in known] + [tie.value for tie in stand])
    spread = _spread(known, read, shared_u or {})
    off, cov = _solved(design, seen, spread, stand)
    wide = _wider(rows, seen[: len(known)] - rows @ off, spread, piece)
    if (wide > 1.0).any():
        off, cov = _solved(design, seen, spread * np.sqrt(np.outer(wide, wide)), stand)
    ending: dict[FaceKey, list[str]] = {key: [] for key in faces}  # the names of the sizes that end on each face
    for size in known:
        for key in {face.key for face in size.faces} & ending.keys():
            ending[key].append(size.name)
    return Placed(
        faces=tuple(faces.values()),
        off_mm=tuple(float(mm) for mm in off),
        cov=tuple(tuple(float(v) for v in row) for row in cov),
        piece=tuple(piece),
        tied=tuple(tied),
        sizes=tuple(map(tuple, ending.values())),
    )


def _pieces(rows: Array) -> tuple[list[int], list[bool]]:
    """The number of the piece that each face belongs to, and whether a reading from the datum holds it there."""
    import numpy as np

    piece = list(range(rows.shape[1]))
    held: set[int] = set()
    for row in rows:
        ends = np.flatnonzero(row)
        if len(ends) == 2:
            kept, joined = piece[ends[0]], piece[ends[1]]
            piece = [kept if number == joined else number for number in piece]
            held = {kept if number == joined else number for number in held}
        elif len(ends) == 1:
            held.add(piece[ends[0]])
    order = list(dict.fromkeys(piece))
    return [order.index(number) for number in piece], [number in held for number in piece]


def _spread(known: Sequence[Size], read: Mapping[str, Estimate], shared: Mapping[str, tuple[str, float]]) -> Array:
    """The covariance of the readings: what two of them share is the less doubtful one's share of their gauge."""
    import numpy as np

    cov = np.diag([read[size.name].u ** 2 for size in known])
    common = [(i, *shared[size.name], read[size.name].u) for i, size in enumerate(known) if size.name in shared]
    for n, (i, gauge, u_shared, u) in enumerate(common):
        for j, other_gauge, other_shared, other_u in common[:n]:
            if gauge == other_gauge:
                cov[i, j] = cov[j, i] = min(u_shared, u) * min(other_shared, other_u)
    return cov


def _solved(design: Array, seen: Array, spread: Array, stand: Sequence[Estimate]) -> tuple[Array, Array]:
    import numpy as np

    noise = np.zeros((len(seen), len(seen)))
    noise[: len(spread), : len(spread)] = spread + np.eye(len(spread)) * 1e-12  # a gauge that shares all of its u
    noise[len(spread) :, len(spread) :] = np.diag([tie.u**2 for tie in stand])
    weights = np.linalg.inv(noise)
    cov: Array = np.asarray(np.linalg.inv(design.T @ weights @ design), dtype=float)
    return cov @ design.T @ weights @ seen, cov


def _wider(rows: Array, left: Array, spread: Array, piece: Sequence[int]) -> Array:
    """By how much each variance is too small for what is left over: the Birge ratio of its piece, at least 1."""
    import numpy as np

    of_row = [piece[int(np.flatnonzero(row)[0])] if row.any() else -1 for row in rows]
    wide = np.ones(len(rows))
    for number in set(piece):
        mine = np.array([k for k, n in enumerate(of_row) if n == number])
        free = len(mine) - int(np.linalg.matrix_rank(rows[mine]))
        if free > 0:
            chi2 = float(left[mine] @ np.linalg.solve(spread[np.ix_(mine, mine)], left[mine]))
            wide[mine] = max(chi2 / free, 1.0)
    return wide
