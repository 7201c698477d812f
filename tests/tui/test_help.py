"""The list of keys names what a place binds, as it stands on the keyboard."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.help import WORDS, HelpScreen, key_name
from tests.conftest import SmallShop
from tests.tui.test_place import (
    Walls,
    run,
    walls,  # noqa: F401  a fixture
)


def test_f1_lists_the_keys_and_words_of_the_place(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        text = str(app.screen.query_one(Static).render())
        for line in ("Walls: keys", "n            A new wall", "F2           All commands", "a wall is what is left"):
            assert line in text
        assert "Fail" not in text

    run(shop, script)


@pytest.mark.parametrize(
    ("key", "shown"),
    [("f7", "F7"), ("ctrl+r", "Ctrl+R"), ("pagedown", "PgDn"), ("question_mark", "?"), ("n", "n"), ("up", "↑")],
)
def test_a_key_is_written_as_it_stands_on_the_keyboard(key: str, shown: str) -> None:
    assert key_name(key) == shown


def test_the_words_that_are_easily_mixed_up_are_told_apart() -> None:
    for word in ("contraction", "print", "seat", "metal on", "cut / add"):
        assert word in WORDS
