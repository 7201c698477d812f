"""A feature as a form: from the fields people type to a Feature with its derived sizes, or a sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from inspect_tui.errors import InspectError
from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.sizes.tolerance_text import parse_band, typed_again
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import AXES, QUANTITIES, SCALES, Band, Id
from inspect_tui.model.work import Feature, Job, Tool
from inspect_tui.record.store import Record
from inspect_tui.shop.common.geometry import entry, meaning
from inspect_tui.shop.common.geometry.faces import core_numbers
from inspect_tui.shop.common.sizes import KIND_WORDS
from inspect_tui.shop.jobs import jobs, raw_limits
from inspect_tui.shop.jobs.file.features import BETWEEN
from inspect_tui.shop.jobs.file.plan import PLAN_U
from inspect_tui.shop.jobs.file.values import percent
from inspect_tui.shop.jobs.hints import hints

LINES = 6  # of what follows from the fields: more do not fit under them

MEASURES = {
    "length": "between two faces",
    "width": "the same, across",
    "depth": "the same, inwards",
    "step": "from one face to the next",
    "position": "of a face from the datum",
    "wall": "thickness of metal",
    "diameter": "of something round",
    "radius": "of a corner or bend",
    "angle": "in degrees",
    "flatness": "of a face, one reading",
    "temperature": "in degrees",
    "attribute": "go or no-go",
}
ALONG = {
    "x": "along the length of the mould",
    "y": "across it",
    "z": "upwards",
    "oblique": "along a direction of its own",
    "none": "of something round, or of no direction",
}
LIES_BETWEEN = {
    "metal": "of the casting, as a wall: both faces look outwards",
    "space": "as an opening: the faces look at each other",
    "face": "both faces look the same way, as a step",
    "face-": "both faces look the other way",
}
AT_SCALE = {
    "cast": "a size of the casting: tools are larger by the contraction",
    "tool": "of a print, key or seat: as it is on the tool",
    "layout": "of the casting, measured on tools only",
}

FIELDS = (
    ("balloon", "balloon: such as F12", ""),
    ("name", "name: such as port bore at flange", ""),
    ("quantity", "measures: a length, width, wall, diameter, angle and so on", "length"),
    ("axis", "axis: x y z oblique none", "x"),
    ("nominal", "drawing size: finished, such as 62 or 2 7/16 in", ""),
    ("limits", "limits: ±0.8, 61.2..62.8, min 6, DCTG 9; empty: the drawing's", ""),
    ("a", "end A by: cope, drag or core N", ""),
    ("b", "end B by: cope, drag or core N", ""),
    ("between", "between ends: metal, space or face (both face one way); empty: metal", ""),
    ("stock", "stock A B: machining stock on the ends, such as 0 3", "0 0"),
    ("limits_raw", "raw limits: as cast: ±1.5, 622..626, DCTG 9; empty: clean up", ""),
    ("at", "at A B: places of the ends along the axis, such as 20 82", ""),
    ("scale", "scale: cast; tool (a print, key, seat); layout: on tools only", "cast"),
    ("coat", "coat A B: wash on the ends, such as 0.2 0; empty: none said", ""),
    ("draft", "draft: degrees and height, such as 1 60; may be left out", ""),
    ("own", "contracts: by its own, such as 0.8 %; empty: as the job", ""),
    ("direction", "direction: of an oblique one, x y z, such as 0.6 0.8 0", ""),
    ("where", "where: x y z of the spot at which it is taken; may be left out", ""),
    ("note", "note: such as at x = 120, z = 30, or: on the casting cut up", ""),
    ("sheet", "sheet: of the drawing; may be left out", ""),
    ("zone", "zone: on the sheet, such as B4; may be left out", ""),
    ("characteristic", "characteristic: the customer's number of it; may be left out", ""),
)


def fields_of(feature: Feature, core_numbers: Mapping[Id, int]) -> list[tuple[str, str, str]]:
    """The form filled in with a feature that is there already."""
    ends = {end.which: end for end in feature.ends}

    def maker(which: str) -> str:
        end = ends.get(which)
        if end is None:
            return ""
        return end.half or f"core {core_numbers.get(end.core_id or b'', 0)}"

    facing = tuple(ends[w].facing for w in "AB") if len(ends) == 2 else (-1, 1)
    between = next((word for word, pair in BETWEEN.items() if pair == facing), "face")
    values = {
        "balloon": feature.balloon,
        "name": feature.name,
        "quantity": feature.quantity,
        "axis": feature.axis,
        "nominal": _plain(feature.nominal),
        "a": maker("A"),
        "b": maker("B"),
        "between": between,
        "limits": _limits(feature),
        "limits_raw": raw_limits.typed_of(feature),
        "note": feature.note or "",
        "sheet": feature.sheet or "",
        "zone": feature.zone or "",
        "characteristic": feature.characteristic or "",
        "scale": feature.scale,
        "stock": " ".join(_plain(ends[w].stock_mm) if w in ends else "0" for w in "AB"),
        "at": " ".join(_plain(end.coord_mm) for end in feature.ends if end.coord_mm is not None),
        "coat": " ".join(_plain(ends[w].coat_mm) if w in ends else "0" for w in "AB")
        if any(end.coat_mm or end.coat_said for end in feature.ends)
        else "",
        "draft": f"{_plain(feature.draft_deg)} {_plain(feature.draft_h_mm)}"
        if feature.draft_deg or feature.draft_h_mm
        else "",
        "own": "" if feature.a is None else (percent(feature.a) or ""),
        "direction": ""
        if feature.dir_x is None
        else " ".join(_plain(part or 0.0) for part in (feature.dir_x, feature.dir_y, feature.dir_z)),
        "where": ""
        if feature.at_x is None and feature.at_y is None and feature.at_z is None
        else " ".join("?" if mm is None else _plain(mm) for mm in (feature.at_x, feature.at_y, feature.at_z)),
    }
    return [(key, label, values[key]) for key, label, _ in FIELDS]


def _plain(mm: float) -> str:
    """A size as it can be typed again, in mm: no exponent, no zeros at the end."""
    return MM.figure(mm, 6).rstrip("0").rstrip(".")


def _limits(feature: Feature) -> str:
    """As they were typed, so that ±0.8 stays ±0.8 about another size; else the two limits."""
    band = Band(feature.lower, feature.upper, feature.band_source)
    if (typed := typed_again(band, feature.nominal, feature.quantity)) is not None:
        return typed
    if feature.lower is not None and feature.upper is not None:
        return f"{_plain(feature.lower)}..{_plain(feature.upper)}"
    if feature.lower is not None:
        return f"min {_plain(feature.lower)}"
    return "" if feature.upper is None else f"max {_plain(feature.upper)}"


def read(
    record: Record, job: Job, values: dict[str, str], default_band: str | None = None, old: Feature | None = None
) -> Feature | str:
    """The feature that the fields describe, or what is wrong with them.

    Of a feature that is there already (`old`) everything stays that the form does not show, and what it shows stays
    exact where it was not typed over.
    """
    if not values["balloon"]:
        return "Give it a balloon, such as F12."
    measured = fields.choice(values["quantity"], QUANTITIES, "what it measures")
    if isinstance(measured, fields.Wrong):
        return f"Measures: {measured}."
    axis = fields.choice(values["axis"], AXES, "the axis")
    if isinstance(axis, fields.Wrong):
        return f"Axis: {axis}."
    nominal = fields.size(values["nominal"], quantity=measured)
    if isinstance(nominal, fields.Wrong):
        return f"Size: {nominal}"
    limits = values["limits"] or ("" if measured == "angle" else default_band or "")
    band = parse_band(limits, nominal, measured) if limits else None
    if isinstance(band, str):
        return f"Limits: {band}"
    scale = fields.choice(values.get("scale", "") or "cast", SCALES, "the scale")
    if isinstance(scale, fields.Wrong):
        return f"Scale: {scale}."
    if not values["between"].strip() and (question := entry.between_asked(measured, scale, values["a"], values["b"])):
        return f"Between: {question}."
    between = fields.choice(values["between"].strip() or "metal", BETWEEN, "what lies between the ends")
    if isinstance(between, fields.Wrong):
        return f"Between: {between}."
    facing = BETWEEN[between]
    stocks = fields.sizes(values["stock"] or "0", (1, 2), zero=True)
    if isinstance(stocks, fields.Wrong):
        return f"Stock is two sizes, for end A and end B, such as 0 3: {stocks}."
    stock = (stocks[0], stocks[-1])
    at = _places(values.get("at", ""))
    if isinstance(at, str):
        return at
    more = _more(values, axis)
    if isinstance(more, str):
        return more
    coat = more.pop("coat")
    try:
        ends = tuple(
            replace(
                jobs.end_from_words(record, job, which, values[which.lower()], facing[index], stock[index]),
                coord_mm=at[index],
                coat_mm=coat[index] if coat else 0.0,
                coat_said=bool(coat),
            )
            for index, which in enumerate("AB")
            if values[which.lower()]
        )
        made = Feature(
            balloon=values["balloon"],
            name=values["name"] or values["balloon"],
            quantity=measured,
            axis=axis,
            nominal=nominal,
            lower=band.lower if band else None,
            upper=band.upper if band else None,
            band_source=band.source if band else "none stated",
            ends=ends,
            machined=any(stock),
            scale=scale,
            note=values.get("note", "").strip() or None,
            sheet=values.get("sheet", "").strip() or None,
            zone=values.get("zone", "").strip() or None,
            characteristic=values.get("characteristic", "").strip() or None,
            **more,
        )
        made = made if old is None else _kept(record, job, made, old, values)
        if clash := _clash(record, job, made, old):
            return clash
        typed = values.get("limits_raw", "").strip()
        if old is not None and typed == raw_limits.typed_of(old) and chain.as_cast(made) == chain.as_cast(old):
            return replace(made, raw_lower=old.raw_lower, raw_upper=old.raw_upper, raw_source=old.raw_source)
        stated = raw_limits.with_limits(made, typed)
        return f"Raw limits: {stated}." if isinstance(stated, str) else stated
    except InspectError as problem:
        return str(problem)


def _more(values: Mapping[str, str], axis: str) -> dict[str, Any] | str:
    """Wash, draft, own contraction, direction and spot as typed, by the names they have; or what is wrong with one."""
    maybe = fields.optional
    coat = maybe(fields.sizes)(values.get("coat"), (1, 2), zero=True)
    if isinstance(coat, fields.Wrong):
        return f"Coat is one or two sizes, for end A and end B, such as 0.2 0: {coat}."
    made: dict[str, Any] = {"coat": (coat[0], coat[-1]) if coat else None}
    if typed := (values.get("draft") or "").strip():
        parts = typed.replace("°", " ").split(None, 1)
        degrees = fields.angle(parts[0])
        height = fields.size(parts[1], signed=True) if len(parts) > 1 else fields.Wrong("over which height?")
        if isinstance(degrees, fields.Wrong) or isinstance(height, fields.Wrong):
            return "Draft is degrees and the height over which it runs, such as 1 60."
        made |= {"draft_deg": degrees, "draft_h_mm": height}
    own = maybe(fields.contraction)(values.get("own"))
    if isinstance(own, fields.Wrong):
        return f"Contracts: {own}."
    made |= {"a": own, "ua": None if own is None else PLAN_U}
    if typed := (values.get("direction") or "").strip():
        parts_ = [fields.figure(part, -1.0, 1.0) for part in typed.replace(";", " ").split()]
        if len(parts_) != 3 or any(isinstance(part, fields.Wrong) for part in parts_) or not any(parts_):
            return "A direction is three figures from -1 to 1, x y z, such as 0.6 0.8 0."
        if axis != "oblique":
            return f"A direction is said of an oblique size; this one lies along {axis}."
        made |= dict(zip(("dir_x", "dir_y", "dir_z"), parts_, strict=True))
    if typed := (values.get("where") or "").strip():
        places = [None if part == "?" else fields.size(part, signed=True) for part in typed.replace(";", " ").split()]
        if len(places) != 3 or any(isinstance(place, fields.Wrong) for place in places):
            return "Where is x y z, such as 120 30 0; ? for one that is not known."
        made |= dict(zip(("at_x", "at_y", "at_z"), places, strict=True))
    return made


def _clash(record: Record, job: Job, made: Feature, old: Feature | None) -> str:
    """A face that would have its metal on either side, with the size that says otherwise; empty where there is none."""
    revisions = record.revisions(job.of_id)
    if not revisions or all(end.coord_mm is None for end in made.ends):
        return ""
    before = old.balloon if old is not None else made.balloon
    others = [f for f in record.features(revisions[-1].id) if f.balloon not in (before, made.balloon)]
    asked = entry.against(made, others, core_numbers(record, job))
    return f"{asked[0].text}." if asked else ""


def _places(typed: str) -> tuple[float | None, float | None] | str:
    """Where the two ends stand along the axis; a sentence when that is not two places."""
    if not typed.strip():
        return None, None
    places = fields.sizes(typed, 2, signed=True)
    if isinstance(places, fields.Wrong):
        return f"At: {places}. Type two places, of end A and of end B, such as 20 82, or leave it empty."
    return places[0], places[1]


def _kept(record: Record, job: Job, made: Feature, old: Feature, values: dict[str, str]) -> Feature:
    """The changed feature with everything of the old one that was not typed over."""
    shown = {key: first for key, _, first in fields_of(old, core_numbers(record, job))}
    same = {key for key, first in shown.items() if values.get(key, "").strip() == first.strip()}
    before = {end.which: end for end in old.ends}
    ends = []
    for end in made.ends:
        was = before.get(end.which)
        if was is not None:
            made_by_same = end.which.lower() in same  # a newer version of the core is no other end
            end = replace(
                end,
                core_id=was.core_id if made_by_same else end.core_id,
                coat_mm=was.coat_mm if "coat" in same else end.coat_mm,
                coat_said=was.coat_said if "coat" in same else end.coat_said,
                coord_mm=was.coord_mm if "at" in same else end.coord_mm,
                stock_mm=was.stock_mm if "stock" in same else end.stock_mm,
                facing=was.facing if "between" in same else end.facing,
            )
        ends.append(end)
    limits = {"limits", "nominal", "quantity"} <= same
    return replace(
        made,
        nominal=old.nominal if "nominal" in same else made.nominal,
        lower=old.lower if limits else made.lower,
        upper=old.upper if limits else made.upper,
        band_source=old.band_source if limits else made.band_source,
        machined=old.machined if "stock" in same else made.machined,
        ends=tuple(ends),
        **{name: getattr(old if "direction" in same else made, name) for name in ("dir_x", "dir_y", "dir_z")},
        **{name: getattr(old if "draft" in same else made, name) for name in ("draft_deg", "draft_h_mm")},
        **{name: getattr(old if "own" in same else made, name) for name in ("a", "ua")},
        **{name: getattr(old if "where" in same else made, name) for name in ("at_x", "at_y", "at_z")},
        nominal_known=old.nominal_known if "nominal" in same else True,
    )


def _raw_limits(feature: Feature, style: Style) -> str:
    if not chain.has_stock(feature):
        return ""
    band = chain.cast_band(feature)
    limits = style.deviations(chain.as_cast(feature), band.lower, band.upper)
    return f", {limits}, {band.source}" if limits else f", {band.source}"


def follows(
    job: Job,
    feature: Feature | str,
    tools: Sequence[Tool],
    style: Style = MM,
    core_numbers: Mapping[Id, int] | None = None,
) -> str:
    """What follows from the fields: what it is, its as-cast size, that on every tool, handbook hints, a line each."""
    if isinstance(feature, str):
        return feature
    own = style.of(feature.quantity)
    means = meaning.of_feature(feature, tools, core_numbers or {})
    lines = [means] if means else []
    lines.append(f"as cast {own.size(chain.as_cast(feature))}{_raw_limits(feature, own)}")
    for tool, on_tool in jobs.derived(job, feature, tools)[:4]:
        band = on_tool.band
        limits = (
            "" if band.lower is None or band.upper is None else f" ({own.pair(band.lower, band.upper, unit=False)})"
        )
        lines.append(f"{tool.label}: {KIND_WORDS.get(tool.kind, 'tool')} {own.size(on_tool.target)}{limits}")
    if (feature.lower is not None and feature.nominal < feature.lower) or (
        feature.upper is not None and feature.nominal > feature.upper
    ):
        aim = own.size(chain.wanted(feature))
        lines.append(f"mind: the size itself lies outside its limits: {aim} is aimed at, finished")
    if len(lines) == 1 + bool(means) and feature.ends:
        lines.append("measured on the casting only: its ends are made by different tools")
    return "\n".join((lines + hints(job, feature, style))[:LINES])
