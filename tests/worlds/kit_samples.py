"""An invented kit for the tests of the papers: any number of cores, with pictures drawn on the spot."""

from __future__ import annotations

from pathlib import Path
from random import Random

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.bodies import Body, Box
from inspect_tui.metrology.sizes.place import Place
from inspect_tui.model.kit import Passage
from inspect_tui.shop.kit.paper.capacity_page import CapacityPage, PassagePage
from inspect_tui.shop.kit.paper.come_back import ComeBack, ComeBackRow
from inspect_tui.shop.kit.paper.guide import Guide, GuideAlike, GuideEnd, GuideKey, GuideSize, GuideStep
from inspect_tui.shop.kit.paper.kit_list import KitLine, KitList, LabelData
from inspect_tui.shop.kit.paper.papers import CAUTIONS as PAPER_CAUTIONS
from inspect_tui.shop.kit.paper.papers import SheetPhoto
from inspect_tui.shop.kit.paper.setting_sheet import SettingSheet, SheetCheck, SheetFit, SheetStep
from inspect_tui.shop.kit.passages import KitPassage
from inspect_tui.shop.kit.sketch.scene import PartingStep, Scene, SceneCore, SceneKey

NAMES = (
    "lower jacket",
    "locator block, outlet end",
    "gas log with 4 branches",
    "outlet and throat",
    "upper jacket",
    "water outlet elbow",
    "outer-shape, outlet neck",
)
CAUTIONS = (
    "Silica dust from sand, cores and knocking out damages lungs: keep it down and out; follow local rules.",
    "Cores, boxes and castings are heavy and badly balanced: lift by the points shown, mind the weights.",
)
HEADS = ("bench1·4211·0f3a66c2d91b7e55",)


def photograph(path: Path, width: int = 2300, height: int = 1740, seed: int = 1) -> SheetPhoto:
    """A picture of about 4 MP as a camera would make it: soft forms, some grain."""
    import numpy as np
    from PIL import Image

    draw = np.random.default_rng(seed)
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    base = 120 + 60 * np.sin(x / 90 + seed) + 50 * np.cos(y / 120) + draw.normal(0, 9, (height, width))
    picture = np.stack([base, base * 0.93, base * 0.82], axis=-1).clip(0, 255).astype(np.uint8)
    Image.fromarray(picture).save(path, quality=90)
    return SheetPhoto(
        sha256="0" * 64,
        media="image/jpeg",
        path=path,
        width_px=width,
        height_px=height,
        caption=f"core {seed} in its box",
        shown_name=path.name,
    )


def setting_sheet(cores: int = 7, photos: tuple[SheetPhoto, ...] = ()) -> SettingSheet:
    """A step for each core; a picture for each as far as there are any."""
    draw = Random(2)
    steps = []
    for n in range(cores):
        number = n + 1
        into = ("drag", "core 1", "core 3", "core 2")[n % 4]
        fits = [_fit(f"K{number}", "print", into, draw)]
        if n % 3 == 1:
            fits.append(_fit(f"K{number + 20}", "key", "core 3" if into != "core 3" else "core 1", draw, "red"))
        steps.append(
            SheetStep(
                step=n + 1,
                number=number,
                name=NAMES[n % 7],
                only_locates=n == 1,
                box=f"box {number}",
                stick=f"stick {number}",
                fits=tuple(fits),
                check=SheetCheck("neck wall", "T4", 6.2, 8.0, "check neck wall with template T4: goes at 6.2 to 8.0 mm")
                if n % 2 == 0
                else None,
                chaplets=2 if n == 2 else None,
                chaplet_note="outboard, at x 200 and x 400" if n == 2 else None,
                vents="through the port prints",
                weight_kg=3.4,
                lift_kgf=9.7 if n % 2 == 0 else None,
                lift_sentence="lifts 9.7 kgf once the metal is in; held down by the core above it"
                if n % 2 == 0
                else None,
                lift_words="9.7 kgf" if n % 2 == 0 else None,
                lift_points="two eyes on the long side" if n == 2 else None,
                caution="Does not go in after core 5: set it before." if n == 3 else None,
                photos=photos[n : n + 1],
                remarks=("looks like core 4 and fits its seat: see the red mark",) if n == 4 else (),
            )
        )
    return SettingSheet(
        job="EXM-4",
        name="Water-jacketed manifold",
        customer_ref="PO 1187",
        drawing="EXM-4-100",
        rev="B",
        alloy="ductile iron",
        order_sentence="7 cores can be set in this order and in no other: 1, 2, 3, 4, 5, 6, 7.",
        steps=tuple(steps),
        colour_key=(("red", "K22 (core 2 into core 3)"), ("two dots", "K6-3 (core 5 into core 1)")),
        photos=(),
        not_proven=("K6-3: measured clearance is -0.10, it does not go (0.20 to 0.50).",),
        cautions=CAUTIONS,
        heads=HEADS,
    )


