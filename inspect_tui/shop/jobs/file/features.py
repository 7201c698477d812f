"""[[feature]]: the sizes of the drawing, of prints and seats, with their ends, read and written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from typing import Any

from inspect_tui.errors import InspectError
from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes.tolerance_text import parse_band, typed_again
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import AXES, HALVES, QUANTITIES, SCALES, Band
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Tool
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.common import find
from inspect_tui.shop.common.geometry import entry
from inspect_tui.shop.common.geometry.faces import CUT_UP, SIDES, free_balloon, is_named_face, named_face, wall_of
from inspect_tui.shop.jobs import raw_limits
from inspect_tui.shop.jobs.file import values
from inspect_tui.shop.jobs.file.mistakes import Row, nearest
from inspect_tui.shop.jobs.file.plan import PLAN_U, measurable
from inspect_tui.shop.jobs.file.tooling import core_number

FEATURE = (
    "balloon",
    "name",
    "quantity",
    "axis",
    "direction",
    "nominal",
    "limits",
    "limits_source",
    "limits_raw",
    "limits_raw_source",
    "a",
    "b",
    "between",
    "at",
    "stock",
    "coat",
    "draft",
    "contraction",
    "contraction_u",
    "machined",
    "scale",
    "tools",
    "where",
    "note",
    "sheet",
    "zone",
    "characteristic",
    "picture",
)
FACE = ("balloon", "name", "by", "axis", "metal", "datum", "cut_up", "wall_to")
BETWEEN = {"metal": (-1, 1), "space": (1, -1), "face": (1, 1), "face-": (-1, -1)}
NO_LIMITS = "none"
UNKNOWN = "unknown"  # the size of a sample casting without a drawing


def feature(
    row: Row, revision: DrawingRevision, cores: Mapping[int, Core | None], order: int, style: Style
) -> Feature | None:
    """A [[feature]]; None where it cannot be made: a mistake says why."""
    balloon = row.text("balloon", 20)
    if not balloon:
        row.lacks(f'[[feature]] number {order} needs a balloon, such as "F1"', "balloon")
        return None
    row.who = f"feature {balloon}"
    before = len(row.mistakes)
    measured = row.take("quantity", lambda v: fields.choice(v, QUANTITIES, "the quantity"), "length")
    usual = "none" if measured in ("diameter", "radius", "angle") else "x"
    axis = row.take("axis", lambda v: fields.choice(v, AXES, "the axis"), usual)
    known = str(row.values.get("nominal", "")).strip().casefold() != UNKNOWN
    if "nominal" not in row:
        row.lacks(f"{row.who} needs a nominal: the finished size on the drawing", "nominal")
    nominal = row.take("nominal", lambda v: _nominal(v, measured), 0.0) if known else 0.0
    draft = row.parts("draft", ("deg", "height"))
    direction = _direction(row)
    stock, coat = (row.take(key, lambda v: values.two_sizes(v, zero=True), (0.0, 0.0)) for key in ("stock", "coat"))
    scale = row.take("scale", lambda v: fields.choice(v, SCALES, "the scale"), "cast")
    if "between" not in row:
        question = entry.between_asked(measured, scale, str(row.values.get("a", "")), str(row.values.get("b", "")))
        if question:
            row.lacks(f"{row.who}: {question}")
    ends = _ends(row, cores, stock, coat)
    where = row.maybe("where", values.place) or {}
    if len(row.mistakes) > before:
        if known and nominal:  # limits of a size that is not known would only be told wrongly
            _limits(row, nominal, measured, None)
        return None
    band = _limits(row, nominal, measured, revision.default_band) if known else None
    own_a = row.maybe("contraction", fields.contraction)
    try:
        made = Feature(
            id=uuid7(),
            revision_id=revision.id,
            balloon=balloon,
            name=row.text("name", 120, balloon) or balloon,
            quantity=measured,
            axis=axis,
            dir_x=direction[0],
            dir_y=direction[1],
            dir_z=direction[2],
            nominal=nominal,
            lower=band.lower if band else None,
            upper=band.upper if band else None,
            band_source=row.text("limits_source", 120, band.source if band else "none stated"),
            scale=scale,
            machined=row.take("machined", fields.yes, any(stock)),
            draft_deg=row.part("draft", "deg", fields.angle, draft.get("deg", 0.0)) or 0.0,
            draft_h_mm=row.part("draft", "height", _height, draft.get("height", 0.0)) or 0.0,
            a=own_a,
            ua=None if own_a is None else row.take("contraction_u", fields.contraction, PLAN_U),
            note=row.words("note", 400),
            ord=order,
            at_x=where.get("x"),
            at_y=where.get("y"),
            at_z=where.get("z"),
            nominal_known=known,
            sheet=row.words("sheet", 20),
            zone=row.words("zone", 20),
            characteristic=row.words("characteristic", 60),
            ends=ends,
        )
        stated = raw_limits.with_limits(made, row.text("limits_raw", 80), style)
    except InspectError as problem:
        row.lacks(f"{row.who}: {problem}")
        return None
    if isinstance(stated, str):
        row.wrong("limits_raw", stated)
        return None
    if "limits_raw_source" in row:
        stated = replace(stated, raw_source=row.words("limits_raw_source", 120))
    return stated


def _height(value: Any) -> float | Wrong:
    return fields.size(value, signed=True)


def _direction(row: Row) -> tuple[float | None, float | None, float | None]:
    if "direction" not in row:
        return None, None, None
    value = row["direction"]
    read = [fields.figure(part, -1.0, 1.0) for part in value] if isinstance(value, list) else []
    wrong = next((part for part in read if isinstance(part, Wrong)), None)
    if wrong is not None or len(read) != 3:
        row.wrong("direction", str(wrong or "a direction is three figures, such as [0.6, 0.8, 0]"))
        return None, None, None
    return tuple(read)  # type: ignore[return-value]


def _limits(row: Row, nominal: float, measured: str, general: str | None, told: bool = True) -> Band | None:
    limits = row.values.get("limits", general)
    if not limits or str(limits).strip().casefold() == NO_LIMITS:
        return None
    band = parse_band(str(limits), nominal, measured)
    if isinstance(band, str):
        if told:
            row.wrong("limits" if "limits" in row else "", f"{'' if 'limits' in row else row.who + ': '}{band}")
        return None
    return band


def _nominal(value: Any, measured: str) -> float | Wrong:
    """The drawing size, mm (degrees of an angle); of an attribute 1 for go and 0 for no-go."""
    if measured == "attribute" and not isinstance(value, str):
        return fields.figure(value, 0, 1)
    if measured == "length":  # a face in the datum plane lies at 0
        return fields.size(value, zero=True)
    return fields.size(value, quantity=measured)


def _ends(
    row: Row, cores: Mapping[int, Core | None], stock: tuple[float, float], coat: tuple[float, float]
) -> tuple[End, ...]:
    facing = BETWEEN[row.take("between", lambda v: fields.choice(v, BETWEEN, "what lies between the ends"), "metal")]
    at: tuple[float | None, float | None] = (None, None)
    if "at" in row:
        at = row.take("at", values.two_places, at)
    ends = []
    for index, which in enumerate("ab"):
        if which not in row:
            continue
        maker = _maker(row, which, f"end {which}", cores)
        if maker is None:
            continue
        ends.append(
            replace(
                maker,
                which=which.upper(),
                facing=facing[index],
                coord_mm=at[index],
                stock_mm=stock[index],
                coat_mm=coat[index],
                coat_said="coat" in row,
            )
        )
    return tuple(ends)


def _maker(row: Row, key: str, said: str, cores: Mapping[int, Core | None]) -> End | None:
    """An end that is made by cope, drag or a core, its other facts still open; None where it is none of them."""
    words = str(row[key]).casefold().strip()
    if words in HALVES:
        return End(id=uuid7(), which="B", half=words, facing=1)
    number = core_number(words)
    if isinstance(number, Wrong):
        row.wrong(key, f"{said} is made by cope, drag or core N, not '{row[key]}'")
        return None
    if number not in cores:
        row.wrong(key, f"{said} names core {number}, which this file does not have")
    core = cores.get(number)
    return End(id=uuid7(), which="B", core_id=core.id, facing=1) if core else None


def faces(
    rows: Sequence[Row], revision: DrawingRevision, cores: Mapping[int, Core | None], taken: Set[str]
) -> list[Feature]:
    """The [[face]] lines of a sample casting without a drawing; `taken` are the balloons of its other sizes, folded."""
    balloons = _face_balloons(rows, taken)
    known = {find.balloon_key(balloon): balloon for balloon in balloons}
    known |= {_folded(row.values.get("name", "")): balloon for row, balloon in zip(rows, balloons, strict=True)}
    seen: dict[str, Row] = {}
    datums: dict[str, Row] = {}
    made = []
    for number, (row, balloon) in enumerate(zip(rows, balloons, strict=True), start=1):
        name = row.text("name", 120)
        row.who = f"face {name or number}"
        for key, what in (("name", "such as outlet flange"), ("by", "cope, drag or core N"), ("metal", "+ or -")):
            if key not in row:
                row.lacks(f"{row.who} needs {key}: {what}", key)
        axis = row.take("axis", lambda v: fields.choice(v, "xyz", "the axis"), "x")
        metal = row.take("metal", lambda v: fields.choice(v, SIDES, "the side of the metal"), "+")
        maker = _maker(row, "by", row.who, cores) if "by" in row else None
        datum, cut_up = (row.take(key, fields.yes, False) for key in ("datum", "cut_up"))
        wall_to = _other_face(row, balloon, known) if "wall_to" in row else None
        if name and _folded(name) in seen:
            row.lacks(f"{row.who} is named already, in line {seen[_folded(name)].spot.line}: call it something else")
        if datum and axis in datums:
            row.wrong("datum", f"{axis} has its datum already, in line {datums[axis].spot.line}")
        seen.setdefault(_folded(name), row)
        if datum:
            datums.setdefault(axis, row)
        if maker is not None and name:
            face = named_face(balloon, name, axis, maker, metal, datum=datum, cut_up=cut_up, wall_to=wall_to)
            made.append(replace(face, id=uuid7(), revision_id=revision.id, ord=number))
    return made


def _face_balloons(rows: Sequence[Row], taken: Set[str]) -> list[str]:
    """The balloon of each face, as it says or the next that is free; two of one are a mistake."""
    said = [row.text("balloon", 20) for row in rows]
    used = {*taken}
    for row, balloon in zip(rows, said, strict=True):
        if balloon and find.balloon_key(balloon) in used:
            row.wrong("balloon", f"there is a {balloon} already: each needs a balloon of its own")
        used |= {find.balloon_key(balloon)} if balloon else set()
    made = []
    for balloon in said:
        made.append(balloon or free_balloon(used))
        used.add(find.balloon_key(made[-1]))
    return made


def _folded(text: object) -> str:
    return " ".join(str(text).split()).casefold()


def _other_face(row: Row, own: str, known: Mapping[str, str]) -> str | None:
    words = str(row["wall_to"])
    balloon = known.get(find.balloon_key(words)) or known.get(_folded(words))
    if balloon is None:
        row.wrong("wall_to", f"there is no face '{words}'; {nearest(words, [name for name in known if name])}")
    elif balloon == own:
        row.wrong("wall_to", "a wall has another face on its other side")
    return balloon


def on_tools(row: Row, feature: Feature, tools: Sequence[Tool]) -> list[Tool]:
    """The tools that a feature is measured on: those that make its ends, or those that the file names."""
    if "tools" not in row:
        return [tool for tool in tools if measurable(feature, tool)]
    chosen = []
    for label in row.each("tools"):
        tool = next((t for t in tools if t.label.casefold() == str(label).strip().casefold()), None)
        if tool is None:
            row.wrong("tools", f"there is no tool '{label}' in this file")
        elif feature.ends and not measurable(feature, tool):
            row.wrong(
                "tools",
                f"{feature.balloon} cannot be measured on {tool.label}: not all its ends are made by that tool",
            )
        else:
            chosen.append(tool)
    return chosen


# ------------------------------------------------------------------------------ written
def face_row(feature: Feature, number_of: Mapping[bytes, int]) -> dict[str, Any] | None:
    """A [[face]], written; None where it says more of itself than such a line can."""
    if not is_named_face(feature) or feature.axis not in ("x", "y", "z"):
        return None
    (end,) = feature.ends
    metal = next(side for side, facing in SIDES.items() if facing == end.facing)
    wall_to, cut_up, datum = wall_of(feature), CUT_UP in (feature.note or ""), end.coord_mm == 0.0
    maker = End(core_id=end.core_id, half=end.half, which="B", facing=1)
    as_said = named_face(
        feature.balloon, feature.name, feature.axis, maker, metal, datum=datum, cut_up=cut_up, wall_to=wall_to
    )
    if bare(as_said) != bare(feature):
        return None
    return values.filled(
        balloon=feature.balloon,
        name=feature.name,
        by=end.half or f"core {number_of[end.core_id or b'']}",
        axis=feature.axis,
        metal=metal,
        datum=datum or None,
        cut_up=cut_up or None,
        wall_to=wall_to,
    )


def bare(feature: Feature) -> Feature:
    """A feature without its ids and its place in the order, to compare with another one."""
    ends = tuple(replace(end, id=b"", feature_id=b"") for end in feature.ends)
    return replace(feature, id=b"", revision_id=b"", same_as_id=None, ord=0, ends=ends)


def feature_row(feature: Feature, number_of: Mapping[bytes, int], general: str | None) -> dict[str, Any]:
    """A [[feature]], written; cores by the numbers of their ids."""
    usual = "none" if feature.quantity in ("diameter", "radius", "angle") else "x"
    ends = {end.which: end for end in feature.ends}
    made = values.filled(
        balloon=feature.balloon,
        name=None if feature.name == feature.balloon else feature.name,
        quantity=None if feature.quantity == "length" else feature.quantity,
        axis=None if feature.axis == usual else feature.axis,
    )
    if feature.dir_x is not None:
        made["direction"] = [values.figure(part) for part in (feature.dir_x, feature.dir_y, feature.dir_z)]
    made["nominal"] = values.figure(feature.nominal) if feature.nominal_known else UNKNOWN
    made |= _limits_again(feature, general)
    for which, end in ends.items():
        made[which.lower()] = end.half or f"core {number_of[end.core_id or b'']}"
    between = _between(ends)
    if between == "metal" and not entry.between_asked(
        feature.quantity, feature.scale, str(made.get("a", "")), str(made.get("b", ""))
    ):
        between = None  # what is meant where nothing is said
    made |= values.filled(between=between, **_by_end(ends))
    if feature.draft_deg or feature.draft_h_mm:
        made["draft"] = {"deg": values.figure(feature.draft_deg), "height": values.figure(feature.draft_h_mm)}
    has_stock = any(end.stock_mm for end in feature.ends)
    return made | values.filled(
        contraction=values.percent(feature.a),
        contraction_u=None if feature.ua in (None, PLAN_U) else values.percent(feature.ua),
        machined=None if feature.machined == has_stock else feature.machined,
        scale=None if feature.scale == "cast" else feature.scale,
        where=values.axes(feature.at_x, feature.at_y, feature.at_z),
        note=feature.note,
        sheet=feature.sheet,
        zone=feature.zone,
        characteristic=feature.characteristic,
    )


def _between(ends: Mapping[str, End]) -> str | None:
    facing = tuple(ends[which].facing if which in ends else None for which in "AB")
    for words, pair in BETWEEN.items():
        if all(known in (None, wanted) for known, wanted in zip(facing, pair, strict=True)):
            return words
    return None


def _by_end(ends: Mapping[str, End]) -> dict[str, Any]:
    """Places, stock and wash of the two ends; places only where both are known."""
    each = [ends.get(which) for which in "AB"]
    made: dict[str, Any] = {}
    places = [end.coord_mm if end else 0.0 for end in each]
    if any(end.coord_mm is not None for end in ends.values()):
        made["at"] = [values.NOT_KNOWN if place is None else values.figure(place) for place in places]
    stock = [end.stock_mm if end else 0.0 for end in each]
    coat = [end.coat_mm if end else 0.0 for end in each]
    if any(stock):
        made["stock"] = [values.figure(mm) for mm in stock]
    if any(coat) or any(end.coat_said for end in ends.values()):
        made["coat"] = [values.figure(mm) for mm in coat]
    return made


def _limits_again(feature: Feature, general: str | None) -> dict[str, Any]:
    """The limits of the finished size and of the raw one, as they can be typed again."""
    made: dict[str, Any] = {}
    if feature.lower is None and feature.upper is None:
        if general or feature.band_source != "none stated":
            made["limits"] = NO_LIMITS
        if feature.band_source != "none stated":
            made["limits_source"] = feature.band_source
    else:
        made |= _band_again(Band(feature.lower, feature.upper, feature.band_source), feature, general)
    raw = raw_limits.typed_of(feature)
    if raw:
        made["limits_raw"] = raw
        again = raw_limits.with_limits(feature, raw)
        if isinstance(again, str) or again.raw_source != feature.raw_source:
            made["limits_raw_source"] = feature.raw_source
    return made


def _band_again(band: Band, feature: Feature, general: str | None) -> dict[str, Any]:
    text = typed_again(band, feature.nominal, feature.quantity) or span(band.lower, band.upper)
    read = parse_band(text, feature.nominal, feature.quantity)
    by_general = parse_band(general, feature.nominal, feature.quantity) if general else None
    if isinstance(by_general, Band) and by_general == band:
        return {}
    if isinstance(read, Band) and read.source == band.source:
        return {"limits": text}
    return {"limits": text, "limits_source": band.source}


def span(low: float | None, high: float | None) -> str:
    """Two limits as sizes: 61.2..62.8, or min 6."""
    shown = [None if mm is None else MM.figure(mm, 9).rstrip("0").rstrip(".") for mm in (low, high)]
    if shown[0] is None or shown[1] is None:
        return f"max {shown[1]}" if shown[0] is None else f"min {shown[0]}"
    return f"{shown[0]}..{shown[1]}"
