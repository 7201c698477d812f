"""Adjusting the places of faces to everything that was read, with covariance, and testing each reading for a slip.

Two ways. `level` takes the readings of one piece and nothing else, as a levelling network does: what they do not tie
down stays free and is named. `adjust` takes tools and castings together with how a shop's tools, cores and sand
usually scatter: every face gets a place, also those that no reading ends on, and sizes nobody measured follow.

Model of a size read on casting c: its faces' places as drawn, the errors of the tools' faces, movements common to all
castings (contraction, inside held back, cores and halves out of place, growth), and of the one casting its seats,
faces, scale and sand; then the reading's own error and what it shares with others read by the same gauge. All normal;
solved by generalised least squares with these widths as prior. Lengths mm as the raw casting is drawn.

On 2,000 invented moulds with noise that is not this model's (`tests/benchmarks/faces_coverage.py`) 95.0 % of the 95 %
intervals of 120,000 sizes between two faces held.

Source: least squares with prior covariance, any textbook of adjustment (collocation, Moritz 1973); the widths are
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen, frozen_by_name
from inspect_tui.metrology.faces import sand
from inspect_tui.metrology.faces.face import AXES, Face, Size
from inspect_tui.metrology.faces.network import HALVES, Network, growth
from inspect_tui.metrology.spread import generalised
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

TOOLS = ""  # as the casting of a reading: read on the tools, as the casting that they promise
LEAST_U = 1e-3  # mm: nobody reads better, and every matrix stays invertible


@frozen_by_name
class Priors:
    """How wide practice is, standard deviations in mm (contraction, held back and scale: a fraction).

    The first are common to all castings of the tools, the last are drawn anew in each casting.
    """

    tool_face: float = 0.15  # a face of a tool that nobody measured
    contraction: float = 0.0015
    held_back: float = 0.0010
    shift: float = 0.25  # a core where its seat puts it
    mismatch: float = 0.25
    parting: float = 0.30
    growth: float = 0.10  # wash, wear and swelling since the tool was measured
    seat: float = 0.08
    one_parting: float = 0.10
    face: float = 0.06
    scale: float = 0.0003
    with_sand: bool = True


PRACTICE = Priors()


@frozen_by_name
class Reading:
    """A size as read, mm at 20 degC with its standard uncertainty.

    `casting` is its serial; `TOOLS` for what the tools promise when they were measured. `u_group` is the part of the
    uncertainty that all readings of the `group` (one gauge) share, beside `u`.
    """

    size: str
    mm: float
    u: float
    casting: str = TOOLS
    group: str = ""
    u_group: float = 0.0


@frozen_by_name
class Residual:
    """A reading against what all the others say of it: how far off, in mm and in its own standard deviations.

    `smallest_slip_mm` is what would be noticed with 80 % probability; `slip` whether this one is taken for a slip
    (0.1 % false alarms).
    """

    size: str
    casting: str
    off_mm: float
    u: float
    standardised: float
    smallest_slip_mm: float

    @property
    def slip(self) -> bool:
        """Whether the reading is taken for a slip."""
        return abs(self.standardised) > generalised.critical()


@frozen
class Derived:
    """The distance of two faces, mm, read or not; `follows_from` are the readings that lead from one to the other."""

    mm: float
    u: float
    follows_from: tuple[str, ...]

    @property
    def read(self) -> bool:
        """Whether a reading goes from one face to the other by itself."""
        return len(self.follows_from) == 1

    @property
    def estimate(self) -> Estimate:
        """Value and standard uncertainty, mm."""
        return Estimate(self.mm, self.u)

    def said(self, style: Style = MM) -> str:
        """`follows from F12 and F31: 7.98 ± 0.11` (at 95 %)."""
        size = style.plus_minus(self.mm, 2.0 * self.u)
        if not self.follows_from:
            return f"nothing read leads there; from tools and practice {size}"
        names = list(self.follows_from)
        joined = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
        return f"{'read as' if self.read else 'follows from'} {joined}: {size}"


class _Casting(NamedTuple):
    """One casting's readings: sizes' numbers, weights of its own scatter, and what is left of them."""

    serial: str
    rows: Array  # (n) numbers of sizes
    inverse: Array  # N^-1, n x n
    weighed: Array  # N^-1 H, n x latents
    dual: Array  # P r, n


class Adjusted:
    """The places of all faces on the tools and on every casting, with covariance."""

    def __init__(self, network: Network, readings: Sequence[Reading], priors: Priors = PRACTICE) -> None:
        """DataError for readings of sizes that are not there or are no numbers, and of tools that cannot show them."""
        import numpy as np

        self.network, self.priors = network, priors
        _check(network, readings)
        self._b = network.incidence()
        self._drawn = np.array([network.place[face.name] for face in network.faces])
        self._size = np.array([size.mm for size in network.sizes])
        self._made_by: dict[tuple[str, str], list[int]] = {}
        for n, face in enumerate(network.faces):
            self._made_by.setdefault((face.maker, face.axis), []).append(n)
        common = self._common()
        own = self._of_one_casting()
        errors = self._tool_errors()
        mean = np.zeros(len(network.faces))
        self._tool_rows: list[Residual] = []
        on_tools = [r for r in readings if r.casting == TOOLS]
        if on_tools:
            errors, mean = self._measured_tools(errors, on_tools)
        self._mean, self._tools, self._own = mean, errors + common, own
        self._adjust([r for r in readings if r.casting != TOOLS])

    # ------------------------------------------------------------------------------ what is known beforehand
    def _common(self) -> Array:
        """Covariance of the faces by movements common to all castings, faces x faces, mm2."""
        import numpy as np

        p, network = self.priors, self.network
        width = {"contraction": p.contraction, "held back": p.held_back, "mismatch": p.mismatch, "parting": p.parting}
        moved: dict[tuple[str, str], tuple[Mapping[str, float], float]] = {}
        for column in network.columns(tuple(width)):
            if column.kind == "contraction" and column.axis == "all":
                continue  # the axes' own contractions make it up
            # of a half alone and with what hangs in it the second, which comes later, is how it moves
            moved[column.kind, column.axis] = (column.moves, width[column.kind])
        stacked = np.zeros((len(moved), len(network.faces)))
        for row, (moves, sd) in enumerate(moved.values()):
            for name, mm in moves.items():
                stacked[row, network.number[name]] = mm * sd
        cores = [maker for maker in network.makers if maker not in (network.reference, *HALVES)]
        # a core lies where the seats below it put it, one by one
        shifts = [p.shift * self._of(network.rides_with(maker, axis), axis) for axis in AXES for maker in cores]
        stacked = np.vstack([stacked, *shifts, *(p.growth * self._grown(maker) for maker in network.makers)])
        return np.asarray(stacked.T @ stacked)

    def _of(self, makers: Sequence[str], axis: str) -> Array:
        """1 for the faces of these makers along an axis, 0 for all others."""
        import numpy as np

        row = np.zeros(len(self.network.faces))
        for maker in makers:
            row[self._made_by.get((maker, axis), [])] = 1.0
        return row

    def _grown(self, maker: str) -> Array:
        import numpy as np

        move, row = growth(maker), np.zeros(len(self.network.faces))
        for axis in {face.axis for face in self.network.faces}:
            for n in self._made_by.get((maker, axis), []):
                row[n] = move(self.network.faces[n])
        return row

    def _of_one_casting(self) -> Array:
        """Covariance of the faces by what is drawn anew in each casting, faces x faces, mm2."""
        import numpy as np

        p, network = self.priors, self.network
        out = np.eye(len(network.faces)) * p.face**2
        for axis in AXES:
            along = [n for n, face in enumerate(network.faces) if face.axis == axis]
            if not along:
                continue
            at = np.ix_(along, along)
            rows = [self._drawn[along] * p.scale]
            for maker in sorted({network.faces[n].maker for n in along} - {network.reference, "drag"}):
                half = maker in HALVES
                sd = p.one_parting if half and axis == network.parting_axis else p.seat
                riders = (maker, *network.hangs_in(maker, axis)) if half else network.rides_with(maker, axis)
                rows.append(sd * self._of(riders, axis)[along])
            stacked = np.array(rows)
            out[at] += stacked.T @ stacked
            if p.with_sand:
                out[at] += self._sand(along)
        return out

    def _sand(self, along: Sequence[int]) -> Array:
        """Faces without a place share sand only with the other end of their own size."""
        import numpy as np

        frames = np.array([self.network.frame[self.network.faces[n].name] for n in along])
        together = frames[:, None] == frames[None, :]
        return np.where(together, sand.covariance(self._drawn[list(along)]), 0.0)

    def _tool_errors(self) -> Array:
        import numpy as np

        sd = [0.0 if self.network.is_datum(face) else self.priors.tool_face for face in self.network.faces]
        return np.diag(np.array(sd) ** 2)

    def _measured_tools(self, errors: Array, readings: Sequence[Reading]) -> tuple[Array, Array]:
        """Errors of the tools' faces after they were measured: covariance and mean."""
        import numpy as np

        rows = [self.network.size_number[r.size] for r in readings]
        b = self._b[rows]
        noise = np.diag([max(r.u, LEAST_U) ** 2 for r in readings])
        for group in {r.group for r in readings if r.group and r.u_group}:
            shared = np.array([r.u_group if r.group == group else 0.0 for r in readings])
            noise += np.outer(shared, shared)
        off = np.array([r.mm for r in readings]) - self._size[rows]
        cross = errors @ b.T
        weight = np.linalg.inv(b @ cross + noise)
        dual = weight @ off
        self._tool_rows = _residuals(self.network, [(r.size, TOOLS) for r in readings], dual, np.diag(weight))
        return errors - cross @ weight @ cross.T, cross @ dual

    # ------------------------------------------------------------------------------ the castings
    def _adjust(self, readings: Sequence[Reading]) -> None:
        """Castings are independent but for what is common: one small system over the sizes and the gauges."""
        import numpy as np

        groups = sorted({(r.group, r.u_group) for r in readings if r.group and r.u_group})
        count, latents = len(self.network.sizes), len(self.network.sizes) + len(groups)
        prior = np.zeros((latents, latents))
        self._cross = self._tools @ self._b.T  # faces x sizes
        prior[:count, :count] = self._b @ self._cross
        prior[count:, count:] = np.diag([u**2 for _, u in groups])
        expected = self._size + self._b @ self._mean
        gram, rhs = np.zeros((latents, latents)), np.zeros(latents)
        castings = []
        self.read: dict[str, list[Reading]] = {}
        for r in readings:
            self.read.setdefault(r.casting, []).append(r)
        own = self._b @ self._own @ self._b.T
        for serial in sorted(self.read):
            here = self.read[serial]
            rows = np.array([self.network.size_number[r.size] for r in here])
            n = own[np.ix_(rows, rows)] + np.diag([max(r.u, LEAST_U) ** 2 for r in here])
            inverse = np.linalg.inv(n)
            h = np.zeros((len(here), latents))
            h[np.arange(len(here)), rows] = 1.0
            for k, group in enumerate(groups):
                h[:, count + k] = [float((r.group, r.u_group) == group) for r in here]
            left = np.array([r.mm for r in here]) - expected[rows]
            weighed = inverse @ h
            gram += h.T @ weighed
            rhs += weighed.T @ left
            castings.append((serial, rows, inverse, weighed, inverse @ left))
        solved = np.linalg.solve((np.eye(latents) + gram @ prior), np.column_stack([rhs, gram]))
        dual = solved[:, 0]  # prior @ dual is the estimate of what is common
        self._latent = prior - prior @ solved[:, 1:] @ prior  # its covariance
        estimate = prior @ dual
        self._count = count
        self._castings = {
            serial: _Casting(serial, rows, inverse, weighed, left - weighed @ estimate)
            for serial, rows, inverse, weighed, left in castings
        }
        self._common_places = self._drawn + self._mean + self._cross @ dual[:count]

    @property
    def residuals(self) -> tuple[Residual, ...]:
        """Every reading against all the others, castings by their serials, the tools first."""
        import numpy as np

        rows: list[Residual] = list(self._tool_rows)
        for serial, casting in self._castings.items():
            p = casting.inverse - casting.weighed @ self._latent @ casting.weighed.T
            named = [(r.size, serial) for r in self.read[serial]]
            rows += _residuals(self.network, named, casting.dual, np.diag(p))
        return tuple(rows)

    @property
    def slips(self) -> tuple[Residual, ...]:
        """The readings that are taken for slips, the worst first."""
        return tuple(sorted((r for r in self.residuals if r.slip), key=lambda r: -abs(r.standardised)))

    # ------------------------------------------------------------------------------ asking
    def places(self, casting: str = TOOLS) -> dict[str, float]:
        """Where each face lies on the tools or on a casting, mm as cast, counted from the datum of its axis.

        A casting that nobody read is the next one to come.
        """
        values = self._values(casting)
        out = {}
        for face in self.network.faces:
            datum = self.network.number.get(self.network.datum_of(face.axis))
            at = float(values[self.network.number[face.name]])
            out[face.name] = at - (float(values[datum]) if datum is not None and self._placed(face) else 0.0)
        return out

    def place(self, face: Face | str, casting: str = TOOLS) -> Estimate:
        """Where a face lies, counted from the datum of its axis where a size ends on that, mm."""
        name = self._name(face)
        of = self.network.face(name)
        datum = self.network.datum_of(of.axis)
        if datum == name or datum not in self.network.number or not self._placed(of):
            row = self._row(None, name)
        else:
            row = self._row(datum, name)
        mean, cov = self._ask([row], casting)
        return Estimate(float(mean[0]), float(cov[0, 0]) ** 0.5)

    def between(self, a: Face | str, b: Face | str, casting: str = TOOLS) -> Derived:
        """How far face b lies beyond face a along their axis, and which readings lead from one to the other."""
        mean, cov = self.joint([(a, b)], casting)
        names = [r.size for r in self.read.get(casting, ())]
        way = self.network.path(self._name(a), self._name(b), names) or ()
        return Derived(float(mean[0]), float(cov[0, 0]) ** 0.5, way)

    def joint(self, pairs: Sequence[tuple[Face | str, Face | str]], casting: str = TOOLS) -> tuple[Array, Array]:
        """Many distances at once, (n) mm, with their covariance (n x n) in mm2."""
        return self._ask([self._row(self._name(a), self._name(b)) for a, b in pairs], casting)

    def covariance(self, faces: Sequence[Face | str], casting: str = TOOLS) -> Array:
        """Covariance of the places of these faces in the axes of the drawing, (n x n) mm2."""
        return self._ask([self._row(None, self._name(face)) for face in faces], casting)[1]

    @property
    def unmoored(self) -> tuple[str, ...]:
        """The faces that no reading of any casting ties to the datum of their axis."""
        tied: set[str] = set()
        for rows in self.read.values():
            for piece in self.network.pieces([r.size for r in rows]):
                if any(self.network.datum_of(axis) in piece for axis in AXES):
                    tied |= piece
        return tuple(f.name for f in self.network.faces if f.name not in tied and not self.network.is_datum(f))

    # ------------------------------------------------------------------------------ inside
    def _name(self, face: Face | str) -> str:
        name = face.name if isinstance(face, Face) else face
        self.network.face(name)
        return name

    def _placed(self, face: Face) -> bool:
        return self.network.frame[face.name] == face.axis

    def _row(self, a: str | None, b: str) -> Array:
        import numpy as np

        row = np.zeros(len(self.network.faces))
        row[self.network.number[b]] += 1.0
        if a is not None:
            row[self.network.number[a]] -= 1.0
            apart = self.network.face(a), self.network.face(b)
            if apart[0].axis != apart[1].axis:
                raise DataError(f"{a} and {b} do not lie along one axis: there is no size between them")
            if self.network.frame[a] != self.network.frame[b]:
                raise DataError(f"nobody said where {a} or {b} stands along {apart[0].axis}: say at which places")
        return row

    def _values(self, casting: str) -> Array:
        values = self._common_places
        if casting in self._castings:
            of = self._castings[casting]
            values = values + (self._own @ self._b[of.rows].T) @ of.dual
        return values

    def _ask(self, rows: Sequence[Array], casting: str) -> tuple[Array, Array]:
        """Linear combinations of faces: means and covariance after everything that was read."""
        import numpy as np

        d = np.array(rows).reshape(len(rows), len(self.network.faces))
        prior = self._tools if casting == TOOLS else self._tools + self._own
        cov = d @ prior @ d.T
        common = np.zeros((len(rows), len(self._latent)))
        common[:, : self._count] = d @ self._cross
        through = np.zeros((len(rows), len(self._latent)))
        for serial, of in self._castings.items():
            cross = common[:, of.rows]
            # a gauge's error is no part of a face: only through the sizes do the readings speak of it
            if serial == casting:
                cross = cross + d @ self._own @ self._b[of.rows].T
            cov -= cross @ of.inverse @ cross.T
            through += cross @ of.weighed
        cov += through @ self._latent @ through.T
        return d @ self._values(casting), 0.5 * (cov + cov.T)


