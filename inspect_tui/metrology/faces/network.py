"""The network of faces: which sizes hang on which faces, and how faces move when a tool, a core or the metal is off.

A size is the place of its end B minus that of its end A, so every movement of faces is a column over the sizes. What
sits in a core rides along with it, what hangs in the cope moves with the cope. Contraction moves every face from the
datum; where a core holds the metal back the faces it makes contract less, about the core's own middle. A core that
grows pushes its faces against the metal's outward normal, a pattern that grows pushes them along it.
Lengths are mm as the raw casting is drawn, contraction is a fraction of the casting.

Source: own derivation; the incidence matrix of a levelling network, any textbook of adjustment.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.faces.face import AXES, Asked, Face, Size, join
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

HALVES = ("drag", "cope")
ALL_KINDS = (
    "contraction",
    "held back",
    "shift",
    "carried",
    "mismatch",
    "parting",
    "lifted",
    "growth",
    "size",
    "face",
)
FRACTIONS = ("contraction", "held back")  # kinds whose unit is 1 and not mm


@frozen
class Carry:
    """`inner` sits in `outer` and is moved by it along `axes`; `hangs`: nothing else holds it up."""

    inner: str
    outer: str
    axes: str = "xyz"
    hangs: bool = False


@frozen_by_name
class Column:
    """One movement: by how much each face moves, and each size changes, for one unit of it (1 mm, or 1 of contraction).

    Both maps leave zeros out. `makers` are the tools that move, `face` and `size` name what a single face or size is.
    """

    name: str
    kind: str
    axis: str
    moves: Mapping[str, float]
    loads: Mapping[str, float]
    makers: tuple[str, ...] = ()
    face: str = ""
    size: str = ""

    @property
    def unit(self) -> str:
        """mm, or 1 for a fraction of the size."""
        return "1" if self.kind in FRACTIONS else "mm"


class Network:
    """Sizes and the faces that they hang on, with what sits in what.

    `reference` is the maker whose faces the datums are; it does not move. `asked` is what the sizes and the carrying
    leave open or contradict. Raises DataError where there is no size, where one is given twice or is not a number,
    and where cast and tooling scale are mixed.
    """

    def __init__(
        self,
        sizes: Sequence[Size],
        carries: Sequence[Carry] = (),
        reference: str = "drag",
        parting_axis: str = "z",
        style: Style = MM,
    ) -> None:
        if not sizes:
            raise DataError("there is no size to make faces of: enter sizes with their two ends first")
        wrong = [s.name for s in sizes if not _is_number(s)]
        if wrong:
            raise DataError(f"{', '.join(wrong)}: not a number among the size or the places of its ends")
        if len({face.scale for size in sizes for face in size.faces}) > 1:
            raise DataError("sizes of the casting and sizes at tooling scale do not share faces: ask for each alone")
        joined = join(sizes, style)
        self.sizes, self.faces = joined.sizes, joined.faces
        self.carries, self.reference, self.parting_axis = tuple(carries), reference, parting_axis
        self._named = tuple((face.name, face) for face in self.faces)  # names take time to make: made once
        self.number = {name: n for n, (name, _) in enumerate(self._named)}
        self.size_number = {size.name: n for n, size in enumerate(self.sizes)}
        of = {id(face): name for name, face in self._named}
        self._ends = tuple((s.name, None if s.a is None else of[id(s.a)], of[id(s.b)]) for s in self.sizes)
        self._riders: dict[tuple[str, str], tuple[str, ...]] = {}
        self.place = self._places()
        self.frame = self._frames()
        present = {face.maker for face in self.faces}
        self.makers = tuple(sorted(present | {part for c in self.carries for part in (c.inner, c.outer)}))
        self.asked = (*joined.asked, *rings_asked(self.carries))

    # ------------------------------------------------------------------------------ faces and sizes
    def _places(self) -> dict[str, float]:
        """Where each face lies along its axis; faces without a place get one about the middle of their own size."""
        place = {f.name: f.place_mm for f in self.faces if f.place_mm is not None}
        for size in self.sizes:
            if size.a is None:
                place.setdefault(size.b.name, size.mm)
                continue
            low, high = place.get(size.a.name), place.get(size.b.name)
            place.setdefault(size.a.name, -size.mm / 2.0 if high is None else high - size.mm)
            place.setdefault(size.b.name, size.mm / 2.0 if low is None else low + size.mm)
        return place

    def _frames(self) -> dict[str, str]:
        """For each face what its place is counted in: its axis, or its own size where nobody said a place."""
        placed = {face.name for face in self.faces if face.place_mm is not None}
        frame = {face.name: face.axis for face in self.faces if face.place_mm is not None}
        for size in self.sizes:
            known = size.a is None or any(face.name in placed for face in size.faces)
            for face in size.faces:
                frame.setdefault(face.name, size.axis if known else size.name)
        return frame

    def face(self, name: str) -> Face:
        """The face of this name; DataError for one that is not in the network."""
        if name not in self.number:
            raise DataError(f"no size ends on {name}: it is not known where it lies")
        return self.faces[self.number[name]]

    def size(self, name: str) -> Size:
        """The size of this name; DataError for one that is not in the network."""
        if name not in self.size_number:
            raise DataError(f"{name} is no size of this network")
        return self.sizes[self.size_number[name]]

    def is_datum(self, face: Face) -> bool:
        """Whether this is a datum, which by definition does not move."""
        return face.maker == self.reference and face.place_mm is not None and abs(face.place_mm) < 1e-9

    def incidence(self) -> Array:
        """The matrix of sizes by faces, without unit: +1 at end B, -1 at end A."""
        import numpy as np

        matrix = np.zeros((len(self.sizes), len(self.faces)))
        for row, (_, a, b) in enumerate(self._ends):
            matrix[row, self.number[b]] += 1.0
            if a is not None:
                matrix[row, self.number[a]] -= 1.0
        return matrix

    def loads(self, moves: Mapping[str, float]) -> dict[str, float]:
        """Change of each size in mm when faces move by so many mm; zeros left out."""
        out: dict[str, float] = {}
        for name, a, b in self._ends:
            change = moves.get(b, 0.0) - (moves.get(a, 0.0) if a is not None else 0.0)
            if change:
                out[name] = change
        return out

    def moved(self, move: Callable[[Face], float], axis: str | None = None) -> dict[str, float]:
        """The faces that a rule moves (mm), along one axis or along all; zeros left out."""
        moves = {name: move(face) for name, face in self._named if axis in (None, face.axis)}
        return {name: mm for name, mm in moves.items() if mm}

    def datum_of(self, axis: str) -> str:
        """The name of the face that sizes along this axis are counted from, whether or not a size ends on it."""
        return Face(maker=self.reference, axis=axis, place_mm=0.0).name

    def pieces(self, read: Iterable[str]) -> tuple[frozenset[str], ...]:
        """The faces that hang together through these sizes, largest first; faces that none of them touches left out."""
        root: dict[str, str] = {}

        def top(name: str) -> str:
            while root.setdefault(name, name) != name:
                root[name] = root[root[name]]
                name = root[name]
            return name

        for name in read:
            size = self.size(name)
            a = size.a.name if size.a is not None else self.datum_of(size.axis)
            root[top(a)] = top(size.b.name)
        groups: dict[str, set[str]] = {}
        for name in root:
            groups.setdefault(top(name), set()).add(name)
        return tuple(frozenset(g) for g in sorted(groups.values(), key=lambda g: (-len(g), min(g))))

    def path(self, a: str, b: str, read: Iterable[str]) -> tuple[str, ...] | None:
        """The fewest of these sizes that lead from one face to the other; None where none do."""
        edges: dict[str, list[tuple[str, str]]] = {}
        for name in read:
            size = self.size(name)
            low = size.a.name if size.a is not None else self.datum_of(size.axis)
            edges.setdefault(low, []).append((size.b.name, name))
            edges.setdefault(size.b.name, []).append((low, name))
        via: dict[str, tuple[str, str]] = {a: ("", "")}
        front = [a]
        while front and b not in via:
            after: list[str] = []
            for here in front:
                for there, size_name in edges.get(here, ()):
                    if there not in via:
                        via[there] = (here, size_name)
                        after.append(there)
            front = after
        if b not in via:
            return None
        way: list[str] = []
        while b != a:
            b, size_name = via[b]
            way.append(size_name)
        return tuple(reversed(way))

    # ------------------------------------------------------------------------------ what sits in what
    def rides_with(self, maker: str, axis: str) -> tuple[str, ...]:
        """The maker, and after it everything that sits or hangs in it along this axis, directly or through others."""
        if (maker, axis) not in self._riders:
            carried = {maker}
            grown = True
            while grown:
                more = {c.inner for c in self.carries if axis in c.axes and c.outer in carried} - carried
                carried |= more
                grown = bool(more)
            self._riders[maker, axis] = (maker, *sorted(carried - {maker}))
        return self._riders[maker, axis]

    def hangs_in(self, half: str, axis: str) -> tuple[str, ...]:
        """What hangs in a mould half, with all that sits in it in turn."""
        hung = {c.inner for c in self.carries if c.hangs and c.outer == half and axis in c.axes}
        return tuple(sorted({part for core in hung for part in self.rides_with(core, axis)}))

    # ------------------------------------------------------------------------------ movements
    def columns(self, kinds: Sequence[str] = ALL_KINDS) -> tuple[Column, ...]:
        """Every movement that these sizes could show, in the order of `ALL_KINDS`."""
        axes = [axis for axis in AXES if any(size.axis == axis for size in self.sizes)]
        made: list[Column] = []
        if "contraction" in kinds:
            made += [self._contraction(axis) for axis in axes]
            if len(axes) > 1:
                made.append(self._contraction(None))
        if "held back" in kinds:
            made += [self._held_back(axis) for axis in axes]
        for axis in axes:
            made += self._shifts(axis, kinds)
            made += self._halves(axis, kinds)
        if "lifted" in kinds and self.parting_axis in axes:
            made += self._lifted()
        if "growth" in kinds:
            for maker in self.makers:
                moves = self.moved(growth(maker))
                made.append(self._column(f"{maker} growth", "growth", "all", moves, (maker,)))
        if "size" in kinds:
            made += self._sizes()
        if "face" in kinds:
            made += self._faces()
        return tuple(column for column in made if column.loads)

    def _column(self, name: str, kind: str, axis: str, moves: Mapping[str, float], makers: tuple[str, ...]) -> Column:
        return Column(name=name, kind=kind, axis=axis, moves=moves, loads=self.loads(moves), makers=makers)

    def _contraction(self, axis: str | None) -> Column:
        """More contraction than planned, per unit: every size gets smaller as its tool contracts."""
        own = [size for size in self.sizes if (size.axis == axis if axis else size.axis in AXES)]
        factor = self._factors(own)
        moves = {name: -self.place[name] * factor[name] for name in factor if self.place[name]}
        loads = {size.name: -size.mm / (1.0 + size.contraction) for size in own if size.mm}
        name = f"contraction {axis}" if axis else "contraction"
        return Column(name=name, kind="contraction", axis=axis or "all", moves=moves, loads=loads, makers=self.makers)

    def _factors(self, sizes: Iterable[Size]) -> dict[str, float]:
        """For each face casting mm by tool mm, from the first of its sizes."""
        wanted = {size.name for size in sizes}
        factor: dict[str, float] = {}
        for size, (name, a, b) in zip(self.sizes, self._ends, strict=True):
            for face in (a, b) if name in wanted else ():
                if face is not None:
                    factor.setdefault(face, 1.0 / (1.0 + size.contraction))
        return factor

    def _held_back(self, axis: str) -> Column:
        """Inside of cores the metal contracts less, per unit, about the middle of each core along the axis."""
        own = [size for size in self.sizes if size.axis == axis]
        factor = self._factors(own)
        moves: dict[str, float] = {}
        makers = []
        for maker in self.makers:
            if not maker.startswith("core"):
                continue
            faces = [f for f in self.faces if f.maker == maker and f.axis == axis]
            body = self._body(faces)
            inside = {}
            if body is not None:
                low, high = body
                middle = (low + high) / 2.0
                placed = [f for f in faces if f.place_mm is not None and low <= f.place_mm <= high]
                inside = {f.name: ((f.place_mm or 0.0) - middle) * factor[f.name] for f in placed}
            for size in own:
                a, b = size.a, size.b
                if a is not None and a.maker == b.maker == maker and a.facing > 0 > b.facing:
                    for face in (a, b):
                        if face.place_mm is None:
                            inside[face.name] = self.place[face.name] * factor[face.name]
            moves.update({name: mm for name, mm in inside.items() if mm})
            makers += [maker] if inside else []
        return self._column(f"inside held back {axis}", "held back", axis, moves, tuple(makers))

    def _body(self, faces: Sequence[Face]) -> tuple[float, float] | None:
        """From where to where along the axis the core's sand lies with metal outside of it; None where it has none."""
        lows = [f.place_mm for f in faces if f.place_mm is not None and f.facing > 0]
        highs = [f.place_mm for f in faces if f.place_mm is not None and f.facing < 0]
        if not lows or not highs or min(lows) >= max(highs):
            return None
        return min(lows), max(highs)

    def _shifts(self, axis: str, kinds: Sequence[str]) -> list[Column]:
        made = []
        for maker in self.makers:
            if maker in (self.reference, *HALVES):
                continue
            together = self.rides_with(maker, axis)
            if "shift" in kinds:
                made.append(self._moving(f"{maker} {axis}", "shift", axis, (maker,)))
            if "carried" in kinds and len(together) > 1:
                name = f"{maker} with {', '.join(sorted(together[1:]))} {axis}"
                made.append(self._moving(name, "carried", axis, together))
        if "shift" in kinds and self.reference.startswith("core"):
            # datums on a core: when it is shifted, everything else seems to be
            others = tuple(maker for maker in self.makers if maker != self.reference)
            moves = self.moved(lambda f: -float(f.maker != self.reference), axis)
            made.append(self._column(f"{self.reference} {axis}", "shift", axis, moves, (self.reference, *others)))
        return made

    def _halves(self, axis: str, kinds: Sequence[str]) -> list[Column]:
        """The cope against the drag: across, or apart at the parting."""
        kind = "parting" if axis == self.parting_axis else "mismatch"
        if kind not in kinds:
            return []
        name = "parting" if kind == "parting" else "cope"
        # seen from a datum on the cope it is the drag that lies the other way, and what sits in it
        half, sign = ("drag", -1.0) if self.reference == "cope" else ("cope", 1.0)
        alone = self.moved(lambda f: sign * float(f.maker == half), axis)
        made = [self._column(f"{name} {axis}", kind, axis, alone, ("cope",))]
        riding = self.rides_with("drag", axis)[1:] if half == "drag" else self.hangs_in("cope", axis)
        riding = tuple(part for part in riding if part not in HALVES)
        if riding:
            together = self.moved(lambda f: sign * float(f.maker == half or f.maker in riding), axis)
            said = f"{name} with {', '.join(riding)} {axis}"
            made.append(self._column(said, kind, axis, together, ("cope", *riding)))
        return made

    def _lifted(self) -> list[Column]:
        """The metal lifts every core, as far as its prints let it."""
        axis = self.parting_axis
        cores = tuple(sorted({f.maker for f in self.faces if f.maker.startswith("core") and f.axis == axis}))
        if len(cores) < 2 or self.reference in cores:
            return []
        return [self._moving(f"all cores lifted {axis}", "lifted", axis, cores)]

    def _moving(self, name: str, kind: str, axis: str, makers: tuple[str, ...]) -> Column:
        return self._column(name, kind, axis, self.moved(lambda f: float(f.maker in makers), axis), makers)

    def _sizes(self) -> list[Column]:
        """One size of a single tool wrong, half at each end."""
        made, seen = [], set()
        for size in self.sizes:
            a, b = size.a, size.b
            if a is None or a.maker != b.maker or (a.key, b.key) in seen:
                continue
            seen.add((a.key, b.key))
            if size.axis in AXES and (self.is_datum(a) or self.is_datum(b)):
                continue
            moves = {b.name: 0.5, a.name: -0.5}
            made.append(
                Column(
                    name=f"size {size.name}",
                    kind="size",
                    axis=size.axis,
                    moves=moves,
                    loads=self.loads(moves),
                    makers=(b.maker,),
                    size=size.name,
                )
            )
        return made

    def _faces(self) -> list[Column]:
        """One face of a tool out of place, every one of them."""
        made = []
        for face in self.faces:
            if face.axis not in AXES or self.is_datum(face):
                continue
            moves = {face.name: 1.0}
            made.append(
                Column(
                    name=face.name,
                    kind="face",
                    axis=face.axis,
                    moves=moves,
                    loads=self.loads(moves),
                    makers=(face.maker,),
                    face=face.name,
                )
            )
        return made


