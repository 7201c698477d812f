"""Geometrical tolerances of a sampling: computed from the sizes that were read, else as somebody looked at them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.form import geometrical
from inspect_tui.metrology.form.geometrical import Spot, Zone
from inspect_tui.metrology.judge import position
from inspect_tui.metrology.judge.verdict import Verdict, judge
from inspect_tui.model.signed import Geometry, GeometryCheck
from inspect_tui.model.words import Band, Id
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common.drawing_notes import is_angle, places_of
from inspect_tui.shop.common.geometry.tolerances import WORDS, balloons
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.result import Cell, GeometryCell, GeometryLine

NOT_LOOKED_AT = "not looked at yet"
ORDER = (
    Standing.DOES_NOT_CONFORM,
    Standing.UNDECIDED,
    Standing.IN_QUESTION,
    Standing.TO_MEASURE,
    Standing.CONFORMS,
    Standing.NOT_MEASURABLE,
)


@frozen_by_name
class _Read:
    """A size on one casting with where across its axis it was taken."""

    feature: Feature
    cell: Cell
    places: dict[str, float]
    u: float


def geometry_lines(sampling: Sampling) -> tuple[GeometryLine, ...]:
    """Every geometrical tolerance of the job on every casting of the sampling."""
    return tuple(geometry_line(sampling, asked) for asked in sampling.geometries)


def geometry_line(sampling: Sampling, asked: Geometry) -> GeometryLine:
    """One geometrical tolerance on every casting: as somebody looked at it, else as it is computed."""
    checks = {check.item_id: check for check in sampling.looks if check.geometry_of_id == asked.of_id}
    people = sampling.initials
    cells = tuple(
        _looked(item, checks[item.id], people) if item.id in checks else cell(sampling, asked, item)
        for item in sampling.castings
    )
    answers = {one.answer for one in cells}
    return GeometryLine(
        balloon=asked.balloon,
        name=asked.name,
        what=asked.what,
        tolerance=asked.tolerance_mm,
        round=asked.round,
        datums=asked.datums,
        state=asked.state,
        how=how(asked),
        answer=next((answer for answer in ORDER if answer in answers), Standing.TO_MEASURE),
        cells=cells,
        sheet=asked.sheet,
        zone=asked.zone,
        characteristic=asked.characteristic,
    )


def _looked(item: Item, check: GeometryCheck, people: Mapping[Id, str]) -> GeometryCell:
    accepted = "accepted" if check.accepted else "not accepted"
    return GeometryCell(
        serial=item.serial,
        answer=Standing.CONFORMS if check.accepted else Standing.DOES_NOT_CONFORM,
        by=people.get(check.person_of_id, "?"),
        at=check.on_date,
        method=f"{check.method}: {accepted}" + (f", {check.words}" if check.words else ""),
    )


def how(asked: Geometry) -> str:
    """From what it is computed, in words."""
    sizes = balloons(asked.sizes)
    if not sizes:
        return "looked at by another way than sizes"
    told = f"from {', '.join(sizes)}"
    if asked.what == "position":
        return f"{told}: twice the distance from the true position" + (", a diameter" if asked.round else "")
    if asked.what in ("line_profile", "surface_profile"):
        return f"{told}: twice the largest deviation from the true profile"
    datum = balloons(asked.datum_sizes)
    return f"{told}, narrowest zone" + (f", datum from {', '.join(datum)}" if datum else "")


def cell(sampling: Sampling, asked: Geometry, item: Item, *, found: bool = False) -> GeometryCell:
    """One geometrical tolerance on one casting; `found`: as it was before anything was reworked."""
    names = balloons(asked.sizes)
    if not names:
        return GeometryCell(serial=item.serial, answer=Standing.TO_MEASURE, reason=NOT_LOOKED_AT)
    try:
        sizes = [_read(sampling, asked, item, name, found) for name in names]
        datum = [_read(sampling, asked, item, name, found) for name in balloons(asked.datum_sizes)]
        lacking = [one.feature.balloon for one in (*sizes, *datum) if one.cell.value is None]
        if lacking:
            why = f"{', '.join(dict.fromkeys(lacking))} not measured"
            return GeometryCell(serial=item.serial, answer=Standing.TO_MEASURE, reason=why)
        asking = [one.feature.balloon for one in (*sizes, *datum) if one.cell.question]
        if asking:
            why = f"{', '.join(dict.fromkeys(asking))} in question"
            return GeometryCell(serial=item.serial, answer=Standing.IN_QUESTION, reason=why)
        verdict = _judged(sampling, asked, sizes, datum)
    except InspectError as problem:
        why = f"cannot be computed: {str(problem).rstrip('.')}"
        return GeometryCell(serial=item.serial, answer=Standing.TO_MEASURE, reason=why)
    last = max((one.cell for one in sizes), key=lambda read: read.at or "")
    off = tuple((one.feature.balloon, one.cell.deviation or 0.0) for one in sizes)
    return GeometryCell(
        serial=item.serial,
        answer=Standing(verdict.answer),
        value=verdict.value,
        u=verdict.u,
        U=2.0 * verdict.u,
        p_conform=verdict.p_conform,
        off=off if asked.what == "position" else (),
        by=last.by,
        at=last.at,
    )


def _read(sampling: Sampling, asked: Geometry, item: Item, balloon: str, found: bool) -> _Read:
    feature = sampling.feature(balloon)
    if is_angle(feature):
        raise DataError(f"{feature.balloon} is no length")
    if not feature.nominal_known:
        raise DataError(f"the true size of {feature.balloon} is not known")
    look = sampling.found if found else sampling.cell
    read = look(feature, item, asked.state)
    # twice this is the U that is printed beside the size: what few readings speak for is carried on
    return _Read(feature=feature, cell=read, places=places_of(feature), u=(read.U or 0.0) / 2.0)


def _judged(sampling: Sampling, asked: Geometry, sizes: Sequence[_Read], datum: Sequence[_Read]) -> Verdict:
    rule = sampling.job.rule
    if asked.what == "position":
        axes = [one.feature.axis for one in sizes]
        if len(set(axes)) < len(axes) or not {*axes} <= {*"xyz"}:
            raise DataError("the coordinates of a position run along axes of their own")
        return position.judged([(one.cell.deviation or 0.0, one.u) for one in sizes], asked.tolerance_mm, rule)
    zone = _zone(asked, sizes, datum)
    return judge(zone.width, zone.u, Band(None, asked.tolerance_mm, asked.what), rule)


def _zone(asked: Geometry, sizes: Sequence[_Read], datum: Sequence[_Read]) -> Zone:
    if asked.what in ("line_profile", "surface_profile"):
        return geometrical.profile([Spot(0.0, 0.0, one.cell.deviation or 0.0, one.u) for one in sizes])
    axis = _one_axis(sizes, "sizes")
    across = [other for other in "xyz" if other != axis]
    if asked.what == "parallelism":
        if datum and _one_axis(datum, "datum sizes") != axis:
            raise DataError("a datum that a surface is parallel to is read along the same axis")
        places = across if datum else []
        return geometrical.parallelism(_spots(sizes, places), _spots(datum, places))
    if asked.what == "flatness":
        return geometrical.flatness(_spots(sizes, across))
    if asked.what == "straightness":
        return geometrical.straightness(_spots(sizes, [_longest(sizes, across)]))
    if asked.what == "perpendicularity":
        return _square(asked, sizes, datum, axis, across)
    raise DataError(f"{WORDS[asked.what]} is looked at by another way: say how, and whether it was accepted")


def _square(asked: Geometry, sizes: Sequence[_Read], datum: Sequence[_Read], axis: str, across: Sequence[str]) -> Zone:
    """Square to a datum: its normal is the axis of its own sizes, else the one axis along which the places differ."""
    if datum:
        up = _one_axis(datum, "datum sizes")
        if up == axis:
            raise DataError("a datum that a surface is square to is read along another axis")
    else:
        differ = [along for along in across if len({one.places.get(along) for one in sizes}) > 1]
        if len(differ) != 1:
            raise DataError("say the sizes of the datum: the places do not tell which way is up from it")
        up = differ[0]
    (beside,) = (along for along in across if along != up)
    known = all(beside in one.places for one in sizes)
    turns = known and len((asked.datums or "").split()) < 2
    spots = _spots(sizes, [up, beside] if known else [up])
    if not datum:
        return geometrical.perpendicularity(spots, turns=turns)
    # the datum leans along the axis that is read: its places along it stand first
    return geometrical.perpendicularity(spots, _spots(datum, [axis, beside]), turns=turns)


def _one_axis(sizes: Sequence[_Read], what: str) -> str:
    axes = {one.feature.axis for one in sizes}
    if len(axes) != 1 or not axes <= {*"xyz"}:
        raise DataError(f"the {what} do not run along one axis")
    return axes.pop()


def _longest(sizes: Sequence[_Read], across: Sequence[str]) -> str:
    """The axis along which the places lie apart the farthest."""

    def spread(along: str) -> float:
        places = [one.places[along] for one in sizes if along in one.places]
        return max(places) - min(places) if len(places) == len(sizes) else -1.0

    return max(across, key=spread)


def _spots(sizes: Sequence[_Read], places: Sequence[str]) -> list[Spot]:
    lacking = [one.feature.balloon for one in sizes if not {*places} <= {*one.places}]
    if lacking:
        raise DataError(f"where {', '.join(lacking)} is taken is not said ({' and '.join(places)})")
    spots = []
    for one in sizes:
        x, y = [*(one.places[along] for along in places), 0.0, 0.0][:2]
        spots.append(Spot(x, y, one.cell.deviation or 0.0, one.u))
    return spots
