"""The face, the one geometry of the house: a surface across an axis, who makes it, and which way its metal lies.

The ends of sizes that name the same maker, axis, place and spot are the same face. Ends without a place hang together
only through their own size. What the ends say of a face has to agree: a face has metal on one side only.
Lengths are mm as the raw casting is drawn (finished place + stock), or tooling mm for faces that only tools have.

Source: own derivation; a face as the border of a feature, perpendicular to an axis.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.typed.show import MM, Style

AXES = ("x", "y", "z")
SAME_PLACES = 3  # decimals of a mm: places that agree in them are the same place
SAME_MM = 1e-3
SIZE_SLACK_MM = 0.01  # places that give another size than the size itself are asked about from here on

FaceKey = tuple[str, str, float | None, str, str]


def place_word(mm: float) -> str:
    """A place as it stands in names: 64, -28.5, 1234.562; in mm to the third decimal, without zeros at the end."""
    return str(round(mm, SAME_PLACES) + 0.0).removesuffix(".0")


@frozen_by_name
class Face:
    """A surface across `axis`, made by `maker`: drag, cope, core 3, or "machined from cope".

    `place_mm` is where it lies along the axis, counted from the datum; None where nobody said. `facing` is the outward
    normal of the metal (+1 along the axis, -1 against it), 0 for a centre, which no growth can move. `spot` tells
    apart surfaces that share all the rest. `stock_mm` and `coat_mm` are the machining stock and the wash on it.
    `scale` is cast, or tool for a print, a key or a seat, whose places are tooling mm.
    """

    maker: str
    axis: str
    place_mm: float | None = None
    facing: int = 0
    spot: str = ""
    stock_mm: float = 0.0
    coat_mm: float = 0.0
    scale: str = "cast"

    def __post_init__(self) -> None:
        if self.facing not in (-1, 0, 1):
            raise DataError(f"{self.name}: facing is +1, -1 or 0 for a centre, not {self.facing}")

    @property
    def key(self) -> FaceKey:
        """What makes two ends the same face."""
        place = None if self.place_mm is None else round(self.place_mm, SAME_PLACES) + 0.0
        return self.maker, self.axis, place, self.spot, self.scale

    @property
    def name(self) -> str:
        """`core 3 face x 64`, with its spot behind it where it has one. As it is kept, in mm."""
        place = "" if self.place_mm is None else f" {place_word(self.place_mm)}"
        return f"{self.maker} face {self.axis}{place}{' ' + self.spot if self.spot else ''}"

    def said(self, style: Style = MM) -> str:
        """The face with the direction its metal ends in, in a person's figures."""
        place = "" if self.place_mm is None else f" {style.given(self.place_mm, unit=False)}"
        return f"{self.maker}'s face at {self.axis}{place}{', ' + self.spot if self.spot else ''}"

    @property
    def cored(self) -> bool:
        """Whether a core makes it."""
        return self.maker.removeprefix("machined from ").startswith("core ")

    def machined(self) -> Face:
        """The face after its stock is off."""
        if self.place_mm is None:
            return replace(self, maker=f"machined from {self.maker}", stock_mm=0.0)
        place = self.place_mm - self.facing * self.stock_mm
        return replace(self, maker=f"machined from {self.maker}", place_mm=place, stock_mm=0.0)


@frozen_by_name
class Size:
    """A size between two faces along one axis: end B minus end A. `a` is None when it starts at the datum itself.

    `mm` is the size as the raw casting is drawn (tooling mm at tool scale), `contraction` what its tool was made with
    (a fraction of the casting). `across` is where across the axis it is taken, as far as anybody said, by axis.
    """

    name: str
    a: Face | None
    b: Face
    mm: float
    contraction: float = 0.0
    across: tuple[tuple[str, float], ...] = ()

    @property
    def axis(self) -> str:
        """The axis along which it is read."""
        return self.b.axis

    @property
    def faces(self) -> tuple[Face, ...]:
        """End B, and end A before it when there is one."""
        return (self.b,) if self.a is None else (self.a, self.b)

    @property
    def same_way(self) -> bool:
        """Whether both ends face the same way: a place and no thickness. Which way is then a guess of whoever typed."""
        return self.a is not None and self.a.facing == self.b.facing != 0

    @property
    def sure(self) -> bool:
        """Whether it says which way its ends face: metal or space lies between them."""
        return self.a is not None and self.a.facing * self.b.facing < 0


