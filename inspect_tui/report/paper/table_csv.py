"""CSV that other programs read without surprises: RFC 4180, UTF-8, and no text that a spreadsheet takes for a formula.

A text cell that begins with a formula sign gets a leading apostrophe; reading takes exactly one off again. Cells that
we write from numbers are numbers and are exempt, so that -0.05 stays one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

SIGNS = ("=", "+", "-", "@", "\t", "\r", "'", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def guarded(text: str) -> str:
    """The text as it goes into a cell."""
    return f"'{text}" if text.startswith(SIGNS) else text


def unguarded(text: str) -> str:
    """The text that a cell stands for: one apostrophe off where it was put on."""
    return text[1:] if text.startswith("'") and text[1:].startswith(SIGNS) else text


def cell(value: object) -> str:
    """A cell: numbers at full precision, yes and no, nothing for None, text guarded."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return repr(value)
    return guarded(str(value))


def table(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """The whole file: a heading line, CRLF line ends, cells quoted where they have to be."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(headings)
    writer.writerows([cell(value) for value in row] for row in rows)
    return out.getvalue().encode("utf-8")
