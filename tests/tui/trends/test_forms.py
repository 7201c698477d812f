"""What the Trends place asks for: counts, repairs, out of use, limits, files."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from inspect_tui.tui.trends.screen import TrendsScreen
from tests.tui.trends.test_screen import (
    fill,
    flat,
    press,
    run,
    settle,
    template,  # noqa: F401  a fixture
    text_of,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox


def test_only_one_persons_readings_and_all_again(worn: WornBox) -> None:
    worn.read(81.9, by=worn.cd)

    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "enter", "w")
        await pilot.press(*"person CD")
        await press(pilot, "enter")
        assert screen.trend is not None and screen.trend.main.value.tolist() == [81.9]
        assert "only by CD" in text_of(screen, "#head")
        await press(pilot, "w")
        assert screen.trend is not None and len(screen.trend.main) == 31

    run(worn, script)


def test_a_repair_starts_the_line_again_and_the_list_follows(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        before = screen.lines[0].kept.sentence
        await press(pilot, "r")
        await fill(pilot, {"what": "lined both faces", "done_on": "2024-07-25", "at_count": "5800", "who": "JM"})
        await press(pilot, "ctrl+s")
        assert "its wear line starts again" in text_of(screen, "#say")
        await settle(pilot)
        assert "have no forecast" in flat(screen) and before not in flat(screen)
        await press(pilot, "a", "a", "home")
        assert "nothing was measured since the last repair" in screen.lines[0].kept.sentence

    run(worn, script)
    repair = worn.record.tool_repairs(worn.box.of_id)[0]
    assert (repair.what, repair.at_count, repair.who, repair.action) == ("lined both faces", 5800, "JM", "line")


@pytest.mark.parametrize(
    ("key", "values", "sentence"),
    [
        ("n", {"count": "a lot"}, "whole number"),
        ("r", {"what": ""}, "what was done"),
        ("r", {"what": "x", "done_on": "2030-01-01"}, "still to come"),
        ("u", {"state": "sold"}, "the state is one of in_use, retired, revived"),
        ("l", {"upper": "wide"}, "upper:"),
    ],
)
def test_what_is_wrong_is_said_in_the_form_and_nothing_typed_is_lost(
    worn: WornBox, key: str, values: dict[str, str], sentence: str
) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, key)
        await fill(pilot, values)
        await press(pilot, "ctrl+s")
        form = pilot.app.screen
        assert sentence in str(form.query_one("#wrong", Static).render())
        for name, value in values.items():
            assert form.query_one(f"#field-{name}", Input).value == value
        await press(pilot, "escape")
        assert pilot.app.screen is screen

    run(worn, script)


def test_a_tool_out_of_use_stands_last_and_comes_back(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "u")
        await fill(pilot, {"since_on": "2024-08-01", "why": "order ended"})
        await press(pilot, "ctrl+s")
        assert "out of use since 2024-08-01" in flat(screen) and "1 tool out of use" in flat(screen)
        await press(pilot, "u")
        await fill(pilot, {"since_on": "2024-09-01"})
        await press(pilot, "ctrl+s")
        assert "out of use" not in text_of(screen)

    run(worn, script)


def test_an_agreed_limit_moves_the_forecast(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "l")
        await fill(pilot, {"upper": "81.00", "why": "agreed with the foundry"})
        await press(pilot, "ctrl+s")
        await press(pilot, "enter")
        assert "limit 81.00" in text_of(screen) and "agreed with the foundry" in text_of(screen)

    run(worn, script)
