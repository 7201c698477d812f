"""Cuts that were taken over, at the Bench: a line on the tool at hand, a key that says one is done."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

import pytest
from textual.pilot import Pilot

from inspect_tui.model.first_article import CutAccepted, CutPromise
from inspect_tui.shop.common import find
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench.screen import BenchScreen
from inspect_tui.tui.forms import Form
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.question import Chooser
from tests.conftest import SmallShop

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


def taken_over(shop: SmallShop, words: str, tool: str = "box 1", balloon: str = "F1") -> None:
    """A cut of that tool with a promise for one size."""
    job = find.job(shop.record, None)
    on = find.subject(shop.record, job, tool).tool
    assert on is not None
    cut = CutAccepted(
        id=shop.record.new_id(),
        job_of_id=job.of_id,
        tool_id=on.id,
        tool=tool,
        cause=f"size {balloon}",
        axis="y",
        change_mm=0.5,
        low_mm=0.4,
        high_mm=0.6,
        words=words,
    )
    feature = next(f for f in shop.record.features(find.latest_revision(shop.record, job).id) if f.balloon == balloon)
    shop.record.add_all(
        [cut, CutPromise(cut_id=cut.id, feature_id=feature.id, before_mm=58.5, promised_mm=59.0, u_mm=0.1)]
    )


def run(shop: SmallShop, script: Script, on: str = "box 1", size: tuple[int, int] = (80, 24)) -> None:
    async def go() -> None:
        app = InspectApp(shop.record, shop.bench(on))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await pilot.pause()
            await script(pilot, app)

    asyncio.run(go())


def work_line(app: InspectApp) -> str:
    panel = app.screen.query_one("#work", Panel)
    return panel.plain if panel.display else ""


def test_the_tool_at_hand_says_what_is_to_be_cut_and_others_do_not(shop: SmallShop) -> None:
    taken_over(shop, "F1: cut 0.50 (0.40 to 0.60), half at each end")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert "to do: F1: cut 0.50" in work_line(app)
        assert "Ctrl+N" in work_line(app)
        assert len(work_line(app)) == 80
        app.open_subject(find.subject(shop.record, find.job(shop.record, None), "stick 1"))
        await pilot.pause()
        await pilot.pause()
        assert work_line(app) == ""

    run(shop, script)


def test_the_line_goes_when_the_size_was_measured(shop: SmallShop) -> None:
    taken_over(shop, "F1: cut 0.50")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert work_line(app)
        app.bench.goto("F1")
        await pilot.press(*"59.6", "enter")
        for _ in range(20):
            await pilot.pause()
            if not work_line(app):
                break
        assert work_line(app) == ""
        assert "logged  F1" in app.screen.query_one("#say", Panel).plain

    run(shop, script)


def test_done_is_said_with_a_key_and_stays_in_the_record_as_a_repair(shop: SmallShop) -> None:
    taken_over(shop, "cut 0.50 where core 1 bears", balloon="F3")
    taken_over(shop, "[red]add 0.20[/red] on the +Y side", balloon="F2")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert "and 1 more" in work_line(app)
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, Form)
        assert app.screen.query_one("#field-what").value == "cut 0.50 where core 1 bears"
        assert app.screen.query_one("#field-amount").value == "0.50"
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
        assert "cut 0.50 where core 1 bears, done" in app.screen.query_one("#say", Panel).plain
        assert "[red]add 0.20[/red]" in work_line(app)  # shown as it was written, no markup

    run(shop, script)
    (repair,) = shop.record.tool_repairs()
    assert (repair.action, repair.amount_mm, repair.who) == ("cut", 0.5, "AB")


def test_escape_says_nothing_done(shop: SmallShop) -> None:
    taken_over(shop, "F1: cut 0.50")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+n")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert work_line(app)

    run(shop, script)
    assert shop.record.tool_repairs() == []


@pytest.mark.parametrize("on", ["box 1", "stick 1"])
def test_without_cuts_the_key_says_so(shop: SmallShop, on: str) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert work_line(app) == ""
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert f"No cut is waiting to be made on {on}." in app.screen.query_one("#say", Panel).plain

    run(shop, script, on)


def test_what_the_last_reading_advises_is_taken_over_and_said_to_be_done(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.bench
        app.bench.goto("F1")
        await pilot.press(*"59.10", "enter")
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert isinstance(app.screen, Chooser) and app.screen.rows[0][1].startswith("take over as work: cut 0.49")
        await pilot.press("enter")
        await pilot.pause()
        await pilot.pause()
        assert "cut 0.49" in work_line(app)
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        assert [row[1].split(":")[0] for row in app.screen.rows] == ["take over as work", "done"]
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, Form)

    run(shop, script)
