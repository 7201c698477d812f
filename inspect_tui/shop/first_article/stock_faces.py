"""The machined faces of a sampling's castings, each once, and where each stands by the readings of its casting.

Every size that was read has its say, not only those that end at a machined face: a face that only a thickness from
another face reaches hangs on whatever ties that one. Where the notes say where across the axis a size was taken, a face
is looked at there: a casting that hangs has more stock at one end of it than at the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen_by_name, replace
from inspect_tui.metrology.faces.face import Face, FaceKey, Size, join
from inspect_tui.metrology.faces.stock import StockPoint
from inspect_tui.metrology.faces.stock_places import LOOSE_MM, Placed, placed
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.first_article.castings import geometry
from inspect_tui.shop.first_article.castings.geometry import LEFT_OUT, sizes
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.whole import read_on, whole

if TYPE_CHECKING:
    from inspect_tui.metrology.faces.adjust import Adjusted
    from inspect_tui.shop.first_article.castings.tools_then import ToolLog

AXES = "xyz"


@frozen_by_name
class MachinedFace:
    """A face with stock at one place, and the feature that it is called by: one that measures it from the datum first.

    `spot` is where across its axis it is looked at, as far as the notes say. `features` are all that end there.
    """

    face: Face
    feature: Feature
    from_datum: bool
    spot: tuple[tuple[str, float], ...]
    features: tuple[Feature, ...]
    name: str  # of its feature; where that has stock on both ends, with the end

    @property
    def is_placed(self) -> bool:
        """Whether the drawing says where along its axis it stands."""
        return self.face.place_mm is not None


class StockFaces(NamedTuple):
    """The faces with stock, the sizes that tell where faces are, the faces of the datum, and what cannot be told."""

    machined: tuple[MachinedFace, ...]
    sizes: tuple[Size, ...]
    feature: dict[str, Feature]  # by the name of a size
    datums: tuple[Face, ...]
    reference: str  # the part that carries them
    told: tuple[str, ...]


@frozen_by_name
class Standing:
    """The machined faces of one casting as points: `points` of one body, `loose` by themselves, and what is missing.

    `cov` is of the stock at `points`, mm2; of each of the `loose` groups its own.
    """

    points: tuple[StockPoint, ...]
    cov: tuple[tuple[float, ...], ...]
    tied: tuple[bool, ...]
    loose: tuple[tuple[tuple[StockPoint, ...], tuple[tuple[float, ...], ...]], ...]
    missing: tuple[str, ...]
    face: dict[str, str]  # by the name of a point: its face in the network


# ------------------------------------------------------------------------------ once a sampling
def stock_faces(sampling: Sampling) -> StockFaces:
    """Every face with stock once at each place, and all sizes along X, Y and Z with their faces."""
    reference = geometry.reference(sampling)
    told, lengths = [], {}
    for feature in sampling.features:
        if _is_length(feature):
            lengths[feature.balloon] = feature
        elif any(end.stock_mm for end in feature.ends):
            told.append(f"{feature.balloon}: its stock is not along X, Y or Z")
    joined = join([_spotted(size, reference) for size in sizes(sampling, lengths.values())], sampling.style)
    datums = tuple(face for face in joined.faces if _is_datum(face, reference))
    return StockFaces(
        machined=tuple(_machined(joined.sizes, lengths, datums, sampling.style)),
        sizes=joined.sizes,
        feature=lengths,
        datums=datums,
        reference=reference,
        told=tuple(told),
    )


def _is_length(feature: Feature) -> bool:
    """Whether it lies along X, Y or Z, or is round or aslant and machined on both sides, which share what is there."""
    if is_angle(feature) or feature.quantity in LEFT_OUT:
        return False
    if len(feature.ends) != 2:
        return bool(feature.ends) and feature.axis in AXES
    a, b = feature.ends
    return feature.axis in AXES or bool(a.stock_mm and b.stock_mm and a.facing != b.facing)


def _spotted(size: Size, reference: str) -> Size:
    """The size with faces where it was taken: of a casting that hangs they do not stand alike at every spot.

    One that lies along no axis is looked at by itself, along any.
    """

    def of(face: Face) -> Face:
        if face.axis not in AXES:
            return replace(face, axis="x", place_mm=None, spot=face.spot or f"{size.name} {face.facing}")
        if _is_datum(face, reference) or not size.across or face.place_mm is None:
            return face
        return replace(face, spot="at " + ", ".join(f"{axis} {MM.given(mm, unit=False)}" for axis, mm in size.across))

    return replace(size, a=None if size.a is None else of(size.a), b=of(size.b))


def _is_datum(face: Face, reference: str) -> bool:
    """Only the reference part's surface at 0 is the datum; the other half's lies there as drawn."""
    return face.maker == reference and face.place_mm == 0.0 and not face.stock_mm


def _machined(
    sizes: Iterable[Size], feature_of: dict[str, Feature], datums: tuple[Face, ...], style: Style
) -> list[MachinedFace]:
    held = {face.key for face in datums}
    by_face: dict[FaceKey, list[tuple[Size, Face]]] = {}
    for size in sizes:
        for face in size.faces:
            if face.stock_mm:
                by_face.setdefault(face.key, []).append((size, face))
    out = []
    for rows in by_face.values():
        from_datum = [row for row in rows if row[0].a is None or any(f.key in held for f in row[0].faces)]
        size, face = (from_datum or rows)[0]
        out.append(
            MachinedFace(
                face=face,
                feature=feature_of[size.name],
                from_datum=bool(from_datum),
                spot=size.across,
                features=tuple(feature_of[row[0].name] for row in rows),
                name=_name(feature_of[size.name], size, face, style),
            )
        )
    # where a face is told at some places from the datum, sizes from elsewhere that end there add no place to look at
    known = {_level(one.face) for one in out if one.from_datum}
    return [one for one in out if one.from_datum or _level(one.face) not in known]


def _level(face: Face) -> FaceKey:
    """The face whatever the spot on it; without a place on the drawing it is but itself."""
    return face.key if face.place_mm is None else replace(face, spot="").key


def _name(feature: Feature, size: Size, face: Face, style: Style) -> str:
    name = f"{feature.balloon} {feature.name}"
    if not all(end.stock_mm for end in size.faces) or size.a is None:
        return name
    if face.place_mm is None:
        return f"{name} end {'A' if face is size.a else 'B'}"
    return f"{name} at {feature.axis.upper()} {style.given(face.place_mm, unit=False)}"


# ------------------------------------------------------------------------------ one casting
def standing(
    sampling: Sampling, faces: StockFaces, item: Item, required: float, network: Callable[[], Adjusted | None]
) -> Standing:
    """The machined faces of a casting where its readings put them; faces that were not measured are named.

    `network` gives what `adjusted` makes of all castings and tools. It is asked where pieces stand that no reading of
    the casting ties to the datum.
    """
    read, shared = read_on(sampling, faces.feature, item)
    where = placed(faces.sizes, read, faces.datums, shared_u=shared)
    if any(f.place_mm is not None and not on for f, on in zip(where.faces, where.tied, strict=True)):
        where = placed(faces.sizes, read, faces.datums, _ties(network(), where, item.serial), shared)
    missing: list[str] = []
    main: list[tuple[MachinedFace, int]] = []
    loose: dict[int, list[tuple[MachinedFace, int]]] = {}
    for machined in faces.machined:
        k = where.number(machined.face)
        if k is None:
            missing.append(_missing(sampling, machined, item))
        elif machined.is_placed or where.tied[k]:
            main.append((machined, k))
        else:
            loose.setdefault(where.piece[k], []).append((machined, k))
    points = tuple(_point(machined, where.off_mm[k], where.cov[k][k], required) for machined, k in main)
    return Standing(
        points=points,
        cov=_cov(where, main),
        tied=tuple(where.tied[k] for _, k in main),
        loose=tuple(_by_itself(where, rows, required) for rows in loose.values()),
        missing=tuple(missing),
        face={machined.name: machined.face.name for machined in faces.machined},
    )


def adjusted(sampling: Sampling, faces: StockFaces, log: ToolLog | None = None) -> Adjusted | None:
    """The network of all faces with what was read on every casting and on the tools; None where it cannot be one."""
    try:
        return whole(sampling, faces.sizes, faces.feature, log)
    except DataError:
        return None  # what contradicts itself is asked about where the drawing is; here each piece stands as drawn


def _ties(network: Adjusted | None, where: Placed, serial: str) -> dict[int, Estimate]:
    """How far the middle of each piece off the datum stands off its drawn place, with what tools and the rest say."""
    ties: dict[int, Estimate] = {}
    if network is None:
        return ties
    for number in set(where.piece):
        mine = [f for f, n in zip(where.faces, where.piece, strict=True) if n == number and f.place_mm is not None]
        datum = network.network.datum_of(mine[0].axis) if mine else ""
        if len(mine) != where.piece.count(number) or datum not in network.network.number:
            continue
        mean, cov = network.joint([(datum, face) for face in mine], serial)
        drawn = sum(face.place_mm or 0.0 for face in mine) / len(mine)
        ties[number] = Estimate(float(mean.mean()) - drawn, min(float(cov.mean()) ** 0.5, LOOSE_MM))
    return ties


def _missing(sampling: Sampling, machined: MachinedFace, item: Item) -> str:
    doubted = next((f for f in machined.features if sampling.cell(f, item).question is not None), None)
    if doubted is not None:
        return f"{doubted.balloon} on {item.serial}: its reading is in question"
    return f"{machined.feature.balloon} on {item.serial}: not measured"


def _point(machined: MachinedFace, off_mm: float, variance: float, required: float) -> StockPoint:
    face, at = machined.face, dict.fromkeys(AXES, 0.0)
    at[face.axis] = face.place_mm or 0.0
    at.update(machined.spot)
    x, y, z = (float(face.facing) if axis == face.axis else 0.0 for axis in AXES)
    return StockPoint(
        name=machined.name,
        at=(at["x"], at["y"], at["z"]),
        normal=(x, y, z),
        stock_mm=face.stock_mm + face.facing * off_mm,
        required_mm=required,
        u_mm=sqrt(variance),
        known=face.axis + "".join(axis for axis, _ in machined.spot),
    )


def _cov(where: Placed, rows: list[tuple[MachinedFace, int]]) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(one.face.facing * other.face.facing * where.cov[i][j] for other, j in rows) for one, i in rows)


def _by_itself(
    where: Placed, rows: list[tuple[MachinedFace, int]], required: float
) -> tuple[tuple[StockPoint, ...], tuple[tuple[float, ...], ...]]:
    """Faces of a size whose ends nobody placed: both sides share what is there, or its other end is what holds it."""
    points = [_point(machined, where.off_mm[k], where.cov[k][k], required) for machined, k in rows]
    cov = _cov(where, rows)
    if len(rows) == 1:
        machined, k = rows[0]
        other = next(n for n, piece in enumerate(where.piece) if piece == where.piece[k] and n != k)
        variance = where.cov[k][k] + where.cov[other][other] - 2.0 * where.cov[k][other]
        points = [_point(machined, where.off_mm[k] - where.off_mm[other], variance, required)]
        cov = ((variance,),)
    return tuple(points), cov
