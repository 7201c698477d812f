"""A picture as telephones write it (HEIC, ISO/IEC 23008-12) becomes a JPEG: papers and other programs show that.

Only the picture goes over: place, time and maker, which a telephone writes beside it, do not.
"""

from __future__ import annotations

import io
from typing import Any

from inspect_tui.errors import RecordError

MILLION = 1_000_000
MOST_PIXELS = 120 * MILLION  # of any picture: more is no photograph, and would fill the memory of who looks at it
QUALITY = 92
# major brands of files that hold one still picture or several: ISO/IEC 23008-12, annex B
BRANDS = (b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1")


def is_heic(content: bytes) -> bool:
    """Told by the file's own first words, not by its name."""
    return content[4:8] == b"ftyp" and content[8:12] in BRANDS


def as_jpeg(content: bytes, name: str) -> bytes:
    """The first picture of a HEIC file as JPEG, upright. RecordError where it cannot be read, or the reader lacks."""
    try:
        from pillow_heif import open_heif
    except ImportError:
        raise RecordError(
            f"{name} is a HEIC picture, and what reads these is not installed: pip install 'inspect-tui[pictures]', "
            "or have the telephone take JPEG."
        ) from None
    try:
        held = open_heif(io.BytesIO(content))
        width, height = held.size
        refuse_too_many(width, height, name)
        return _jpeg(held.to_pillow())
    except (OSError, ValueError, EOFError, SyntaxError, RuntimeError, MemoryError) as problem:
        raise RecordError(f"{name} is a HEIC picture that cannot be read: copy it again.") from problem


def _jpeg(picture: Any) -> bytes:
    out = io.BytesIO()  # the library writes the picture alone unless it is told to write more
    picture.convert("RGB").save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def refuse_too_many(width: int, height: int, name: str = "The picture") -> None:
    """RecordError for a picture of so many dots that it would fill the memory of whoever looks at it."""
    if width * height > MOST_PIXELS:
        raise RecordError(
            f"{name} says that it is {width} by {height} dots, {width * height // MILLION} million: "
            f"at most {MOST_PIXELS // MILLION} million are kept. Make it smaller first."
        )
