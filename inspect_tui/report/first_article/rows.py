"""The first article as rows of plain values, one for each feature on each casting: what CSV and XLSX are made of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from inspect_tui.report.first_article import requirements, signed

Plain = Mapping[str, Any]

IDENTITY = ("job", "drawing", "revision", "round")
FEATURE = (
    "balloon",
    "name",
    "quantity",
    "unit",
    "axis",
    "ends",
    "machined",
    "finished",
    "finished_lower",
    "finished_upper",
    "as_cast",
    "lower",
    "upper",
    "band_source",
    "sectioned",
    "station_mm",
    "state",
)
CELL = (
    "serial",
    "answer",
    "n",
    "typed",
    "raw",
    "value",
    "deviation",
    "u",
    "U",
    "k",
    "p_conform",
    "margin",
    "corrected",
    "by",
    "instrument",
    "at",
    "section",
    "question",
    "suggested",
    "reason",
    "notes",
)
PLACE = ("sheet", "zone", "characteristic")  # reports of the first format have no columns for them
COLUMNS = (*IDENTITY, *FEATURE, *PLACE, *CELL, "chain_head")
LISTS = ("typed", "corrected", "notes")


def columns(plain: Plain) -> tuple[str, ...]:
    """The columns that a report has."""
    return tuple(name for name in COLUMNS if name not in PLACE) if signed.is_first(plain) else COLUMNS


def readings(plain: Plain) -> Iterator[tuple[Any, ...]]:
    """A row for each feature on each casting, in the order of `columns`; numbers stay numbers."""
    who = plain["identity"]
    keys = FEATURE if signed.is_first(plain) else (*FEATURE, *PLACE)
    first = tuple(who[key] for key in IDENTITY)
    heads = " ".join(who["heads"])
    for line in plain["features"]:
        told = {**line, "state": requirements.state(line)}
        feature = tuple(told[key] for key in keys)
        for cell in line["cells"]:
            cells = tuple("; ".join(cell[key]) if key in LISTS else cell[key] for key in CELL)
            yield (*first, *feature, *cells, heads)
