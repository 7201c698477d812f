"""A picture in a terminal, two dots in each cell: the upper half block in the colour of one, on that of the other."""

from __future__ import annotations

from pathlib import Path

from rich.color import Color
from rich.style import Style as Look
from rich.text import Text

from inspect_tui.report.draw import dots as drawn

NOT_HERE = "The file of this picture does not lie beside the record: it was taken at another bench."
NO_LIBRARY = "Pictures are seen with the extra pictures: pip install 'inspect-tui[pictures]'."
UNREADABLE = "The file of this picture cannot be read: it is not whole."
HALF = "▀"


def half_blocks(path: Path, width: int, height: int) -> Text:
    """The whole picture in at most `width` columns and `height` lines; a sentence where it cannot be seen."""
    try:
        small = drawn.thumbnail(path, max(width, 1), max(height, 1) * 2)
    except ImportError:
        return Text(NO_LIBRARY, style="dim")
    if small is None:
        return Text(UNREADABLE, style="dim")
    columns, rows, dots = small
    text = Text(no_wrap=True, end="")
    for row in range(0, rows, 2):
        for column in range(columns):
            upper = Color.from_rgb(*dots[row * columns + column])
            lower = Color.from_rgb(*dots[(row + 1) * columns + column]) if row + 1 < rows else None
            text.append(HALF, Look(color=upper, bgcolor=lower))
        text.append("\n")
    text.right_crop(1)
    return text
