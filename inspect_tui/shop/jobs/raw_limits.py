"""What a person types for the limits of a machined size on the raw casting, read, shown again and doubted."""

from __future__ import annotations

import re

from inspect_tui.errors import TableError
from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import chain, tolerance
from inspect_tui.metrology.sizes.chain import MUST_CLEAN_UP
from inspect_tui.metrology.sizes.tolerance_text import parse_band, typed_again
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import LIMIT_SLACK_MM, Band
from inspect_tui.model.work import Feature

CLEAN_UP = "clean up"


def with_limits(feature: Feature, typed: str, style: Style = MM) -> Feature | str:
    """The feature with limits of its raw size, or a sentence when they cannot be.

    `typed`: limits about the raw size (±1.5, +1.5/-1.0, 622..626, DCTG 9), or *clean up*: every machined face must
    leave something to take off. Nothing typed says nothing of the raw casting, and then it must clean up too.
    """
    words = " ".join(typed.split()).casefold()
    if not words:
        return replace(feature, raw_lower=None, raw_upper=None, raw_source=None)
    if not chain.has_stock(feature):
        return f"{feature.balloon} carries no stock, so it has one size only: its limits are those of the drawing"
    if words in (CLEAN_UP, MUST_CLEAN_UP):
        return replace(feature, raw_lower=None, raw_upper=None, raw_source=MUST_CLEAN_UP)
    raw = chain.as_cast(feature)
    if raw <= 0.0 < feature.nominal:
        taken, size = style.given(feature.nominal - raw), style.given(feature.nominal)
        return f"{taken} of stock leaves nothing of {size}: leave it out of the casting"
    band: Band | str
    if (grade := re.fullmatch(r"(?:iso 8062-3 )?(dctg ?\d{1,2})", words)) is not None:
        try:
            band = tolerance.raw_limits(feature.nominal, grade[1], raw - feature.nominal, feature.quantity == "wall")
        except TableError as problem:
            return str(problem)
    else:
        band = parse_band(typed, raw, feature.quantity)
    if isinstance(band, str):
        return f"{band}, about the raw size {style.given(raw)}, or {CLEAN_UP}"
    return replace(feature, raw_lower=band.lower, raw_upper=band.upper, raw_source=band.source[:120])


def typed_of(feature: Feature) -> str:
    """The limits of the raw size as they can be typed again; empty where nothing was said of them."""
    lower, upper = feature.raw_lower, feature.raw_upper
    if lower is None and upper is None:
        return CLEAN_UP if feature.raw_source == MUST_CLEAN_UP else ""
    band = Band(lower, upper, feature.raw_source or "drawing")
    if (typed := typed_again(band, chain.as_cast(feature), feature.quantity)) is not None:
        return typed
    low, high = (None if x is None else MM.figure(x, 6).rstrip("0").rstrip(".") for x in (lower, upper))
    if low is None or high is None:
        return f"max {high}" if low is None else f"min {low}"
    return f"{low}..{high}"


def asks(feature: Feature, style: Style = MM) -> str:
    """Why these limits are doubtful, and which of limits and stock to change by how much; empty where they are not.

    A casting within limits that are wider than the stock may have nothing left to machine.
    """
    if feature.raw_lower is None and feature.raw_upper is None:
        return ""
    left = chain.clean_up(feature)
    low, high = feature.raw_lower, feature.raw_upper
    if left.lower is not None and (low is None or low < left.lower - LIMIT_SLACK_MM):
        return _wider(feature, style, low, left.lower, ("least", "fall"))
    if left.upper is not None and (high is None or high > left.upper + LIMIT_SLACK_MM):
        return _wider(feature, style, high, left.upper, ("greatest", "grow"))
    return ""


def _wider(feature: Feature, style: Style, limit: float | None, left: float, words: tuple[str, str]) -> str:
    """Limit and what has to be left in mm; `words`: which limit, and how a casting comes to it."""
    own, (which, moves) = style.of(feature.quantity), words
    where = f"where {own.size(left)} is to be left: wider than the stock"
    if limit is None:
        return (
            f"{feature.balloon}: the raw size has no {which} limit {where}. Give it one of {own.size(left)}. "
            "Until then it stays as typed."
        )
    by, way = own.size(abs(left - limit)), "up" if left > limit else "down"
    return (
        f"{feature.balloon}: the raw size may {moves} to {own.size(limit)} {where}. Take the {which} raw limit {way} "
        f"by {by} to {own.size(left)}, or give {by} more stock and leave the limits as far from the raw size as now. "
        "Until then both stay as typed."
    )
