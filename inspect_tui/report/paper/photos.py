"""Photographs made small enough for a paper: turned upright, scaled, without anything but the picture in them.

What a camera writes beside the picture (place, time, maker) stays in the record and does not go out with a paper.
"""

from __future__ import annotations

import io
import os
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.report.draw.dots import MOST_PIXELS, upright
from inspect_tui.report.paper.html import need, picture
from inspect_tui.shop.kit.paper.papers import SheetPhoto

if TYPE_CHECKING:
    from PIL.Image import Image

ALL_BYTES = 3_300_000  # of all pictures of one paper; as text in HTML that is 4.4 MB
STEPS = ((1400, 82), (1400, 68), (1100, 72), (900, 68), (700, 62), (480, 55), (320, 45))  # long side px, JPEG quality
SMALL = (260, 60)  # the same of a picture beside its number, among all the others
THREADS = 2  # decoding and scaling hold no lock; more at once would only take more memory


class Photos:
    """The pictures of one paper in their order; the paper refers to them by number.

    `missing` makes what is said instead of a picture that is not there, from the name that it goes by.
    """

    def __init__(self, missing: Callable[[str], str]) -> None:
        self.paths: list[Path | None] = []
        self._missing = missing

    def shown(self, photos: Sequence[SheetPhoto]) -> list[dict[str, Any]]:
        """Number, caption and what to say when the picture is not there."""
        out = []
        for photo in photos:
            caption = photo.caption or photo.shown_name
            out.append({"at": len(self.paths), "caption": caption, "missing": self._missing(photo.shown_name)})
            self.paths.append(photo.path)
        return out


def not_beside(name: str) -> str:
    """What a paper of the shop says of a picture that is not there."""
    return f"Picture {name} is not beside the record."


def pictures(paths: Sequence[Path | None], form: str, *, small: bool = False) -> tuple[list[Any], dict[str, bytes]]:
    """How the paper refers to each picture (None: not there), and the files that go with a PDF.

    `small`: a second one of each, to stand beside a number, follows after all the others.
    """
    names: list[str | None] = []
    files: dict[str, bytes] = {}
    made = scaled(paths, small=small)
    for number, content in enumerate([large for large, _ in made] + ([little for _, little in made] if small else [])):
        if content is None:
            names.append(None)
        elif form == "html":
            names.append(picture(content, "image/jpeg"))
        else:
            names.append(f"picture-{number}.jpg")
            files[f"picture-{number}.jpg"] = content
    return names, files


Made = tuple[bytes | None, bytes | None]


def scaled(paths: Sequence[Path | None], *, small: bool = False) -> list[Made]:
    """Each picture as JPEG, all of them together within `ALL_BYTES`; None for one that is missing or no picture.

    Beside it the small one, where those are asked for.
    """
    share = ALL_BYTES // max(sum(path is not None for path in paths), 1)

    def made(path: Path | None) -> Made:
        upright_one = None if path is None else _opened(path)
        if upright_one is None:
            return None, None
        large = _within(upright_one, STEPS, share)
        return large, _within(upright_one, (SMALL,), share) if small else None

    need("PIL.Image")
    with ThreadPoolExecutor(max_workers=min(THREADS, os.cpu_count() or 1)) as several:
        return list(several.map(made, paths))


def _opened(path: Path) -> Image | None:
    image = need("PIL.Image")
    try:
        with image.open(path, formats=("JPEG", "PNG")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                return None
            opened.draft("RGB", (STEPS[0][0], STEPS[0][0]))
            made: Image = upright(opened)
    except (OSError, ValueError, SyntaxError, image.DecompressionBombError):
        return None
    return made


def _within(shown: Image, steps: Iterable[tuple[int, int]], most: int) -> bytes:
    """The picture as JPEG by the first of these sizes and qualities that is no more than `most` bytes; it is scaled."""
    resampling = need("PIL.Image").Resampling
    made = b""
    for side, quality in steps:
        if max(shown.size) > side:
            shown.thumbnail((side, side), resampling.LANCZOS, reducing_gap=2.0)
        out = io.BytesIO()
        shown.save(out, "JPEG", quality=quality, optimize=True)
        made = out.getvalue()
        if len(made) <= most:
            break
    return made