def _fit(name: str, kind: str, into: str, draw: Random, mark: str | None = None) -> SheetFit:
    clear = round(draw.uniform(0.1, 0.9), 2)
    state = "rubs" if clear < 0.2 else "floats" if clear > 0.7 else "fits"
    return SheetFit(
        name=name,
        kind=kind,
        into=into,
        mark=mark,
        count=1,
        axis="y",
        clearance_mm=clear,
        clear_min_mm=0.3,
        clear_max_mm=0.7,
        measured=True,
        state=state,
        sentence=f"{kind} {name} into {into}{f', marked {mark}' if mark else ''}: do not force, {clear:.2f} mm clearance "
        "(0.30 to 0.70)",
        gentle=f"{kind} {name} into {into}{f', marked {mark}' if mark else ''}: do not force; easy by hand",
    )


def kit_list(photos: tuple[SheetPhoto, ...] = ()) -> KitList:
    """Patterns, boxes, a template."""
    lines = [
        KitLine(
            kind="pattern",
            label="pattern drag",
            core=None,
            core_name=None,
            count=1,
            loose_pieces=3,
            dowels=4,
            weight_kg=41.5,
            mark=None,
            material="hardwood",
            owner="the customer",
            lift_points="two eyes",
            note=None,
            where="here",
            photos=photos[:1],
        ),
        KitLine(
            kind="pattern",
            label="pattern cope",
            core=None,
            core_name=None,
            count=1,
            loose_pieces=None,
            dowels=4,
            weight_kg=38.0,
            mark=None,
            material="hardwood",
            owner="the customer",
            lift_points=None,
            note=None,
            where="here",
            photos=(),
        ),
    ]
    for n, name in enumerate(NAMES, 1):
        lines.append(
            KitLine(
                kind="box",
                label=f"box {n}",
                core=n,
                core_name=name,
                count=1,
                loose_pieces=n % 3 or None,
                dowels=4,
                weight_kg=12.5 + n if n != 4 else None,
                mark="two dots" if n == 5 else None,
                material="tooling resin",
                owner="the shop",
                lift_points=None,
                note="dried out, line it" if n == 2 else None,
                where="at a foundry two days away since 2025-05-02" if n == 6 else "here",
                photos=(),
            )
        )
    return KitList(
        job="EXM-4",
        name="Water-jacketed manifold",
        customer_ref="PO 1187",
        drawing="EXM-4-100",
        rev="B",
        lines=tuple(lines),
        loose_pieces=11,
        weight_kg=203.0,
        not_weighed=("box 4",),
        not_counted=("box 3", "box 6"),
        cautions=CAUTIONS,
        heads=HEADS,
    )


def labels() -> tuple[LabelData, ...]:
    """A label for each box and stick."""
    return tuple(
        LabelData(
            job="EXM-4",
            name="Water-jacketed manifold",
            label=f"{kind} {n}",
            kind=kind,
            core=n,
            core_name=NAMES[n - 1],
            mark="red" if n == 2 else None,
            loose_pieces=2,
            weight_kg=14.5,
            owner="the shop",
            rev="B",
            code=f"EXM-4 | {kind} {n} | 0192a1b2-7c3d-7e4f-8a5b-{n:012d}",
        )
        for kind in ("box", "stick")
        for n in range(1, 8)
    )


def come_back() -> ComeBack:
    """Core sizes, checks and remarks of two cores."""
    rows = []
    for n in (1, 2, 3):
        rows += [
            ComeBackRow(
                kind="core size",
                step=n,
                core=n,
                core_name=NAMES[n - 1],
                what=f"width at x {100 * k}",
                balloon=f"F{10 * n + k}",
                wanted_mm=82.8 + k,
                lower_mm=82.5 + k,
                upper_mm=83.1 + k,
            )
            for k in range(4)
        ]
        rows.append(
            ComeBackRow(
                kind="check",
                step=n,
                core=n,
                core_name=NAMES[n - 1],
                what="neck wall (T4)",
                balloon=None,
                wanted_mm=None,
                lower_mm=6.2,
                upper_mm=8.0,
            )
        )
        rows.append(
            ComeBackRow(
                kind="remark",
                step=n,
                core=n,
                core_name=NAMES[n - 1],
                what="rubbed, forced, broken?",
                balloon=None,
                wanted_mm=None,
                lower_mm=None,
                upper_mm=None,
            )
        )
    return ComeBack(job="EXM-4", name="Water-jacketed manifold", drawing="EXM-4-100", rev="B", rows=tuple(rows))


