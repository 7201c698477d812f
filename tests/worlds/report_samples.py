"""An invented first article for the tests of the papers, of any number of features and castings."""

from __future__ import annotations

from random import Random
from typing import Any

from inspect_tui.shop.first_article.findings import (
    CauseLine,
    Causes,
    ContractionLine,
    CutLine,
    Cuts,
    FaceCutLine,
    NextLine,
    PredictedLine,
    QuestionLine,
    RivalLine,
    Stock,
    StockFace,
    StockLine,
)
from inspect_tui.shop.first_article.result import (
    Cell,
    FeatureLine,
    FirstArticle,
    GaugeLine,
    Identity,
    LoopLine,
    NotMeasured,
    PassageLine,
    PromiseLine,
    RealignedLine,
    RuleLine,
    to_plain,
)

NAMES = (
    "overall length, lower",
    "outlet flange thickness",
    "port 1 centre from C",
    "gas passage width at x 300",
    "outer wall, engine side, lower",
    "jacket gap, outboard",
    "throat height",
    "neck wall, outboard",
    "water outlet boss top from A",
    "branch angle to flange",
)
KINDS = ("length", "length", "position", "width", "wall", "length", "depth", "wall", "position", "angle")


def first_article(features: int = 60, serials: int = 3, seed: int = 4) -> FirstArticle:
    """A whole result: most features conform, some do not, one is undecided, some are not measured."""
    draw = Random(seed)
    names = tuple(f"S1-{n + 1}" for n in range(serials))
    lines = tuple(_feature(draw, n, names) for n in range(features))
    order = ("does not conform", "undecided", "conforms", "not judged", "to measure", "not measurable")
    counts = tuple((word, sum(line.answer == word for line in lines)) for word in order)
    return FirstArticle(
        identity=Identity(
            "EXM-4",
            "Water-jacketed manifold",
            "ductile iron",
            "PO 1187",
            "EXM-4-100",
            "B",
            "2025-03-02",
            "S1",
            "H2214",
            "2025-05-19",
            serials + 2,
            names,
            "2025-05-26",
            "2025-05-28",
            ("AB", "CD"),
            "inspect-tui 0.1.0",
            ("bench1·4211·0f3a66c2d91b7e55",),
        ),
        rule=RuleLine(
            "proof95",
            "conforms when proved at 95 %: inside the limits by 1.645 standard uncertainties "
            "(ISO 14253-1:2017); does not conform when outside by as much; otherwise undecided",
            "U covers 95 %; budget by JCGM 100",
        ),
        instruments=(
            GaugeLine(
                "caliper 2",
                "caliper",
                "C-0042",
                0.01,
                "2025-01-15",
                "2026-01-15",
                "pass",
                0.04,
                2.0,
                "cert. 118",
                3 * features,
                None,
            ),
            GaugeLine(
                "height gauge 1",
                "height_gauge",
                None,
                0.01,
                "2024-03-01",
                "2025-03-01",
                "pass",
                0.06,
                2.0,
                None,
                40,
                "calibration ran out 86 days before the readings",
            ),
            GaugeLine("ultrasonic 1", "ultrasonic", "U7", 0.1, None, None, None, 0.2, 2.0, None, 12, None),
        ),
        answer="does not conform",
        counts=tuple((w, n) for w, n in counts if n),
        features=lines,
        not_measured=(
            *(
                NotMeasured(line.balloon, None, "only on a casting that is cut up: none is yet")
                for line in lines
                if not line.n
            ),
            NotMeasured("F7", names[-1], "behind the clamp: not reached"),
        ),
        questions=(
            QuestionLine(
                "rows swapped",
                names[0],
                ("F9", "F10"),
                f"Casting {names[0]}: F9 is +1.20 off and F10 -1.18; each fits the other. Rows swapped?",
            ),
        ),
        realigned=(RealignedLine(names[0], "z", "x", 60.0, 0.0008, 0.0001, "datum target A2 was ground by 0.4 mm"),),
        loops=(
            LoopLine(
                "heights at x 300",
                names[0],
                -0.62,
                0.11,
                True,
                f"{names[0]}: the heights at x 300 are 0.62 short (0.11): F4 read 10 low would close it",
                "F4",
                82.4,
                "digit",
            ),
            LoopLine("widths at x 300", names[0], 0.05, 0.11, False, None, None, None, None),
        ),
        causes=_causes(names),
        cuts=_cuts(),
        stock=_stock(names),
        passages=(
            PassageLine(
                "throat",
                None,
                "pi/4 * F41 * F55",
                3706.9,
                14.2,
                "mm²",
                3848.5,
                46.0,
                45.0,
                44.3,
                0.3,
                "m³/min",
                0.01,
                "misses",
                "The throat has 3706.9 mm², 3.7 % less than drawn; estimated "
                "44.3 m³/min misses the 45.0 that are wanted.",
                "Capacity is a first-order estimate, common practice without a source; the test stand decides.",
            ),
        ),
        promises=(PromiseLine("F3", "S0", 26.9, 26.0, 0.12, 26.1, 0.05, "as promised"),),
        cautions=(
            "Dimensional conformity is not soundness, pressure, leak, strength, material, heat-treatment or "
            "non-destructive acceptance.",
            "Release and acceptance stay with a named person under the order's own agreement and local law.",
        ),
    )


