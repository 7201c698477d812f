"""[[seat]]: a print or key, the seat that takes it and their fit in one line, read and written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.kit import fits as fits_
from inspect_tui.metrology.kit.setting import DIRECTIONS, TURNS
from inspect_tui.metrology.sizes.tolerance_text import parse_band, typed_again
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import FIT_AXES, FIT_KINDS, HALVES, WAYS_IN, Band, Id
from inspect_tui.model.work import Core, End, Feature, Job
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs.file import values
from inspect_tui.shop.jobs.file.mistakes import Row
from inspect_tui.shop.jobs.file.tooling import core_number

SEAT = (
    "label",
    "place",
    "kind",
    "core",
    "in",
    "axis",
    "size",
    "clearance",
    "clearance_limits",
    "clearance_source",
    "at",
    "holds",
    "way",
    "points",
    "lift",
    "blocked_by",
    "count",
    "mark",
    "print",
    "seat",
    "gap",
    "print_limits",
    "seat_limits",
    "note",
    "picture",
)
STATED = "stated by the shop"
NO_BAND = "none stated"
DIRECTION_WORDS = (*DIRECTIONS, *TURNS, "x", "y", "z")


@frozen
class Part:
    """What one side of a fit is: a core (None where it is named wrongly) or a mould half."""

    core: Core | None
    half: str | None

    @property
    def words(self) -> str:
        """`core 4`, `drag`."""
        return self.half or (f"core {self.core.number}" if self.core else "?")


@frozen
class Seated:
    """A fit with the print and the seat that its line makes; those that stand elsewhere are not made."""

    fit: Fit
    made: tuple[Feature, ...]


def part(row: Row, key: str, cores: Mapping[int, Core | None]) -> Part | None:
    """Which core or half a value names; None, told as a mistake, where it names none."""
    words = str(row[key]).casefold().strip()
    if words in HALVES:
        return Part(None, words)
    number = core_number(words)
    if isinstance(number, Wrong):
        row.wrong(key, f"'{row[key]}' is neither cope nor drag nor core N")
        return None
    if number not in cores:
        row.wrong(key, f"there is no [[core]] with number {number}")
    core = cores.get(number)
    return Part(core, None) if core else None


def seat(
    row: Row,
    job: Job,
    revision_id: Id,
    cores: Mapping[int, Core | None],
    features: Mapping[str, Feature | None],
) -> Seated | None:
    """A [[seat]]; None where it cannot be made: a mistake says why. `features` by the key of their balloon."""
    label = row.text("label", 40)
    if not label:
        row.lacks('[[seat]] needs a label, such as "K7-1"', "label")
        return None
    row.who = f"seat {label}"
    before = len(row.mistakes)
    label, place = split(label) if "place" not in row else (label, row.words("place", 20))
    if len(label) > 20 or len(place or "") > 20:
        row.wrong("label", "its label and its place have at most 20 letters each")
    for key, such in (("core", "core = 7"), ("in", 'in = "core 4"')):
        if key not in row:
            row.lacks(f"{row.who} says {'which core goes in' if key == 'core' else 'what it sits in'}: {such}", key)
    inner = part(row, "core", cores) if "core" in row else None
    outer = part(row, "in", cores) if "in" in row else None
    if inner and outer and inner == outer:
        row.wrong("in", f"{outer.words} cannot sit in itself: say what it sits in")
    kind = row.take("kind", lambda v: fields.choice(v, FIT_KINDS, "the kind"), "print")
    axis = row.take("axis", lambda v: fields.choice(v, FIT_AXES, "the axis"), "x")
    named = {key: _balloon(row, key, features) for key in ("print", "seat", "gap")}
    size = row.maybe("size", fields.size)
    clear = row.maybe("clearance", fields.size)
    holds = row.words("holds", 40)
    for word in (holds or "").replace(",", " ").split():
        if word not in DIRECTION_WORDS:
            row.wrong("holds", f"'{word}' is no direction; use x, y+, z-, rx and so on")
    at = row.maybe("at", values.place) or {}
    blocked = _blocked(row, cores)
    reference = size or next((f.nominal for f in (named["print"], named["seat"]) if f), None)
    limits = _clearance_limits(row, kind, outer, reference)
    if inner is None or outer is None or limits is None or len(row.mistakes) > before:
        return None
    made: dict[str, Feature] = {}
    fit_name = f"{label}-{place}" if place else label
    opening = None if size is None or clear is None else size + clear
    for key, side, mm in (("print", inner, size), ("seat", outer, opening)):
        if named[key] is None and mm is not None and named["gap"] is None:
            feature = _side(row, key, fit_name, side, inner, axis, mm, revision_id)
            if feature is not None:
                made[key] = feature
    low, high, source = limits
    made_id = uuid7()
    fit = Fit(
        id=made_id,
        of_id=made_id,
        job_of_id=job.of_id,
        label=label,
        place=place or None,
        kind=kind,
        inner_core_id=inner.core.of_id if inner.core else None,
        inner_half=inner.half,
        outer_core_id=outer.core.of_id if outer.core else None,
        outer_half=outer.half,
        inner_feature_id=_id(made.get("print") or named["print"]),
        outer_feature_id=_id(made.get("seat") or named["seat"]),
        gap_feature_id=_id(named["gap"]),
        axis=axis,
        way_in=row.take("way", lambda v: fields.choice(v, WAYS_IN, "the way in"), "z-"),
        points=row.maybe("points", lambda v: fields.choice(v, WAYS_IN, "where it points")),
        clear_min_mm=low,
        clear_max_mm=high,
        band_source=source,
        holds=holds,
        lift_mm=row.maybe("lift", lambda v: fields.size(v, zero=True)),
        at_x=at.get("x"),
        at_y=at.get("y"),
        at_z=at.get("z"),
        blocked_by=blocked,
        mark=row.words("mark", 40),
        count=row.take("count", lambda v: fields.count(v, 1, 999), 1),
        note=row.words("note", 400),
    )
    return None if len(row.mistakes) > before else Seated(fit, tuple(made.values()))


def split(name: str) -> tuple[str, str | None]:
    """Label and place of K6-3: what stands behind the last dash tells several alike apart."""
    label, dash, place = name.rpartition("-")
    return (label, place) if dash and label and place else (name, None)


def _id(feature: Feature | None) -> Id | None:
    return feature.id if feature else None


def _balloon(row: Row, key: str, features: Mapping[str, Feature | None]) -> Feature | None:
    """A feature that the row names; a balloon that no feature has yet is that of the one made here."""
    balloon = row.words(key, 20)
    if balloon is None:
        return None
    known = features.get(find.balloon_key(balloon))
    if find.balloon_key(balloon) not in features and (key == "gap" or "size" not in row):
        row.wrong(key, f"there is no feature {balloon} in this file, and no size to make it from")
    elif known is not None and known.scale != "tool":
        row.wrong(key, f"{balloon} is a size of the casting, not of a print or seat")
    return known


def _blocked(row: Row, cores: Mapping[int, Core | None]) -> str | None:
    numbers = []
    for value in row.each("blocked_by"):
        number = core_number(value)
        if isinstance(number, Wrong):
            row.wrong("blocked_by", str(number))
        elif number not in cores:
            row.wrong("blocked_by", f"there is no [[core]] with number {number}")
        else:
            numbers.append(str(number))
    return ", ".join(numbers) or None


def _clearance_limits(row: Row, kind: str, outer: Part | None, size: float | None) -> tuple[float, float, str] | None:
    """Least and most clearance with where they come from; by practice where the row does not say them."""
    if "clearance_limits" in row:
        read = row.maybe("clearance_limits", lambda v: values.range_of(v, "mm", signed=True))
        if read is None:
            return None
        if read[0] <= 0.0:
            row.wrong("clearance_limits", "one that is not above 0 leaves no room: sand would rub or not go in")
            return None
        return *read, row.text("clearance_source", 200, STATED) or STATED
    if size is None:
        if not row.broken & {"clearance_limits", "size"} and "size" not in row:
            row.lacks(f"{row.who}: give clearance_limits, or the size that one by practice can be looked up for")
        return None
    try:
        band = fits_.clearance_band(size, practice(kind, outer.half if outer else None))
    except InspectError as problem:
        row.lacks(f"{row.who}: {problem}")
        return None
    return band.lower or 0.0, band.upper or 0.0, band.source[:200]


def practice(kind: str, outer_half: str | None) -> str:
    """The row of the table of practice that a fit goes by."""
    return "key" if kind == "key" else "cope print" if outer_half == "cope" else "print"


def default_balloon(fit_name: str, key: str) -> str:
    """The balloon of a print or seat that its line does not name: K7-1p, K7-1s."""
    return f"{fit_name}{key[0]}"[:20]


def _side(
    row: Row, key: str, fit_name: str, part: Part, inner: Part, axis: str, mm: float, revision_id: Id
) -> Feature | None:
    """The print or the seat that a line makes, with its limits; None, told as a mistake, where these are none."""
    made = side(key, fit_name, part, inner, axis, mm, revision_id, row.words(key, 20) or default_balloon(fit_name, key))
    if f"{key}_limits" not in row:
        return made
    band = parse_band(str(row[f"{key}_limits"]), mm, made.quantity)
    if isinstance(band, str):
        row.wrong(f"{key}_limits", band)
        return None
    return replace(made, lower=band.lower, upper=band.upper, band_source=band.source)


def side(
    key: str, fit_name: str, part: Part, inner: Part, axis: str, mm: float, revision_id: Id, balloon: str
) -> Feature:
    """A print or seat at tooling scale: the core's or pattern's own body, or a recess in a core."""
    recess = key == "seat" and part.core is not None
    quantity, along = ("diameter", "none") if axis == "round" else ("width", axis)
    return Feature(
        id=uuid7(),
        revision_id=revision_id,
        balloon=balloon,
        name=f"print {fit_name} of {part.words}" if key == "print" else f"seat {fit_name} of {inner.words}",
        quantity=quantity,
        axis=along,
        nominal=mm,
        band_source=NO_BAND,
        scale="tool",
        ends=tuple(
            End(id=uuid7(), which=which, core_id=part.core.id if part.core else None, half=part.half, facing=way)
            for which, way in zip("AB", (1, -1) if recess else (-1, 1), strict=True)
        ),
    )


# ------------------------------------------------------------------------------ written
@frozen
class Sides:
    """Print, seat and gap of a fit as features, where it has them."""

    print: Feature | None
    seat: Feature | None
    gap: Feature | None


def seat_row(fit: Fit, sides: Sides, inner: str, outer: str, made: Mapping[str, Feature]) -> dict[str, Any]:
    """A [[seat]], written; `made` are the sides that its line makes, the others are named by their balloons."""
    label, place = split(fit.name)
    row: dict[str, Any] = {"label": fit.name}
    if (label, place) != (fit.label, fit.place):
        row = {"label": fit.label, "place": fit.place or ""}
    row |= {"kind": fit.kind, "core": inner_words(inner)} | values.filled(in_=outer or None, axis=fit.axis)
    print_, seat = made.get("print"), made.get("seat")
    if print_ is not None:
        row["size"] = values.figure(print_.nominal)
        if seat is not None:
            row["clearance"] = values.figure(round(seat.nominal - print_.nominal, 9))
    if not _by_practice(fit, sides):
        row["clearance_limits"] = values.pair(fit.clear_min_mm, fit.clear_max_mm)
        row |= values.filled(clearance_source=None if fit.band_source == STATED else fit.band_source)
    row |= values.filled(
        at=values.axes(fit.at_x, fit.at_y, fit.at_z),
        holds=fit.holds,
        way=None if fit.way_in == "z-" else fit.way_in,
        points=fit.points,
        lift=values.figure(fit.lift_mm),
        blocked_by=[int(n) for n in (fit.blocked_by or "").replace(",", " ").split() if n.isdigit()],
        count=None if fit.count == 1 else fit.count,
        mark=fit.mark,
    )
    for key, side in (("print", sides.print), ("seat", sides.seat), ("gap", sides.gap)):
        if side is None:
            continue
        if key not in made or side.balloon != default_balloon(fit.name, key):
            row[key] = side.balloon
        if key in made and (limits := limits_again(side)):
            row[f"{key}_limits"] = limits
    return row | values.filled(note=fit.note)


def inner_words(inner: str) -> Any:
    """7 for core 7, as the line has it; a half as it is."""
    number = core_number(inner)
    return inner if isinstance(number, Wrong) else number


def _by_practice(fit: Fit, sides: Sides) -> bool:
    size = next((f.nominal for f in (sides.print, sides.seat) if f), None)
    if size is None:
        return False
    try:
        band = fits_.clearance_band(size, practice(fit.kind, fit.outer_half))
    except InspectError:
        return False
    return (band.lower, band.upper, band.source[:200]) == (fit.clear_min_mm, fit.clear_max_mm, fit.band_source)


def limits_again(side: Feature) -> str | None:
    """The limits of a print or seat as its line says them; empty for none, None where a line cannot say these."""
    if side.lower is None and side.upper is None:
        return "" if side.band_source == NO_BAND else None
    band = Band(side.lower, side.upper, side.band_source)
    text = typed_again(band, side.nominal, side.quantity)
    return text if text is not None and parse_band(text, side.nominal, side.quantity) == band else None
