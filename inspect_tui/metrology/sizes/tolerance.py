"""Bands: limits looked up in general-tolerance standards, the tooling share of a casting band, and inside or not.

Ranges of nominal sizes read "over ... up to and including". Every band says where it came from and how sure that is
(found, memory, common-practice). Sizes and limits are mm, angles degrees.
"""

from __future__ import annotations

import re
from math import inf

from inspect_tui.errors import LimitsError, TableError
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.words import LIMIT_SLACK_MM, Band

_EN12890_MATERIALS = {"H": "wood", "M": "metal", "K": "plastic"}


def inside(value: float, band: Band) -> bool:
    """Whether a value lies in the band; a value equal to a limit is inside (1e-6 slack against binary rounding)."""
    above = band.lower is None or value >= band.lower - LIMIT_SLACK_MM
    below = band.upper is None or value <= band.upper + LIMIT_SLACK_MM
    return above and below


def shifted(band: Band, by: float) -> Band:
    """The band moved by `by`; an open side stays open and the source stays. In mm."""
    lower = None if band.lower is None else band.lower + by
    upper = None if band.upper is None else band.upper + by
    return Band(lower, upper, band.source)


def tooling_band(cast_band: Band, cast_nominal: float, target: float, a: float, share: float) -> Band:
    """The band on a tool: `share` of the casting band's deviations, at tooling scale, about the tool's target.

    `a` is the whole growth from casting to tool as a fraction. Common practice, no source; 1/4 to 1/3 is usual. Each
    side is scaled by itself, so that an asymmetric band stays asymmetric and a one-sided band one-sided. Where the
    nominal lies outside the casting band the band is drawn in about its own middle (its limit, when one-sided):
    drawn in about the nominal it would allow tools whose castings are out.
    Raises LimitsError when `share` is not over 0 and up to 1.
    """
    if not 0.0 < share <= 1.0:
        raise LimitsError(f"the tooling share {MM.figures(share)} of the casting band must be over 0 and not above 1")
    low = None if cast_band.lower is None else cast_band.lower - cast_nominal
    high = None if cast_band.upper is None else cast_band.upper - cast_nominal
    around = 0.0
    if (low is not None and low > 0.0) or (high is not None and high < 0.0):
        ends = [end for end in (low, high) if end is not None]
        around = sum(ends) / len(ends)

    def limit(deviation: float | None) -> float | None:
        return None if deviation is None else target + (around + share * (deviation - around)) * (1.0 + a)

    text = f"{_part(share)} of the casting band (common practice): {cast_band.source}"
    return Band(limit(low), limit(high), text)


def iso2768_1(nominal_mm: float, grade: str, kind: str = "linear", leg_mm: float | None = None) -> Band:
    """General tolerance of ISO 2768-1:1989 Tables 1 to 3, class f, m, c or v, about `nominal_mm`.

    `kind` is linear, radius_chamfer or angle. For an angle the nominal is in degrees and `leg_mm` is its shorter leg.
    Raises TableError where the standard gives no value.
    """
    size = leg_mm if kind == "angle" else nominal_mm
    if size is None:
        raise TableError("ISO 2768-1 goes by the shorter leg of an angle, which is not known: give the limits")
    row = tables.lookup("iso2768_1", _table_size(size, kind), kind=kind, grade=grade.strip().lower())
    if row is None:
        raise TableError(
            f"ISO 2768-1 gives no value for class {grade}, {kind.replace('_', ' or ')}, {MM.given(size)}: "
            "give the limits"
        )
    deviation = float(row["plus_minus"]) / (60.0 if row["unit"] == "arcmin" else 1.0)
    shown = f"{MM.figures(deviation, 4)}°" if kind == "angle" else MM.significant(deviation, 4)
    return _about(nominal_mm, deviation, f"ISO 2768-1 {row['grade']}, {_range(row)}: ±{shown}", row)


