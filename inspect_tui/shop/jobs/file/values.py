"""How values stand in a job file: each written so that its reader gives the very same back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM

NOT_KNOWN = "?"  # a place of one end of two


def filled(**values: Any) -> dict[str, Any]:
    """Only what says something, in the order given; `in_` stands for `in`."""
    return {k.rstrip("_"): v for k, v in values.items() if v is not None and v not in ("", [], {})}


def figure(value: float | None) -> float | int | None:
    """A figure as people write it: 62 and not 62.0."""
    if value is None:
        return None
    return int(value) if value == int(value) and abs(value) < 1e9 else value


def pair(low: float | None, high: float | None) -> list[float | int] | None:
    """Two figures; None where neither says anything."""
    if low is None or high is None:
        return None
    return [figure(low) or 0, figure(high) or 0]


def percent(a: float | None) -> str | None:
    """A contraction as the shortest text that is read as exactly this."""
    if a is None:
        return None
    for factor, unit in ((100.0, "%"), (1000.0, "mm/m")):
        for digits in range(1, 18):
            text = f"{MM.figures(factor * a, digits)} {unit}"
            if "e" not in text and fields.contraction(text) == a:
                return text
    return f"{MM.figure(100.0 * a, 15)} %"


def day(iso: str | None) -> date | None:
    """A day as TOML has it."""
    return date.fromisoformat(iso) if iso else None


def axes(x: float | None, y: float | None, z: float | None) -> dict[str, float | int] | None:
    """A place as { x = 60, y = 20 }, with what is known of it."""
    known = {axis: figure(mm) or 0 for axis, mm in zip("xyz", (x, y, z), strict=True) if mm is not None}
    return known or None


def range_of(value: Any, unit: str, signed: bool = True, to: str = "") -> tuple[float, float] | Wrong:
    """A range from [0, 300] or "0 to 300"."""
    if isinstance(value, list) and len(value) == 2:
        value = f"{value[0]} to {value[1]}"
    return fields.span(value, unit, signed=signed, equal=True, to=to)


def limits(value: Any) -> tuple[float | None, float | None] | Wrong:
    """Two limits, or one of them: [5.9, 7.9], "min 6", "max 8"."""
    if isinstance(value, str):
        word, figure_ = value.strip()[:3].casefold(), value.strip()[3:]
        if word in ("min", "max"):
            mm = fields.size(figure_, signed=True)
            if isinstance(mm, Wrong):
                return mm
            return (mm, None) if word == "min" else (None, mm)
    return range_of(value, "mm")


def limits_again(low: float | None, high: float | None) -> Any:
    """The same, written."""
    if low is not None and high is not None:
        return pair(low, high)
    limit = low if low is not None else high
    return None if limit is None else f"{'min' if low is not None else 'max'} {MM.figures(limit, 12)}"


def two_sizes(value: Any, *, zero: bool = False, signed: bool = False) -> tuple[float, float] | Wrong:
    """Two sizes, one for each end, in mm; one counts for both."""
    each = value if isinstance(value, list) else [value, value]
    if len(each) != 2:
        return Wrong(f"give two values, one for each end, not {len(each)}")
    read = [fields.size(size, zero=zero, signed=signed) for size in each]
    wrong = next((answer for answer in read if isinstance(answer, Wrong)), None)
    return wrong or (read[0], read[1])  # type: ignore[return-value]


def two_places(value: Any) -> tuple[float | None, float | None] | Wrong:
    """Where the two ends stand, mm; "?" for one that is not known."""
    known = [0 if each == NOT_KNOWN else each for each in value] if isinstance(value, list) else value
    read = two_sizes(known, signed=True)
    if isinstance(read, Wrong) or not isinstance(value, list):
        return read
    a, b = (None if each == NOT_KNOWN else mm for each, mm in zip(value, read, strict=True))
    return a, b


def place(value: Any) -> dict[str, float] | Wrong:
    """Where something stands: { x = 60, y = 20 }, or [60, 20, 5] with all three; mm."""
    if isinstance(value, list) and len(value) == 3:
        value = dict(zip("xyz", value, strict=True))
    if isinstance(value, str):
        read = fields.sizes(value, 3, signed=True)
        return read if isinstance(read, Wrong) else dict(zip("xyz", read, strict=True))
    if not isinstance(value, Mapping) or not value or not set(value) <= set("xyz"):
        return Wrong("a place is written as { x = 60, y = 20 }")
    places: dict[str, float] = {}
    for axis, typed in value.items():
        mm = fields.size(typed, signed=True)
        if isinstance(mm, Wrong):
            return Wrong(f"{axis}: {mm}")
        places[axis] = mm
    return places


def box(value: Any) -> dict[str, float] | Wrong:
    """A box { x = [0, 40], y = [0, 20], z = [5, 60] } as x0, x1, y0 ... in mm."""
    if not isinstance(value, Mapping) or not set("xyz") <= set(value):
        return Wrong("a box is written as { x = [0, 40], y = [0, 20], z = [5, 60] }")
    edges: dict[str, float] = {}
    for axis in "xyz":
        read = range_of(value[axis], "mm")
        if isinstance(read, Wrong):
            return Wrong(f"{axis}: {read}")
        if read[0] == read[1]:
            return Wrong(f"it has no extent along {axis}", "give two different places")
        edges[f"{axis}0"], edges[f"{axis}1"] = read
    return edges


def box_words(thing: Any) -> dict[str, list[float | int] | None]:
    """The three ranges of a box again."""
    return {axis: pair(getattr(thing, f"{axis}0"), getattr(thing, f"{axis}1")) for axis in "xyz"}


def typed_list(values: Sequence[Any]) -> list[Any] | Any:
    """One value as it is, several as a list."""
    return values[0] if len(values) == 1 else list(values)
