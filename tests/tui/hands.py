"""Fast hands for tests of the screen: keys in one burst, as a gauge or a slow connection hands them over."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from textual import events
from textual.drivers.headless_driver import HeadlessDriver
from textual.geometry import Size
from textual.keys import _character_to_key
from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp

NAMES = {"\r": "enter", "\t": "tab", "\b": "backspace", "\x1b": "escape"}


def key(word: str) -> events.Key:
    """A key by its name (`f3`, `ctrl+s`), or by the one character it types."""
    if len(word) == 1 and word not in NAMES:
        return events.Key(_character_to_key(word), word)
    return events.Key(NAMES.get(word, word), None)


def burst(app: InspectApp, *words: str | Iterable[str]) -> None:
    """All at once, nothing waited for: a word is a key's name if it is one, else the characters of a text."""
    for word in words:
        known = isinstance(word, str) and (word in KEYS or "+" in word)
        for one in [word] if known else word:
            app.post_message(key(str(one)))


KEYS = {"enter", "escape", "tab", "up", "down", "left", "right", "pageup", "pagedown", "home", "end", "backspace"} | {
    f"f{n}" for n in range(1, 13)
}


def mouse(app: InspectApp, *moves: tuple[type[events.MouseEvent], int, int], button: int = 1) -> None:
    """What a terminal reports of a mouse: each event at its column and row of the screen, nothing waited for."""
    for sort, x, y in moves:
        app.post_message(sort(None, x, y, 0, 0, button, False, False, False, screen_x=x, screen_y=y))


def clicked(app: InspectApp, x: int, y: int, times: int = 1) -> None:
    """Pressed and let go there, once or several times."""
    for _ in range(times):
        mouse(app, (events.MouseDown, x, y), (events.MouseUp, x, y))


def sized(app: InspectApp, width: int, height: int) -> None:
    """The window was pulled to another size."""
    if isinstance(app._driver, HeadlessDriver):
        app._driver._size = (width, height)
    app.post_message(events.Resize(Size(width, height), Size(width, height)))


def begun_at(place: str, app: InspectApp) -> InspectApp:
    """A program that comes up at a place, without the Bench before it: a test of that place has no use for that."""
    app.place = app._current_mode = app.DEFAULT_MODE = place  # type: ignore[misc]
    app._screen_stacks = {place: []}
    return app


async def settled(pilot: Pilot[Any]) -> None:
    """Until every key of a burst has been dealt with and every thread has answered."""
    app = pilot.app
    assert isinstance(app, InspectApp)
    await pilot.pause()
    for _ in range(2000):
        if not app.typed_ahead or app.return_code is not None:  # done, or the program has ended
            break
        await pilot.pause()
    await app.workers.wait_for_complete()
    await pilot.pause()
