"""First article: the search beside the screen: what waits for its answer, and answers that came too late."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Event

import pytest

from inspect_tui.record import Record
from inspect_tui.shop import memory
from inspect_tui.tui import first_article_search
from inspect_tui.tui.choosers import Chooser
from tests.tui.test_first_article_screen import found, run, sheet, text, typed


@pytest.fixture
def go(monkeypatch: pytest.MonkeyPatch) -> Iterator[Event]:
    """The search gives no answer before this is set."""
    may = Event()
    search = first_article_search.answer

    def slowly(*what):
        may.wait(60.0)
        return search(*what)

    monkeypatch.setattr(first_article_search, "answer", slowly)
    yield may
    may.set()


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
        before = screen._state
        screen.out_of_date()  # a reading was logged while the search was at work
        late = []
        arrived = screen._arrived
        screen._arrived = lambda answer, state: (late.append(state), arrived(answer, state))
        go.set()
        await found(pilot, screen)
        assert late == [before, before + 1]
        assert screen.found is not None
        assert "Casting S3-4 only" in sheet(screen)

    run(opened, script, memory.last_bench(opened))


def test_a_reading_puts_what_was_found_out_of_date(opened: Record) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("f6")
        await found(pilot, screen)
        for _ in range(4):
            await pilot.press("f6")
        await pilot.pause()
        assert screen.page == "readings"
        await pilot.press("f3")
        await pilot.pause()
        await pilot.press(*"B1", "enter")
        await pilot.press("f4")
        await pilot.pause()
        await pilot.press(*"caliper 1", "enter")
        await pilot.pause()
        await typed(pilot, "624.1")
        await pilot.press("enter")
        await pilot.pause()
        assert screen.found is None

    run(opened, script, memory.last_bench(opened))
