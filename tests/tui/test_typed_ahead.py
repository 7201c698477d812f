"""Keys as fast as a terminal hands them over: none is lost, none overtakes another, a second Enter closes nothing."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.question import Chooser
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


def run(shop: SmallShop, script: Script) -> InspectApp:
    async def go() -> InspectApp:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await script(pilot, app)
        return app

    return asyncio.run(go())


def values(shop: SmallShop) -> list[tuple[str, float]]:
    rows = shop.record.readings(tool_of_id=shop.bench().subject.key, newest_first=False)
    return [(shop.record.feature(row.reading.feature_id).balloon, row.reading.value) for row in rows]


@pytest.mark.parametrize(
    "lists", [["f2"], ["f3"], ["f4"], ["f10"], ["ctrl+g"], ["ctrl+o"], ["f10", "kit", "enter", "j"]]
)
def test_two_enters_in_a_list_end_nothing_and_what_was_typed_stays(shop: SmallShop, lists: list[str]) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        bench = app.screen
        burst(app, "61.25")
        for word in lists:
            burst(app, word)
        burst(app, "enter", "enter")
        await settled(pilot)
        assert app.is_running and app.return_code is None
        waiting = [line.text for line in app.bench.waiting] if app.bench is not None else []
        assert [*waiting, *filter(None, [bench.query_one(Entry).value])] == ["61.25"]  # left alone, it waits apart

    run(shop, script)
    assert values(shop) == []


def test_an_enter_that_bounced_off_a_list_does_not_log_what_stands_in_the_field(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "212.11", "f3", "enter", "enter")
        await settled(pilot)
        assert app.screen.query_one(Entry).value == "212.11"
        await pilot.press("enter")
        await settled(pilot)

    run(shop, script)
    assert values(shop) == [("F3", 212.11)]


def test_a_list_is_opened_narrowed_and_left_in_one_go(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "f10", "gauges", "enter")
        await settled(pilot)
        assert app.place == "gauges"
        burst(app, "f10", "bench", "enter", "212.11", "enter", "59.61", "enter")
        await settled(pilot)
        assert app.place == "bench"

    run(shop, script)
    assert values(shop) == [("F3", 212.11), ("F1", 59.61)]


def test_a_key_that_moves_waits_for_the_line_before_it(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "212.11", "enter", "down", "40.41", "enter")
        await settled(pilot)

    run(shop, script)
    assert values(shop) == [("F3", 212.11), ("F2", 40.41)]


def test_a_letter_taken_back_in_a_burst_is_the_one_before_it(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "212.9", "backspace", "11", "enter")
        await settled(pilot)

    run(shop, script)
    assert values(shop) == [("F3", 212.11)]


def test_a_command_is_found_and_run_in_one_go(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "f2", "bell on", "enter")
        await settled(pilot)
        assert not app.bell_on and app.place == "bench"
        burst(app, "f2", "go to trends", "enter", "enter")
        await settled(pilot)
        assert app.place == "trends"

    run(shop, script)


def test_the_colours_are_chosen_from_a_list(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "f2", "colours", "enter")
        await settled(pilot)
        assert isinstance(app.screen, Chooser)
        burst(app, "ansi-light", "enter")
        await settled(pilot)
        assert app.theme == "ansi-light"

    run(shop, script)


def test_a_screen_below_or_closed_is_left_alone(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        answers: list[object] = []
        below, above = Chooser("Below?", [(1, "one")]), Chooser("Above?", [(2, "two")])
        app.push_screen(below, answers.append)
        app.push_screen(above, answers.append)
        await pilot.pause()
        below.dismiss(1)
        await pilot.pause()
        assert app.screen is above and answers == []
        above.dismiss(2)
        above.dismiss(3)
        await pilot.pause()
        assert app.screen is below and answers == [2]

    run(shop, script)


def test_a_widget_that_is_never_done_does_not_stop_the_keyboard(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from inspect_tui.tui import typed_ahead

    monkeypatch.setattr(typed_ahead, "LONGEST_S", 0.05)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        monkeypatch.setattr(app, "_quiet", lambda: False)
        burst(app, "f3", "x")
        await settled(pilot)
        assert isinstance(app.screen, Chooser)
        assert app.screen.query_one(Input).value in ("x", "")
        assert not app.typed_ahead

    run(shop, script)


def test_a_key_that_still_waits_when_the_last_screen_has_gone_ends_nothing(shop: SmallShop) -> None:
    """As on leaving, while keys are typed: what was dealt with before them is over, and nothing is there to have them."""

    async def script() -> None:
        app = InspectApp(shop.record, shop.bench())
        assert app.screen_stack == []
        app._ahead.append((events.Key("1", "1"), True))
        await app._settled(True)
        assert app.typed_ahead == 1

    asyncio.run(script())
