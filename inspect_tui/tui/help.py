"""The list of keys, and the words of the trade that are easily mixed up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Static

from inspect_tui.tui.question import Question
from inspect_tui.tui.settings.keys import key_name

WORDS = """
Typing
  59.66   59,66   12 3/16 in   1' 2-5/8"   59.66 59.68 59.65 (three repeats)
  No unit typed: the instrument's unit. Enter logs; the screen says logged when it is on the disk.
  When a reading looks like a slip it is asked once: Enter keeps it, = takes the other, or type it again. Or go on:
  the next value goes to the next size, and the question waits. What was refused waits too: Enter tries it again,
  Backspace puts it into the field to be mended, Esc drops it, Ctrl+E shows all of them and the earlier readings.

Signs
  cut / add               always the tool
  metal on / metal off    always the casting
  ✓ conforms   ✗ does not conform   ? undecided (the uncertainty reaches over the limit)
  ○ no limits  ! in question        ✗ before a gauge: it failed its newest check, or is out of use
  ≠ two benches said something else of it, until somebody decides (Ctrl+P). Edited twice: the later is shown;
    saving one settles it. Contested: a reading with two answers counts nowhere; things of one name stay two.
  band: ┼ limit  ┬ target  · earlier  ◆ this reading  ━ its uncertainty
        beyond the picture: ◀ ▶ this reading  ◁ ▷ target  ◂ ▸ earlier

Words
  contraction: what the solid metal takes off a length; not the shrinkage that feeds (porosity).
  print: the projection that carries a core; seat: the impression it sits in.

Dimensional results say nothing about soundness, pressure or material. Dust of sand, wood and resin, resins
and heavy boxes can hurt: follow the safety data sheet, local rules and licensed practice.
"""


class HelpScreen(Question[None]):
    """Keys of one place; any of Esc, F1, ? or Enter closes it."""

    DEFAULT_CSS = """
    HelpScreen { align: center middle; }
    HelpScreen VerticalScroll { width: 96%; max-width: 108; height: 96%; background: $surface; padding: 1 2;
        border: round $primary; }
    """
    BINDINGS = [("escape,f1,enter,question_mark,q", "dismiss", "Close")]  # noqa: RUF012

    def __init__(self, place: str, bindings: Sequence[Any], words: str = WORDS) -> None:
        super().__init__()
        self.place, self.bindings_shown, self.words = place, bindings, words

    def compose(self) -> ComposeResult:
        """Keys first, then the words."""
        text = Text(f"{self.place}: keys (Esc closes)\n\n", style="bold")
        for binding in self.bindings_shown:
            if isinstance(binding, Binding) and binding.show:
                keys = " ".join(key_name(key) for key in binding.key.split(","))
                text.append(f"  {keys:<12} {binding.description}\n", style="not bold")
        text.append("  Ctrl+Q       Quit (everything logged is on the disk)\n", style="not bold")
        text.append(self.words, style="not bold")
        with VerticalScroll():
            yield Static(text)
