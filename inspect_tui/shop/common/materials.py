"""What a new tool or casting is made of, as far as temperature goes: its expansion from the shipped table."""

from __future__ import annotations


def expansion(material: str | None) -> float | None:
    """Thermal expansion per degC of a material as people write it; None where the table does not know it.

    It is written with the tool or casting once, so that a reading means the same when the table has changed. Wood is
    taken along its grain. Source: `metrology/tables/materials.csv`, with a source to each row.
    """
    if not material or material.strip().casefold() in ("not stated", "?"):
        return None
    from inspect_tui.metrology.sizes.movement import expansion_of

    found = expansion_of(material)
    return float(f"{found.value:.3g}") if found is not None else None
