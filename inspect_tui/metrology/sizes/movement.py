"""What the work itself adds to a reading: thermal expansion to 20 degC, wood with its moisture, sound in a wall."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from math import isfinite, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.words import Estimate

REFERENCE_C = 20.0  # ISO 1
STEEL = 11.5e-6  # per K, of instruments: Swyt 1994, J. Res. NIST 99
TEMPERATURE_U = 1.0  # degC, a temperature taken at the bench: common practice, no source
EXPANSION_REL_U = 0.05  # of one printed expansion coefficient, about 0.5e-6 on steel: common practice, no source
SOUND_REL_U = 0.005  # of the velocity of sound within castings of one iron: common practice, no source
WOOD_REL_U = 0.15  # of a species' coefficient, tree to tree: Wood Handbook chapter 4 (recalled)
MOISTURE_U = 0.01 / sqrt(3.0)  # fraction, of one meter reading good to 1 % moisture: common practice, no source
FIBRE_SATURATION = 0.30  # above it wood does not move: Wood Handbook chapter 4 (recalled)


class Coefficient(NamedTuple):
    """A material's coefficient, its standard uncertainty and where it stands."""

    value: float
    u: float
    source: str


def at_20c(
    reading_mm: float,
    work_c: float,
    alpha_work: float,
    instrument_c: float | None = None,
    alpha_instrument: float = STEEL,
    u_c: float = TEMPERATURE_U,
    u_alpha_work: float | None = None,
    u_alpha_instrument: float | None = None,
) -> Estimate:
    """The size at 20 degC of work read at `work_c` with an instrument that is true at 20 degC.

    L20 = reading * (1 + a_i (t_i - 20)) / (1 + a_w (t_w - 20)), to first order reading * (1 - (a_w - a_i)(t - 20)).
    Source: ISO 1; NPL; Swyt 1994. `instrument_c` None: the instrument is as warm as the work, and one error of the
    thermometer moves both. The uncertainty is the correction's alone (temperatures, coefficients), not the
    reading's. mm and degC, coefficients per kelvin. DataError for values that are not finite.
    """
    if not all(isfinite(x) for x in (reading_mm, work_c, alpha_work, alpha_instrument, u_c)):
        raise DataError("a temperature correction needs finite numbers")
    together = instrument_c is None
    d_work = work_c - REFERENCE_C
    d_instrument = d_work if instrument_c is None else instrument_c - REFERENCE_C
    size = reading_mm * (1.0 + alpha_instrument * d_instrument) / (1.0 + alpha_work * d_work)
    u_aw = EXPANSION_REL_U * alpha_work if u_alpha_work is None else u_alpha_work
    u_ai = EXPANSION_REL_U * alpha_instrument if u_alpha_instrument is None else u_alpha_instrument
    thermometer = ((alpha_work - alpha_instrument) * u_c) ** 2
    if not together:
        thermometer = (alpha_work * u_c) ** 2 + (alpha_instrument * u_c) ** 2
    coefficients = (d_work * u_aw) ** 2 + (d_instrument * u_ai) ** 2
    return Estimate(size, abs(size) * sqrt(thermometer + coefficients))


def moisture_change(
    width_mm: float,
    coefficient: float,
    from_fraction: float,
    to_fraction: float,
    u_moisture: float = MOISTURE_U,
    u_coefficient: float | None = None,
) -> Estimate:
    """How much a wooden width grows (mm, negative when it dries) from one moisture to another, both fractions.

    change = width * C * (to - from) in per cent points, C per 1 % moisture: Wood Handbook chapter 13; good from 6 to
    14 %. `u_moisture` is of each meter reading. Raises DataError for moistures outside 0 to fibre saturation (0.30):
    wood above that does not move, and 9 % is 0.09.
    """
    for moisture in (from_fraction, to_fraction):
        if not 0.0 <= moisture <= FIBRE_SATURATION:
            share = MM.percent(moisture, None)
            raise DataError(f"a moisture of {share} is outside 0 to 30 %, where wood moves; 9 % is 0.09")
    points = 100.0 * (to_fraction - from_fraction)
    u_c = WOOD_REL_U * abs(coefficient) if u_coefficient is None else u_coefficient
    u = abs(width_mm) * sqrt((points * u_c) ** 2 + 2.0 * (coefficient * 100.0 * u_moisture) ** 2)
    return Estimate(width_mm * coefficient * points, u)


