"""The invented job of the demo: a water-jacketed exhaust manifold with its drawing, cores, fits and stacks.

Nothing here is a real part, firm or person. Lengths mm, ratios as fractions of the casting size:
tool = casting * (1 + a). Frame: x along the manifold, y outboard from the engine flange, z up.
Parts: "D" drag pattern, "U" cope pattern, "c3" core 3. The drawing's sizes of features F01 to F64 are in
features.csv beside this file; people, instruments and the calendar are in workshop.py; what the castings truly
measure is in truth.py.
"""

from __future__ import annotations

import csv
from importlib import resources

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM

NUMBER = "EXM-4"
NAME = "water-jacketed exhaust manifold"
ALLOY = "ductile iron"
CONSTRUCTION = "cored"
CUSTOMER_REF = "marine engine, four cylinders"
RULE = "full_u"  # the decision rule agreed for this job
DRAWING = "EXM-4-D1"
DEFAULT_BAND = "ISO 8062-3 DCTG 9"
IRON_EXPANSION = 11e-6
TOOL_SHARE = 1.0 / 3.0
MINIMUM_WALL = 6.0
MINIMUM_CLEAN_UP = 1.0  # stock that must have gone from every spot of a machined face

# Planned contraction by axis: first layout, and after the first sampling, when x was re-laid on every part.
PLAN_FIRST = {"x": 0.010, "y": 0.010, "z": 0.010}
PLAN_RELAID = {"x": 0.008, "y": 0.010, "z": 0.010}
U_PLAN = 0.0015

PARTING = ((0.0, 520.0, 90.0), (520.0, 624.0, 118.0))  # from x, to x, height
DATUM_TARGETS = {
    "A1": (60.0, 40.0, 0.0),
    "A2": (560.0, 88.0, 0.0),
    "A3": (60.0, 136.0, 0.0),  # drag feet
    "B": (None, 0.0, None),
    "C": (0.0, None, None),  # back of the engine flange (two), closed-end boss
}


# ------------------------------------------------------------------------------ cores and tools
@frozen_by_name
class CoreFact:
    """One numbered core: setting order, what holds it, volume in all and in metal (dm3), chaplets, loose pieces."""

    number: int
    name: str
    order: int
    makes_surface: bool
    located_by: str
    volume: float
    volume_in_metal: float
    box_material: str
    stick_material: str = "hardwood"
    chaplets: int = 0
    loose_pieces: int = 0


CORES = (
    CoreFact(
        number=1,
        name="lower jacket",
        order=1,
        makes_surface=True,
        located_by="drag prints (K1)",
        volume=2.25,
        volume_in_metal=1.90,
        box_material="resin",
    ),
    CoreFact(
        number=2,
        name="locator block, outlet end",
        order=2,
        makes_surface=False,
        located_by="drag print (K2)",
        volume=1.40,
        volume_in_metal=0.0,
        box_material="hardwood",
    ),
    CoreFact(
        number=3,
        name="gas log with 4 branches",
        order=4,
        makes_surface=True,
        located_by="four port prints in drag (K3)",
        volume=4.30,
        volume_in_metal=3.10,
        box_material="aluminium",
        chaplets=2,
        loose_pieces=4,
    ),
    CoreFact(
        number=4,
        name="outlet and throat",
        order=5,
        makes_surface=True,
        located_by="keyed into core 3 (K5), seat in core 2 (K4)",
        volume=0.75,
        volume_in_metal=0.45,
        box_material="hardwood",
    ),
    CoreFact(
        number=5,
        name="upper jacket",
        order=6,
        makes_surface=True,
        located_by="keyed into core 1, four keys (K6)",
        volume=1.95,
        volume_in_metal=1.70,
        box_material="resin",
        loose_pieces=2,
    ),
    CoreFact(
        number=6,
        name="water outlet elbow",
        order=7,
        makes_surface=True,
        located_by="keyed into core 5 (K7), top print in cope (K8)",
        volume=0.22,
        volume_in_metal=0.15,
        box_material="hardwood",
        loose_pieces=1,
    ),
    CoreFact(
        number=7,
        name="outer shape, outlet neck",
        order=3,
        makes_surface=True,
        located_by="drag print (K9), face on core 2 (K10)",
        volume=1.10,
        volume_in_metal=0.30,
        box_material="resin",
    ),
)
IRON_KG_DM3, SAND_KG_DM3 = 7.0, 1.6
BOX_3_WITH_CORE_KG = 38.0
SECOND_A = 0.013  # aluminium of the production box 3, cast from master 3


