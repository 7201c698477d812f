"""What may stand in a recorded text: NFC, and no character that steers a screen or turns the reading direction.

Refused are U+0000-001F and U+007F-009F (a note keeps its line ends), the bidirectional controls U+202A-202E and
U+2066-2069, and lone surrogates, which have no UTF-8 and so no place in a hash.
"""

from __future__ import annotations

import unicodedata

_GONE: dict[int, str | None] = dict.fromkeys(
    (*range(0x20), *range(0x7F, 0xA0), *range(0x202A, 0x202F), *range(0x2066, 0x206A), *range(0xD800, 0xE000))
)
_ONE_LINE = _GONE | {ord("\t"): " ", ord("\n"): " ", ord("\r"): " "}  # else the words beside them would run together
_LINES = _GONE | {ord("\t"): " ", ord("\n"): "\n"}


def clean(text: str, newline: bool = False) -> str:
    """The text as it may be recorded; compare with what came in to say that something was taken out.

    Tabs and line ends become blanks; with `newline` (notes) line ends stay.
    """
    if text.isascii() and text.isprintable():
        return text
    if newline:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return unicodedata.normalize("NFC", text.translate(_LINES if newline else _ONE_LINE))
