"""Will every machined face clean up: stock on each face of each casting from its readings, and how to set it up.

A face's place is taken from the feature that measures it from the datum; where only a size between two other faces
holds it, that face is taken to be where the drawing says and the doubt of it is added. The casting may be shifted
along an axis only where machined faces look both ways along it: otherwise the datums hold it. It is turned only where
shifts alone leave it in doubt, and only as the places in the features' notes can answer for; the turn is told as what
the datum targets are raised by, and what is held still is said.
"""

from __future__ import annotations

from math import degrees, hypot, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.work import End, Feature, Item
from inspect_tui.shop.common.drawing_notes import places_of
from inspect_tui.shop.first_article.castings.evidence import reference_part
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.findings import Stock, StockFace, StockLine
from inspect_tui.shop.first_article.result import Cell

if TYPE_CHECKING:
    from inspect_tui.metrology.faces.stock import SetUp, SetUpLimits, StockPoint

REQUIRED_MM = 1.0  # least stock that cleans a cast face up in one cut: common practice, no source
SURE = 0.95  # probability to clean up above which nobody turns a casting off its datum: chosen here, no source
TURN_WORTH = 0.05  # mm that a turn has to gain: shims are set no closer than that. Chosen here, no source
AXES = "xyz"


@frozen
class MachinedFace:
    """A face with stock, and a feature that tells where it is; `from_datum` False: through another face."""

    feature: Feature
    end: End
    axis: str
    from_datum: bool


@frozen
class HeldBy:
    """What holds the casting: its datum targets, the axis of the primary datum (the one with most), their middles."""

    targets: tuple[DatumTarget, ...]
    primary: str | None
    middles: tuple[tuple[float | None, ...] | None, ...]  # along x, y, z: of the targets that hold that axis


def held_by(sampling: Sampling) -> HeldBy:
    """The datum targets of the job, as far as their places are recorded."""
    targets = sampling.facts.datum_targets
    rows = [[t for t in targets if t.axis == axis] for axis in AXES]
    most = max(len(row) for row in rows)
    primary = next(
        (t.axis for t in sorted(targets, key=lambda t: t.label) if len(rows[AXES.index(t.axis)]) == most), None
    )
    return HeldBy(tuple(targets), primary, tuple(_middle(row) if row else None for row in rows))


def _place(target: DatumTarget) -> tuple[float | None, float | None, float | None]:
    return target.x_mm, target.y_mm, target.z_mm


def _middle(row: list[DatumTarget]) -> tuple[float | None, ...]:
    columns = zip(*(_place(target) for target in row), strict=True)
    return tuple(None if None in column else sum(c or 0.0 for c in column) / len(row) for column in columns)


def machined_faces(sampling: Sampling) -> tuple[list[MachinedFace], list[str]]:
    """Each face with stock once at each place, by the feature that tells where it is best; and what cannot be told."""
    best: dict[tuple[str, str, float | None, str], dict[tuple[tuple[str, float], ...], MachinedFace]] = {}
    told: list[str] = []
    reference = reference_part(sampling)
    for feature in sampling.features:
        for end in feature.ends:
            if not end.stock_mm:
                continue
            if feature.axis not in AXES or len(feature.ends) != 2:
                told.append(f"{feature.balloon}: its stock is not along X, Y or Z")
                continue
            other = next(e for e in feature.ends if e is not end)
            part = sampling.part(end)
            # only the reference part's surface at 0 is the datum; the other half's lies there as drawn
            from_datum = other.coord_mm == 0.0 and not other.stock_mm and sampling.part(other) == reference
            key = (part, feature.axis, end.coord_mm, "" if end.coord_mm is not None else feature.balloon)
            spots = best.setdefault(key, {})
            if from_datum and any(not face.from_datum for face in spots.values()):
                spots.clear()
            if from_datum or not any(face.from_datum for face in spots.values()):
                spots.setdefault(_spot(feature), MachinedFace(feature, end, feature.axis, from_datum))
    return [face for spots in best.values() for face in spots.values()], told


def _spot(feature: Feature) -> tuple[tuple[str, float], ...]:
    """Where in the plane of its face it is taken, as far as its note says."""
    return tuple(sorted((axis, mm) for axis, mm in places_of(feature).items() if axis != feature.axis))


