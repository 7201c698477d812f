"""A page on which numbers of sizes are put on a photograph by a tap; it saves a table that comes back by a command."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.html import page, picture
from inspect_tui.report.paper.photos import scaled

Mark = tuple[str, float, float]  # a number, percent from the left edge, percent from the top


def content(title: str, path: Path | None, numbers: Sequence[str], marks: Sequence[Mark], command: str) -> bytes:
    """The page, in one file that loads nothing; PaperError where the picture is not beside the record."""
    ((made, _),) = scaled([path])
    if made is None:
        raise PaperError(f"{title}: the picture is not beside the record. Copy its file there, or ask for another.")
    shown = {
        "title": title,
        "picture": picture(made, "image/jpeg"),
        "command": command,
        "data": {"numbers": list(numbers), "marks": [list(mark) for mark in marks]},
    }
    return page("numbers.html", shown, "numbers.css", alone=True, script="numbers.js")