def adjust(network: Network, readings: Sequence[Reading], priors: Priors = PRACTICE) -> Adjusted:
    """The faces of a network adjusted to what was read on tools and castings; with no readings practice alone speaks.

    Raises DataError for readings of sizes that are not in the network, that are no numbers, or of tools where the size
    lies between two of them.
    """
    return Adjusted(network, readings, priors)


def _check(network: Network, readings: Sequence[Reading]) -> None:
    for r in readings:
        size = network.size(r.size)
        if not (abs(r.mm) < 1e6 and 0.0 <= r.u < 1e6 and 0.0 <= r.u_group < 1e6):
            raise DataError(f"{r.size}: {r.mm} ± {r.u} is no reading; leave it out or type it again")
        if r.casting == TOOLS and size.a is not None and size.a.maker != size.b.maker:
            raise DataError(
                f"{r.size} lies between {size.a.maker} and {size.b.maker}: no tool shows it, only the casting does"
            )


def _residuals(network: Network, named: Sequence[tuple[str, str]], dual: Array, weight: Array) -> list[Residual]:
    """From P r and the diagonal of P; what nothing else tells of cannot happen here, practice always does."""
    noticed = generalised.noncentrality()
    return [
        Residual(
            size=size,
            casting=casting,
            off_mm=float(q / p),
            u=float(p**-0.5),
            standardised=float(q / p**0.5),
            smallest_slip_mm=float((noticed / p) ** 0.5),
        )
        for (size, casting), q, p in zip(named, dual, weight, strict=True)
    ]