@frozen
class Asked:
    """Something that the sizes leave open or contradict, in plain words, and the sizes that it concerns."""

    kind: str  # facing, place, stock, between, ring, hangs on nothing
    sizes: tuple[str, ...]
    text: str


@frozen
class Joined:
    """The sizes with faces that agree, every face once, and what has to be asked. Faces by axis, then place."""

    sizes: tuple[Size, ...]
    faces: tuple[Face, ...]
    asked: tuple[Asked, ...]


def join(sizes: Sequence[Size], style: Style = MM) -> Joined:
    """The sizes of one piece with their faces made the same, and what contradicts.

    Metal or space between two ends says for sure which way each faces; all other sizes take the direction from them.
    Where two sizes say for sure that a face has its metal on either side, they are asked about, unless both say where
    across the axis they are taken and that differs: then they are two faces.
    Of stock and coat that differ the larger is kept, and asked about. DataError when a balloon is given twice.
    """
    names = [size.name for size in sizes]
    if len(set(names)) != len(names):
        twice = ", ".join(sorted({name for name in names if names.count(name) > 1}))
        raise DataError(f"{twice}: given twice; give each size once")
    apart = _apart(sizes)
    told = [_at_spots(size, apart) for size in sizes]
    sure = _sure(told)
    asked: list[Asked] = [_two_ways(ways, style) for ways in sure.values() if ways.get(1) and ways.get(-1)]
    facing = {key: 1 if ways.get(1) else -1 for key, ways in sure.items()}
    kept: dict[FaceKey, Face] = {}
    out: list[Size] = []
    for size in told:
        size = _agreed(size, facing, sure, asked, style)
        out.append(size)
        for face in size.faces:
            known = kept.get(face.key)
            if known is None:
                kept[face.key] = face
                continue
            if abs(known.stock_mm - face.stock_mm) > SAME_MM:
                asked.append(_stock(known, face, size.name, out, style))
            stock, coat = max(known.stock_mm, face.stock_mm), max(known.coat_mm, face.coat_mm)
            kept[face.key] = replace(known, stock_mm=stock, coat_mm=coat, facing=known.facing or face.facing)
        asked += _places(size, style)
    final = tuple(replace(size, a=None if size.a is None else kept[size.a.key], b=kept[size.b.key]) for size in out)
    faces = sorted(kept.values(), key=lambda f: (f.axis, f.place_mm is None, f.place_mm or 0.0, f.maker, f.spot))
    return Joined(final, tuple(faces), tuple(asked))


Ways = dict[int, list[tuple[str, Face]]]


def _sure(sizes: Iterable[Size]) -> dict[FaceKey, Ways]:
    """For each face the sizes that say for sure which way it faces."""
    sure: dict[FaceKey, Ways] = {}
    for size in sizes:
        for face in size.faces if size.sure else ():
            sure.setdefault(face.key, {}).setdefault(face.facing, []).append((size.name, face))
    return sure


def _apart(sizes: Sequence[Size]) -> dict[FaceKey, set[str]]:
    """Faces that are two because sizes that contradict each other are taken at different spots: the sizes to tell."""
    across = {size.name: size.across for size in sizes}
    apart: dict[FaceKey, set[str]] = {}
    for key, ways in _sure(sizes).items():
        if not (ways.get(1) and ways.get(-1)):
            continue
        spots = {way: {across[name] for name, _ in ways[way]} for way in (1, -1)}
        if () not in spots[1] | spots[-1] and not spots[1] & spots[-1]:
            apart[key] = {name for way in (1, -1) for name, _ in ways[way]}
    return apart


