"""Narrowing a list: what begins with the typed words comes before what only holds them."""

from __future__ import annotations

import asyncio
from typing import Any

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.choosers import NEW, Chooser
from tests.conftest import SmallShop


def offered(shop: SmallShop, typed: str, rows: list[tuple[Any, str]] | None = None) -> list[Any]:
    """What the list of places (or of these rows) holds when so much is typed, the marked one first."""
    seen: list[Any] = []

    async def go() -> None:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            if rows is None:
                app.action_places()
            else:
                app.push_screen(Chooser("Which?", rows))
            await pilot.pause()
            assert isinstance(app.screen, Chooser)
            app.screen._fill(typed)
            seen.extend(app.screen.shown)

    asyncio.run(go())
    return seen


def test_the_place_of_that_name_comes_before_one_that_mentions_it(shop: SmallShop) -> None:
    found = offered(shop, "feature")
    assert found[0] == "feature" and "jobs" in found  # Jobs tells of features


def test_without_words_the_order_is_as_given(shop: SmallShop) -> None:
    assert offered(shop, "")[:2] == ["bench", "jobs"]


def test_several_words_are_matched_word_by_word_and_adding_one_stays_last(shop: SmallShop) -> None:
    rows: list[tuple[Any, str]] = [(1, "old caliper 2"), (2, "block"), (3, "Caliper 21 in"), (NEW, "+ a new one")]
    assert offered(shop, "cal 2", rows) == [3, 1, NEW]
