"""The First article place as a person uses it: a grid filled by hand, pages turned, questions put right, cuts taken."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.model.measuring import Reading, Session, Setup
from inspect_tui.model.work import Item
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.first_article.grid import CastingGrid
from inspect_tui.tui.first_article.screen import FirstArticleScreen
from inspect_tui.tui.forms import Form
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.question import Chooser
from tests.conftest import SmallShop
from tests.tui.hands import begun_at
from tests.worlds.sampled_shop import AFTER_S1, copy_of_shop

Script = Callable[[Pilot[int], InspectApp, FirstArticleScreen], Awaitable[None]]


def run(record: Record, script: Script, bench=None, size: tuple[int, int] = (80, 24)) -> None:
    async def go() -> None:
        app = begun_at("first", InspectApp(record, bench))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            screen = app.screen
            assert isinstance(screen, FirstArticleScreen)
            await script(pilot, app, screen)

    asyncio.run(go())


def small(shop: SmallShop, script: Script, serials: tuple[str, ...] = ("C1", "C2"), **more: object) -> None:
    job = find.job(shop.record, "SV-12")
    if serials:
        open_round(shop.record, job, "S1", serials)
    run(shop.record, script, shop.bench(), **more)  # type: ignore[arg-type]


def text(app: InspectApp, widget: str) -> str:
    return app.screen.query_one(widget, Panel).plain


def grid_lines(screen: FirstArticleScreen) -> list[str]:
    grid = screen.query_one(CastingGrid)
    return ["".join(segment.text for segment in grid.render_line(y)) for y in range(grid.size.height)]


async def typed(pilot: Pilot[int], *lines: str) -> None:
    for line in lines:
        pilot.app.screen.query_one(Entry).insert_text_at_cursor(line)
        await pilot.press("enter")
    await pilot.pause()


async def found(pilot: Pilot[int], screen: FirstArticleScreen) -> None:
    for _ in range(3000):
        if screen.found is not None and not screen.searching:
            break
        await asyncio.sleep(0.02)
    await pilot.pause()


def sheet(screen: FirstArticleScreen) -> str:
    return str(screen.query_one("#sheet", Static).render())


def value(record: Record, serial: str, balloon: str) -> float | None:
    job = find.job(record, None)
    sampling = Sampling(record, job, pick_round(record, job, "S1"))
    return sampling.cell(sampling.feature(balloon), sampling.casting(serial)).value


# ------------------------------------------------------------------------------ filling


def test_a_feature_is_filled_across_the_castings_when_asked_to(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("shift+f7")
        assert "by feature" in text(app, "#say")
        await typed(pilot, "59.02", "59.05")
        assert text(app, "#prompt").strip().startswith("F2 C1")

    small(shop, script)
    assert value(shop.record, "C2", "F1") == pytest.approx(59.05)


def test_the_size_wanted_stays_hidden_until_the_reading_is_in(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        hidden = text(app, "#about")
        assert "59.00" not in hidden
        assert "stays hidden (F5 shows it)" in hidden
        await pilot.press("f5")
        await pilot.pause()
        assert "as cast 59.00 ±0.80" in text(app, "#about")
        await pilot.press("f5")
        await typed(pilot, "59.40")
        await pilot.press("up")
        await pilot.pause()
        shown = text(app, "#about")
        assert "58.20" in shown  # the band with its limits
        assert "✓ conforms  59.40" in shown

    small(shop, script)


def test_a_wedge_that_types_faster_than_frames_loses_nothing(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        for value_ in ("59.02", "40.10", "210.20", "243.10", "8.10", "59.05", "40.12", "210.30", "243.00", "8.20"):
            for key in value_:
                screen.query_one(Entry).insert_text_at_cursor(key)
            screen.query_one(Entry).take_line()
        await pilot.pause()

    small(shop, script)
    assert [value(shop.record, s, f) for s in ("C1", "C2") for f in ("F1", "F5")] == [59.02, 8.1, 59.05, 8.2]


def test_pasted_lines_fill_cell_after_cell(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        from textual import events

        screen.query_one(Entry).post_message(events.Paste("59.02\n40.10\n210.20\n"))
        await pilot.pause()

    small(shop, script)
    assert value(shop.record, "C1", "F3") == pytest.approx(210.2)


def test_a_likely_slip_is_asked_about_and_the_answer_goes_to_the_cell_it_was_typed_for(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await typed(pilot, "2.323")
        assert "Not logged yet" in text(app, "#say")
        await pilot.press("enter")  # kept as typed
        await pilot.pause()
        assert "kept as typed" in text(app, "#say")
        assert text(app, "#prompt").strip().startswith("F2 C1")

    small(shop, script)
    assert value(shop.record, "C1", "F1") == pytest.approx(2.323)


def test_a_reading_that_is_asked_about_is_kept_when_the_cursor_moves_away(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await typed(pilot, "2.323")
        await pilot.press("down")
        await pilot.pause()

    small(shop, script)
    assert value(shop.record, "C1", "F1") == pytest.approx(2.323)


def test_what_is_no_size_stays_in_the_field_with_a_sentence(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await typed(pilot, "abc")
        assert text(app, "#say").startswith("Not logged: ")
        assert screen.query_one(Entry).value == "abc"

    small(shop, script)
    assert shop.record.counts()["reading"] == 0


def test_the_last_line_is_taken_back_and_the_cursor_goes_there(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await typed(pilot, "59.02", "40.1")
        await pilot.press("f9")
        await pilot.pause()
        assert "taken back  F2 on C1" in text(app, "#say")
        assert text(app, "#prompt").strip().startswith("F2 C1")

    small(shop, script)
    assert value(shop.record, "C1", "F2") is None
    assert value(shop.record, "C1", "F1") == pytest.approx(59.02)


def test_a_feature_is_gone_to_by_its_balloon(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+g")
        await pilot.pause()
        await pilot.press(*"F4", "enter")
        await pilot.pause()
        assert text(app, "#prompt").strip().startswith("F4 C1")
        await pilot.press("ctrl+right")
        await pilot.pause()
        assert text(app, "#prompt").strip().startswith("F4 C2")

    small(shop, script)


def test_a_job_without_castings_says_how_to_begin_one_and_begins_it(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        assert "no castings yet" in text(app, "#say")
        assert "Ctrl+V" in text(app, "#say")
        await pilot.press("ctrl+v")
        await pilot.pause()
        await pilot.press("enter", "enter", "enter", "enter", "enter")
        await pilot.pause()
        assert "S1 · 3 castings" in text(app, "#head")
        await typed(pilot, "59.0")

    small(shop, script, serials=())
    assert value(shop.record, "S1-1", "F1") == pytest.approx(59.0)


def test_before_anything_is_measured_the_causes_page_says_what_the_plan_can_tell(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+u")
        await found(pilot, screen)
        assert "Nothing of S1 has been measured yet" in sheet(screen)
        assert "with these 5 features" in sheet(screen)
        await pilot.press("f12")
        await pilot.pause()
        assert "no report to give out" in text(app, "#say")

    small(shop, script)


def test_a_record_that_is_read_only_says_so_and_keeps_what_was_typed(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    open_round(shop.record, job, "S1", ["C1"])
    shop.record.close()
    record = Record.open(shop.path, read_only=True)

    async def script(pilot, app, screen) -> None:
        assert "READ ONLY" in text(app, "#head")
        await typed(pilot, "59.02")
        assert "Not logged" in text(app, "#say")
        assert screen.query_one(Entry).value == "59.02"

    from inspect_tui.shop.bench.line import Bench

    bench = Bench(record, job, find.subject(record, job, "stick 1"), shop.ab, shop.caliper)
    run(record, script, bench)
    record.close()


# ------------------------------------------------------------------------------ pages, with the invented shop
def test_every_page_tells_what_the_newest_sampling_says(opened: Record) -> None:
    async def script(pilot, app, screen) -> None:
        assert "S3 · 5 castings" in text(app, "#head")
        assert "23 readings are in question" in text(app, "#say")
        await pilot.press("ctrl+u")
        await found(pilot, screen)
        assert "fit the drawing in inches" in sheet(screen)
        assert "Casting S3-4 only" in sheet(screen)
        await pilot.press("ctrl+u")
        await pilot.pause()
        assert "leave alone" in sheet(screen)
        assert "promised" in sheet(screen)
        await pilot.press("ctrl+u")
        await pilot.pause()
        assert "Cleans up" in sheet(screen)
        assert "█" in sheet(screen)
        await pilot.press("ctrl+u")
        await pilot.pause()
        assert "S1" in sheet(screen)
        assert "S3" in sheet(screen)
        await pilot.press("ctrl+u")
        await pilot.pause()
        assert "nothing decided yet" in sheet(screen) and "It is not released." in sheet(screen)
        await pilot.press("ctrl+u")
        await pilot.pause()
        assert screen.query_one(CastingGrid).display
        assert isinstance(app.focused, Entry)

    run(opened, script, memory.last_bench(opened))


def test_cuts_taken_over_become_work_and_a_tool_is_measured_before_it_is_cut(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    record = copy_of_shop(tmp_path_factory, tmp_path, AFTER_S1)

    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+u", "ctrl+u")
        await found(pilot, screen)
        assert "F55: cut" in sheet(screen)
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert isinstance(app.screen, Form)
        follows = app.screen.query_one("#follows", Static)
        assert "made" in str(follows.render())  # what the next casting will be with all of them
        app.screen.query_one("#field-numbers").value = "99"
        await pilot.pause()
        assert not str(follows.render())
        app.screen.query_one("#field-numbers").value = "all"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)  # F55 has to be measured on box 4 first
        await pilot.press(*"others", "enter")
        await pilot.pause()
        assert "cuts taken over" in text(app, "#say")
        await found(pilot, screen)
        assert "taken over" in sheet(screen)
        await pilot.press("ctrl+n")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")  # to the Bench
        await pilot.pause()
        await pilot.pause()
        assert app.place == "bench"
        assert app.bench.subject.label == "box 4"
        assert app.bench.task.feature.balloon == "F55"

    run(record, script, memory.last_bench(record))
    assert find.job(record, None).a_x == pytest.approx(0.008, abs=2e-4)
    record.close()


def test_a_report_is_given_out_from_the_screen(opened: Record, tmp_path: Path) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("f12")
        await pilot.pause()
        form = app.screen
        assert isinstance(form, Form)
        form.query_one("#field-to").value = str(tmp_path / "given.json")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Written:" in text(app, "#say")

    run(opened, script, memory.last_bench(opened))
    assert (tmp_path / "given.json").stat().st_size > 10_000
    assert len(opened.report_snapshots()) == 1


def test_another_sampling_is_chosen(opened: Record) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+o")
        await pilot.pause()
        await pilot.press(*"S1", "enter")
        await pilot.pause()
        assert "S1 · 3 castings" in text(app, "#head")
        assert "5.52 !" in grid_lines(screen)[8]

    run(opened, script, memory.last_bench(opened), size=(160, 48))


# ------------------------------------------------------------------------------ many castings
def many(shop: SmallShop, n: int) -> None:
    job = find.job(shop.record, "SV-12")
    lot = open_round(shop.record, job, "S1", [f"C{k:04d}" for k in range(n)])
    revision = find.latest_revision(shop.record, job)
    session = shop.record.add(Session(kind="casting", job_of_id=job.of_id, revision_id=revision.id))
    setup = shop.record.add(Setup(session_id=session.id, person_id=shop.ab.id, instrument_id=shop.caliper.id))
    features = [f for f in shop.record.features(revision.id) if f.scale == "cast"]
    items: list[Item] = shop.record.castings(job.of_id, lot.id)
    shop.record.append_readings(
        Reading(setup_id=setup.id, feature_id=feature.id, item_id=item.id, value=size, typed=f"{size}")
        for item in items
        for feature, size in zip(features, (59.0, 40.0, 210.0, 243.0, 8.0), strict=True)
    )


def test_castings_are_added_to_a_sampling_and_a_feature_is_looked_at_whole(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+v")
        await pilot.pause()
        app.screen.query_one("#field-label").value = "S1"
        app.screen.query_one("#field-serials").value = "C3, C4"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "S1 · 4 castings" in text(app, "#head")
        await pilot.press("ctrl+v")
        await pilot.pause()
        app.screen.query_one("#field-label").value = "S1"
        app.screen.query_one("#field-serials").value = "C3"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Casting C3 is there already" in str(app.screen.query_one("#wrong", Static).render())
        await pilot.press("escape")
        await pilot.pause()
        await typed(pilot, "59.02")
        await pilot.press("ctrl+f")
        await pilot.pause()
        assert app.place == "feature"

    small(shop, script)