def capacity() -> CapacityPage:
    """One passage whose formula cannot be worked out."""
    line = KitPassage(
        passage=Passage(job_of_id=b"j" * 16, label="P1", name="port", formula="F1 *"),
        source="tools as measured",
        drawn=None,
        now=None,
        capacity=None,
        buys=(),
        not_read=(),
        unit="",
        wrong="the formula ends too soon",
        sentence="P1 port: the formula ends too soon",
    )
    return CapacityPage(
        job="EX-1",
        name="exhaust",
        customer_ref=None,
        drawing=None,
        rev=None,
        source="the tools as measured",
        passages=(PassagePage(line=line, hand="", sizes=()),),
        scene=None,
        cautions=("the test stand decides",),
        heads=(),
    )


def guide() -> Guide:
    """Two cores: an elbow with a key, a check and everything else that can be said of a core, and one on its own.

    Neither has a body, so that nothing is drawn; `drawn_guide` has both.
    """
    key = GuideKey(
        name="K6-1", kind="key", into="core 4", mark="red", count=2, gentle="easy by hand", clearance_mm=0.3, way="z-",
        at=(1.0, 2.0, 3.0),
    )  # fmt: skip
    step = GuideStep(
        step=1, number=6, name="water outlet elbow", only_locates=True, way="z-", keys=(key,),
        rests_in=("core 4", "drag"), later=("9", "11"), ends=(GuideEnd(name="inlet", toward="x low"),), boxes=(),
        check="throat", template="T-1", lower_mm=7.5, upper_mm=8.5,
        gauge=Place(balloon="F12", axis="z", makers=("core 6", "drag"), ends=(30.0, 38.0), at={"x": 50.0}),
        sizes=(GuideSize(balloon="F12", name="width", lower_mm=60.0, upper_mm=61.0),), alike=("7",), turned=False,
        weight_kg=1.8, lift_kgf=2.04, held_by=("4", "2 chaplets", "the cope"), lift_points="two hooks", chaplets="2",
        vents="both ends", caution="sharp", photos=(),
    )  # fmt: skip
    other = replace(
        step, step=2, number=7, name="neck", only_locates=False, sizes=(), check=None, gauge=None, turned=True,
        lower_mm=None, upper_mm=None, alike=("6",), lift_kgf=None, held_by=(), caution=None, ends=(), later=(),
    )  # fmt: skip
    return Guide(
        job="EXM-4", name="manifold", rev="B", edition="K0123456789ab", unit="mm", steps=(step, other),
        alike=(GuideAlike("6", "7", (("6", "K6-1 red"),)), GuideAlike("7", "7", ())), colours=(("red", "K6-1"),),
        photos=(), cautions=PAPER_CAUTIONS, ask="the shop", scene=None, heads=(),
    )  # fmt: skip


def drawn_guide() -> Guide:
    """The same with a mould of 100 by 60 by 40: core 6 from x 20 to 80 on its key, core 7 in a corner."""
    first, second = Box(20.0, 80.0, 10.0, 50.0, 10.0, 30.0), Box(84.0, 96.0, 4.0, 16.0, 8.0, 36.0)
    key = SceneKey("K6-1", "red", {"x": 30.0, "y": 20.0, "z": 10.0})
    cores = (
        SceneCore(number="6", name="water outlet elbow", body=Body(core="6", boxes=(first,), given=True), step=1,
                  way_in="z-", keys=(key,), ends_axis="x", low_end="inlet", high_end="outlet"),
        SceneCore(number="7", name="neck", body=Body(core="7", boxes=(second,), given=True), step=2, way_in="z-"),
    )  # fmt: skip
    scene = Scene(job="EXM-4", cores=cores, outline=Box(0.0, 100.0, 0.0, 60.0, 0.0, 40.0), outline_given=True,
                  parting=(PartingStep(20.0),))  # fmt: skip
    told = guide()
    steps = tuple(replace(step, boxes=(box,)) for step, box in zip(told.steps, (first, second), strict=True))
    return replace(told, scene=scene, steps=steps)
