"""What two benches said apart is seen at every place, with its words in F1 and the key that decides it."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

from rich.text import Text
from textual.pilot import Pilot
from textual.widgets import OptionList, Static

from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.together import exchange
from inspect_tui.shop.together.marks import marks
from inspect_tui.tui.app import PLACES, InspectApp
from inspect_tui.tui.help import HelpScreen
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.place import Place
from inspect_tui.tui.together.screen import TogetherScreen
from tests.tui.hands import begun_at, settled
from tests.worlds import said_apart

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


def run(record: Record, place: str, script: Script, size: tuple[int, int] = (80, 24)) -> None:
    async def go() -> None:
        job = find.job(record, "SV-12")
        gauge = next(gauge for gauge in record.instruments() if gauge.label == "caliper 1")
        bench = Bench(record, job, find.subject(record, job, "box 1"), record.people()[0], gauge, today="2026-03-10")
        app = InspectApp(record, bench)
        app.together.clashes = exchange.to_decide(record)
        app.together.marks = marks(record, app.together.clashes)
        async with begun_at(place, app).run_test(size=size) as pilot:
            await settled(pilot)
            await script(pilot, app)

    asyncio.run(go())


def plain(app: InspectApp, widget: str) -> str:
    shown = app.screen.query_one(widget)
    return shown.plain if isinstance(shown, Panel) else str(shown.render())  # type: ignore[attr-defined]


def rows(app: InspectApp, listed: str) -> list[str]:
    return [str(option.prompt) for option in app.screen.query_one(listed, OptionList).options]


def test_every_place_says_it_in_its_head_and_in_its_help_and_the_key_decides_it(apart: Record) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        for place in PLACES:
            app.go(place)
            await settled(pilot)
            here = app.screen
            assert isinstance(here, Place)
            head, nearest = plain(app, "#head"), here.apart()[0]
            assert head.partition("≠ ")[2].split()[0].rstrip(":") in ("EDITED", "CONTESTED"), (place, head)
            assert "Ctrl+P" in head, (place, head)
            await pilot.press("f1")
            assert isinstance(app.screen, HelpScreen)
            said = str(app.screen.query_one(Static).render())
            assert f"≠ {nearest.clash.words}" in said and "decide what they said apart (≠)" in said, place
            await pilot.press("escape", "ctrl+p")
            await settled(pilot)
            asked = app.screen
            assert isinstance(asked, TogetherScreen) and asked.shown, place
            assert asked.shown[asked.query_one("#open", OptionList).highlighted or 0] == nearest.clash, place
            await pilot.press("escape")
            await settled(pilot)

    run(apart, "jobs", script)


def test_rows_have_the_sign_where_it_is_of_them(apart: Record) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert " ≠" in rows(app, "#cores")[-1] and "≠" not in rows(app, "#cores")[0]
        await pilot.press("f")
        await settled(pilot)
        (fit,) = rows(app, "#rows")
        assert fit.endswith(" ≠") and "≠ EDITED TWICE" in plain(app, "#head")
        app.go("gauges")
        await settled(pilot)
        assert [row.endswith("≠") for row in rows(app, "#gauges")] == [True, True, True]
        app.go("jobs")
        await settled(pilot)
        assert rows(app, "#jobs")[0].startswith("SV-12 (≠ edited twice)")
        marked = [row.partition(" ≠")[0].strip() for row in rows(app, "#subjects") if "≠" in row]
        assert marked == ["box 1"]
        app.go("bench")
        await settled(pilot)
        listed = plain(app, "#list").splitlines()
        assert [line.split()[1] for line in listed if "≠" in line] == ["F1"]

    run(apart, "kit", script)


def test_the_grid_and_the_list_of_trends_have_it_too(apart: Record) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        from inspect_tui.tui.first_article.screen import FirstArticleScreen
        from inspect_tui.tui.trends.screen import TrendsScreen

        here = app.screen
        assert isinstance(here, FirstArticleScreen)
        here.open(find.job(apart, "SV-12"), "S1")
        await settled(pilot)
        lines = ["".join(segment.text for segment in here.grid.render_line(y)) for y in range(5)]
        assert lines[1].count("≠") == 2 and "≠" not in lines[0] + lines[2] + lines[3]  # F1 on both castings
        app.go("trends")
        await settled(pilot)
        await pilot.press("a", "a")
        await settled(pilot)
        trends = app.screen
        assert isinstance(trends, TrendsScreen)
        listed = Text(plain(app, "#body")).plain.splitlines()
        marked = [line for line in listed if "≠" in line]
        assert marked and all("box 1" in line or "castings" in line for line in marked), listed

    run(apart, "first", script)


def test_what_is_decided_is_gone_from_the_head(apart: Record) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        before = plain(app, "#head")
        assert "≠ CONTESTED" in before
        app.together.clashes = app.together.clashes[:0]
        app.together.marks = marks(apart, [])
        await pilot.press("f1", "escape")  # back from what stood over it
        await settled(pilot)
        assert "≠" not in plain(app, "#head")

    run(apart, "trends", script)
    assert said_apart.box(apart)
