"""The chart of the size at hand beside the list: where there is room, in the unit of whoever reads, never while blind."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench import course
from inspect_tui.tui.panel import Panel
from tests.conftest import SmallShop
from tests.tui.bench.test_screen import run, text_of, typed


def test_there_is_a_chart_where_lines_are_left_and_more_than_one_reading() -> None:
    assert [course.rows(free, 5) for free in (7, 8, 12, 40)] == [0, 8, 12, course.MOST]
    assert course.rows(20, 1) == 0 and course.rows(20, 2) > 0


async def pulled(pilot: Pilot[int], width: int, height: int) -> None:
    """The window has another size, and the place is drawn to it."""
    await pilot.resize_terminal(width, height)
    while pilot.app.screen._drawn_to[:1] != ((width, height),):  # type: ignore[attr-defined]
        await pilot.pause(0.01)


@pytest.mark.parametrize(("style", "target"), [(MM, "target 59.59"), (Style(unit="in"), "target 2.346")])
def test_the_chart_says_of_what_it_is_with_target_and_limits(shop: SmallShop, style: Style, target: str) -> None:
    bench = shop.bench()
    bench.goto("F1")
    assert bench.task
    drawn = course.picture(bench.task, [59.60, 59.62, 59.75], 90, 12, style).plain
    lines = drawn.split("\n")
    assert lines[0] == "F1: the last 3 readings, the newest on the right" and len(lines) == 12
    assert target in drawn and drawn.count("limit") == 2 and max(map(len, lines)) <= 90
    assert ("mm ↑" in drawn) == (style is MM)


def test_it_stands_under_the_last_line_and_goes_while_the_target_is_hidden_or_the_window_narrow(
    shop: SmallShop,
) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        panel = app.screen.query_one("#course", Panel)
        assert not panel.display
        for value in ("59.60", "59.62"):
            app.bench.goto("F1")  # type: ignore[union-attr]
            await typed(pilot, value)
        app.bench.goto("F1")  # type: ignore[union-attr]
        app.screen.show()  # type: ignore[attr-defined]
        app.screen._rested()  # type: ignore[attr-defined]
        await pilot.pause()
        assert panel.display and "F1: the last 2 readings" in text_of(app, "#course")
        assert text_of(app, "#below").startswith("╌")
        await pulled(pilot, 80, 24)
        assert not panel.display and text_of(app, "#below").startswith("╌")  # nor on a window pulled narrow
        await pulled(pilot, 160, 48)
        app.screen._rested()  # type: ignore[attr-defined]
        assert panel.display
        await pilot.press("f5")
        assert not panel.display
        app.screen._rested()  # type: ignore[attr-defined]
        assert not panel.display

    run(shop, script, size=(160, 48))
