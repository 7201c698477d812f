"""The one-line entry that owns the keyboard: it takes each line whole, however fast a gauge types.

Enter is met in the widget's own key handler. Left to the usual binding it would bubble up to the app first, and
the keys behind it would be typed into a value that has not been taken yet (measured: 0 of 100 values right).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from time import monotonic

from textual import events
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input

from inspect_tui.metrology.typed.gauge_line import LOST
from inspect_tui.tui import hearing

Taken = Callable[[str, float], str | None]  # (text, seconds since the last line) -> text to put back, or None


# bytes that are no character
LOSSES = ("ctrl+@", "ctrl+backslash", "ctrl+underscore", "ctrl+circumflex_accent", "ctrl+right_square_bracket")


class Entry(Input):
    """A plain Input whose lines go to `take` at once; what `take` gives back stays in the field.

    `take` returns None when the line was used up, or a text that stays for correction.
    Lines of a paste behind one that was not understood wait in `waiting` until it is put right.
    """

    DEFAULT_CSS = """
    Entry { border: none; height: 1; padding: 0; background: $surface; }
    Entry:focus { border: none; background: $surface; }
    """

    # In a field of fixed height nothing around it moves when the text grows; without this every key lays the whole
    # screen out anew.
    virtual_size = Reactive(Size(0, 0))

    def __init__(
        self,
        take: Taken,
        *,
        on_empty_key: Callable[[str], bool] | None = None,
        on_empty_back: Callable[[], bool] | None = None,
        id: str | None = None,
    ):
        super().__init__(id=id, select_on_focus=False, max_length=1024)
        self.take = take
        self.on_empty_key, self.on_empty_back = on_empty_key, on_empty_back
        self.waiting: deque[str] = deque()
        self._after_return = self._after_tab = False
        self._last_taken = 0.0

    def on_key(self, event: events.Key) -> None:
        """Take the line on Enter; single keys in an empty field may be commands (`?`, `=`)."""
        after_return, self._after_return = self._after_return, event.key == "enter"
        after_tab, self._after_tab = self._after_tab, False
        if event.key == "enter" and after_tab and not self.value:  # of a gauge that ends with Tab and Enter
            event.stop()
            event.prevent_default()
        elif event.key == "tab" and self.value and "tab" in self.end_keys:
            event.stop()
            event.prevent_default()
            self._after_tab = True
            self.take_line(by_gauge=True)
        elif event.character and event.key in LOSSES:
            event.stop()
            event.prevent_default()
            self.insert_text_at_cursor(LOST)  # what stands on both sides of it is not one figure
        elif (
            event.key == "enter"
            or (event.key == "ctrl+j" and not after_return)
            or (event.character is None and hearing.foot_logs(self.screen, event.key))
        ):
            event.stop()
            event.prevent_default()
            self.take_line()
        elif event.key == "ctrl+j" or (not self.value and self._is_command(event)):  # the second half of \r\n
            event.stop()
            event.prevent_default()

    @property
    def end_keys(self) -> tuple[str, ...]:
        """The keys that end a reading: Enter, and Tab where the gauge in hand sends it."""
        return hearing.end_keys(self.screen)

    def _is_command(self, event: events.Key) -> bool:
        """Whether a key in the empty field was a command, which is done then."""
        if event.key == "backspace":
            return self.on_empty_back is not None and self.on_empty_back()
        return bool(event.character) and self.on_empty_key is not None and self.on_empty_key(event.character or "")

    def take_line(self, by_gauge: bool = False) -> None:
        """Hand the field's text on, then the waiting lines of a paste as long as they are understood.

        `by_gauge`: it was ended by a key that only the gauge in hand sends.
        """
        text, self.value = self.value, ""
        left = self._hand_on(text, by_gauge)
        while left is None and self.waiting:
            left = self._hand_on(self.waiting.popleft())
        if left is not None:
            self.value = left
            self.cursor_position = len(left)

    def _hand_on(self, text: str, by_gauge: bool = False) -> str | None:
        now = monotonic()
        gap, self._last_taken = now - self._last_taken, now
        if hearing.scanned(self.screen, text):
            return None
        return self.take(hearing.as_typed(self.screen, text, by_gauge), gap)

    def receive(self, text: str) -> None:
        """A whole line that came beside the keys, over a line of the gauge's own; what stands in the field stays."""
        now = monotonic()
        gap, self._last_taken = now - self._last_taken, now
        self.take(text, gap)

    def on_paste(self, event: events.Paste) -> None:
        """Several pasted lines are several lines, not only the first; one without an end stays in the field."""
        event.stop()
        event.prevent_default()
        text = event.text.replace("\0", LOST)
        if "tab" in self.end_keys:
            text = text.replace("\t\r", "\r").replace("\t\n", "\n").replace("\t", "\n")
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        if len(lines) == 1:
            self.insert_text_at_cursor(lines[0])
            return
        self.insert_text_at_cursor(lines[0])
        self.waiting.extend(line for line in lines[1:] if line.strip())
        self.take_line()

    def drop_waiting(self) -> int:
        """Forget the waiting lines of a paste; returns how many."""
        count = len(self.waiting)
        self.waiting.clear()
        return count
