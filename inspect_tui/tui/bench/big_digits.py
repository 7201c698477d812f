"""Three-line digits that can be read from an arm's length away."""

from __future__ import annotations

# Each glyph is three rows of equal width, drawn with box characters so that any terminal font shows it.
GLYPHS = {
    "0": ("┏━┓", "┃ ┃", "┗━┛"),
    "1": (" ╻ ", " ┃ ", " ╹ "),
    "2": ("╺━┓", "┏━┛", "┗━╸"),
    "3": ("╺━┓", " ━┫", "╺━┛"),
    "4": ("╻ ╻", "┗━┫", "  ╹"),
    "5": ("┏━╸", "┗━┓", "╺━┛"),
    "6": ("┏━╸", "┣━┓", "┗━┛"),
    "7": ("╺━┓", "  ┃", "  ╹"),
    "8": ("┏━┓", "┣━┫", "┗━┛"),
    "9": ("┏━┓", "┗━┫", "╺━┛"),
    "-": ("  ", "╺╸", "  "),
    "+": ("   ", "╺╋╸", "   "),
    ".": (" ", " ", "●"),
    ",": (" ", " ", "▖"),
    " ": (" ", " ", " "),
}


def big_digits(text: str) -> list[str]:
    """Three rows for a number; a character without a glyph stands in the middle row as it is."""
    rows = ["", "", ""]
    for character in text:
        glyph = GLYPHS.get(character, (" ", character, " "))
        rows = [row + part + (" " if character.isdigit() else "") for row, part in zip(rows, glyph, strict=True)]
    return rows
