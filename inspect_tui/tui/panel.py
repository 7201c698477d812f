"""A panel of text that repaints only the lines that changed.

A `Static` turns its whole text into styled content on every update: 0.4 ms a panel, four panels a reading. Here a text
is split once and a line is made into a strip when the screen asks for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from rich.console import Console
from rich.text import Text
from textual.containers import Horizontal, Vertical
from textual.geometry import Region
from textual.selection import Selection
from textual.strip import Strip
from textual.widget import Widget

_CONSOLE = Console(width=400, color_system=None, legacy_windows=False)  # only looks styles up and wraps


class Panel(Widget):
    """Shows a `rich.text.Text`; long lines wrap to the width. Nothing in it is read as markup."""

    can_focus = False

    def __init__(self, text: str = "", id: str | None = None) -> None:
        super().__init__(id=id)
        self._given: Sequence[Text] = [Text(text)]
        self._lines: list[Text] = list(self._given)
        self._split_for = -1
        self.stale = False  # whether something was put into it that was not painted yet

    @property
    def plain(self) -> str:
        """What it shows, without styles."""
        return "\n".join(line.plain for line in self._given)

    def line(self, y: int) -> str:
        """What stands on one of its lines; nothing below the last."""
        return self._lines[y].plain if 0 <= y < len(self._lines) else ""

    @property
    def rows(self) -> int:
        """How many lines its text takes, at the width that it has."""
        return len(self._lines)

    def put(self, text: Text | Sequence[Text]) -> None:
        """Show a text, or lines, from now on; repaints the lines that differ."""
        before = self._lines
        self._given = list(text.split("\n", allow_blank=True)) if isinstance(text, Text) else text
        self._split(self.size.width)
        after = self._lines
        width = self.size.width
        if not width:
            return
        both = zip_longest(before, after)
        changed = [Region(0, y, width, 1) for y, (old, new) in enumerate(both) if old is not new and old != new]
        if changed:
            self.stale = True
            self.refresh(*changed)

    def on_show(self) -> None:
        """What was put while it was hidden, alone or with what it stands in, was not painted."""
        self.refresh()

    def _split(self, width: int) -> None:
        self._split_for = width
        lines: list[Text] = []
        for line in self._given:
            if width and line.cell_len > width:
                lines.extend(line.wrap(_CONSOLE, width))
            else:
                lines.append(line)
        self._lines = lines

    def render_line(self, y: int) -> Strip:
        """One line of the panel, padded to its width."""
        width, look = self.size.width, self.visual_style.rich_style
        if self._split_for != width:
            self._split(width)
        if y >= len(self._lines):
            return Strip.blank(width, look).apply_offsets(0, y)
        line = self._lines[y]
        if (marked := self.text_selection) is not None and (span := marked.get_span(y)) is not None:
            line = line.copy()
            end = len(line) if span[1] == -1 else span[1]
            line.stylize(self.screen.get_component_rich_style("screen--selection"), span[0], end)
        strip = Strip([s for s in line.render(_CONSOLE) if s.text != "\n"])
        return strip.adjust_cell_length(width).apply_style(look).apply_offsets(0, y)

    def get_selection(self, selection: Selection) -> tuple[str, str]:
        """What of its lines is marked with the mouse, for the clipboard."""
        return selection.extract("\n".join(line.plain.rstrip() for line in self._lines)), "\n"

    def selection_updated(self, selection: Selection | None) -> None:
        """What is marked is another part now."""
        self.refresh()


class Beside(Horizontal):
    """Holds widgets side by side that cover it whole: nothing is painted behind them, which is a tenth of a paint."""

    BLANK = True


class Over(Vertical):
    """The same, one over the other."""

    BLANK = True
