"""A feature as a form: from the fields people type to a Feature with its derived sizes, or a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.errors import InspectError
from inspect_tui.metrology import chain, quantity, tolerance
from inspect_tui.model import AXES, QUANTITIES, Feature, Job, Tool
from inspect_tui.record import Record
from inspect_tui.shop import jobs
from inspect_tui.shop.jobfile import BETWEEN
from inspect_tui.shop.sizes import KIND_WORDS

FIELDS = (
    ("balloon", "balloon: such as F12", ""),
    ("name", "name: such as port bore at flange", ""),
    ("quantity", "measures: length width diameter radius depth wall step position angle flatness attribute", "length"),
    ("axis", "axis: x y z oblique none", "x"),
    ("nominal", "drawing size: finished, such as 62 or 2 7/16 in", ""),
    ("limits", "limits: ±0.8, +0.7/-0.3, 61.2..62.8, min 6, DCTG 9; empty: the drawing's", ""),
    ("a", "end A by: cope, drag or core N", ""),
    ("b", "end B by: cope, drag or core N", ""),
    ("between", "between ends: metal, space, or face (both ends face the same way)", "metal"),
    ("stock", "stock A B: machining stock on the ends, such as 0 3", "0 0"),
)


def fields_of(feature: Feature, core_numbers: dict[bytes, int]) -> list[tuple[str, str, str]]:
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
        "balloon": feature.balloon, "name": feature.name, "quantity": feature.quantity, "axis": feature.axis,
        "nominal": f"{feature.nominal:g}", "a": maker("A"), "b": maker("B"), "between": between,
        "limits": "" if feature.lower is None or feature.upper is None else f"{feature.lower:g}..{feature.upper:g}",
        "stock": " ".join(f"{ends[w].stock_mm:g}" if w in ends else "0" for w in "AB"),
    }  # fmt: skip
    return [(key, label, values[key]) for key, label, _ in FIELDS]


def read(record: Record, job: Job, values: dict[str, str], default_band: str | None = None) -> Feature | str:
    """The feature that the fields describe, or what is wrong with them."""
    if not values["balloon"]:
        return "Give it a balloon, such as F12."
    if values["quantity"] not in QUANTITIES:
        return f"What it measures is one of {', '.join(QUANTITIES)}."
    if values["axis"] not in AXES:
        return f"The axis is one of {', '.join(AXES)}."
    angle = values["quantity"] == "angle"
    size = quantity.parse_line(values["nominal"], "deg" if angle else "mm", 0.0, values["quantity"])
    if not isinstance(size, quantity.Entry):
        return f"Size: {size.sentence}"
    nominal = size.sizes[0].mm
    limits = values["limits"] or ("" if angle else default_band or "")
    band = tolerance.parse_band(limits, nominal, values["quantity"]) if limits else None
    if isinstance(band, str):
        return f"Limits: {band}"
    facing = BETWEEN.get(values["between"])
    if facing is None:
        return "Between the ends is metal, space or face."
    stocks = quantity.parse_line(values["stock"] or "0 0", "mm", 0.0, "depth")
    if not isinstance(stocks, quantity.Entry) or len(stocks.sizes) not in (1, 2):
        return "Stock is two sizes, for end A and end B, such as 0 3."
    stock = (stocks.sizes[0].mm, stocks.sizes[-1].mm)
    try:
        ends = tuple(
            jobs.end_from_words(record, job, which, values[which.lower()], facing[index], stock[index])
            for index, which in enumerate("AB")
            if values[which.lower()]
        )
        return Feature(
            balloon=values["balloon"], name=values["name"] or values["balloon"], quantity=values["quantity"],
            axis=values["axis"], nominal=nominal, lower=band.lower if band else None,
            upper=band.upper if band else None, band_source=band.source if band else "none stated", ends=ends,
            machined=any(stock),
        )  # fmt: skip
    except InspectError as problem:
        return str(problem)


def follows(job: Job, feature: Feature | str, tools: Sequence[Tool]) -> str:
    """What follows from the fields: as-cast size and the size on every tool, a line each."""
    if isinstance(feature, str):
        return feature
    lines = [f"as cast {quantity.show(chain.as_cast(feature))}"]
    for tool, one in jobs.derived(job, feature, tools)[:4]:
        band = one.band
        limits = "" if band.lower is None or band.upper is None else f" ({band.lower:.2f} to {band.upper:.2f})"
        lines.append(f"{tool.label}: {KIND_WORDS.get(tool.kind, 'tool')} {quantity.show(one.target)}{limits}")
    if (feature.lower is not None and feature.nominal < feature.lower) or (
        feature.upper is not None and feature.nominal > feature.upper
    ):
        lines.append("mind: the size itself lies outside its limits")
    if len(lines) == 1 and feature.ends:
        lines.append("measured on the casting only: its ends are made by different tools")
    return "\n".join(lines)
