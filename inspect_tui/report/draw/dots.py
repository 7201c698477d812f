"""A photograph as a few dots: turned upright, on white where it is transparent, made small."""

from __future__ import annotations

from pathlib import Path
from typing import Any

MOST_PIXELS = 120_000_000  # of a file that is opened: more is no photograph


def thumbnail(path: Path, width: int, height: int) -> tuple[int, int, list[tuple[int, int, int]]] | None:
    """Columns, rows and red, green, blue (0 to 255) of each dot by rows, at most `width` by `height`, never larger.

    None for what is no picture; ImportError without the library that reads pictures.
    """
    picture = small(path, width, height)
    if picture is None:
        return None
    dots = iter(picture.tobytes())
    return picture.width, picture.height, list(zip(dots, dots, dots, strict=True))


def small(path: Path, width: int, height: int) -> Any:
    """The picture upright, at most `width` by `height`, never larger, as the library that reads pictures has it.

    None for what is no picture; ImportError without the library.
    """
    from PIL import Image

    try:
        with Image.open(path, formats=("JPEG", "PNG")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                return None
            opened.draft("RGB", (max(width, height) * 2, max(width, height) * 2))
            picture = upright(opened)
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return None
    picture.thumbnail((width, height), Image.Resampling.BOX)
    return picture


def upright(opened: Any) -> Any:
    """Turned as the camera says, on white where it is transparent; red, green and blue alone."""
    from PIL import Image, ImageOps

    turned = ImageOps.exif_transpose(opened)
    if turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info:
        over = turned.convert("RGBA")
        ground = Image.new("RGB", over.size, "white")
        ground.paste(over, mask=over.getchannel("A"))
        return ground
    return turned.convert("RGB")
