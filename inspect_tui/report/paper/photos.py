"""Photographs made small enough for a paper: turned upright, scaled, without anything but the picture in them.

What a camera writes beside the picture (place, time, maker) stays in the record and does not go out with a paper.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from inspect_tui.report.paper.html import need

ALL_BYTES = 3_300_000  # of all pictures of one paper; as text in HTML that is 4.4 MB
MOST_PIXELS = 120_000_000
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
            picture = _upright(opened)
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


def _upright(opened: Any) -> Any:
    """Turned as the camera says, on white where it is transparent."""
    turned = need("PIL.ImageOps").exif_transpose(opened)
    if turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info:
        over = turned.convert("RGBA")
        ground = need("PIL.Image").new("RGB", over.size, "white")
        ground.paste(over, mask=over.getchannel("A"))
        return ground
    return turned.convert("RGB")


def thumbnail(path: Path, width: int, height: int) -> tuple[int, int, list[tuple[int, int, int]]] | None:
    """Columns, rows and red, green, blue (0 to 255) of each dot by rows, at most `width` by `height`, never larger.

    None for what is no picture; ImportError without the library that reads pictures.
    """
    from PIL import Image

    try:
        with Image.open(path, formats=("JPEG", "PNG")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                return None
            opened.draft("RGB", (max(width, height) * 2, max(width, height) * 2))
            picture = _upright(opened)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None
    picture.thumbnail((width, height), Image.Resampling.BOX)
    dots = iter(picture.tobytes())
    return picture.width, picture.height, list(zip(dots, dots, dots, strict=True))