def plain(features: int = 60, serials: int = 3, seed: int = 4) -> dict[str, Any]:
    """The same as dictionaries and lists, as the papers get it."""
    return to_plain(first_article(features, serials, seed))


def _feature(draw: Random, n: int, serials: tuple[str, ...]) -> FeatureLine:
    kind, half = KINDS[n % 10], (0.8, 1.0, 0.5, 1.5)[n % 4]
    size = round(draw.uniform(7.0, 620.0), 1)
    machined = n % 10 in (1, 8)
    unit = "deg" if kind == "angle" else "mm"
    lower, upper = (None, None) if n % 23 == 11 else (size - half, None if n % 19 == 17 else size + half)
    off = draw.gauss(0.0, 0.22) * half + (1.35 * half if n % 13 == 3 else 0.0)
    balloon = f"F{n + 1}"
    hidden = n % 29 == 27
    cells = tuple(
        _cell(draw, balloon, s, size, lower, upper, off, hidden, 0.97 * half if n % 17 == 5 else None) for s in serials
    )
    answers = [c.answer for c in cells]
    order = ("does not conform", "undecided", "conforms", "not judged", "to measure", "not measurable")
    answer = next(word for word in order if word in answers)
    values = [c.value for c in cells if c.value is not None]
    mean = sum(values) / len(values) if values else None
    spread = (sum((v - mean) ** 2 for v in values) / (len(values) - 1)) ** 0.5 if mean and len(values) > 1 else None
    chances = [c.p_conform for c in cells if c.p_conform is not None]
    stock = 4.0 if machined else 0.0
    return FeatureLine(
        balloon,
        NAMES[n % 10],
        kind,
        unit,
        "xyz"[n % 3],
        ("drag to core 4", "core 3", "cope to core 5")[n % 3],
        size - stock,
        None if lower is None else lower - stock,
        None if upper is None else upper - stock,
        machined,
        size,
        lower,
        upper,
        "drawing" if n % 2 else "ISO 8062-3 DCTG 9",
        n % 10 == 3,
        300.0 if n % 10 == 8 else None,
        size + 0.05,
        0.09,
        "stick 3 as measured",
        answer,
        len(values),
        mean,
        mean - size if mean is not None else None,
        spread,
        min(chances) if chances else None,
        (),
        cells,
    )