def rings_asked(carries: Sequence[Carry]) -> list[Asked]:
    """A question for each ring of cores that sit in each other, said from its first name on."""
    outers: dict[str, list[str]] = {}
    for c in carries:
        outers.setdefault(c.inner, []).append(c.outer)
    rings: dict[frozenset[str], tuple[str, ...]] = {}
    done: set[str] = set()

    def walk(part: str, under: tuple[str, ...]) -> None:
        if part in under:
            ring = under[under.index(part) :]
            first = ring.index(min(ring))
            rings.setdefault(frozenset(ring), (*ring[first:], *ring[:first]))
            return
        if part in done:
            return
        for outer in outers.get(part, ()):
            walk(outer, (*under, part))
        done.add(part)

    for part in sorted(outers):
        walk(part, ())
    asked = []
    for ring in rings.values():
        said = ", ".join(f"{a} in {b}" for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
        text = f"the fits go in a ring: {said}. One of them cannot be: say which sits in which"
        asked.append(Asked("ring", (), text))
    return asked


def growth(maker: str) -> Callable[[Face], float]:
    """How a face moves when its tool has grown by 1 mm a face all over, in mm."""
    outward = -1.0 if maker.startswith("core") else 1.0  # of the tool's body, seen along the metal's normal
    return lambda face: outward * face.facing if face.maker == maker else 0.0


def _is_number(size: Size) -> bool:
    values = [size.mm, size.contraction, *(f.place_mm for f in size.faces if f.place_mm is not None)]
    return all(abs(value) < 1e6 for value in values)  # not for nan, nor for what is no size
