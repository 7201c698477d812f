"""Tests of: the pages behind the grid."""

from __future__ import annotations

from threading import Event

from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.tui.choosers import Chooser
from tests.tui.first_article.test_open_sampling import go  # noqa: F401  a fixture
from tests.tui.first_article.test_screen import found, run, sheet, text


def test_what_was_asked_for_comes_when_the_search_has_its_answer(opened: Record, go: Event) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+r")
        await pilot.pause()
        assert "at work" in text(app, "#say")
        go.set()
        await found(pilot, screen)
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press("escape")
        await pilot.pause()
        assert "at work" not in text(app, "#say")

    run(opened, script, memory.last_bench(opened))


def test_who_has_turned_to_another_page_is_not_interrupted(opened: Record, go: Event) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+r")
        await pilot.press("f6")
        go.set()
        await found(pilot, screen)
        await pilot.pause()
        assert app.screen is screen

    run(opened, script, memory.last_bench(opened))


def test_an_answer_to_what_was_changed_meanwhile_does_not_count(opened: Record, go: Event) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("f6")
        screen.out_of_date()  # a reading was logged while the search was at work
        screen.search_if_needed()
        arrived, late = screen._arrived, []
        screen._arrived = lambda found: late.append(found) or arrived(found)
        go.set()
        await found(pilot, screen)
        assert screen.found is not None
        assert "Casting S3-4 only" in sheet(screen)

    run(opened, script, memory.last_bench(opened))
