"""Anything done anywhere: keys in bursts, mouse, pastes, other sizes, double Enters in lists; the program stands.

What is done comes from a seeded generator, so that what fails once fails again: a little at every run, 100,000 events
with `--hypothesis-profile=long`.
"""

from __future__ import annotations

import asyncio
import random
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from functools import partial
from itertools import count
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest
from textual import events
from textual.app import SystemCommand
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import OptionList

from inspect_tui.commands.demo import START, demo_file
from inspect_tui.errors import InspectError
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.tui.app import PLACES, InspectApp
from inspect_tui.tui.place import Place
from tests.amounts import some
from tests.tui.hands import burst, clicked, mouse, settled, sized
from tests.tui.hands import key as pressed
from tests.worlds import fourteen_cores, said_apart
from tests.worlds.hostile import STEERING, TEXTS

NAMED = ["enter", "escape", "tab", "up", "down", "left", "right", "pageup", "pagedown", "home", "end", "backspace"]
FUNCTION = [f"f{n}" for n in range(1, 13)]
CONTROL = [f"ctrl+{c}" for c in "abdfglnorstuvz"]  # Ctrl+Q ends it, Ctrl+C is the terminal's
SHORT, LONG, OTHERS = 2, 1_000, 200  # bursts of about seven events: in each place of the demo; of another record
SIZES = [(80, 24), (160, 48), (60, 20), (40, 12), (20, 6), (4, 2), (1, 1), (220, 60)]
PASTED = ["59.66", "59.66\n60.1\n61\n", "F1 59,66; F2 60.1\n\n", "\t\t\n", "9" * 5000, "a,b\n1,2\n" * 400]
TYPED = list("abcdefghijklmnopqrstuvwxyz0123456789.,/ ?=+-[]{}%éß\\'\"")


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Record]:
    monkeypatch.setenv("HOME", str(tmp_path))  # papers are written there
    monkeypatch.chdir(tmp_path)
    copyfile(demo_file(), tmp_path / "demo.db")
    with Record.open(tmp_path / "demo.db") as record:
        yield record


def words(dice: random.Random) -> list[str]:
    """A key as a cat on the keyboard gives it: letters mostly, Enters often twice."""
    word = dice.choice(dice.choices((TYPED, NAMED, FUNCTION, CONTROL), (5, 6, 3, 2))[0])
    return [word, word] if word == "enter" and dice.random() < 0.5 else [word]


def with_the_mouse(dice: random.Random, app: InspectApp) -> tuple[str, Callable[[], None]]:
    """Clicked, clicked twice, pulled, turned or only moved, anywhere on the screen."""
    width, height = app.size
    x, y = dice.randrange(max(width, 1)), dice.randrange(max(height, 1))
    to = dice.randrange(max(width, 1)), dice.randrange(max(height, 1))
    act = dice.choice(("click", "click", "twice", "pull", "turn", "move"))
    if act in ("click", "twice"):
        return f"{act} {x} {y}", partial(clicked, app, x, y, 1 + (act == "twice"))
    if act == "pull":
        moves = ((events.MouseDown, x, y), (events.MouseMove, *to), (events.MouseUp, *to))
        return f"pull {x} {y} {to}", partial(mouse, app, *moves)
    sort = dice.choice((events.MouseScrollDown, events.MouseScrollUp)) if act == "turn" else events.MouseMove
    return f"{sort.__name__} {x} {y}", partial(mouse, app, *[(sort, x, y)] * dice.randint(1, 3), button=0)


def anything(dice: random.Random, app: InspectApp) -> tuple[str, Callable[[], None]]:
    """The next thing that somebody does: its name, and how it is done."""
    act = dice.choices(("key", "mouse", "paste", "size"), (14, 4, 1, 1))[0]
    if act == "key":
        typed = words(dice)
        return " ".join(typed), partial(burst, app, *typed)
    if act == "mouse":
        return with_the_mouse(dice, app)
    if act == "paste":
        text = dice.choice((*PASTED, *TEXTS, *STEERING))
        return f"paste {text[:40]!r}", lambda: app.post_message(events.Paste(text)) and None
    width, height = dice.choice(SIZES)
    return f"size {width} {height}", partial(sized, app, width, height)


async def _done_at(app: InspectApp, pilot: Pilot[int], place: str, dice: random.Random, done: list[list[str]]) -> None:
    """One burst of things done at a place, begun from where nothing stands over it."""
    while len(app.screen_stack) > 1:
        app.screen.dismiss()
        await pilot.pause()
    app.go(place)
    sized(app, *dice.choice(SIZES[:3]))
    await settled(pilot)
    done.append([])
    for _ in range(dice.randint(3, 12)):
        name, act = anything(dice, app)
        done[-1].append(name)
        act()
        if dice.random() < 0.2:  # else it comes before the last one was dealt with
            await settled(pilot)
    await settled(pilot)


class Stays(InspectApp):
    """The program without the line of the list of commands that leaves it."""

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        return (command for command in super().get_system_commands(screen) if command.title != "Quit")