# ------------------------------------------------------------------------------ one piece by its readings alone
@frozen_by_name
class Levelled:
    """One piece adjusted by its readings alone.

    `places` counts from the datum of an axis where the readings reach it, else from the first face of each piece that
    hangs together (`from_face` says from which). `free` are faces that no reading ends on. `rank` is the number of
    places that the readings fix, `redundancy` the number of readings beyond that.
    """

    places: Mapping[str, Estimate]
    from_face: Mapping[str, str]
    residuals: tuple[Residual, ...]
    redundancy_of: Mapping[str, float]
    free: tuple[str, ...]
    rank: int
    redundancy: int
    chi2: float


def level(sizes: Sequence[Size] | Network, readings: Sequence[Reading]) -> Levelled:
    """The readings of one piece (a casting, a tool, a kit) as a levelling network: nothing is believed beforehand.

    Each size may be read once; repeats are one reading with their mean. Raises DataError where nothing was read, and
    as `adjust` does.
    """
    import numpy as np

    network = sizes if isinstance(sizes, Network) else Network(sizes)
    if not readings:
        raise DataError("nothing was read: there is nothing to adjust")
    _check(network, [r for r in readings if r.casting != TOOLS])
    names = [r.size for r in readings]
    pieces = network.pieces(names)
    start = {face: _first(network, piece) for piece in pieces for face in piece}
    unknown = [f.name for f in network.faces if f.name in start and start[f.name] != f.name]
    at = {name: n for n, name in enumerate(unknown)}
    design = np.zeros((len(readings), len(unknown)))
    for row, r in enumerate(readings):
        size = network.size(r.size)
        for face, sign in ((size.b, 1.0), (size.a, -1.0)):
            if face is not None and face.name in at:
                design[row, at[face.name]] += sign
    noise = np.diag([max(r.u, LEAST_U) ** 2 for r in readings])
    for group in {r.group for r in readings if r.group and r.u_group}:
        shared = np.array([r.u_group if r.group == group else 0.0 for r in readings])
        noise += np.outer(shared, shared)
    fit = generalised.solve(design, np.array([r.mm for r in readings]), noise, unknown)
    places = {first: Estimate(0.0, 0.0) for first in start.values()}
    places |= {name: Estimate(float(fit.x[n]), float(fit.covariance[n, n]) ** 0.5) for name, n in at.items()}
    noticed = generalised.noncentrality() ** 0.5
    residuals = [
        Residual(
            size=r.size,
            casting=r.casting,
            off_mm=float(z) * float(slip) / noticed if slip < np.inf else 0.0,
            u=float(slip) / noticed,
            standardised=float(z),
            smallest_slip_mm=float(slip),
        )
        for r, z, slip in zip(readings, fit.standardised, fit.smallest_slip, strict=True)
    ]
    return Levelled(
        places=places,
        from_face=start,
        residuals=tuple(residuals),
        redundancy_of={name: float(share) for name, share in zip(names, fit.redundancy, strict=True)},
        free=tuple(f.name for f in network.faces if f.name not in start),
        rank=len(unknown),
        redundancy=fit.dof,
        chi2=fit.chi2,
    )


def _first(network: Network, piece: frozenset[str]) -> str:
    """Where the places of a piece are counted from: the datum where it is in it, else its first face."""
    datums = [name for name in piece if name in {network.datum_of(axis) for axis in AXES}]
    if datums:
        return datums[0]
    return min(piece, key=lambda name: network.number[name])
