"""Trends by keyboard: the list is there at once, charts and pages follow; counts and repairs are entered; 80x24."""

from __future__ import annotations

import asyncio
import copy
import shutil
from collections.abc import Awaitable, Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.trends import text as trends_text
from inspect_tui.tui.trends.screen import TrendsScreen
from tests.tui.hands import begun_at
from tests.worlds.worn_box import START, WornBox

Script = Callable[[Pilot[int], TrendsScreen], Awaitable[None]]


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> WornBox:
    made = WornBox(tmp_path_factory.mktemp("worn") / "worn.db")
    made.wear(30)
    for n in range(6):
        made.lot(f"L{n}", (START + timedelta(weeks=4 * n)).isoformat())
        made.item(80.0, "W", "casting", f"L{n}")
    made.go(date.today() - timedelta(days=2))
    made.record.close()
    return made


@pytest.fixture
def worn(template: WornBox, tmp_path: Path) -> Iterator[WornBox]:
    made = copy.copy(template)
    made.lots = dict(template.lots)
    shutil.copy(template.record.path, tmp_path / "worn.db")
    made.record = Record.open(tmp_path / "worn.db", clock=made.clock)
    yield made
    made.record.close()


def run(worn: WornBox, script: Script, size: tuple[int, int] = (80, 24), record: Record | None = None) -> None:
    async def go() -> None:
        record_ = record or worn.record
        job = record_.jobs()[0]
        bench = Bench(record_, job, Subject("box 1", tool=worn.box), worn.ab, worn.caliper)
        app = begun_at("trends", InspectApp(record_, bench))
        async with app.run_test(size=size) as pilot:
            await settle(pilot)
            assert isinstance(app.screen, TrendsScreen)
            await script(pilot, app.screen)

    asyncio.run(go())


async def settle(pilot: Pilot[int]) -> None:
    """Until the threads have answered and the screen has drawn it."""
    for _ in range(3):
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def press(pilot: Pilot[int], *keys: str) -> None:
    await pilot.press(*keys)
    await settle(pilot)


def text_of(screen: TrendsScreen, widget: str = "#body") -> str:
    return str(screen.query_one(widget, Static).render())


def flat(screen: TrendsScreen) -> str:
    """The body with its line breaks undone."""
    return " ".join(text_of(screen).split())


async def fill(pilot: Pilot[int], values: dict[str, str]) -> None:
    for key, value in values.items():
        pilot.app.screen.query_one(f"#field-{key}", Input).value = value
    await pilot.pause()


# ------------------------------------------------------------------------------ list and chart
def test_the_list_is_shown_from_what_was_kept_before_anything_is_worked_out(worn: WornBox) -> None:
    trend_kept.refresh(worn.record, worn.record.path)

    async def go() -> None:
        app = begun_at("trends", InspectApp(worn.record, None))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            assert "box 1" in text_of(app.screen)  # type: ignore[arg-type]
            await settle(pilot)

    asyncio.run(go())


