"""Tests of: the grid of a sampling."""

from __future__ import annotations

import asyncio

import pytest

from inspect_tui.shop.common.standing import Standing
from inspect_tui.tui.first_article.grid import CastingGrid
from inspect_tui.tui.forms import Form
from tests.conftest import SmallShop
from tests.tui.first_article.test_screen import grid_lines, many, run, small, text, typed, value


def test_a_casting_is_filled_from_top_to_bottom_and_the_next_one_follows(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        assert text(app, "#prompt").strip().startswith("F1 C1")
        await typed(pilot, "59.02", "40.1", "210.2", "243.1", "8.1")
        assert text(app, "#prompt").strip().startswith("F1 C2")
        assert text(app, "#say").startswith("logged  F5 8.10 on C1: ✓ conforms")
        lines = grid_lines(screen)
        assert "✓ in -1" in lines[1]  # one casting of the feature is still to do
        assert "59.02 ✓" in lines[1]

    small(shop, script)
    assert value(shop.record, "C1", "F3") == pytest.approx(210.2)


def test_a_cell_that_cannot_be_measured_gets_its_reason_and_loses_it_again(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("f8")
        await pilot.pause()
        assert isinstance(app.screen, Form)
        await pilot.press(*"beyond reach", "enter", "enter")
        await pilot.pause()
        assert "not measurable: beyond reach" in text(app, "#about")
        assert "–" in grid_lines(screen)[1]
        await pilot.press("f8")
        await pilot.pause()
        assert "Back on the list" in text(app, "#say")

    small(shop, script)


def test_serials_with_markup_are_shown_as_they_are(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        assert "[b]C1[/b]" in grid_lines(screen)[0]
        await typed(pilot, "59.02")
        assert "on [b]C1[/b]" in text(app, "#say")

    small(shop, script, serials=("[b]C1[/b]",))


def test_only_what_is_seen_is_judged_and_the_words_follow(shop: SmallShop) -> None:
    many(shop, 300)

    async def script(pilot, app, screen) -> None:
        grid = screen.query_one(CastingGrid)
        assert sum(map(len, grid.sampling._cells.values())) < 1400  # not all 1,500 at once
        await pilot.press("ctrl+pagedown")
        await pilot.pause()
        assert grid.column == grid.columns_seen
        for _ in range(300):
            if len(grid.words) == len(grid.rows):
                break
            await asyncio.sleep(0.02)
        assert grid.words[0] == (Standing.CONFORMS, 0)
        assert "◀ castings" in grid_lines(screen)[0]

    run(shop.record, script, shop.bench())
