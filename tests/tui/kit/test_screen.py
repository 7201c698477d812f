"""The Kit place as people use it: the tree, its pages, moving a core, writing fits down, going to measure."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from inspect_tui.demo.pictures import drawn
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench.screen import BenchScreen
from inspect_tui.tui.forms import Form
from inspect_tui.tui.kit.screen import KitScreen
from inspect_tui.tui.question import Chooser
from tests.tui.hands import begun_at
from tests.worlds.kit_jobs import Kit, two_cores

Script = Callable[[Pilot[int], InspectApp, KitScreen], Awaitable[None]]


@pytest.fixture
def made(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield two_cores(record)


def run(made: Kit, script: Script, size: tuple[int, int] = (80, 24)) -> None:
    async def go() -> None:
        app = begun_at("kit", InspectApp(made.record, None))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            screen = app.screen
            assert isinstance(screen, KitScreen)
            await until(pilot, lambda: screen.loaded is not None)
            await script(pilot, app, screen)

    asyncio.run(go())


async def until(pilot: Pilot[int], holds: Callable[[], bool], most: float = 10.0) -> None:
    for _ in range(int(most / 0.05)):
        if holds():
            await pilot.pause()
            return
        await pilot.pause(0.05)
    raise AssertionError("it never came")


def text_of(screen: KitScreen, widget: str) -> str:
    return str(screen.query_one(widget, Static).render())


def rows_of(screen: KitScreen, widget: str = "#rows") -> list[str]:
    listed = screen.query_one(widget, OptionList)
    return [str(listed.get_option_at_index(i).prompt) for i in range(listed.option_count)]


def screen_lines(app: InspectApp) -> list[str]:
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip).rstrip() for strip in strips]


async def filled(pilot: Pilot[int], app: InspectApp, **values: str) -> Form:
    form = app.screen
    assert isinstance(form, Form)
    for key, value in values.items():
        form.query_one(f"#field-{key}", Input).value = value
    await pilot.press("ctrl+s")
    await pilot.pause()
    return form


def test_the_place_opens_with_the_tree_and_the_answer(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        assert "Kit · TK-1 · rev A · 2 cores" in text_of(screen, "#head")
        assert [row.split()[0] for row in rows_of(screen, "#cores")] == ["?", "drag", "└", "└"]
        assert "2 fits are not read on both sides: K1, K2" in " ".join(text_of(screen, "#detail").split())
        await pilot.press("down", "down")
        await pilot.pause()
        assert "core 1 core 1" in text_of(screen, "#detail")
        assert "not made" in text_of(screen, "#detail")

    run(made, script)


def test_the_order_page_shows_the_cores_from_the_side_and_moves_the_chosen_one(made: Kit) -> None:
    made.add_core(3, set_order=3)
    made.add_fit("K3", 3, "drag", holds="x,y,z,rx,ry,rz")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("o")
        assert "═ cope ═" in text_of(screen, "#detail") and "═ drag ═" in text_of(screen, "#detail")
        await pilot.press("down", "down")
        await pilot.pause()
        before = screen.loaded
        await pilot.press("u")
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "set in the order 1, 3, 2"
        assert screen.loaded.check.sequence == ("1", "3", "2")

    run(made, script)
    assert kit.check(made.record, made.job).sequence == ("1", "3", "2")


def test_a_move_that_a_seat_forbids_is_refused_with_the_reason(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("o", "down")
        await pilot.pause()
        await pilot.press("u")
        await pilot.pause()
        said = " ".join(text_of(screen, "#say").split())
        assert said.startswith("Core 2 stays where it is: core 2 cannot be set: core 1, which it sits in (K2-S)")

    run(made, script)


def test_a_fit_is_written_down_with_its_clearance_showing_while_typing(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("f", "n")
        await pilot.pause()
        form = await filled(pilot, app, label="K9", inner="core 2", outer="core 2", clearance="0.3 0.6", axis="y")
        assert app.screen is form
        assert "core 2 cannot sit in itself" in str(form.query_one("#wrong", Static).render())
        before = screen.loaded
        form.query_one("#field-outer", Input).value = "core 1"
        await pilot.pause()
        assert "K9, core 2 in core 1, y: clearance 0.45 mm" in str(form.query_one("#follows", Static).render())
        await filled(pilot, app)
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "K9 added"
        assert any("K9" in row for row in rows_of(screen))

    run(made, script)
    assert [f.label for f in made.record.fits(made.job.of_id)] == ["K1", "K2", "K9"]


def test_a_fit_that_contradicts_itself_stays_in_the_form_with_a_sentence(made: Kit) -> None:
    right = {"label": "K9", "inner": "core 2", "outer": "core 1", "clearance": "0.3 0.6", "seat": ""}
    wrong = [
        ({"clearance": "0 0"}, "leaves no room"),
        ({"clearance": "-1 1"}, "leaves no room"),
        ({"clearance": "abc"}, "clearance: abc is not a size"),
        ({"outer": ""}, "a print without a seat"),
        ({"seat": "K2-S"}, "is claimed by K2 already"),
        ({"inner": "core 99"}, "There is no core 99"),
        ({"label": "K1"}, "K1 is there already"),
    ]

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("f", "n")
        await pilot.pause()
        for values, words in wrong:
            given = {**right, **values}
            form = await filled(pilot, app, **given)
            assert app.screen is form
            assert words in str(form.query_one("#wrong", Static).render())
            assert form.values() == {**form.values(), **given}  # nothing typed is lost
        await pilot.press("escape")

    run(made, script)
    assert len(made.record.fits(made.job.of_id, dropped=True)) == 2


def test_a_fit_is_changed_and_taken_out_once_asked(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("f")
        await pilot.press("e")
        await pilot.pause()
        before = screen.loaded
        await filled(pilot, app, clearance="0.2 0.9")
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "K1 changed"
        await pilot.press("x")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press("escape")
        await pilot.pause()
        assert len(screen.loaded.check.lines) == 2
        before = screen.loaded
        await pilot.press("x")
        await pilot.pause()
        await pilot.press("down", "enter")
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "K1 is out of the kit"
        assert len(screen.loaded.check.lines) == 1

    run(made, script)
    first = next(f for f in made.record.fits(made.job.of_id, dropped=True) if f.label == "K1")
    assert (first.active, first.clear_max_mm) == (False, 0.9)


def test_more_is_said_about_a_core_and_wrong_figures_stay_in_the_form(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("down", "down", "e")
        await pilot.pause()
        form = await filled(pilot, app, in_metal_dm3="3.5", chaplets="two")
        wrong = form.query_one("#wrong", Static)
        assert "chaplets: two is no " in str(wrong.render())
        await filled(pilot, app, chaplets="2")
        assert "3.5 dm³ in metal of a core of 2 dm³" in str(wrong.render())
        before = screen.loaded
        await filled(pilot, app, in_metal_dm3="1,5")
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "core 1: noted"

    run(made, script)
    detail = made.record.core_details(made.job.of_id)[made.core[1].of_id]
    assert (detail.in_metal_dm3, detail.chaplets) == (1.5, 2)


def test_a_picture_is_attached_and_what_is_none_refused(made: Kit, tmp_path: Path) -> None:
    (tmp_path / "core.png").write_bytes(drawn(1))
    (tmp_path / "script.png").write_bytes(b"#!/bin/sh")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("down", "down", "a")
        await pilot.pause()
        form = await filled(pilot, app, path=str(tmp_path / "script.png"))
        assert "That is no picture" in str(form.query_one("#wrong", Static).render())
        before = screen.loaded
        await filled(pilot, app, path=str(tmp_path / "core.png"), caption="from above")
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "core.png kept (240 by 160 dots)"
        assert "pictures: from above (core.png)" in text_of(screen, "#detail")

    run(made, script)
    assert made.record.counts()["attachment"] == 1


def test_shipping_is_written_and_shows_where_things_are(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("s")
        await pilot.pause()
        assert all("here" in row for row in rows_of(screen))
        await pilot.press("n")
        await pilot.pause()
        form = await filled(pilot, app, to="", on="soon")
        assert "say to whom" in str(form.query_one("#wrong", Static).render())
        await filled(pilot, app, to="a foundry")
        assert "day: soon is no day" in str(form.query_one("#wrong", Static).render())
        before = screen.loaded
        await filled(pilot, app, on="2026-03-10", what="box 1, box 2, a crate")
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "3 things shipped to a foundry"
        assert any("box 1: at a foundry since 2026-03-10" in row for row in rows_of(screen))
        assert "shipped" in rows_of(screen, "#cores")[2]

    run(made, script)


def test_measure_goes_to_the_bench_at_the_size_in_most_doubt(made: Kit) -> None:
    made.read("drag pattern", {"K1-S": 60.31})

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        assert "K1-P" in screen.loaded.check.next[0].sentence
        await pilot.press("m")
        await until(pilot, lambda: isinstance(app.screen, BenchScreen))
        assert app.bench.subject.label == "box 1" or app.bench.subject.label == "stick 1"
        assert app.bench.task.feature.balloon == "K1-P"

    run(made, script)


def test_sizes_of_a_sample_are_marked_and_made_into_a_drawing(made: Kit) -> None:
    made.add_feature("A", "x", 200.0, ("drag", -1, None), ("drag", 1, None), ())
    made.add_feature("B", "y", 60.0, ("drag", -1, None), ("drag", 1, None), ())
    for serial in ("1", "2", "3"):
        made.read(made.casting(serial), {"A": 200.05, "B": 59.9})

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("t")
        await until(pilot, lambda: screen.loaded.sample is not None)
        assert [row.split()[1] for row in rows_of(screen)] == ["A", "B"]
        before = screen.loaded
        await pilot.press("e")
        await pilot.pause()
        await pilot.press("down", "enter")
        await until(pilot, lambda: screen.loaded is not before and screen.loaded.sample is not None)
        assert "machined" in rows_of(screen)[0]
        await pilot.press("n")
        await pilot.pause()
        form = await filled(pilot, app, rev="B", which="A Q7")
        assert "Q7 is not among the sizes" in str(form.query_one("#wrong", Static).render())
        await filled(pilot, app, which="A B=many")
        assert "B: many is not a size" in str(form.query_one("#wrong", Static).render())
        before = screen.loaded
        await filled(pilot, app, which="A b=60,5", general="ISO 8062-3 DCTG 9")
        await until(pilot, lambda: screen.loaded is not before)
        assert text_of(screen, "#say") == "drawing TK-1 edition B made, 2 sizes taken over"

    run(made, script)
    new = {f.balloon: f for f in made.record.features(made.record.revisions(made.job.of_id)[-1].id)}
    assert (new["A"].nominal, new["B"].nominal) == (200.0, 60.5)


def test_the_parting_is_said_with_its_steps(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("g")
        await pilot.pause()
        form = await filled(pilot, app, steps="0 500 90; 520 624 118")
        assert "leave a gap at x 520" in str(form.query_one("#wrong", Static).render())
        before = screen.loaded
        await filled(pilot, app, steps="0 520 90; 520 624 118")
        await until(pilot, lambda: screen.loaded is not before)
        await pilot.press("o")
        await pilot.pause()
        assert "at x 520 the outside from z 90 to 118 lies under the step" in " ".join(
            text_of(screen, "#detail").split()
        )

    run(made, script)


def test_a_job_without_cores_and_a_record_without_jobs_say_so(tmp_path: Path) -> None:
    from tests.worlds.kit_jobs import begin

    with Record.open(tmp_path / "none.db", create=True) as record:
        made = begin(record)

        async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
            assert "this job has no cores" in text_of(screen, "#detail")
            for key in "fowpilstbkudexam":
                await pilot.press(key)
                await pilot.pause()
            assert not screen.wrong

        run(made, script)

    with Record.open(tmp_path / "empty.db", create=True) as record:

        async def go() -> None:
            app = begun_at("kit", InspectApp(record, None))
            async with app.run_test(size=(80, 24)) as pilot:
                await pilot.pause()
                assert "There is no job yet" in str(app.screen.query_one("#say", Static).render())
                for key in "fowpilstbkudexanm":
                    await pilot.press(key)
                await pilot.pause()

        asyncio.run(go())


def test_the_keys_are_listed_and_another_job_can_be_chosen(made: Kit) -> None:
    from tests.worlds.kit_jobs import begin

    begin(made.record, "TK-2")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("f1")
        await pilot.pause()
        assert app.screen is not screen
        await pilot.press("escape", "j")
        await pilot.pause()
        await pilot.press(*"tk-2", "enter")
        await until(pilot, lambda: screen.loaded is not None and screen.loaded.check.facts.job.number == "TK-2")
        assert "TK-2" in text_of(screen, "#head")

    run(made, script)