def lift_kgf(core: CoreFact) -> float:
    """Buoyant lift of a core when the mould is full, kgf: iron it displaces less its own weight."""
    return IRON_KG_DM3 * core.volume_in_metal - SAND_KG_DM3 * core.volume


# ------------------------------------------------------------------------------ the drawing
@frozen
class Face:
    """A surface and who makes it: part "D", "U" or "c3", and its as-cast place along the feature's axis."""

    part: str
    coord: float | None


@frozen_by_name
class Fact:
    """A feature of the drawing or of the layout at as-cast (or, for fits, tooling) size.

    `between` tells what lies between the two faces: metal, space, or place+ / place- when both faces look the
    same way along the axis (a position, a step, centre to centre).
    """

    balloon: str
    name: str
    quantity: str
    axis: str
    size: float  # as-cast; tooling size when scale is tool
    minus: float
    plus: float
    between: str
    a: Face
    b: Face
    stock_a: float = 0.0
    stock_b: float = 0.0
    instrument: str = "CAL1"
    cut: bool = False  # only measurable on the sectioned casting
    station: float | None = None  # x where a height is taken
    scale: str = "cast"
    band_source: str = "drawing"
    note: str | None = None

    @property
    def facing(self) -> tuple[int, int]:
        """Outward normal of the metal (of the tool's own body at tooling scale) at both faces."""
        return {"metal": (-1, 1), "space": (1, -1), "place-": (-1, -1), "place+": (1, 1)}[self.between]

    @property
    def finished(self) -> float:
        """The size on the drawing: as-cast less the stock, by the general rule with both facings."""
        face_a, face_b = self.facing
        return self.size - face_b * self.stock_b + face_a * self.stock_a

    @property
    def decimals(self) -> int:
        """Decimals that a reading of this feature is written with."""
        return {"UT1": 1, "TMP1": 1}.get(self.instrument, 2)


def _face(text: str) -> Face:
    part, _, coord = text.partition("@")
    return Face(part, float(coord) if coord else None)


def _drawing() -> tuple[Fact, ...]:
    text = resources.files("inspect_tui.demo").joinpath("features.csv").read_text(encoding="utf-8")
    return tuple(
        Fact(
            balloon=row["balloon"],
            name=row["name"],
            quantity=row["quantity"],
            axis=row["axis"],
            size=float(row["as_cast"]),
            minus=float(row["minus"]),
            plus=float(row["plus"]),
            between=row["between"],
            a=_face(row["from"]),
            b=_face(row["to"]),
            stock_a=float(row["stock_a"]),
            stock_b=float(row["stock_b"]),
            instrument=row["instrument"],
            cut=row["cut"] == "cut",
            station=float(row["station"]) if row["station"] else None,
        )
        for row in csv.DictReader(text.splitlines())
    )


FEATURES = _drawing()

# Sizes of the full-size layout that the drawing does not balloon: they are logged on sticks and boxes.
# minus and plus are filled from ISO 8062-3 DCTG 9 when the record is written.
LAYOUT = tuple(
    Fact(
        balloon=balloon,
        name=name,
        quantity="length",
        axis=axis,
        size=size,
        minus=0.0,
        plus=0.0,
        between=between,
        a=Face(part, low),
        b=Face(part, high),
        band_source=DEFAULT_BAND,
        scale="layout",
    )
    for balloon, name, axis, size, between, part, low, high in (
        ("L11", "lower jacket width", "y", 124.0, "space", "c1", 26.0, 150.0),
        ("L12", "lower jacket length", "x", 484.0, "space", "c1", 21.0, 505.0),
        ("L13", "lower jacket height", "z", 60.0, "space", "c1", 30.0, 90.0),
        ("L51", "upper jacket width", "y", 124.0, "space", "c5", 26.0, 150.0),
        ("L52", "upper jacket length", "x", 484.0, "space", "c5", 21.0, 505.0),
        ("L53", "upper jacket height", "z", 60.0, "space", "c5", 90.0, 150.0),
        ("L61", "water elbow stem", "z", 90.0, "space", "c6", None, None),
        ("L62", "water elbow length", "y", 160.0, "space", "c6", None, None),
        ("L71", "outlet neck outside width", "y", 84.0, "metal", "c7", 46.0, 130.0),
        ("L72", "outlet neck outside height to parting", "z", 70.0, "metal", "c7", 48.0, 118.0),
    )
)