def _point(sampling: Sampling, face: MachinedFace, cell: Cell, required: float) -> StockPoint:
    from inspect_tui.metrology.faces.stock import StockPoint

    feature, end = face.feature, face.end
    assert cell.value is not None and cell.u is not None
    # by how much this face stands outside its finished place: the size's error goes to it, the other end is as drawn
    outward = 1.0 if end is feature.ends[-1] else -1.0
    as_cast = sampling.sizes(feature).as_cast
    left = end.stock_mm + outward * end.facing * (cell.value - as_cast)
    u = cell.u if face.from_datum else hypot(cell.u, _doubt(sampling, feature))
    at = {axis: 0.0 for axis in AXES}
    at[face.axis] = end.coord_mm if end.coord_mm is not None else outward * as_cast / 2.0
    spot = dict(_spot(feature))
    at.update(spot)
    x, y, z = (float(end.facing) if axis == face.axis else 0.0 for axis in AXES)
    return StockPoint(
        name=f"{feature.balloon} {feature.name}",
        at=(at["x"], at["y"], at["z"]),
        normal=(x, y, z),
        stock_mm=left,
        required_mm=required,
        u_mm=u,
        known=face.axis + "".join(spot),
    )


def _doubt(sampling: Sampling, feature: Feature) -> float:
    """Standard uncertainty of where the other face is, when only the drawing says: the band of this size."""
    width = sampling.sizes(feature).band.width
    return width / (2.0 * sqrt(3.0)) if width is not None else 0.5


def stock(sampling: Sampling, required: float = REQUIRED_MM) -> Stock:
    """Stock and set-up of every casting; faces that were not measured are named, not guessed."""
    faces, told = machined_faces(sampling)
    if not faces:
        return Stock((), ("No feature has machining stock.",))
    lines, still = [], {}
    held = held_by(sampling)
    for item in sampling.castings:
        line, missing, turns = _casting(sampling, item, faces, required, held)
        told += missing
        if line is not None:
            lines.append(line)
            still[item.serial] = turns
    return Stock(tuple(lines), (*dict.fromkeys(told), *_still(still)))


def _still(by_casting: dict[str, list[str]]) -> list[str]:
    """Why castings are not turned; what is true of all of them is said once."""
    on: dict[str, list[str]] = {}
    for serial, words in by_casting.items():
        for said in words:
            on.setdefault(said, []).append(serial)
    return [
        said if len(serials) == len(by_casting) else f"{', '.join(serials)}: {said}" for said, serials in on.items()
    ]


def _casting(
    sampling: Sampling, item: Item, faces: list[MachinedFace], required: float, held: HeldBy
) -> tuple[StockLine | None, list[str], list[str]]:
    """One casting; beside it what was not measured, and, where it is in doubt, which turns are held still and why."""

    from inspect_tui.metrology.faces.stock import SetUpLimits, best_set_up
    from inspect_tui.metrology.faces.stock_turns import free_turns, held_words

    points, missing = [], []
    for face in faces:
        cell = sampling.cell(face.feature, item)
        if cell.value is None:
            missing.append(f"{face.feature.balloon} on {item.serial}: not measured")
        elif cell.question is not None:
            missing.append(f"{face.feature.balloon} on {item.serial}: its reading is in question")
        else:
            points.append(_point(sampling, face, cell, required))
    if not points:
        return None, missing, []
    shift: list[tuple[float, float] | None] = []
    for n in range(3):
        ways = {p.normal[n] > 0 for p in points if p.normal[n]}
        shift.append(None if len(ways) == 2 else (0.0, 0.0))
    limits = SetUpLimits(tuple(shift), ((0.0, 0.0),) * 3)
    told = []
    try:
        set_up = shifted = best_set_up(points, limits)
        if shifted.p_cleans_up < SURE:  # a turn takes the casting off its datum: not looked for where shifts will do
            limits, still = free_turns(points, shift, held.middles)
            turned = best_set_up(points, limits)
            if turned.spare_mm >= shifted.spare_mm + TURN_WORTH and turned.p_cleans_up > shifted.p_cleans_up:
                set_up = turned
            if set_up.p_cleans_up < SURE:
                still = tuple(replace(turn, names=tuple(name.split()[0] for name in turn.names)) for turn in still)
                told = held_words(still)
    except DataError as problem:
        return None, [*missing, f"{item.serial}: {problem}"], []
    targets, unplaced = _targets(sampling, item, set_up, held)
    if unplaced:
        missing.append(f"{item.serial}: how much to raise {', '.join(unplaced)}, as its place is not recorded")
    words = _words(sampling, item, points, limits, set_up, shifted, targets, held)
    u = {p.name: p.u_mm for p in points}
    return (
        StockLine(
            serial=item.serial,
            cleans_up=set_up.cleans_up,
            spare=set_up.spare_mm,
            spare_as_it_stands=set_up.spare_before_mm,
            u=set_up.u_mm,
            p_cleans_up=set_up.p_cleans_up,
            binding=set_up.binding,
            shift_mm=set_up.shift_mm,
            turn_rad=set_up.turn_rad,
            sentence=f"Casting {item.serial}: {words}",
            faces=tuple(
                StockFace(
                    name=f.name,
                    before=f.before_mm,
                    after=f.after_mm,
                    required=f.required_mm,
                    share=f.share,
                    u=u[f.name],
                )
                for f in set_up.faces
            ),
            targets=targets,
        ),
        missing,
        told,
    )


