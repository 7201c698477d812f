"""The Feature place: from the Bench to the chart, its pages and cursor, and taking an old reading out of count."""

from __future__ import annotations

import asyncio
import random
from collections.abc import Awaitable, Callable

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from inspect_tui.shop.bench.line import Bench
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.feature.screen import FeatureScreen
from tests.conftest import SmallShop
from tests.tui.hands import begun_at
from tests.worlds.measured import Measured

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]
DRAW = random.Random(3)
VALUES = [round(DRAW.gauss(59.6, 0.04), 2) for _ in range(30)]


def run(bench: Bench | None, shop: SmallShop, script: Script, size: tuple[int, int] = (80, 24)) -> None:
    async def go() -> None:
        app = InspectApp(shop.record, bench)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await script(pilot, app)

    asyncio.run(go())


def text_of(app: InspectApp, widget: str = "#body") -> str:
    return str(app.screen.query_one(widget, Static).render())


async def ready(pilot: Pilot[int], app: InspectApp, what: str = "findings") -> FeatureScreen:
    """Wait until the figures are there."""
    for _ in range(400):
        await pilot.pause(0.01)
        screen = app.screen
        if isinstance(screen, FeatureScreen) and (screen.figures.wrong or getattr(screen.figures, what) is not None):
            await pilot.pause()
            return screen
    raise AssertionError("no figures came")


async def choose(pilot: Pilot[int], key: str, words: str) -> None:
    """A key that asks, words that narrow the list, Enter."""
    await pilot.press(key)
    await pilot.pause()
    pilot.app.screen.query_one("#narrow", Input).value = words
    await pilot.pause()
    await pilot.press("enter")
    await pilot.pause()


@pytest.fixture
def measured(shop: SmallShop) -> Measured:
    """F1 on stick 1: thirty readings and one that stands out; then castings of two lots by two people."""
    m = Measured(shop)
    m.on_tool([*VALUES, 61.0])
    m.on_castings([59.0, 59.1, 59.2], lot=m.lot("L1"))
    m.on_castings([59.3, 59.4], person="IN", lot=m.lot("L2"))
    return m


def bench_on_f1(m: Measured) -> Bench:
    bench = m.shop.bench()
    bench.goto("F1")
    return bench


