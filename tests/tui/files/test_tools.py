"""A file of readings of tools on the screen: names and days asked, seen, written with its counts, or left."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.tui.files.forms import BOUNCE_S, FileForm, Look
from inspect_tui.tui.question import Chooser
from inspect_tui.tui.trends.screen import TrendsScreen
from tests.tui.first_article.test_load import at_rest
from tests.tui.trends.test_screen import (
    fill,
    press,
    run,
    template,  # noqa: F401  a fixture
    text_of,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox

SHEET = "box;date;count;W;H;who\nbocks 3;5/3/2020;120;80,95;60,71;AB\nbocks 3;6/3/2020;140;80,96;60,7;AB\n"


def shown(pilot: Pilot[int], widget: str) -> str:
    return str(pilot.app.screen.query_one(widget, Static).render())


async def file_form(pilot: Pilot[int], which: str, values: dict[str, str]) -> None:
    """Open the form of a file at the Trends place, fill it in, and wait until the file was read."""
    await press(pilot, "i")
    assert isinstance(pilot.app.screen, Chooser)
    await pilot.press(*which)
    await press(pilot, "enter")
    assert isinstance(pilot.app.screen, FileForm)
    await fill(pilot, values)
    await pilot.press("ctrl+s")
    await at_rest(pilot)


async def take(pilot: Pilot[int], words: str) -> None:
    """One of a list, by words."""
    assert isinstance(pilot.app.screen, Chooser)
    await pilot.press(*words)
    await pilot.press("enter")
    await at_rest(pilot)


async def enter(pilot: Pilot[int]) -> None:
    assert isinstance(pilot.app.screen, Look)
    pilot.app.screen.since -= BOUNCE_S
    await pilot.press("enter")
    await at_rest(pilot)


def test_a_sheet_of_years_is_asked_about_seen_and_written(worn: WornBox, tmp_path: Path) -> None:
    (tmp_path / "years.csv").write_text(SHEET)
    before = len(worn.record.readings())

    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await file_form(pilot, "readings", {"file": str(tmp_path / "years.csv"), "with": worn.caliper.label})
        await take(pilot, worn.box.label)  # what is bocks 3 here?
        await take(pilot, "d/m")  # 5/3/2020 may be two days
        assert isinstance(pilot.app.screen, Look), getattr(pilot.app.screen, "question", "")
        assert "4 readings on 1 tool, 2020-03-05 to 2020-03-06, 2 counts" in shown(pilot, "#body")
        assert len(worn.record.readings()) == before
        await enter(pilot)
        assert "years.csv: 4 readings on 1 tool" in text_of(screen, "#say")

    run(worn, script)
    days = {logged.setup.on_date for logged in worn.record.readings()[-4:]}
    assert days == {"2020-03-05", "2020-03-06"} and len(worn.record.readings()) == before + 4


def test_a_column_is_said_otherwise_and_what_is_left_writes_nothing(worn: WornBox, tmp_path: Path) -> None:
    (tmp_path / "one.csv").write_text("day;W;H\n2020-03-05;80.95;60.70\n")
    values = {"file": str(tmp_path / "one.csv"), "with": worn.caliper.label, "by": "AB", "tool": worn.box.label}
    before = len(worn.record.readings())

    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await file_form(pilot, "readings", values)
        assert "2 readings on 1 tool" in shown(pilot, "#body")
        await pilot.press("c", "down", "down", "enter")
        await pilot.pause()
        await take(pilot, "nothing")
        await pilot.press("ctrl+s")
        await at_rest(pilot)
        assert "1 reading on 1 tool" in shown(pilot, "#body")
        await press(pilot, "escape")
        assert "Nothing was taken in from one.csv" in text_of(screen, "#say")

    run(worn, script)
    assert len(worn.record.readings()) == before
