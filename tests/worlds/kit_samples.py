"""An invented kit for the tests of the papers: any number of cores, with pictures drawn on the spot."""

from __future__ import annotations

from pathlib import Path
from random import Random

from inspect_tui.shop.kit.papers_said import (
    ComeBack,
    ComeBackRow,
    KitLine,
    KitList,
    LabelData,
    SettingSheet,
    SheetCheck,
    SheetFit,
    SheetPhoto,
    SheetStep,
)

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
    return SheetPhoto("0" * 64, "image/jpeg", path, width, height, f"core {seed} in its box", path.name)


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
                n + 1,
                number,
                NAMES[n % 7],
                n == 1,
                f"box {number}",
                f"stick {number}",
                tuple(fits),
                SheetCheck("neck wall", "T4", 6.2, 8.0, "check neck wall with template T4: goes at 6.2 to 8.0 mm")
                if n % 2 == 0
                else None,
                2 if n == 2 else None,
                "outboard, at x 200 and x 400" if n == 2 else None,
                "through the port prints",
                3.4,
                9.7 if n % 2 == 0 else None,
                "lifts 9.7 kgf once the metal is in; held down by the core above it" if n % 2 == 0 else None,
                "two eyes on the long side" if n == 2 else None,
                "Does not go in after core 5: set it before." if n == 3 else None,
                photos[n : n + 1],
                ("looks like core 4 and fits its seat: see the red mark",) if n == 4 else (),
            )
        )
    return SettingSheet(
        "EXM-4",
        "Water-jacketed manifold",
        "PO 1187",
        "EXM-4-100",
        "B",
        "ductile iron",
        "7 cores can be set in this order and in no other: 1, 2, 3, 4, 5, 6, 7.",
        tuple(steps),
        (("red", "K22 (core 2 into core 3)"), ("two dots", "K6-3 (core 5 into core 1)")),
        (),
        ("K6-3: measured clearance is -0.10, it does not go (0.20 to 0.50).",),
        CAUTIONS,
        HEADS,
    )


def _fit(name: str, kind: str, into: str, draw: Random, mark: str | None = None) -> SheetFit:
    clear = round(draw.uniform(0.1, 0.9), 2)
    state = "rubs" if clear < 0.2 else "floats" if clear > 0.7 else "fits"
    return SheetFit(
        name,
        kind,
        into,
        mark,
        1,
        "y",
        clear,
        0.3,
        0.7,
        True,
        state,
        f"{kind} {name} into {into}{f', marked {mark}' if mark else ''}: do not force, {clear:.2f} mm clearance "
        "(0.30 to 0.70)",
    )


def kit_list(photos: tuple[SheetPhoto, ...] = ()) -> KitList:
    """Patterns, boxes, a template."""
    lines = [
        KitLine(
            "pattern",
            "pattern drag",
            None,
            None,
            1,
            3,
            4,
            41.5,
            None,
            "hardwood",
            "the customer",
            "two eyes",
            None,
            "here",
            photos[:1],
        ),
        KitLine(
            "pattern",
            "pattern cope",
            None,
            None,
            1,
            None,
            4,
            38.0,
            None,
            "hardwood",
            "the customer",
            None,
            None,
            "here",
            (),
        ),
    ]
    for n, name in enumerate(NAMES, 1):
        lines.append(
            KitLine(
                "box",
                f"box {n}",
                n,
                name,
                1,
                n % 3 or None,
                4,
                12.5 + n if n != 4 else None,
                "two dots" if n == 5 else None,
                "tooling resin",
                "the shop",
                None,
                "dried out, line it" if n == 2 else None,
                "at a foundry two days away since 2025-05-02" if n == 6 else "here",
                (),
            )
        )
    return KitList(
        "EXM-4",
        "Water-jacketed manifold",
        "PO 1187",
        "EXM-4-100",
        "B",
        tuple(lines),
        11,
        203.0,
        ("box 4",),
        ("box 3", "box 6"),
        CAUTIONS,
        HEADS,
    )


def labels() -> tuple[LabelData, ...]:
    """A label for each box and stick."""
    return tuple(
        LabelData(
            "EXM-4",
            "Water-jacketed manifold",
            f"{kind} {n}",
            kind,
            n,
            NAMES[n - 1],
            "red" if n == 2 else None,
            2,
            14.5,
            "the shop",
            "B",
            f"EXM-4 | {kind} {n} | 0192a1b2-7c3d-7e4f-8a5b-{n:012d}",
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
                "core size", n, n, NAMES[n - 1], f"width at x {100 * k}", f"F{10 * n + k}", 82.8 + k, 82.5 + k, 83.1 + k
            )
            for k in range(4)
        ]
        rows.append(ComeBackRow("check", n, n, NAMES[n - 1], "neck wall (T4)", None, None, 6.2, 8.0))
        rows.append(ComeBackRow("remark", n, n, NAMES[n - 1], "rubbed, forced, broken?", None, None, None, None))
    return ComeBack("EXM-4", "Water-jacketed manifold", "EXM-4-100", "B", tuple(rows))
