"""An invented first article for the tests of the papers, of any number of features and castings."""

from __future__ import annotations

from random import Random
from typing import Any

from inspect_tui.metrology.causes.cut_work import FaceCut
from inspect_tui.metrology.causes.problem import NextMeasurement
from inspect_tui.shop.first_article.findings import (
    CauseLine,
    Causes,
    ContractionLine,
    CutLine,
    Cuts,
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
    order = ("does not conform", "undecided", "conforms", "no limits", "to measure", "not measurable")
    counts = tuple((word, sum(line.answer == word for line in lines)) for word in order)
    return FirstArticle(
        identity=Identity(
            job="EXM-4",
            name="Water-jacketed manifold",
            alloy="ductile iron",
            customer_ref="PO 1187",
            drawing="EXM-4-100",
            revision="B",
            issued_on="2025-03-02",
            round="S1",
            heat="H2214",
            poured_on="2025-05-19",
            quantity=serials + 2,
            serials=names,
            measured_from="2025-05-26",
            measured_to="2025-05-28",
            people=("AB", "CD"),
            program="inspect-tui 0.1.0",
            heads=("bench1·4211·0f3a66c2d91b7e55",),
        ),
        rule=RuleLine(
            "proof95",
            "conforms when proved at 95 %: inside the limits by 1.645 standard uncertainties "
            "(ISO 14253-1:2017); does not conform when outside by as much; otherwise undecided",
            "U covers 95 %; budget by JCGM 100",
        ),
        instruments=(
            GaugeLine(
                label="caliper 2",
                kind="caliper",
                serial="C-0042",
                resolution_mm=0.01,
                calibrated_on="2025-01-15",
                due_on="2026-01-15",
                result="pass",
                u95_mm=0.04,
                k=2.0,
                reference="cert. 118",
                readings=3 * features,
                remark=None,
            ),
            GaugeLine(
                label="height gauge 1",
                kind="height_gauge",
                serial=None,
                resolution_mm=0.01,
                calibrated_on="2024-03-01",
                due_on="2025-03-01",
                result="pass",
                u95_mm=0.06,
                k=2.0,
                reference=None,
                readings=40,
                remark="calibration ran out 86 days before the readings",
            ),
            GaugeLine(
                label="ultrasonic 1",
                kind="ultrasonic",
                serial="U7",
                resolution_mm=0.1,
                calibrated_on=None,
                due_on=None,
                result=None,
                u95_mm=0.2,
                k=2.0,
                reference=None,
                readings=12,
                remark=None,
            ),
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
                kind="rows swapped",
                serial=names[0],
                balloons=("F9", "F10"),
                sentence=f"Casting {names[0]}: F9 is +1.20 off and F10 -1.18; each fits the other. Rows swapped?",
            ),
        ),
        realigned=(
            RealignedLine(
                serial=names[0],
                axis="z",
                along="x",
                pivot_mm=60.0,
                slope=0.0008,
                u=0.0001,
                why="datum target A2 was ground by 0.4 mm",
            ),
        ),
        loops=(
            LoopLine(
                name="heights at x 300",
                serial=names[0],
                gap=-0.62,
                u=0.11,
                open=True,
                sentence=f"{names[0]}: the heights at x 300 are 0.62 short (0.11): F4 read 10 low would close it",
                suspect="F4",
                suggested=82.4,
                slip="digit",
            ),
            LoopLine(
                name="widths at x 300",
                serial=names[0],
                gap=0.05,
                u=0.11,
                open=False,
                sentence=None,
                suspect=None,
                suggested=None,
                slip=None,
            ),
        ),
        causes=_causes(names),
        cuts=_cuts(),
        stock=_stock(names),
        passages=(
            PassageLine(
                name="throat",
                serial=None,
                formula="pi/4 * F41 * F55",
                value=3706.9,
                u=14.2,
                unit="mm²",
                drawn=3848.5,
                rated=46.0,
                minimum=45.0,
                capacity=44.3,
                u_capacity=0.3,
                capacity_unit="m³/min",
                p_meets=0.01,
                level="misses",
                sentence="The throat has 3706.9 mm², 3.7 % less than drawn; estimated "
                "44.3 m³/min misses the 45.0 that are wanted.",
                caveat="Capacity is a first-order estimate, common practice without a source; the test stand decides.",
            ),
        ),
        promises=(
            PromiseLine(
                balloon="F3",
                round="S0",
                before=26.9,
                promised=26.0,
                u_promised=0.12,
                got=26.1,
                u_got=0.05,
                word="as promised",
            ),
        ),
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
    order = ("does not conform", "undecided", "conforms", "no limits", "to measure", "not measurable")
    answer = next(word for word in order if word in answers)
    values = [c.value for c in cells if c.value is not None]
    mean = sum(values) / len(values) if values else None
    spread = (sum((v - mean) ** 2 for v in values) / (len(values) - 1)) ** 0.5 if mean and len(values) > 1 else None
    chances = [c.p_conform for c in cells if c.p_conform is not None]
    stock = 4.0 if machined else 0.0
    return FeatureLine(
        balloon=balloon,
        name=NAMES[n % 10],
        quantity=kind,
        unit=unit,
        axis="xyz"[n % 3],
        ends=("drag to core 4", "core 3", "cope to core 5")[n % 3],
        finished=size - stock,
        finished_lower=None if lower is None else lower - stock,
        finished_upper=None if upper is None else upper - stock,
        machined=machined,
        as_cast=size,
        lower=lower,
        upper=upper,
        band_source="drawing" if n % 2 else "ISO 8062-3 DCTG 9",
        sectioned=n % 10 == 3,
        station_mm=300.0 if n % 10 == 8 else None,
        predicted=size + 0.05,
        u_predicted=0.09,
        predicted_from="stick 3 as measured",
        answer=answer,
        n=len(values),
        mean=mean,
        deviation=mean - size if mean is not None else None,
        spread=spread,
        p_conform=min(chances) if chances else None,
        missing=(),
        cells=cells,
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
        return Cell(
            balloon=balloon,
            serial=serial,
            answer="not measurable",
            reason="only on a casting that is cut up: none is yet",
        )
    u = 0.045
    value = round(size + (edge if edge is not None else off) + draw.gauss(0.0, 0.04), 2)
    margins = [
        m
        for m in (upper - value if upper is not None else None, value - lower if lower is not None else None)
        if m is not None
    ]
    margin = min(margins) if margins else None
    if margin is None:
        answer, p = "no limits", None
    else:
        answer = "conforms" if margin > 1.645 * u else "does not conform" if margin < -1.645 * u else "undecided"
        p = min(max(0.5 + margin / (4.0 * u), 0.0), 1.0)
    return Cell(
        balloon=balloon,
        serial=serial,
        answer=answer,
        n=1,
        typed=(f"{value:.2f}",),
        raw=value,
        value=value,
        corrected=("read at 24 °C: -0.012 to 20 °C",) if serial.endswith("2") else (),
        deviation=value - size,
        u=u,
        U=2.0 * u,
        k=2.0,
        p_conform=p,
        margin=margin,
        by="AB",
        instrument="caliper 2",
        at="2025-05-26T10:12:00+00:00",
        notes=("rough skin",) if draw.random() < 0.03 else (),
    )


def _causes(serials: tuple[str, ...]) -> Causes:
    one = CauseLine(
        name="shift core 4 y",
        kind="shift",
        axis="y",
        parts=("core 4",),
        status="named",
        probability=0.99,
        size=0.70,
        u=0.05,
        low=0.60,
        high=0.80,
        unit="mm",
        tool=True,
        serial=None,
        words="Core 4 sits 0.70 toward +Y (0.60 to 0.80). 9 features say so: F38, F39, F40. Look at its print first: "
        "measured clearance K4 is 1.20 (0.30 to 0.70 wanted).",
        speaks_for=("F38", "F39", "F40"),
        against=("F22",),
        alike=(),
        by_casting=tuple((s, 0.7, 0.08) for s in serials),
    )
    two = CauseLine(
        name="contraction x",
        kind="contraction",
        axis="x",
        parts=(),
        status="named",
        probability=0.97,
        size=-0.002,
        u=0.0002,
        low=-0.0024,
        high=-0.0016,
        unit="1",
        tool=True,
        serial=None,
        words="Contraction in X is 0.80 %, not 1.00 % (0.76 % to 0.84 %).",
        speaks_for=("F1", "F3"),
        against=(),
        alike=("contraction all",),
        by_casting=(),
    )
    return Causes(
        found=(one, two),
        cannot_tell=(),
        rivals=(RivalLine(("shift core 4 y", "contraction x"), 0.91), RivalLine(("contraction x",), 0.06)),
        contraction=(ContractionLine("x", 0.01, 0.008, 0.0002), ContractionLine("z", 0.01, 0.0101, 0.0003)),
        odd=(),
        left_over=(),
        measure_next=(NextMeasurement("F22", 0.42, 0.9),),
        unseen=("core 6 turned about z",),
        sentences=(one.words, two.words),
        left_out=(),
        seat_mm=0.08,
        explanations=4187,
        exact=True,
    )


def _cuts() -> Cuts:
    face = FaceCut(
        axis="y", place_mm=123.0, move_mm=-0.71, low=-0.81, high=-0.61, word="add", metal="off", balloons=("F40", "F41")
    )
    return Cuts(
        cuts=(
            CutLine(
                number=1,
                tool="box 2",
                part="core 4",
                cause="shift core 4 y",
                axis="y",
                change_mm=-0.71,
                low=-0.81,
                high=-0.61,
                words="add 0.71 on the +Y side of the seat of core 4 (K4 has 1.20, at most 0.70 wanted)",
                casting_words="core 4 comes 0.70 toward -Y; no size of it changes",
                needed=True,
                sure=True,
                faces=(face,),
                moves=("F38", "F39", "F40"),
            ),
        ),
        checks=("The cope is closed 0.30 toward +X against the drag: check closing pins, bushes and flasks.",),
        tools=("box 2",),
        leave_alone=("box 1", "box 3", "pattern drag"),
        predicted=(
            PredictedLine(
                balloon="F40", before=6.1, after=6.8, after_checks=6.8, u=0.06, p_before=0.02, p_after=0.999, moves=True
            ),
            PredictedLine(
                balloon="F39", before=7.9, after=7.2, after_checks=7.2, u=0.06, p_before=0.62, p_after=0.999, moves=True
            ),
        ),
    )


def _stock(serials: tuple[str, ...]) -> Stock:
    faces = (
        StockFace(name="outlet face", before=2.1, after=1.6, required=1.0, share=0.62, u=0.1),
        StockFace(name="engine flange", before=0.7, after=1.4, required=1.0, share=0.38, u=0.1),
        StockFace(name="water outlet boss", before=3.0, after=2.7, required=1.0, share=0.0, u=0.1),
    )
    return Stock(
        (
            StockLine(
                serial=serials[0],
                cleans_up=True,
                spare=0.4,
                spare_as_it_stands=-0.3,
                u=0.08,
                p_cleans_up=0.998,
                binding=("outlet face", "engine flange"),
                shift_mm=(-0.5, 0.7, 0.0),
                turn_rad=(0.0, 0.0, 0.001),
                sentence=f"{serials[0]} cleans up with 0.40 to spare once it is set up.",
                faces=faces,
                targets=(("A1", -0.2), ("A2", 0.4), ("A3", 0.0)),
            ),
        ),
        ("face of boss 7: not measured",),
    )
