"""Photographs made small enough for a paper: turned upright, scaled, without anything but the picture in them.

What a camera writes beside the picture (place, time, maker) stays in the record and does not go out with a paper.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

from inspect_tui.report.draw.dots import MOST_PIXELS, upright
from inspect_tui.report.paper.html import need

ALL_BYTES = 3_300_000  # of all pictures of one paper; as text in HTML that is 4.4 MB
STEPS = ((1400, 82), (1400, 68), (1100, 72), (900, 68), (700, 62), (480, 55), (320, 45))  # long side px, JPEG quality


def scaled(paths: Sequence[Path | None]) -> list[bytes | None]:
    """Each picture as JPEG, all of them together within `ALL_BYTES`; None for one that is missing or no picture."""
    there = sum(path is not None for path in paths)
    share = ALL_BYTES // max(there, 1)
    return [None if path is None else _jpeg_of(path, share) for path in paths]


def _jpeg_of(path: Path, most: int) -> bytes | None:
    image = need("PIL.Image")
    try:
        with image.open(path, formats=("JPEG", "PNG")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                return None
            opened.draft("RGB", (STEPS[0][0], STEPS[0][0]))
            picture = upright(opened)
    except (OSError, ValueError, SyntaxError, image.DecompressionBombError):
        return None
    made = b""
    for side, quality in STEPS:
        if max(picture.size) > side:
            picture.thumbnail((side, side), image.Resampling.LANCZOS, reducing_gap=2.0)
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=quality, optimize=True)
        made = out.getvalue()
        if len(made) <= most:
            break
    return made