def test_ctrl_f_on_the_bench_shows_the_current_feature(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        screen = await ready(pilot, app)
        assert screen.pick is not None and screen.pick.title == "F1 passage width"
        assert "SV-12 · F1 passage width · stick 1" in text_of(app, "#head")
        body = text_of(app)
        assert "n 31" in body and "individuals" in body and "reading → · mm ↑" in body
        assert "point 31 (61): beyond the control limit" in body
        assert "kept in the record: n 31" in body and "the same" in body

    run(bench_on_f1(measured), measured.shop, script)


def test_the_cursor_reads_values_off_the_chart(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        screen = await ready(pilot, app)
        assert screen.figures.view is not None
        await pilot.press("left")
        assert text_of(app, "#say").startswith("reading 31: 61.00 mm  AB  caliper 1")
        assert "◆ beyond the control limit" in text_of(app, "#say") and "▲" in text_of(app)
        await pilot.press("left", "left")
        assert text_of(app, "#say").startswith("reading 29: ")
        await pilot.press("home")
        assert text_of(app, "#say").startswith(f"reading 1: {VALUES[0]:.2f} mm")
        await pilot.press("left")
        assert text_of(app, "#say").startswith("reading 1: ")
        await pilot.press("pagedown")
        assert text_of(app, "#say").startswith("reading 4: ")
        firsts = [s.index + 1 for s in screen.figures.view.chart.signals]
        for point in (*firsts, firsts[0]):  # from the last one round to the first
            await pilot.press("n")
            assert text_of(app, "#say").startswith(f"reading {point}: ")
        await pilot.press("p")
        assert text_of(app, "#say").startswith(f"reading {firsts[-1]}: ")

    run(bench_on_f1(measured), measured.shop, script)


def test_a_reading_is_taken_out_with_a_reason_and_stays_struck(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await pilot.press("v")
        assert "Mark a reading first" in text_of(app, "#say")
        await pilot.press("4", "v")
        await pilot.pause()
        await pilot.press(*"misread", "enter")
        await pilot.pause()
        await pilot.press("enter")  # nothing typed: it asks on
        pilot.app.screen.query_one("#field-text", Input).value = "jaws were dirty"
        await pilot.press("enter")
        await pilot.pause()
        assert text_of(app, "#say").startswith("taken out  61: struck, not counted (AB: jaws were dirty)")
        screen = await ready(pilot, app)
        rows = text_of(app)
        assert "31 readings, 1 not counted" in rows and "✕" in rows and "void: jaws were dirty" in rows
        styles = {str(span.style) for span in app.screen.query_one("#body", Static).render().spans}
        assert any("strike" in style for style in styles)
        await pilot.press("v")
        assert "out of count already" in text_of(app, "#say")
        await pilot.press("1")
        assert "n 30 (1 void)" in text_of(app) and screen.figures.view is not None
        assert screen.figures.view.chart.signals == () or "61" not in text_of(app)

    run(bench_on_f1(measured), measured.shop, script)
    logged = measured.record.readings(feature_id=measured.feature.id, newest_first=True, limit=6)
    out = [row for row in logged if row.out]
    assert len(out) == 1 and out[0].reading.value == 61.0 and out[0].superseded_by == "AB"
    assert out[0].supersede is not None and out[0].supersede.reason == "misread"


def test_the_bench_knows_of_what_was_taken_out(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.bench is not None and app.bench.task is not None and app.bench.task.last == 61.0
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await pilot.press("end", "v")
        await pilot.pause()
        await pilot.press(*"test", "enter")
        await pilot.pause()
        pilot.app.screen.query_one("#field-text", Input).value = "only a try"
        await pilot.press("enter")
        await pilot.pause()
        await ready(pilot, app)
        await pilot.press("escape")
        await pilot.pause()
        assert app.place == "bench"
        assert app.bench.task is not None and app.bench.task.last == VALUES[-1] and app.bench.task.n == 30

    run(bench_on_f1(measured), measured.shop, script)


def test_a_feature_without_readings_says_so_everywhere(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await choose(pilot, "f", "F2")
        await ready(pilot, app)
        assert "no readings, nothing can be said" in text_of(app)
        for key, say in (
            ("2", "nothing to count"),
            ("3", "nobody to compare"),
            ("4", "not measured on this yet"),
            ("5", "with caliper 1"),
            ("6", "no readings"),
        ):
            await pilot.press(key)
            if key == "5":
                await ready(pilot, app, "budget")
            assert say in text_of(app), key
        await pilot.press("1", "n", "left", "v")
        assert "Mark a reading first" in text_of(app, "#say")

    run(bench_on_f1(measured), measured.shop, script)


def test_from_the_places_without_a_bench(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.go("feature")
        await pilot.pause()
        assert "Choose what to look at" in text_of(app, "#say")
        await choose(pilot, "o", "stick 1")
        screen = await ready(pilot, app)
        assert screen.pick is not None and screen.pick.subject.label == "stick 1"
        await pilot.press("escape")
        await pilot.pause()
        assert type(app.screen).__name__ == "Chooser"

    run(None, measured.shop, script)


def test_a_record_with_no_job(tmp_path: object) -> None:
    from pathlib import Path

    from inspect_tui.record.store import Record

    assert isinstance(tmp_path, Path)
    record = Record.open(tmp_path / "empty.db", create=True)

    async def go() -> None:
        app = begun_at("feature", InspectApp(record, None))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await pilot.press("o")
            await pilot.pause()
            assert "There is no job in this record yet" in text_of(app, "#say")

    asyncio.run(go())
    record.close()


@pytest.mark.parametrize("size", [(80, 24), (160, 48), (60, 16)])
def test_every_page_fits_the_screen(measured: Measured, size: tuple[int, int]) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        for key in "123456":
            await pilot.press(key)
            if key == "5":
                await ready(pilot, app, "budget")
            lines = text_of(app).rstrip("\n").split("\n")
            assert len(lines) <= size[1] - 5, key
            assert max(len(line.rstrip()) for line in lines) <= size[0], key

    run(bench_on_f1(measured), measured.shop, script, size)


def test_names_with_markup_are_shown_as_they_are(measured: Measured) -> None:
    from inspect_tui.model.measuring import Person

    measured.record.add(Person(initials="[b]X"))
    measured.on_tool([59.6], person="[b]X")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await pilot.press("3")
        assert "[b]X" in text_of(app)
        await pilot.press("4")
        assert "[b]X" in text_of(app)

    run(bench_on_f1(measured), measured.shop, script)


def test_the_foot_fits_eighty_columns_and_every_key_has_an_id() -> None:
    assert len(FeatureScreen.FOOT) <= 80
    ids = [b.id for b in FeatureScreen.BINDINGS if getattr(b, "show", False)]
    assert all(ids) and len(set(ids)) == len(ids)


def test_the_palette_offers_every_key_of_the_place(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        screen = await ready(pilot, app)
        offered = {command.title: command for command in screen.commands()}
        assert "Take the marked reading out of count" in offered and "Another kind of chart" in offered
        offered["Page: histogram"].callback()
        await pilot.pause()
        assert screen.page == 1

    run(bench_on_f1(measured), measured.shop, script)


# ------------------------------------------------------------------------------ choosing
def test_another_chart_and_its_subgroups(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await choose(pilot, "k", "ewma")
        await ready(pilot, app)
        assert "EWMA" in text_of(app)
        await pilot.press("right")
        assert "(read 59." in text_of(app, "#say")
        await choose(pilot, "u", "3")
        await ready(pilot, app)
        assert "means with ranges" in text_of(app) and "subgroup →" in text_of(app)
        await pilot.press("right")
        assert text_of(app, "#say").startswith("subgroup 1 to 3: ")
        await pilot.press("v")
        assert "Mark a reading first" in text_of(app, "#say")

    run(bench_on_f1(measured), measured.shop, script)


def test_only_one_person_and_all_again(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await choose(pilot, "o", "castings")
        await ready(pilot, app)
        await choose(pilot, "w", "person IN")
        await ready(pilot, app)
        assert "n 2" in text_of(app) and "only by IN" in text_of(app, "#head")
        await choose(pilot, "w", "all readings")
        await ready(pilot, app)
        assert "n 5" in text_of(app)

    run(bench_on_f1(measured), measured.shop, script)


def test_leaving_the_question_takes_nothing_out(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await pilot.press("4", "v")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert "Nothing was taken out" in text_of(app, "#say")

    run(bench_on_f1(measured), measured.shop, script)
    assert not any(row.out for row in measured.record.readings(feature_id=measured.feature.id))


def test_the_budget_with_another_instrument(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await choose(pilot, "i", "caliper 2")
        await ready(pilot, app, "budget")
        body = text_of(app)
        assert "with caliper 2" in body and "no calibration on record" in body

    run(bench_on_f1(measured), measured.shop, script)
