"""What may stand in a recorded text: NFC, and no character that steers a screen or turns the reading direction.

Refused are U+0000-001F and U+007F-009F (a note keeps its line ends), the bidirectional controls U+202A-202E and
U+2066-2069, and lone surrogates, which have no UTF-8 and so no place in a hash.
"""

from __future__ import annotations

import unicodedata
from functools import cache


@cache
def _changes(newline: bool) -> dict[int, str | None]:
    """What becomes of each character that may not stand; made when the first text asks that is not plain."""
    gone: dict[int, str | None] = dict.fromkeys(
        (*range(0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F), *range(0x2066, 0x206A), *range(0xD800, 0xE000))
    )
    if newline:
        return gone | {ord("\t"): " ", ord("\n"): "\n"}
    return gone | {ord("\t"): " ", ord("\n"): " ", ord("\r"): " "}  # else the words beside them would run together


def clean(text: str, newline: bool = False) -> str:
    """The text as it may be recorded; compare with what came in to say that something was taken out.

    Tabs and line ends become blanks; with `newline` (notes) line ends stay.
    """
    if text.isascii() and text.isprintable():
        return text
    if newline:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return unicodedata.normalize("NFC", text.translate(_changes(newline)))