# Loops of the drawing that close exactly: the members, and the size that they add up to.
LOOPS = {
    "z at x 300 (ST3)": (("F43", "F44", "F45", "F46", "F47", "F48", "F49", "F50"), "F51"),
    "y at x 300 (ST4)": (("F23", "F25", "F26", "F27", "F28", "F29", "F30", "F31", "F32"), "F35"),
}

# Revision B opened the two throat limits upward; every other feature is the same.
REVISION_A_LIMITS = {"F41": (-0.3, 0.3), "F55": (-0.3, 0.3)}


# ------------------------------------------------------------------------------ fits
@frozen_by_name
class FitFact:
    """A print or key and its seat at tooling scale; the clearance is never scaled by contraction."""

    number: str
    male: str
    female: str
    axes: tuple[str, ...]
    male_size: float | None  # None: the gap itself is measured
    female_size: float
    low: float
    high: float
    inner: str  # part that carries the print or key
    outer: str  # part that carries the seat
    count: int = 1

    @property
    def clearance(self) -> float:
        """Seat less print as drawn."""
        return self.female_size - (self.male_size or 0.0)

    @property
    def places(self) -> tuple[str, ...]:
        """Suffixes of the balloons: one for each place, or for each axis of a square print."""
        if len(self.axes) > 1:
            return tuple(axis.upper() for axis in self.axes)
        return ("",) if self.count == 1 else tuple(str(n) for n in range(1, self.count + 1))

    @property
    def males(self) -> tuple[str, ...]:
        """Balloons of the prints or keys, such as K3-P2; none where the gap is measured."""
        return () if self.male_size is None else tuple(f"{self.number}-P{place}" for place in self.places)

    @property
    def females(self) -> tuple[str, ...]:
        """Balloons of the seats, such as K3-S2, or of the gap."""
        return tuple(f"{self.number}-{'G' if self.male_size is None else 'S'}{place}" for place in self.places)


FITS = (
    FitFact(
        number="K1",
        male="core 1 print",
        female="drag seat",
        axes=("y",),
        male_size=60.00,
        female_size=60.60,
        low=0.40,
        high=0.80,
        inner="c1",
        outer="D",
        count=2,
    ),
    FitFact(
        number="K2",
        male="core 2 block",
        female="drag seat",
        axes=("y",),
        male_size=80.00,
        female_size=80.60,
        low=0.40,
        high=0.80,
        inner="c2",
        outer="D",
    ),
    FitFact(
        number="K3",
        male="core 3 port print",
        female="drag seat",
        axes=("x",),
        male_size=52.52,
        female_size=53.12,
        low=0.40,
        high=0.80,
        inner="c3",
        outer="D",
        count=4,
    ),
    FitFact(
        number="K4",
        male="core 4 outlet print",
        female="core 2 seat",
        axes=("y",),
        male_size=76.76,
        female_size=77.26,
        low=0.30,
        high=0.70,
        inner="c4",
        outer="c2",
    ),
    FitFact(
        number="K5",
        male="core 4 key",
        female="core 3 seat",
        axes=("y",),
        male_size=40.00,
        female_size=40.30,
        low=0.20,
        high=0.50,
        inner="c4",
        outer="c3",
    ),
    FitFact(
        number="K6",
        male="core 5 key",
        female="core 1 seat",
        axes=("y",),
        male_size=30.00,
        female_size=30.30,
        low=0.20,
        high=0.50,
        inner="c5",
        outer="c1",
        count=4,
    ),
    FitFact(
        number="K7",
        male="core 6 key",
        female="core 5 seat",
        axes=("y",),
        male_size=36.00,
        female_size=36.30,
        low=0.20,
        high=0.50,
        inner="c6",
        outer="c5",
    ),
    FitFact(
        number="K8",
        male="core 6 top print",
        female="cope seat",
        axes=("x", "y"),
        male_size=56.00,
        female_size=57.00,
        low=0.80,
        high=1.40,
        inner="c6",
        outer="U",
    ),
    FitFact(
        number="K9",
        male="core 7 print",
        female="drag seat",
        axes=("y",),
        male_size=90.00,
        female_size=90.60,
        low=0.40,
        high=0.80,
        inner="c7",
        outer="D",
    ),
    FitFact(
        number="K10",
        male="core 7 face",
        female="gap to core 2 face",
        axes=("x",),
        male_size=None,
        female_size=0.30,
        low=0.20,
        high=0.50,
        inner="c7",
        outer="c2",
    ),
)