def test_the_list_says_tool_size_what_is_left_and_when(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        body = text_of(screen)
        assert "box 1" in body and "left" in body and "at worst" in body and "No measurement would change" in body
        assert screen.working == "" and worn.record.trend_mark() is not None
        assert all(len(line) <= 80 for line in body.splitlines())

    run(worn, script)


def test_enter_opens_the_chart_and_the_cursor_reads_values_out(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "enter")
        body = text_of(screen)
        assert "W width on box 1" in body and "limit 81.41" in body and "o castings" in body
        assert "cores made" in body and "cores left" in body
        assert len(body.splitlines()) <= 19 and all(len(line) <= 80 for line in body.splitlines())
        await press(pilot, "left")
        said = text_of(screen, "#say")
        assert "at 5 800 cores" in said and "AB caliper 1" in said and "from the wear line" in said
        await press(pilot, "home")
        assert "at 0 cores" in text_of(screen, "#say")
        await press(pilot, "right", "pagedown")
        assert screen.at == 4

    run(worn, script)


def test_over_dates_without_castings_and_what_it_says_in_full(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "enter", "x")
        assert "2024-01-01" in text_of(screen) and "date" in text_of(screen)
        assert "o castings" in text_of(screen)
        await press(pilot, "m")
        assert "o castings" not in text_of(screen)
        await press(pilot, "t")
        assert "Tooling or foundry" in text_of(screen) and "30 checks of box 1, 6 castings" in text_of(screen)
        await press(pilot, "escape")
        assert not screen.telling
        await press(pilot, "escape")
        assert screen.page == trends_text.LIST

    run(worn, script)


def test_a_wide_screen_says_more(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        assert "due" in text_of(screen) and "width" in text_of(screen)
        await press(pilot, "enter")
        assert "tooling or foundry" in text_of(screen) and "risk" in text_of(screen)

    run(worn, script, (160, 48))


def test_every_size_and_the_castings_are_a_key_away_and_narrowed_by_words(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "a")
        assert "every size with a forecast" in text_of(screen, "#say")
        await press(pilot, "a")
        assert any(line.kept.source == "casting" for line in screen.lines)
        await press(pilot, "slash")
        await fill(pilot, {"words": "core 1 width"})
        await press(pilot, "ctrl+s")
        assert [line.kept.label for line in screen.lines] == ["box 1"]
        assert "narrowed to: core 1 width" in text_of(screen, "#head")
        await press(pilot, "slash")
        await fill(pilot, {"words": "no such thing"})
        await press(pilot, "ctrl+s")
        assert "nothing here" in text_of(screen)

    run(worn, script)


def test_two_sizes_are_compared_on_one_axis(worn: WornBox) -> None:
    worn.wear(10, name="H", start=60.75, first_week=30)

    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "enter", "c")
        await pilot.press(*"width")
        await press(pilot, "enter")
        body = text_of(screen)
        assert "H height (box 1)" in body and "o W width (box 1)" in body and "difference from the target" in body
        await press(pilot, "escape")
        assert screen.second is None and "H height on box 1" in text_of(screen)

    run(worn, script)


def test_what_changed_and_work_orders_have_their_pages(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "3")
        assert "nothing changed in 1 sizes beyond chance" in text_of(screen)
        await press(pilot, "4")
        assert "no tool has to come to the bench yet" in text_of(screen)
        await press(pilot, "5")
        assert "5 800 cores made by 2024-07-22" in text_of(screen) and "none entered" in text_of(screen)
        await press(pilot, "6")
        assert "2024-09-02 box 1: enter a count" in text_of(screen) and "6 due" in text_of(screen, "#tabs")
        await press(pilot, "tab")
        assert screen.page == trends_text.LIST

    run(worn, script)


# ------------------------------------------------------------------------------ entering


def test_castings_are_not_counted_or_repaired(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "a", "a", "end", "r")
        assert pilot.app.screen is screen
        assert "Choose a tool first" in text_of(screen, "#say")

    run(worn, script)


def test_a_record_that_may_only_be_read_shows_everything_and_takes_nothing(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        assert "READ ONLY" in text_of(screen, "#head") and "box 1" in text_of(screen)
        await press(pilot, "n")
        assert pilot.app.screen is screen and "opened to read only" in text_of(screen, "#say")
        await press(pilot, "3")
        assert "nothing changed" in text_of(screen)

    with Record.open(worn.record.path, read_only=True) as record:
        run(worn, script, record=record)
    assert worn.record.trend_mark() is None


def test_an_empty_record_says_what_to_do(tmp_path: Path) -> None:
    async def go() -> None:
        with Record.open(tmp_path / "empty.db", create=True) as record:
            app = begun_at("trends", InspectApp(record, None))
            async with app.run_test(size=(80, 24)) as pilot:
                await settle(pilot)
                screen = app.screen
                assert isinstance(screen, TrendsScreen)
                assert "no wear line yet" in text_of(screen)
                await press(pilot, "enter", "2")
                assert "Choose a size" in text_of(screen)
                await press(pilot, "o", "r", "n", "c", "t", "w", "g", "left", "3", "4", "5")
                assert pilot.app.screen is screen

    asyncio.run(go())


def test_help_and_the_palette_name_every_key(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        names = {command.title for command in screen.commands()}
        assert {"Enter a count", "Enter a repair", "Compare with another size"} <= names
        await press(pilot, "f1")
        assert type(pilot.app.screen).__name__ == "HelpScreen"

    run(worn, script)


def test_the_feature_place_opens_on_the_same_size(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "enter", "g")
        app = pilot.app
        assert isinstance(app, InspectApp) and app.place == "feature"
        assert "W width" in str(app.screen.query_one("#head", Static).render())

    run(worn, script)


def test_user_text_is_shown_as_it_is_and_never_as_markup(worn: WornBox) -> None:
    worn.repair("2024-07-01", at=5200)
    repair = worn.record.tool_repairs(worn.box.of_id)[0]
    worn.record.revise(repair, worn.ab.id, what="[red]lined[/red] [b")

    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "5")
        assert "[red]lined[/red] [b" in text_of(screen)

    run(worn, script)
