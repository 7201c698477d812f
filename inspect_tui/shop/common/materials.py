"""What a new tool or casting is made of, as far as temperature goes: its expansion from the shipped table."""

from __future__ import annotations


def known() -> list[str]:
    """The materials whose expansion the table knows, as people call them."""
    from inspect_tui.metrology.sizes.movement import materials_known

    return materials_known()


def expansion(material: str | None) -> float | None:
    """Thermal expansion per degC of a material as people write it; None where the table does not know it.

    It is written with the tool or casting once, so that a reading means the same when the table has changed. Wood is
    taken along its grain. Source: `metrology/sizes/tables/materials.csv`, with a source to each row.
    """
    if not material or material.strip().casefold() in ("not stated", "?"):
        return None
    from inspect_tui.metrology.sizes.movement import expansion_of

    printed = expansion_of(material)
    return float(f"{printed.value:.3g}") if printed is not None else None
