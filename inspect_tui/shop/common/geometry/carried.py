"""What sits in what, out of the fits of a kit: along which axes a core is moved by the part that its print goes into.

Where no fit between two parts says what it holds, the inner one is moved along all axes. A print that is laid onto its
seat from above is carried by it, too. What has no other seat than the cope's hangs there.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from inspect_tui.metrology.faces.network import Carry
from inspect_tui.model.kit import Fit
from inspect_tui.model.words import Id
from inspect_tui.shop.common.geometry.faces import part_of


def carries(fits: Sequence[Fit], number_of: Mapping[Id, int]) -> tuple[Carry, ...]:
    """Each pair of parts once, in the order of the fits. `number_of`: core numbers by the id of any version."""
    pairs: dict[tuple[str, str], list[Fit]] = {}
    for fit in fits:
        inner = part_of(fit.inner_core_id, fit.inner_half, number_of)
        outer = part_of(fit.outer_core_id, fit.outer_half, number_of)
        if inner and outer and inner != outer and inner.startswith("core"):
            pairs.setdefault((inner, outer), []).append(fit)
    seats: dict[str, set[str]] = {}
    for inner, outer in pairs:
        seats.setdefault(inner, set()).add(outer)
    return tuple(
        Carry(inner, outer, _axes(own), hangs=outer == "cope" and seats[inner] == {"cope"})
        for (inner, outer), own in pairs.items()
    )


def _axes(fits: Sequence[Fit]) -> str:
    """The axes that these fits hold between them; all where none of them says what it holds."""
    held: set[str] = set()
    for fit in fits:
        held |= {word[0] for word in re.split(r"[\s,]+", fit.holds or "") if word[:1] in tuple("xyz")}
    if not held:
        return "xyz"
    held |= {fit.way_in[0] for fit in fits if fit.way_in == "z-"}  # its weight lays it on
    return "".join(axis for axis in "xyz" if axis in held)
