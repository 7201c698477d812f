"""How rough a face is that an instrument touches: what the tops and valleys of a surface leave open of a size."""

from __future__ import annotations

import re
from functools import cache
from math import sqrt

from inspect_tui.frozen import frozen
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.typed.show import MM

AS_CAST = "as-cast sand face"
SAND_CORE = "sand core"
MACHINED = "machined metal"
WOOD = "wood"
RZ_BY_RA = 5.0  # height of a profile over its mean roughness, 4 to 7 on most faces: common practice, no source


@frozen
class Roughness:
    """A kind of surface: height from valleys to tops in mm, and where the figure stands."""

    surface: str
    height_mm: float
    source: str

    @property
    def u_mm(self) -> float:
        """Standard uncertainty of where one face lies, mm: anywhere between valleys and tops (JCGM 100:2008, 4.3.7)."""
        return self.height_mm / sqrt(12.0)


@cache
def of_surface(surface: str) -> Roughness:
    """A surface of the shipped table, by its name there; heights in mm. KeyError for one that is not in it."""
    row = next((row for row in tables.rows("roughness") if row["surface"] == surface), None)
    if row is None:
        raise KeyError(surface)
    middle = (float(row["ra_lo"]) + float(row["ra_hi"])) / 2.0
    between = f"Ra {MM.figures(float(row['ra_lo']))} to {MM.figures(float(row['ra_hi']))} µm"
    known = "" if row["status"] == "common-practice" else f" ({row['status']})"
    return Roughness(surface, RZ_BY_RA * middle / 1000.0, f"{between}: {tables.short(row['source'])}{known}")


@cache
def of_material(material: str) -> Roughness | None:
    """The face of a pattern, stick or box of a material as people write it; None where the table knows no such.

    Heights in mm. The first row that one of the words names: a metal-filled resin is a resin, a tooling board a board.
    """
    words = set(re.findall(r"[a-z]+", material.casefold()))
    for surface in ("foam", "tooling board", "plaster", "resin", "wood", "machined metal"):
        row = next(row for row in tables.rows("roughness") if row["surface"] == surface)
        if words & set(row["words"].split("|")):
            return of_surface(surface)
    return None
