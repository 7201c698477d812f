"""How rough faces are: every material that pattern shops name has its surface, and the figures are the table's."""

from __future__ import annotations

from math import sqrt

import pytest

from inspect_tui.metrology.sizes import roughness, tables


@pytest.mark.parametrize(
    "material, surface",
    [
        ("mahogany", "wood"),
        ("Hardwood, painted", "wood"),
        ("MDF", "wood"),
        ("resin", "resin"),
        ("metal-filled resin", "resin"),
        ("epoxy board", "tooling board"),
        ("aluminium", "machined metal"),
        ("cast iron", "machined metal"),
        ("plaster", "plaster"),
        ("polystyrene", "foam"),
    ],
)
def test_a_material_has_a_surface(material: str, surface: str) -> None:
    found = roughness.of_material(material)
    assert found is not None
    assert found.surface == surface


@pytest.mark.parametrize("material", ["not stated", "", "?", "unobtainium"])
def test_what_is_not_known_is_not_guessed(material: str) -> None:
    assert roughness.of_material(material) is None


def test_every_surface_of_the_table_is_reached_and_says_where_its_figure_stands() -> None:
    for row in tables.rows("roughness"):
        found = roughness.of_surface(row["surface"])
        assert found.source and "http" not in found.source
        if row["status"] == "common-practice":
            assert "common practice, no source" in found.source
        for word in filter(None, row["words"].split("|")):
            assert roughness.of_material(word) == found
    with pytest.raises(KeyError):
        roughness.of_surface("velvet")


def test_an_as_cast_sand_face() -> None:
    """Sand casting Ra 12.5 to 25 um (surface roughness by production method); height five times Ra, a rectangle."""
    face = roughness.of_surface(roughness.AS_CAST)
    assert face.height_mm == pytest.approx(5 * 0.01875)
    assert face.u_mm == pytest.approx(face.height_mm / sqrt(12))
    assert face.source.startswith("Ra 12.5 to 25 µm") and "(found)" in face.source
    assert roughness.of_surface(roughness.SAND_CORE).height_mm > face.height_mm
    smooth = roughness.of_material("aluminium")
    wood = roughness.of_material("pine")
    assert smooth is not None and wood is not None
    assert smooth.height_mm < wood.height_mm < face.height_mm
