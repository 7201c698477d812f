"""Words that can be units: every name of the library's own registry is one, other words are none."""

from __future__ import annotations

from typing import Any

import pint

from inspect_tui.metrology.typed.unit_names import can_be_unit

KINDS = (
    "[length]",
    "[mass]",
    "[temperature]",
    "[length] ** 2",
    "[length] ** 3",
    "[length] ** 3 / [time]",
    "[mass] / [length] ** 3",
    "[time]",
)


def test_no_unit_that_the_library_knows_is_taken_for_a_word_that_cannot_be_one() -> None:
    """Every name of the kinds that are read, with every prefix of the library's registry."""
    registry: Any = pint.UnitRegistry()  # one that has not yet learnt prefixed names as names
    refused = []
    for name, unit in list(registry._units.items()):
        if not name:
            continue
        kind = f"{registry.get_dimensionality(unit.name)}"
        angle = kind == "dimensionless" and f"{registry.get_root_units(unit.name)[1]}" == "radian"
        if kind in KINDS or angle:
            prefixes = [prefix for prefix in registry._prefixes if prefix.isascii()]
            refused += [p + name for p in prefixes if not can_be_unit(p + name)]
            refused += [name + "s"] if not can_be_unit(name + "s") else []
    assert refused == []
    assert can_be_unit("kg/m3") and can_be_unit("gal / min") and can_be_unit("yd^3/h")
    assert not any(can_be_unit(word) for word in ("xyzzy", "ampere", "volt", "kg/xyzzy", "pieces", "", "/"))