def _cell(
    draw: Random,
    balloon: str,
    serial: str,
    size: float,
    lower: float | None,
    upper: float | None,
    off: float,
    hidden: bool,
    edge: float | None,
) -> Cell:
    if hidden:
        return Cell(balloon, serial, "not measurable", reason="only on a casting that is cut up: none is yet")
    u = 0.045
    value = round(size + (edge if edge is not None else off) + draw.gauss(0.0, 0.04), 2)
    margins = [
        m
        for m in (upper - value if upper is not None else None, value - lower if lower is not None else None)
        if m is not None
    ]
    margin = min(margins) if margins else None
    if margin is None:
        answer, p = "not judged", None
    else:
        answer = "conforms" if margin > 1.645 * u else "does not conform" if margin < -1.645 * u else "undecided"
        p = min(max(0.5 + margin / (4.0 * u), 0.0), 1.0)
    return Cell(
        balloon,
        serial,
        answer,
        1,
        (f"{value:.2f}",),
        value,
        value,
        ("read at 24 °C: -0.012 to 20 °C",) if serial.endswith("2") else (),
        value - size,
        u,
        2.0 * u,
        2.0,
        p,
        margin,
        "AB",
        "caliper 2",
        "2025-05-26T10:12:00+00:00",
        notes=("rough skin",) if draw.random() < 0.03 else (),
    )


def _causes(serials: tuple[str, ...]) -> Causes:
    one = CauseLine(
        "shift core 4 y",
        "shift",
        "y",
        ("core 4",),
        "named",
        0.99,
        0.70,
        0.05,
        0.60,
        0.80,
        "mm",
        True,
        None,
        "Core 4 sits 0.70 toward +Y (0.60 to 0.80). 9 features say so: F38, F39, F40. Look at its print first: "
        "measured clearance K4 is 1.20 (0.30 to 0.70 wanted).",
        ("F38", "F39", "F40"),
        ("F22",),
        (),
        tuple((s, 0.7, 0.08) for s in serials),
    )
    two = CauseLine(
        "contraction x",
        "contraction",
        "x",
        (),
        "named",
        0.97,
        -0.002,
        0.0002,
        -0.0024,
        -0.0016,
        "1",
        True,
        None,
        "Contraction in X is 0.80 %, not 1.00 % (0.76 % to 0.84 %).",
        ("F1", "F3"),
        (),
        ("contraction all",),
        (),
    )
    return Causes(
        (one, two),
        (),
        (RivalLine(("shift core 4 y", "contraction x"), 0.91), RivalLine(("contraction x",), 0.06)),
        (ContractionLine("x", 0.01, 0.008, 0.0002), ContractionLine("z", 0.01, 0.0101, 0.0003)),
        (),
        (),
        (NextLine("F22", 0.42, 0.9),),
        ("core 6 turned about z",),
        (one.words, two.words),
        (),
        0.08,
        4187,
        True,
    )


def _cuts() -> Cuts:
    face = FaceCutLine("y", 123.0, -0.71, -0.81, -0.61, "add", "off", ("F40", "F41"))
    return Cuts(
        (
            CutLine(
                1,
                "box 2",
                "core 4",
                "shift core 4 y",
                "y",
                -0.71,
                -0.81,
                -0.61,
                "add 0.71 on the +Y side of the seat of core 4 (K4 has 1.20, at most 0.70 wanted)",
                "core 4 comes 0.70 toward -Y; no size of it changes",
                True,
                True,
                (face,),
                ("F38", "F39", "F40"),
            ),
        ),
        ("The cope is closed 0.30 toward +X against the drag: check closing pins, bushes and flasks.",),
        ("box 2",),
        ("box 1", "box 3", "pattern drag"),
        (
            PredictedLine("F40", 6.1, 6.8, 6.8, 0.06, 0.02, 0.999, True),
            PredictedLine("F39", 7.9, 7.2, 7.2, 0.06, 0.62, 0.999, True),
        ),
    )


def _stock(serials: tuple[str, ...]) -> Stock:
    faces = (
        StockFace("outlet face", 2.1, 1.6, 1.0, 0.62, 0.1),
        StockFace("engine flange", 0.7, 1.4, 1.0, 0.38, 0.1),
        StockFace("water outlet boss", 3.0, 2.7, 1.0, 0.0, 0.1),
    )
    return Stock(
        (
            StockLine(
                serials[0],
                True,
                0.4,
                -0.3,
                0.08,
                0.998,
                ("outlet face", "engine flange"),
                (-0.5, 0.7, 0.0),
                (0.0, 0.0, 0.001),
                f"{serials[0]} cleans up with 0.40 to spare once it is set up.",
                faces,
                (("A1", -0.2), ("A2", 0.4), ("A3", 0.0)),
            ),
        ),
        ("face of boss 7: not measured",),
    )