def _fit_features() -> tuple[Fact, ...]:
    """Prints, keys and seats as features; each side has half of what the clearance may give and take."""
    made = []
    for fit in FITS:
        slack, grip = fit.high - fit.clearance, fit.clearance - fit.low
        source = f"half of the clearance {MM.pair(fit.low, fit.high, unit=False)} of {fit.number}"
        if fit.male_size is None:
            made.append(
                Fact(
                    balloon=fit.females[0],
                    name=f"{fit.male}, {fit.female}",
                    quantity="length",
                    axis=fit.axes[0],
                    size=fit.clearance,
                    minus=-grip,
                    plus=slack,
                    between="space",
                    a=Face(fit.outer, None),
                    b=Face(fit.inner, None),
                    instrument="TMP1",
                    scale="tool",
                    band_source=f"clearance of {fit.number}",
                )
            )
            continue
        for n, (male, female) in enumerate(zip(fit.males, fit.females, strict=True)):
            axis = fit.axes[n] if len(fit.axes) > 1 else fit.axes[0]
            place = "" if len(fit.places) == 1 else f" {fit.places[n]}"
            inner, outer = Face(fit.inner, None), Face(fit.outer, None)
            # A seat in the sand stands proud on the pattern; a seat in a core is a recess of the core's own body.
            seat = "metal" if fit.outer in ("D", "U") else "space"
            made += [
                Fact(
                    balloon=male,
                    name=f"{fit.male}{place}",
                    quantity="width",
                    axis=axis,
                    size=fit.male_size,
                    minus=-slack / 2,
                    plus=grip / 2,
                    between="metal",
                    a=inner,
                    b=inner,
                    scale="tool",
                    band_source=source,
                ),
                Fact(
                    balloon=female,
                    name=f"{fit.female}{place} for {fit.male}{place}",
                    quantity="width",
                    axis=axis,
                    size=fit.female_size,
                    minus=-grip / 2,
                    plus=slack / 2,
                    between=seat,
                    a=outer,
                    b=outer,
                    scale="tool",
                    band_source=source,
                ),
            ]
    return tuple(made)


FIT_FEATURES = _fit_features()
ALL_FEATURES = (*FEATURES, *LAYOUT, *FIT_FEATURES)
FACT = {fact.balloon: fact for fact in ALL_FEATURES}


# ------------------------------------------------------------------------------ stacks and passage, for later use
@frozen
class StackFact:
    """A wall as a chain of contributors: plus-or-minus ones, and one-sided lifts (low, high) added to the wall."""

    number: str
    name: str
    nominal: float
    plus_minus: tuple[tuple[str, float], ...]
    one_sided: tuple[tuple[str, float, float], ...] = ()


STACKS = (
    StackFact(
        "ST1",
        "F48 inner wall, top",
        7.0,
        (
            ("drag seat to core 1 key", 0.15),
            ("core 1 key to core 5 surface", 0.15),
            ("core 3 surface to print", 0.15),
            ("drag print depth", 0.15),
        ),
        (("core 3 may lift", -0.50, 0.0), ("core 5 may lift", 0.0, 0.30)),
    ),
    StackFact(
        "ST2",
        "F39 and F40 neck walls, y",
        7.0,
        (
            ("core 2 seat position", 0.15),
            ("core 4 print to bore", 0.10),
            ("K4", 0.25),
            ("core 7 print in drag", 0.10),
            ("K9", 0.30),
            ("core 7 surface", 0.10),
        ),
    ),
)
RATED_FLOW, MINIMUM_FLOW = 46.0, 45.0  # m3/min on the customer's cold-air bench
THROAT = ("F41", "F55")  # area = pi/4 * width * height
THROAT_AREA = 3848.451  # as drawn, pi/4 * 70 * 70