def expansion_of(material: str, direction: str = "along grain") -> Coefficient | None:
    """Thermal expansion per K of a material as people write it; None when the table has none or several fit.

    Where several printed values fit, the middle of their range, u = range/sqrt(12), and never less than 5 % of it.
    `direction` matters for wood only: along grain, or across grain.
    """
    fitting = []
    for row in _rows_of(material, "cte"):
        if row["direction"] in ("", "in plane") or row["direction"].startswith(direction):
            fitting.append(row)
    return _middle(fitting, 1e-6, EXPANSION_REL_U)


def materials_known() -> list[str]:
    """What people call the materials whose expansion is in the table, by name."""
    printed = {row["material"] for row in tables.rows("materials") if row["property"] == "cte"}
    called = {row["name"] for row in tables.rows("material_names") if printed & set(row["materials"].split("|"))}
    return sorted(printed | called)


def sound_velocity(material: str) -> Coefficient | None:
    """Velocity of longitudinal sound, m/s, of a material as people write it; None where the table has none.

    The middle of the printed range, u = range/sqrt(12), never less than 0.5 %: within one casting it still varies with
    section and graphite (common practice, no source).
    """
    return _middle(_rows_of(material, "sound_velocity"), 1.0, SOUND_REL_U)


def names_material(text: str, material: str) -> bool:
    """Whether every word of a material's name stands in a text, such as the reference of a certificate."""
    return bool(_words(material)) and _words(material) <= _words(text)


def wood_coefficient(species: str, direction: str = "tangential") -> Coefficient | None:
    """Dimensional change per 1 % moisture, as a fraction of the width; None for a species not in the table.

    Wood whose species is not said takes the middle of all. `direction` is tangential (flat-sawn face), radial
    (quarter-sawn face) or along (the grain); for board it is in plane or thickness. Along the grain the table's
    total shrinkage is spread evenly from fibre saturation to dry.
    """
    if direction.startswith("along") or direction == "longitudinal":
        rows = [r for r in tables.rows("materials") if r["direction"] == "longitudinal"]
        return _middle(rows, 0.01 / (100.0 * FIBRE_SATURATION), WOOD_REL_U)
    asked = _words(species)
    unsaid = asked <= {"wood", "hardwood", "softwood", "timber", "solid"}
    rows = [
        row
        for row in tables.rows("materials")
        if asked and (unsaid or asked <= _words(row["material"])) and row["direction"].startswith(direction)
    ]
    per_percent = [row for row in rows if row["property"] == "dimensional_change_coefficient"]
    board = [row for row in rows if row["property"] == "moisture_movement" and row["unit"] == "% per 1 % MC"]
    return _middle(per_percent, 1.0, WOOD_REL_U) or _middle(board, 0.01, WOOD_REL_U)


def _middle(rows: Sequence[tables.Row], factor: float, least_rel_u: float) -> Coefficient | None:
    if not rows:
        return None
    lo = min(float(row["lo"]) for row in rows) * factor
    hi = max(float(row["hi"]) for row in rows) * factor
    value = (lo + hi) / 2.0
    said = {f"{row['material']}: {tables.short(row['source'])} ({row['status']})": None for row in rows}
    more = f" and {len(said) - 1} more" if len(said) > 1 else ""
    return Coefficient(value, max((hi - lo) / sqrt(12.0), least_rel_u * value), next(iter(said)) + more)


def _rows_of(material: str, prop: str) -> list[tables.Row]:
    """Rows of the materials that a name stands for: its alias, the printed name, or the one alias it contains."""
    asked = _words(material)
    aliases = {_words(row["name"]): row["materials"] for row in tables.rows("material_names")}
    listed = aliases.get(asked)
    every = [row for row in tables.rows("materials") if row["property"] == prop]
    if listed is None:
        exact = [row for row in every if asked and _words(row["material"]) == asked]
        if exact:
            return exact
        held = [name for name in aliases if name <= asked]
        longest = [name for name in held if not any(name < other for other in held)]
        meant = {aliases[name] for name in longest}
        if len(meant) != 1:
            return []
        listed = meant.pop()
    return [row for row in every if row["material"] in listed.split("|")]


@lru_cache(maxsize=2000)  # the names of the tables come again at every question
def _words(name: str) -> frozenset[str]:
    plain = name.lower().replace("gray", "grey").replace("aluminum", "aluminium")
    return frozenset(re.findall(r"[a-z0-9]+", plain))