def _targets(
    sampling: Sampling, item: Item, set_up: SetUp, held: HeldBy
) -> tuple[tuple[tuple[str, float], ...], list[str]]:
    """By how much each target of the primary datum is raised, re-aligning included; and those nobody can tell of."""
    told, unplaced = [], []
    for target in held.targets:
        if target.axis != held.primary:
            continue
        n, place = AXES.index(target.axis), _place(target)
        arms = [k for k in range(3) if k != n and abs(set_up.turn_rad[3 - k - n]) > 0.0]
        # a casting that was turned back has its stock told as it then stands: the targets must come along
        turned = [turn for turn in sampling.realigned(item) if turn.axis == target.axis]
        arms += [AXES.index(turn.along) for turn in turned]
        if any(place[k] is None for k in arms):
            unplaced.append(target.label)
            continue
        x, y, z = (c or 0.0 for c in place)
        mm = set_up.moved((x, y, z))[n]
        mm -= sum(turn.slope * ((x, y, z)[AXES.index(turn.along)] - turn.pivot_mm) for turn in turned)
        told.append((target.label, mm + 0.0))
    return tuple(told), unplaced


def _words(
    sampling: Sampling,
    item: Item,
    points: list[StockPoint],
    limits: SetUpLimits,
    set_up: SetUp,
    shifted: SetUp,
    targets: tuple[tuple[str, float], ...],
    held: HeldBy,
) -> str:
    """What the machinist is told of one casting."""
    from inspect_tui.metrology.faces.stock_turns import set_up_words

    style = sampling.style
    text = set_up.verdict(style)
    turned = sampling.realigned(item)
    if set_up.helps or any(turn.axis == held.primary for turn in turned):
        spans = []
        for k in range(3):
            places = [_place(t)[k] for t in held.targets] + [p.at[k] for p in points if AXES[k] in p.known]
            known = [mm for mm in places if mm is not None]
            spans.append(max(known) - min(known) if known else 0.0)
        text += f" Set up: {set_up_words(set_up, limits, targets, held.primary if targets else None, spans, style)}."
    if turned:
        text += f" Its heights count as re-aligned ({turned[-1].why}): what that takes is in the set-up."
    if set_up is not shifted:
        lean = shifted.spare_mm
        by = style.length(lean if lean >= 0.005 else max(-lean, 0.0), unit=False)
        without = f"only {by} would be to spare" if lean >= 0.005 else f"{by} would be lacking"
        text += f" Not turned, {without}."
        most = max(pair[1] for pair in limits.turn if pair)
        if any(abs(abs(w) - most) < 1e-7 for w in set_up.turn_rad):
            text += (
                f" It is turned by {style.figure(degrees(most))} deg, as far as a set-up is reckoned here: turned "
                "further, more stock would be left."
            )
    return text
