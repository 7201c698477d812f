"""A job of fourteen cores with bodies and a photograph of 12 million dots each, for the benchmarks of the guide."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.record.kinds import CORE
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.pictures.attach import attach
from tests.worlds.kit_jobs import Kit, many_cores
from tests.worlds.kit_random import give_body

CORES = 14
WIDE, HIGH = 4000, 3000  # dots of a telephone's picture


def photograph(path: Path, seed: int) -> Path:
    """Soft forms, sand and the grain of a small sensor: as JPEG of quality 90 about 4 MB, as telephones write them."""
    import numpy as np
    from PIL import Image

    draw = np.random.default_rng(seed)
    y, x = np.mgrid[0:HIGH, 0:WIDE].astype(np.float32)
    forms = 120 + 60 * np.sin(x / 90 + seed) + 50 * np.cos(y / 120)
    small = draw.integers(0, 255, (HIGH // 8, WIDE // 8), dtype=np.uint8)
    sand = np.asarray(Image.fromarray(small).resize((WIDE, HIGH), Image.Resampling.BICUBIC), dtype=np.float32)
    grey = forms + 0.25 * (sand - 128) + draw.normal(0, 9, (HIGH, WIDE)).astype(np.float32)
    dots = np.stack([grey, grey * 0.93, grey * 0.82], axis=-1).clip(0, 255).astype(np.uint8)
    Image.fromarray(dots).save(path, quality=90)
    return path


def job_with_photographs(record: Record, folder: Path, cores: int = CORES) -> Kit:
    """The kit with everything that a step of the guide can show."""
    kit = many_cores(record, cores)
    for n in range(1, cores + 1):
        x, y = 60.0 * n, 40.0 * (n % 5)
        give_body(kit, n, (x, x + 50.0), (y, y + 30.0), (0.0, 30.0))
        give_body(kit, n, (x, x + 20.0), (y, y + 30.0), (30.0, 50.0))
        edit.set_core_detail(
            record, kit.job, kit.core[n], low_end="inlet", high_end="outlet", ends_axis="x", template=f"T-{n}",
            check_name="wall beside it", check_lower=5.5, check_upper=6.5, vents="both ends", caution="thin neck",
        )  # fmt: skip
        attach(record, photograph(folder / f"core-{n}.jpg", n), CORE.number, kit.core[n].of_id, f"core {n} in its box")
    return kit
