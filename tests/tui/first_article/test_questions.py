"""What the First article place asks: temperature, sampling, what to put right, papers."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input, Static

from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.tui.forms import Form
from inspect_tui.tui.question import Chooser
from tests.conftest import SmallShop
from tests.tui.first_article.test_screen import (
    found,
    run,
    sheet,
    small,
    text,
    typed,
    value,
)


def test_temperature_is_taken_along(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+t")
        await pilot.pause()
        await pilot.press(*"warm", "enter", "enter")
        await pilot.pause()
        assert isinstance(app.screen, Form)  # refused: it stays open
        app.screen.query_one("#field-c").value = "45"
        app.screen.query_one("#field-g").value = "21.5"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "45 °C, gauge 21.5" in text(app, "#head")
        await typed(pilot, "59.02")

    small(shop, script)
    setup = shop.record.setups(shop.record.sessions()[0].id)[-1]
    assert (setup.work_c, setup.instrument_c) == (45.0, 21.5)


def test_a_question_is_put_right_from_the_list(opened: Record) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+u")
        await found(pilot, screen)
        await pilot.press("ctrl+r")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press(*"inches", "enter")
        await pilot.pause()
        assert "count as inches now" in text(app, "#say")
        await found(pilot, screen)
        assert "inches" not in sheet(screen)

    run(opened, script, memory.last_bench(opened))
    job = find.job(opened, None)
    sampling = Sampling(opened, job, pick_round(opened, job, "S3"))
    assert sampling.cell(sampling.feature("F01"), sampling.casting("S3-5")).value == pytest.approx(624.4, abs=1.0)


def test_a_path_that_cannot_be_written_is_said_and_no_report_is_fixed(opened: Record) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("f12")
        await pilot.pause()
        app.screen.query_one("#field-to").value = "/nowhere/at/all.json"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "There is no folder /nowhere/at" in str(app.screen.query_one("#wrong", Static).render())
        assert app.screen.query_one("#field-to", Input).value == "/nowhere/at/all.json"  # nothing typed is lost

    run(opened, script, memory.last_bench(opened))
    assert opened.report_snapshots() == []


def test_what_to_read_next_is_written_as_a_sheet_and_fixes_nothing(shop: SmallShop, tmp_path: Path) -> None:
    path = tmp_path / "next.csv"

    async def script(pilot, app, screen) -> None:
        await typed(pilot, "59.02")
        await pilot.press("ctrl+u")
        await found(pilot, screen)
        assert "to tell causes apart, read next\n" in sheet(screen)
        await pilot.press("f12")
        await pilot.pause()
        app.screen.query_one("#field-to").value = str(path)
        app.screen.query_one("#field-edition").value = "sheet"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "next.csv" in text(app, "#say")

    small(shop, script)
    assert path.read_text().startswith("serial,feature,value") and "C1,F" in path.read_text()
    assert shop.record.report_snapshots() == []


def test_heights_over_the_table_count_from_the_datum(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("shift+f5")
        await pilot.pause()
        await pilot.press(*"20.20", "enter")
        await pilot.pause()
        assert "zero 20.2" in text(app, "#head")
        await pilot.press("down")  # F2 runs along z
        await typed(pilot, "60.25")

    small(shop, script)
    assert value(shop.record, "C1", "F2") == pytest.approx(40.05)