def played(record: Record, place: str, seed: str, bursts: int, may: tuple[type[BaseException], ...] = ()) -> None:
    """Bursts at a place of the program on a record; AssertionError, or what was wrong, where it does not stand.

    `may`: what of the record's own troubles a place may say in place of its body.
    """
    dice = random.Random(seed)
    done: list[list[str]] = []
    troubles: list[BaseException] = []

    async def go() -> None:
        app = Stays(record, memory.last_bench(record, START))
        app.note_trouble = troubles.append  # type: ignore[method-assign]
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            for _ in range(bursts):
                await _done_at(app, pilot, place, dice, done)
                assert app.is_running and app.return_code is None, done[-3:]
                shown = (screen.trouble for screen in app.screen_stack if isinstance(screen, Place))
                for trouble in (*troubles, *shown):
                    if trouble is not None and not isinstance(trouble, may):
                        raise trouble

    try:
        asyncio.run(go())
    finally:
        print(f"{sum(map(len, done))} things done at {place}; the last ones: {done[-3:]}")


@pytest.mark.parametrize("place", PLACES)
def test_whatever_is_done_in_any_place_leaves_the_program_standing(demo: Record, place: str) -> None:
    played(demo, place, f"{place} 2", some(SHORT, LONG))
    assert not demo.damage()


@contextmanager
def empty(folder: Path) -> Iterator[Record]:
    """A shop on its first day."""
    with Record.open(folder / "empty.db", create=True) as record:
        yield record


@contextmanager
def many_cores(folder: Path) -> Iterator[Record]:
    """A header with fourteen cores."""
    with Record.open(folder / "many.db", create=True) as record:
        fourteen_cores.sampled(record, 1)
        yield record


@contextmanager
def contested(folder: Path) -> Iterator[Record]:
    """Two benches that said of nearly everything something else."""
    with Record.open(said_apart.everything(folder)) as record:
        yield record


@contextmanager
def only_read(folder: Path) -> Iterator[Record]:
    """The demo, opened to be read."""
    copyfile(demo_file(), folder / "read.db")
    with Record.open(folder / "read.db", read_only=True) as record:
        yield record


@contextmanager
def damaged(folder: Path) -> Iterator[Record]:
    """The demo with leaves of its tables that cannot be read; it still opens, and the program begins."""
    whole = demo_file().read_bytes()
    size = int.from_bytes(whole[16:18], "big")
    leaves = [at for at in range(size, len(whole), size) if whole[at] == 10]  # how SQLite marks one
    for seed in count():
        content = bytearray(whole)
        for at in random.Random(seed).sample(leaves, 12):
            content[at : at + 64] = bytes(64)
        path = folder / f"damaged {seed}.db"
        path.write_bytes(content)
        with suppress(InspectError), Record.open(path) as record:
            memory.last_bench(record, START)
            break
    with Record.open(path) as record:
        yield record


SHAPES = [empty, many_cores, contested, only_read, damaged]


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.__name__)
def test_whatever_is_done_with_a_record_of_another_shape(
    shape: Callable[[Path], AbstractContextManager[Record]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    seed = shape.__name__
    for place in random.Random(seed).sample(list(PLACES), some(1, len(PLACES))):
        (tmp_path / place).mkdir()
        with shape(tmp_path / place) as record:
            played(record, place, f"{seed} {place}", some(1, OTHERS), may=(InspectError,) if shape is damaged else ())


@pytest.mark.parametrize("place", PLACES)
def test_two_enters_in_every_list_and_form_of_a_place(demo: Record, place: str) -> None:
    async def back(pilot: Pilot[int], app: InspectApp) -> None:
        while len(app.screen_stack) > 1:
            app.screen.dismiss()
            await pilot.pause()
        if app.place != place:
            app.go(place)
            await settled(pilot)

    async def go() -> None:
        app = InspectApp(demo, memory.last_bench(demo, START))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await back(pilot, app)
            bound = app.screen._bindings.key_to_bindings  # those of the library among them
            keys = {bindings[0].action: key for key, bindings in bound.items()}  # one for each thing that keys do
            keys.pop("app.quit", None)
            always = [action for action, key in keys.items() if key in ("f2", "f3", "f4", "f10")]  # lists everywhere
            others = sorted(keys.keys() - set(always))
            others = random.Random(place).sample(others, some(2, len(others)))
            keys = {action: keys[action] for action in (*always, *others)}
            opened = 0
            for key in keys.values():
                app.post_message(pressed(key))
                await settled(pilot)
                if len(app.screen_stack) > 1 or app.place != place:
                    burst(app, *(["down"] * (opened % 2)), "enter", "enter")
                    opened += 1
                    await settled(pilot)
                assert app.is_running and app.return_code is None, (place, key)
                await back(pilot, app)
            assert opened >= 2, (place, opened)
            for listed in app.screen.query(OptionList):
                listed.focus()
                burst(app, "enter", "enter")
                await settled(pilot)
                assert app.is_running and app.return_code is None, (place, listed)

    asyncio.run(go())