def iso8062_3(nominal_mm: float, grade: int | str, wall: bool = False) -> Band:
    """Linear casting tolerance of ISO 8062-3:2007 Table 2, DCTG 1 to 16, half the total each way about `nominal_mm`.

    A wall takes one grade coarser than the drawing's general grade; DCTG 16 exists only for walls of castings
    toleranced to 15. Raises TableError where the table has a dash.
    """
    number = _grade_number(grade)
    if not 1 <= number <= 15:
        raise TableError(f"DCTG {number} is not a general grade: ISO 8062-3 has DCTG 1 to 15, and 16 for walls only")
    row = tables.lookup("iso8062_3_dctg", _table_size(nominal_mm), grade=str(number + wall))
    if row is None:
        at = MM.given(nominal_mm)
        raise TableError(f"ISO 8062-3 gives no value for DCTG {number + wall} at {at}: give the limits")
    total = float(row["total_mm"])
    why = f" (a wall, one coarser than {number})" if wall else ""
    text = f"ISO 8062-3 DCTG {row['grade']}{why}, {_range(row)}: total {MM.given(total)}"
    return _about(nominal_mm, total / 2.0, text, row)


def raw_limits(finished_mm: float, grade: int | str, stock_mm: float = 0.0, wall: bool = False) -> Band:
    """Limits of a size on the raw casting from its casting grade: the DCTG of ISO 8062-3:2007 about the raw nominal.

    `stock_mm` is what the stock of both ends together adds to the size: above 0 over metal, below 0 over space, 0 where
    nothing is machined (as cast less finished). The tolerance is that of the raw size, half the total each way;
    `wall` as in `iso8062_3`. All mm. Raises TableError where stock leaves nothing of the size and where the table has
    no value.
    """
    raw = finished_mm + stock_mm
    if finished_mm > 0.0 >= raw:
        gone, size = MM.given(-stock_mm), MM.given(finished_mm)
        raise TableError(f"{gone} of stock leaves nothing of {size}: leave it out of the casting")
    return iso8062_3(raw, grade, wall)


def machining_allowance(largest_mm: float, grade: str) -> float:
    """Required machining allowance of ISO 8062-3, grade A to K, in mm per face, by the part's largest overall size.

    The shipped table is recalled (status memory). Raises TableError where it has no value.
    """
    letter = grade.upper().removeprefix("RMAG").strip()
    row = tables.lookup("iso8062_3_rmag", _table_size(largest_mm), grade=letter)
    if row is None:
        raise TableError(f"ISO 8062-3 gives no machining allowance for grade {grade} at {MM.given(largest_mm)}")
    return float(row["allowance_mm"])


def raw_size(
    finished_mm: float, largest_mm: float, rma_grade: str, dctg: int | str, faces: int = 2, internal: bool = False
) -> float:
    """The raw casting's nominal that leaves the allowance even at the bad end of its tolerance, mm.

    R = F + n RMA + CT/2 outside, F - n RMA - CT/2 inside, n machined faces (ISO 8062-3, symmetric zone). CT belongs
    to the raw size itself, so it is looked up again there; where the two differ the larger counts.
    Raises TableError where the tables end or nothing is left of a hole.
    """
    sign = -1.0 if internal else 1.0
    stocked = finished_mm + sign * faces * machining_allowance(largest_mm, rma_grade)
    raw, half = stocked, 0.0
    while (wider := (iso8062_3(raw, dctg).width or 0.0) / 2.0) > half + LIMIT_SLACK_MM:
        half = wider
        raw = stocked + sign * half
        if raw <= 0.0:
            raise TableError(f"a hole of {MM.given(finished_mm)} is all stock: leave it out of the casting")
    return raw


def iso286(nominal_mm: float, tolerance_class: str) -> Band:
    """Limits of a hole (capital letter) or shaft (small letter) by ISO 286, such as H7 or g6.

    Letters d to s (shafts) and F to H (holes) up to 500 mm; H, h, JS and js up to 3150 mm. Raises TableError for
    others: holes K to ZC need a further rule and are not in the shipped table.
    """
    match = re.fullmatch(r"([A-Za-z]{1,2})\s*(01|\d{1,2})", tolerance_class.strip())
    if match is None:
        raise TableError(f"{tolerance_class!r} is not a tolerance class of ISO 286, such as H7 or g6")
    letter, grade = match.groups()
    size = _table_size(nominal_mm)
    row = tables.lookup("iso286_it", size, grade=grade)
    if row is None:
        raise TableError(f"ISO 286 gives no IT{grade} at {MM.given(nominal_mm)}")
    if size <= 1.0 and int(grade) >= 14:
        raise TableError(f"ISO 286 does not use IT{grade} for sizes up to 1 mm")
    width = float(row["tolerance_um"])
    low = _lower_deviation(letter, int(grade), size, width)
    source = f"ISO 286 {letter}{grade}, {_range(row)}: {_signed(low)}/{_signed(low + width)} µm ({row['status']})"
    return Band(_tidy(nominal_mm + low / 1000.0), _tidy(nominal_mm + (low + width) / 1000.0), source)


