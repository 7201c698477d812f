"""Anything typed anywhere: random keys in bursts, double Enters in every list; the program stands, nothing typed is lost.

The keys come from a seeded generator, so that what fails once fails again: few at every run, many with
`--hypothesis-profile=long`.
"""

from __future__ import annotations

import asyncio
import random
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList

from inspect_tui.commands.demo import START, demo_file
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.tui.app import PLACES, InspectApp
from inspect_tui.tui.place import Place
from tests.amounts import some
from tests.tui.hands import burst, settled
from tests.tui.hands import key as pressed

NAMED = ["enter", "escape", "tab", "up", "down", "left", "right", "pageup", "pagedown", "home", "end", "backspace"]
FUNCTION = [f"f{n}" for n in range(1, 13)]
CONTROL = [f"ctrl+{c}" for c in "abdfglnorstuvz"]  # Ctrl+Q ends it, Ctrl+C is the terminal's
SHORT, LONG = 2, 60  # bursts in each place
TYPED = list("abcdefghijklmnopqrstuvwxyz0123456789.,/ ?=+-[]{}%éß\\'\"")


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Record]:
    monkeypatch.setenv("HOME", str(tmp_path))  # papers are written there
    monkeypatch.chdir(tmp_path)
    shutil.copyfile(demo_file(), tmp_path / "demo.db")
    with Record.open(tmp_path / "demo.db") as record:
        yield record


def words(dice: random.Random, many: int) -> list[str]:
    """Some keys as a cat on the keyboard gives them: letters mostly, Enters often twice."""
    found: list[str] = []
    while len(found) < many:
        pool = dice.choices((TYPED, NAMED, FUNCTION, CONTROL), (5, 6, 3, 2))[0]
        word = dice.choice(pool)
        found += [word, word] if word == "enter" and dice.random() < 0.5 else [word]
    return found


@pytest.mark.parametrize("place", PLACES)
def test_any_keys_in_any_place_leave_the_program_standing(demo: Record, place: str) -> None:
    dice = random.Random(f"{place} 1")
    typed: list[list[str]] = []

    async def go() -> None:
        app = InspectApp(demo, memory.last_bench(demo, START))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            for _ in range(some(SHORT, LONG)):
                while len(app.screen_stack) > 1:
                    app.screen.dismiss()
                    await pilot.pause()
                app.go(place)
                await settled(pilot)
                typed.append(words(dice, dice.randint(3, 12)))
                burst(app, *typed[-1])
                await settled(pilot)
                assert app.is_running and app.return_code is None, typed
                for screen in app.screen_stack:
                    assert not isinstance(screen, Place) or screen.trouble is None, (typed[-1], screen.trouble)

    asyncio.run(go())
    assert not demo.damage()


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
