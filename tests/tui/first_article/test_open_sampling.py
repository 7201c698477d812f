"""First article: the search beside the screen: what waits for its answer, and answers that came too late."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Event

import pytest

from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.common import find
from inspect_tui.tui.first_article import pages
from inspect_tui.tui.question import Chooser
from tests.conftest import SmallShop
from tests.tui.first_article.test_screen import found, run, small, text, typed


@pytest.fixture
def go(monkeypatch: pytest.MonkeyPatch) -> Iterator[Event]:
    """The search gives no answer before this is set."""
    may = Event()
    search = pages.answer

    def slowly(*what):
        may.wait(60.0)
        return search(*what)

    monkeypatch.setattr(pages, "answer", slowly)
    yield may
    may.set()


def test_a_reading_puts_what_was_found_out_of_date(opened: Record) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+u")
        await found(pilot, screen)
        for _ in range(5):
            await pilot.press("ctrl+u")
        await pilot.pause()
        assert screen.page_name == "readings"
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


def test_somebody_and_a_gauge_that_came_meanwhile_can_be_measured_with(shop: SmallShop) -> None:
    """People, instruments and certificates that were added after the sampling was opened."""

    async def script(pilot, app, screen) -> None:
        new = shop.record.add(Person(initials="ZZ"))
        gauge = shop.record.add(Instrument(label="new gauge", unit="mm", resolution=0.01, range_hi=300.0))
        shop.record.add(Calibration(instrument_of_id=gauge.of_id, done_on="2026-01-05", u95_mm=0.4, k=2.0))
        screen.filling.set_person(new)
        screen.filling.set_instrument(gauge)
        await typed(pilot, "59.02")
        assert "logged  F1" in text(app, "#say")
        cell = screen.sampling.cell(screen.sampling.feature("F1"), screen.sampling.casting("C1"))
        assert (cell.by, cell.instrument) == ("ZZ", "new gauge")
        assert cell.u > 0.2

    small(shop, script)


def test_what_was_written_elsewhere_shows_when_one_comes_back(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await typed(pilot, "59.02")
        before = screen.sampling.cell(screen.sampling.feature("F1"), screen.sampling.casting("C1"))
        assert before.answer == "conforms"
        app.go("jobs")
        await pilot.pause()
        job = find.job(shop.record, "SV-12")
        shop.record.revise(job, rule="plain")
        app.go("first")
        await pilot.pause()
        assert screen.sampling.job.rule == "plain"

    small(shop, script)


def test_closing_a_question_reads_nothing_again_and_keeps_what_was_found(opened: Record) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+u")
        await found(pilot, screen)
        before = screen.found
        await pilot.press("ctrl+r")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press("escape")
        await pilot.pause()
        assert screen.found is before

    run(opened, script, memory.last_bench(opened))


def test_another_unit_keeps_the_cell_and_what_was_said_of_this_stay(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("down")
        screen.filling.set_temperature(45.0, 20.0)
        screen.filling.table_zero = 20.2
        at = screen.grid.row
        await pilot.press("ctrl+k")
        await pilot.pause()
        assert app.written.unit == "in" and screen.filling.typed_in == "in" and screen.sampling.style == app.written
        assert (screen.grid.row, screen.filling.work_c, screen.filling.table_zero) == (at, 45.0, 20.2)
        assert " in ▏" in text(app, "#prompt")

    small(shop, script)