EN12890_CLASSES = ("H1A", "H1", "H2", "H3", "M1", "M2")  # those with figures in the shipped table


def en12890(nominal_mm: float, cls: str, material: str) -> Band:
    """Pattern-equipment tolerance by EN 12890 class (H1a, H1, H2, H3 wood; M1, M2 metal), plus and minus.

    LOW CONFIDENCE: the standard's tables were not read; the shipped figures are half of an IT grade by a recalled
    rule. The band says so. Raises TableError for plastic classes K1 and K2, which have no figures, and other sizes. In
    mm.
    """
    name = cls.strip().upper()
    if _EN12890_MATERIALS.get(name[:1]) != material.strip().lower():
        raise TableError(f"EN 12890 class {cls} is not for {material}: H is wood, M metal, K plastic")
    looked_up = "H1" if name == "H1A" else name  # the deviations of H1a and H1 are equal
    dimensions = (r for r in tables.rows("pattern_tolerances") if r["kind"] == "dimension" and r["class"] == looked_up)
    for row in dimensions:
        if float(row["over"]) < abs(nominal_mm) <= float(row["up_to"]):
            source = f"EN 12890 {cls.strip()} {material}, over {row['over']} up to {row['up_to']} mm: LOW CONFIDENCE"
            return _about(nominal_mm, float(row["value"]), source, row)
    raise TableError(f"no figure is known for EN 12890 class {cls} at {MM.given(nominal_mm)}: give the limits")


def _lower_deviation(letter: str, grade: int, size: float, width: float) -> float:
    """Lower deviation in micrometres; `width` is the IT tolerance."""
    if letter in ("js", "JS"):
        return -width / 2.0
    if letter in ("H", "h"):  # zero by definition, also beyond the shipped table of letters
        return 0.0 if letter == "H" else -width
    row = tables.lookup("iso286_deviation", size, letter=letter)
    if row is None or not int(row["grade_min"]) <= grade <= int(row["grade_max"]):
        raise TableError(f"{letter}{grade} at {MM.given(size)} is not in the shipped part of ISO 286: give the limits")
    deviation = float(row["deviation_um"])
    return deviation - width if row["which"] == "es" else deviation


def _grade_number(grade: int | str) -> int:
    match = re.fullmatch(r"(?:DCTG)?\s*(\d{1,2})", str(grade).strip(), re.IGNORECASE)
    if match is None:
        raise TableError(f"{grade!r} is not a casting tolerance grade of ISO 8062-3, such as DCTG 9")
    return int(match.group(1))


def _table_size(size: float, kind: str = "length") -> float:
    """The size as the tables count it: a distance has no sign, and 0.5 mm is in the first row of ISO 2768-1."""
    size = abs(size)
    if not 0.0 < size < inf:
        shown = MM.given(size, unit=False)
        raise TableError(f"a tolerance table needs a size above zero, not {shown}: give the limits")
    return 0.5 + LIMIT_SLACK_MM if kind in ("linear", "radius_chamfer") and size == 0.5 else size


def _about(nominal: float, deviation: float, text: str, row: tables.Row) -> Band:
    return Band(_tidy(nominal - deviation), _tidy(nominal + deviation), f"{text} ({row['status']})")


def _range(row: tables.Row) -> str:
    return f"over {row['over_mm']} mm" if not row["up_to_mm"] else f"over {row['over_mm']} up to {row['up_to_mm']} mm"


def _part(share: float) -> str:
    """A share as a fraction people say, such as 1/3; in per cent where there is none."""
    for below in range(2, 11):
        if abs(share * below - round(share * below)) < 1e-9 and share < 1.0:
            return f"{round(share * below)}/{below}"
    return MM.percent(share, None)


def _signed(micrometres: float) -> str:
    return MM.figures(micrometres, signed=True) if micrometres else "0"


def _tidy(limit: float) -> float:
    return round(limit, 9)  # 62 + 0.8 is 62.8, not 62.800000000000004
