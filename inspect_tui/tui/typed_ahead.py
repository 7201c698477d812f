"""Keys typed ahead: each is dealt with to its end before the next is handed out, however fast they come.

The library hands every key at once to the widget that has the keyboard at that moment. Keys that arrive together (a
gauge, a pasted line, a slow connection that lets go) then land in a field that the Enter before them was to leave, or
move the list before the line ahead of them was taken. A gauge's own line is different: `Entry` takes it whole by
itself, in order, and is handed its characters without waiting.

An Enter that was already waiting while the Enter before it brought another screen up has bounced: it was not typed for
what it would now be answered to, and is dropped.
"""

from __future__ import annotations

import asyncio
from collections import deque
from time import monotonic
from typing import Any, TypeVar

from textual import events
from textual._keyboard_protocol import FUNCTIONAL_KEYS
from textual.app import App
from textual.screen import Screen
from textual.widget import Widget

from inspect_tui.tui.entry import Entry

Result = TypeVar("Result")
LONGEST_S = 1.0  # a key is handed out after this time whatever still goes on: the keyboard never dies
CALM = 2  # turns of the loop without anything left to do
# F13 to F20 as consoles and many terminals send them, which is how a foot switch types them: the library takes their
# numbers for characters (F20 would be a quotation mark in the field). Its version is pinned.
FUNCTIONAL_KEYS.update({f"{code}~": f"f{n}" for n, code in enumerate((25, 26, 28, 29, 31, 32, 33, 34), start=13)})


class TypedAhead(App[Result]):
    """An app whose keys and pastes are handed out one by one, in the order in which they came."""

    def __init__(self) -> None:
        super().__init__()
        self._ahead: deque[tuple[events.Key | events.Paste, bool]] = deque()  # and whether it had to wait
        self._enter_on: Screen[Any] | None = None  # where the last key was Enter: the screen it was typed for
        self._settling: asyncio.Task[None] | None = None

    @property
    def typed_ahead(self) -> int:
        """How many keys wait, the one that is being dealt with among them."""
        return len(self._ahead) + (self._settling is not None)

    async def on_event(self, event: events.Event) -> None:
        """Keep a key in its place in the line; everything else is no business of this."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            self._ahead.append((event, self._settling is not None))
            if self._settling is None:
                await self._next()
        else:
            await super().on_event(event)

    async def _next(self, patience: bool = True) -> None:
        """Hand out what can be; stop where a key has to be dealt with to its end first, and where no screen is left."""
        while self._ahead and self._settling is None and self.screen_stack:
            event, waited = self._ahead[0]
            at_once = self._at_once(event)
            if at_once or not patience or self._quiet():
                self._ahead.popleft()
                if not self._bounced(event, waited):
                    await super().on_event(event)
            if not at_once:
                self._settling = asyncio.create_task(self._settle())
            patience = True

    def _bounced(self, event: events.Key | events.Paste, waited: bool) -> bool:
        before, on_top = self._enter_on, self.screen
        enter = isinstance(event, events.Key) and event.key == "enter"
        if enter and waited and before is not None and before is not on_top:
            return True
        self._enter_on = on_top if enter else None
        return False

    def _at_once(self, event: events.Key | events.Paste) -> bool:
        """Whether the entry that has the keyboard keeps it in order by itself."""
        if not isinstance(self.focused, Entry):
            return False
        if isinstance(event, events.Paste) or event.is_printable or event.key in ("enter", "ctrl+j"):
            return True
        return event.key in self.focused.end_keys

    async def _settle(self) -> None:
        until, calm = monotonic() + LONGEST_S, 0
        while calm < CALM and monotonic() < until:
            await asyncio.sleep(0)
            calm = calm + 1 if self._quiet() else 0
        self.call_next(self._settled, calm == CALM)

    async def _settled(self, quiet: bool) -> None:
        self._settling = None
        await self._next(patience=quiet)

    def _quiet(self) -> bool:
        """Whether the screen on top stands and no message waits anywhere on it."""
        stack = self.screen_stack
        if not stack or self.message_queue_size:
            return False
        on_top = stack[-1].walk_children(Widget, with_self=True)
        return all(widget.is_mounted and not widget.message_queue_size for widget in on_top)