def _at_spots(size: Size, apart: Mapping[FaceKey, set[str]]) -> Size:
    """The size with faces of its own where nobody said a place, and where two faces share one."""
    spot = "at " + ", ".join(f"{axis} {place_word(mm)}" for axis, mm in size.across if axis != size.axis)

    def own(face: Face, which: str) -> Face:
        if face.place_mm is None and not face.spot:
            return replace(face, spot=f"{size.name} {which}")
        return replace(face, spot=spot) if size.name in apart.get(face.key, ()) and not face.spot else face

    return replace(size, a=None if size.a is None else own(size.a, "A"), b=own(size.b, "B"))


def _agreed(
    size: Size, facing: Mapping[FaceKey, int], sure: Mapping[FaceKey, Ways], asked: list[Asked], style: Style
) -> Size:
    """A size that is not sure which way its ends face, turned as the sure ones have it; a centre stays one.

    Where they have its ends face opposite ways, it is asked what lies between them if they carry stock: whether stock
    makes the size larger or moves it hangs on that.
    """
    if size.sure:
        return size

    def turned(face: Face) -> Face:
        return replace(face, facing=facing.get(face.key, face.facing)) if face.facing else face

    if not size.same_way or size.a is None:
        return replace(size, a=None if size.a is None else turned(size.a), b=turned(size.b))
    ways = [facing.get(face.key) for face in size.faces]
    known = {way for way in ways if way is not None}
    if len(known) == 2 and not any(face.stock_mm for face in size.faces):  # a place after all: nothing hangs on it
        return replace(size, a=turned(size.a), b=turned(size.b))
    if len(known) == 2:
        others = tuple(sure[face.key][facing[face.key]][0][0] for face in size.faces)
        asked.append(
            Asked(
                "facing",
                (size.name, *others),
                f"{size.name} says that both its ends face the same way, but {others[0]} and {others[1]} have them "
                f"face opposite ways: say whether metal or space lies between the ends of {size.name}",
            )
        )
        return size
    way = known.pop() if known else size.b.facing
    return replace(size, a=replace(size.a, facing=way), b=replace(size.b, facing=way))


def _two_ways(ways: Ways, style: Style) -> Asked:
    up, down = ways[1][0], ways[-1][0]
    axis = up[1].axis
    return Asked(
        "facing",
        tuple(name for way in (1, -1) for name, _ in ways[way]),
        f"{up[0]} says that the metal ends at {up[1].said(style)} towards +{axis}, {down[0]} says towards -{axis}: "
        f"one of the two has metal and space the wrong way round, or they end on two faces (then say at both where "
        f"across {axis} they are taken)",
    )


def _stock(known: Face, face: Face, name: str, sizes: Sequence[Size], style: Style) -> Asked:
    first = next(size.name for size in sizes if any(f.key == face.key for f in size.faces))
    here, there = style.given(known.stock_mm, unit=False), style.given(face.stock_mm, unit=False)
    return Asked(
        "stock",
        (first, name),
        f"{first} says {here} of stock on {face.said(style)}, {name} says {there}: a face has one stock; "
        "put right the one that is wrong",
    )


def _places(size: Size, style: Style) -> list[Asked]:
    if size.a is None or size.a.place_mm is None or size.b.place_mm is None:
        return []
    apart = size.b.place_mm - size.a.place_mm
    if abs(apart - size.mm) <= SIZE_SLACK_MM:
        return []
    text = (
        f"the ends of {size.name} stand {style.length(apart, unit=False)} apart as cast, its size as cast is "
        f"{style.length(size.mm, unit=False)}: one of the two places or the size is wrong"
    )
    return [Asked("place", (size.name,), text)]
