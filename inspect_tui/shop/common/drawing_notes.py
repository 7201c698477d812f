"""What a feature is and what its note on the drawing says: no length, only on a casting cut up, where it is taken."""

from __future__ import annotations

import re

from inspect_tui.model.work import Feature

# Patterns stand as text and are compiled when the first note is read: the bench starts without.
SECTION = r"\bsection|\bcut[- ]?up\b"  # in a feature's note: only on a casting cut up
_FIGURE = r"(?:\d+/\d+|(?:\d{1,3}(?: \d{3})+(?!\d)|\d+)(?:[.,]\d+)?(?:e\d\d?)?(?:\s+\d+/\d+)?)"
_SIZE = rf"-?{_FIGURE}(?:\s*(?:mm|cm|inch|in|\")(?![^\W\d]))?"
PLACE = rf"([xyz])\s*=\s*({_SIZE})"
# in a feature's note: taken at x = 300, or with more than one place: at x = 455, z = 140
PLACES = rf"\bat\s+({PLACE}(?:\s*(?:,|;|/|\band\b)?\s*{PLACE})*)"


def is_sectioned(feature: Feature) -> bool:
    """Whether it can only be measured on a casting that is cut up."""
    return bool(feature.note and re.search(SECTION, feature.note, re.IGNORECASE))


def station_of(feature: Feature) -> tuple[str, float] | None:
    """The axis and place where it is taken, such as ("x", 300.0), the first it has; None when nobody said."""
    return next(iter(places_of(feature).items()), None)


def places_of(feature: Feature) -> dict[str, float]:
    """Every place where it is taken, by axis, such as {"x": 455.0, "z": 140.0}: as its note says, or as was entered.

    Where the note gives one axis twice it is the first; what was entered stands above the note. mm on the casting.
    """
    places: dict[str, float] = {}
    if feature.note:
        from inspect_tui.metrology.typed import fields  # few features have a note

    for told in re.finditer(PLACES, feature.note, re.IGNORECASE) if feature.note else ():
        for axis, typed in re.findall(PLACE, told[1], re.IGNORECASE):
            mm = fields.size(typed, signed=True)
            if isinstance(mm, float):
                places.setdefault(axis.casefold(), mm)
    entered = {"x": feature.at_x, "y": feature.at_y, "z": feature.at_z}
    return places | {axis: mm for axis, mm in entered.items() if mm is not None}


def is_angle(feature: Feature) -> bool:
    """Not a length: no temperature, no cut, no cause."""
    return feature.quantity in ("angle", "attribute", "temperature")
