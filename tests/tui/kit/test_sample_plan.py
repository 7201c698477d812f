"""The measuring plan on the Kit place: a face is named, sizes are put on the list, the Bench opens where to read."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.measuring.faces import name_faces
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench.screen import BenchScreen
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.hands import begun_at
from tests.tui.kit.test_screen import filled, rows_of, text_of, until
from tests.worlds.sample_faces import FACES, begun

Script = Callable[[Pilot[int], InspectApp, KitScreen], Awaitable[None]]


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with Record.open(tmp_path / "s.db", create=True) as opened:
        name_faces(opened, begun(opened), FACES[:4])
        yield opened


def run(record: Record, script: Script) -> None:
    async def go() -> None:
        app = begun_at("kit", InspectApp(record, None))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            screen = app.screen
            assert isinstance(screen, KitScreen)
            await until(pilot, lambda: screen.loaded is not None)
            await pilot.press("r")
            await until(pilot, lambda: screen.loaded.plan is not None or bool(screen.loaded.no_plan))
            await script(pilot, app, screen)

    asyncio.run(go())


def test_a_face_is_named_and_the_sizes_are_put_on_the_list(record: Record) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        assert [row.split()[:3] for row in rows_of(screen)] == [["1", "·", "S2"], ["2", "·", "S3"], ["3", "+", "S3-S4"]]
        assert "1 of 4 faces is pinned" in text_of(screen, "#detail")
        await pilot.press("n")
        await pilot.pause()
        form = await filled(pilot, app, name="jacket far end", by="core 1", axis="x", cut_up="maybe")
        assert "cut up: 'maybe'" in str(form.query_one("#wrong", Static).render())
        form = await filled(pilot, app, cut_up="yes")  # on which side the metal lies is never taken for said
        assert "on which side of it does the metal lie" in str(form.query_one("#wrong", Static).render())
        before = screen.loaded
        await filled(pilot, app, metal="+")
        await until(pilot, lambda: screen.loaded is not before and screen.loaded.plan is not None)
        assert text_of(screen, "#say") == "S5 jacket far end is named"
        assert len(rows_of(screen)) == 5
        before = screen.loaded
        await pilot.press("e")
        await until(pilot, lambda: screen.loaded is not before and screen.loaded.plan is not None)
        assert text_of(screen, "#say") == "on the list: S3-S4, S4-S5"
        assert not any(row.split()[1] == "+" for row in rows_of(screen))
        await pilot.press("e")
        await pilot.pause()
        assert "on the list already" in text_of(screen, "#say")

    run(record, script)


def test_the_bench_opens_with_the_sample_at_the_chosen_size(record: Record) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("tab", "down")
        await pilot.pause()
        await pilot.press("m")
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
        assert app.bench is not None and app.bench.subject.label == "casting 17"
        assert app.bench.task is not None and app.bench.task.feature.balloon == "S3"

    run(record, script)


def test_of_several_castings_the_person_says_which(record: Record) -> None:
    jobs.add_casting(record, find.job(record, "SB-7"), "18")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("m")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        assert app.bench is not None and app.bench.subject.label == "casting 18"
        assert app.bench.task is not None and app.bench.task.feature.balloon == "S2"

    run(record, script)


def test_the_sheet_is_written_where_the_person_says(record: Record, tmp_path: Path) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("h")
        await pilot.pause()
        form = await filled(pilot, app, path="sheet.doc")
        assert ".html" in str(form.query_one("#wrong", Static).render())
        await filled(pilot, app, path=str(tmp_path / "sheet.html"))
        await until(pilot, lambda: text_of(screen, "#say").startswith("written"))
        assert "S3-S4" in (tmp_path / "sheet.html").read_text("utf-8")
        await pilot.press("k", "h")
        await pilot.pause()
        assert "on the page of the measuring plan (r)" in text_of(screen, "#say")

    run(record, script)
