"""Keys typed ahead: each is dealt with to its end before the next is handed out, however fast they come.

The library hands every key at once to the widget that has the keyboard at that moment. Keys that arrive together (a
gauge, a pasted line, a slow connection that lets go) then land in a field that the Enter before them was to leave, or
move the list before the line ahead of them was taken. A gauge's own line is different: `Entry` takes it whole by
itself, in order, and is handed its characters without waiting.
"""

from __future__ import annotations

import asyncio
from collections import deque
from time import monotonic
from typing import TypeVar

from textual import events
from textual.app import App
from textual.widget import Widget

from inspect_tui.tui.entry import Entry

Result = TypeVar("Result")
LONGEST_S = 1.0  # a key is handed out after this time whatever still goes on: the keyboard never dies
CALM = 2  # turns of the loop without anything left to do


class TypedAhead(App[Result]):
    """An app whose keys and pastes are handed out one by one, in the order in which they came."""

    def __init__(self) -> None:
        super().__init__()
        self._ahead: deque[events.Key | events.Paste] = deque()
        self._settling: asyncio.Task[None] | None = None

    @property
    def typed_ahead(self) -> int:
        """How many keys wait, the one that is being dealt with among them."""
        return len(self._ahead) + (self._settling is not None)

    async def on_event(self, event: events.Event) -> None:
        """Keep a key in its place in the line; everything else is no business of this."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            self._ahead.append(event)
            if self._settling is None:
                await self._next()
        else:
            await super().on_event(event)

    async def _next(self, patience: bool = True) -> None:
        """Hand out what can be; stop where a key has to be dealt with to its end first."""
        while self._ahead and self._settling is None:
            event = self._ahead[0]
            at_once = self._at_once(event)
            if at_once or not patience or self._quiet():
                self._ahead.popleft()
                await super().on_event(event)
            if not at_once:
                self._settling = asyncio.create_task(self._settle())
            patience = True

    def _at_once(self, event: events.Key | events.Paste) -> bool:
        """Whether the entry that has the keyboard keeps it in order by itself."""
        if not isinstance(self.focused, Entry):
            return False
        return isinstance(event, events.Paste) or event.is_printable or event.key in ("enter", "ctrl+j")

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
