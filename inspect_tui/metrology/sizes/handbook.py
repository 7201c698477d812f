"""What standards and handbooks print for draft, machining stock and casting grades: all that applies, best first.

Sand castings. Order by kind of source: standards, handbooks, pages of the web, shop practice. People choose; nothing
here decides. Lengths mm, draft degrees. The tables that are looked up name their source row by row.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, degrees

from inspect_tui.errors import TableError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.sizes import contraction, tables, tolerance
from inspect_tui.metrology.typed.show import MM, Style

FACES = ("surface", "bore", "cope")  # a machined face: any, of a bore, one that is cast uppermost
PATTERNS = ("wood", "metal")
MOULDING = ("machine", "hand")
RMAG = "ABCDEFGHJK"

_IRON = ("cast iron", "cast iron, any size, minimum", "cast irons", "iron and steel")
_STEEL = ("steel", "cast steel", "iron and steel")
_COPPER = ("copper alloys", "non-ferrous", "brass, bronze, aluminium")
_METALS = {  # group of alloys -> what the tables call them
    "grey_iron": ("grey iron", "grey and ductile iron", *_IRON),
    "ductile_iron": ("ductile iron", "grey and ductile iron", *_IRON),
    "austenitic_iron": _IRON,
    "white_iron": _IRON,
    "malleable": ("malleable iron", "cast irons", "iron and steel"),
    "carbon_steel": _STEEL,
    "austenitic_stainless": _STEEL,
    "stainless_13cr": _STEEL,
    "manganese_steel": _STEEL,
    "aluminium": ("light metals", "non-ferrous", "brass, bronze, aluminium"),
    "magnesium": ("light metals", "non-ferrous"),
    "zinc": ("zinc alloys", "non-ferrous"),
    **dict.fromkeys(
        ("bronze", "tin_bronze", "aluminium_bronze", "manganese_bronze", "brass", "red_brass", "copper"), _COPPER
    ),
    **dict.fromkeys(("tin", "lead", "white_metal", "soft_metals"), ("non-ferrous",)),
}
_STOCK_FACES = {"surface": ("surface", "drag surface"), "bore": ("bore",), "cope": ("cope side", "cope surface")}
_DRAFT_FACES = {
    False: ("external", "outside faces", "all but cored holes and pockets"),
    True: ("internal", "internal pockets in drag", "internal pockets in cope"),
}
_BY_HEIGHT = ("low faces, clay-bonded", "high faces, clay-bonded", "chemically bonded", "general")
_ANY_SAND = "any, sand casting DCTG 11 + RMAG G"
_COPE_EXTRA = "any, sand casting, extra for upper (cope) faces"


@frozen_by_name
class Printed:
    """One printed range: mm of stock a face, degrees of draft, or the place of a grade in its series (see `text`)."""

    lo: float
    hi: float
    text: str  # the range with its unit, as people write it
    what: str  # what it is printed for
    source: str
    status: str
    kind: str
    weak: str

    @property
    def said(self) -> str:
        """One line: the range, what it holds for, where it stands, and that it is weak where it is; no web address."""
        weak = f"; {self.weak}" if self.weak else ""
        return f"{self.text}, {self.what}: {tables.short(self.source)} ({self.status}){weak}"


def span(printed: Sequence[Printed]) -> tuple[float, float] | None:
    """Lowest and highest of what is printed in sources that are not weak, in its unit; of the weak ones without such.

    None for nothing.
    """
    good = [one for one in printed if not one.weak] or list(printed)
    return (min(one.lo for one in good), max(one.hi for one in good)) if good else None


def stock(size_mm: float, alloy: str, face: str = "surface", style: Style = MM) -> list[Printed]:
    """Machining stock a face (mm) for a size of a sand casting, every printed range, best source first.

    `face` is one of FACES: handbooks ask for more in bores and most on faces that are cast uppermost. Raises TableError
    for a size that is none, a face that is none and an alloy that is not known.
    """
    _length(size_mm, "stock goes by a size")
    if face not in _STOCK_FACES:
        raise TableError(f"a machined face is {', '.join(FACES)}, not {face!r}")
    metals, made = _metals(alloy), []
    rows = [row for row in tables.rows("machining_allowance") if tables.within(size_mm, row)]
    extra = next((row for row in rows if row["metal"] == _COPE_EXTRA), None)
    for row in rows:
        lo, hi = float(row["lo_mm"]), float(row["hi_mm"])
        what = f"{row['metal']}, {row['face']}"
        if row["metal"] == _ANY_SAND and face == "cope" and extra is not None:
            lo, hi = lo + float(extra["lo_mm"]), hi + float(extra["hi_mm"])
            what = f"{row['metal']}, cope side"
        elif row["face"] not in _STOCK_FACES[face] or row["metal"] not in (*metals, _ANY_SAND):
            continue
        if row["up_to_mm"]:
            what += f", {_sizes(row['over_mm'], row['up_to_mm'], style)}"
        made.append(_printed(lo, hi, stock_span((lo, hi), style), what, row))
    return _best_first(made)


def stock_span(of: tuple[float, float], style: Style = MM) -> str:
    """`3.2 to 5.0 mm`, `3.0 mm`: a range of stock a face (mm) as people write it."""
    return style.length(of[0], 1) if of[0] == of[1] else style.pair(of[0], of[1], 1)


def draft_span(of: tuple[float, float]) -> str:
    """`0.5 to 1.5°`, `1°`: a range of draft (degrees) as people write it, to two figures."""
    lo, hi = MM.figures(of[0], 2), MM.figures(of[1], 2)
    return f"{lo}°" if lo == hi else f"{lo} to {hi}°"


def draft(height_mm: float, pattern: str = "wood", inside: bool = False, style: Style = MM) -> list[Printed]:
    """Draft in degrees for a face of a height, drawn from sand, every printed range, best source first.

    `pattern` is wood or metal (metal and plastic); `inside` is a face that sand must leave standing in a pocket. Tapers
    printed as a length over the height are turned into the angle at the upper end of those heights. Raises TableError
    for a height that is none and a pattern that is neither.
    """
    _length(height_mm, "draft goes by the height of the face")
    if pattern not in PATTERNS:
        raise TableError(f"a pattern is of {' or '.join(PATTERNS)}, not of {pattern!r}")
    made, below = [], 0.0  # below: the height that a table of heights, not of ranges, last printed
    for row in tables.rows("draft"):
        faces = (*_DRAFT_FACES[inside], *_BY_HEIGHT)
        if row["face"] not in faces or not row["pattern_material"].startswith((pattern, "any")):
            continue
        scale = 25.4 if row["height_unit"] == "in" else 1.0
        over, up_to = (tables.number(row[end]) for end in ("height_over", "height_up_to"))
        if over is not None and over == up_to:
            over, below = below, over
        if not _holds(height_mm, over, up_to, scale):
            continue
        angles = sorted(_angle(float(row[end]), row["unit"], (up_to or 0.0) * scale) for end in ("lo", "hi"))
        what = f"{row['pattern_material']} pattern, {row['moulding']}, {row['face']}"
        if over is not None or up_to is not None:
            what += f", {_heights(over, up_to, scale, style)}"
        made.append(_printed(angles[0], angles[1], draft_span((angles[0], angles[1])), what, row))
    return _best_first(made)


def grades(alloy: str, grade: str = "DCTG", moulding: str | None = None) -> list[Printed]:
    """Usual grades of ISO 8062 for sand castings of an alloy, every printed range, best source first.

    `grade` is DCTG (tolerance of sizes), GCTG (of form) or RMAG (machining allowance); `moulding` is hand or machine,
    None both. `lo` and `hi` are numbers of grades, for RMAG their places in A to K. Raises TableError for another
    grade or moulding, and for an alloy that is not known.
    """
    if grade not in ("DCTG", "GCTG", "RMAG"):
        raise TableError(f"a grade of ISO 8062-3 is DCTG, GCTG or RMAG, not {grade!r}")
    if moulding is not None and moulding not in MOULDING:
        raise TableError(f"moulding is by {' or '.join(MOULDING)}, not {moulding!r}")
    metals, made = _metals(alloy), []
    for row in tables.rows("iso8062_grades_by_process"):
        if row["kind"] != grade or row["series"] == "rule" or "sand" not in row["process"]:
            continue
        if row["metal"] not in metals or (moulding is not None and moulding not in row["process"]):
            continue
        lo, hi = (float(RMAG.index(row[end]) if grade == "RMAG" else row[end]) for end in ("lo", "hi"))
        what = f"{row['metal']}, {row['process']}" + ("" if row["series"] == "any" else f", {row['series']}")
        made.append(_printed(lo, hi, grade_span(grade, (lo, hi)), what, row))
    return _best_first(made)


def grade_span(grade: str, of: tuple[float, float]) -> str:
    """`DCTG 8 to 12`, `RMAG F to H`: a range of grades as people write it; `8 to 12` without a name for them."""
    lo, hi = (RMAG[int(end)] if grade == "RMAG" else str(int(end)) for end in of)
    return f"{grade} {lo if lo == hi else f'{lo} to {hi}'}".strip()


def grade_halves(finest: float, coarsest: float, size_mm: float) -> tuple[float, float]:
    """Half the tolerance (mm) of two DCTG at a size of the casting; TableError where the table has a dash."""
    low, high = (tolerance.iso8062_3(size_mm, int(grade)).width or 0.0 for grade in (finest, coarsest))
    return low / 2.0, high / 2.0


def grade_says(grade: str, of: tuple[float, float], size_mm: float, style: Style = MM) -> str:
    """A range of grades and what its ends come to in mm: half the DCTG each way, the RMAG a face.

    The size is the casting's own, for RMAG the largest of the part. The range alone where the tables have no figure.
    """
    text, at = grade_span(grade, of), style.given(size_mm)
    try:
        if grade == "DCTG":
            low, high = grade_halves(*of, size_mm)
            return f"{text}: ±{style.given(low, unit=False)} to ±{style.given(high)} at {at}"
        if grade == "RMAG":
            low, high = (tolerance.machining_allowance(size_mm, RMAG[int(end)]) for end in of)
            return f"{text}: at least {style.pair(low, high, None)} a face on a part of up to {at}"
    except TableError:
        return f"{text} (no figure at {at})"
    return text


def _printed(lo: float, hi: float, text: str, what: str, row: tables.Row) -> Printed:
    return Printed(
        lo=lo,
        hi=hi,
        text=text,
        what=what,
        source=row["source"],
        status=row["status"],
        kind=row["source_kind"],
        weak=tables.weak(row) or (f"weak: {row['note']}" if "in doubt" in row["note"] else ""),
    )


def _best_first(printed: list[Printed]) -> list[Printed]:
    return sorted(printed, key=lambda one: (one.weak != "", tables.KINDS.index(one.kind)))


def _metals(alloy: str) -> tuple[str, ...]:
    group = contraction.group(alloy)
    if group is None:
        raise TableError(f"which metal {alloy!r} is, the tables do not know: {', '.join(contraction.alloys())}")
    return _METALS[group]


def _length(mm: float, goes_by: str) -> None:
    if not 0.0 < mm < 1e5:
        raise TableError(f"{goes_by} above zero, not {MM.given(mm, unit=False)}")


def _holds(mm: float, over: float | None, up_to: float | None, scale: float) -> bool:
    return (over is None or mm > over * scale) and (up_to is None or mm <= up_to * scale)


def _angle(taper: float, unit: str, high_mm: float) -> float:
    if unit == "deg":
        return taper
    if unit == "%":
        return degrees(atan(taper / 100.0))
    if unit in ("mm over the height", "in over the draw"):
        return degrees(atan(taper * (25.4 if unit.startswith("in") else 1.0) / high_mm))
    raise TableError(f"a taper in {unit} is not understood")


def _sizes(over: str, up_to: str, style: Style) -> str:
    low, high = tables.number(over) or 0.0, float(up_to)
    return f"over {style.pair(low, high, 0)}" if low else f"up to {style.length(high, 0)}"


def _heights(over: float | None, up_to: float | None, scale: float, style: Style) -> str:
    if up_to is None:
        return f"over {style.length((over or 0.0) * scale, 0)} high"
    return f"{style.pair((over or 0.0) * scale, up_to * scale, 0)} high"
