"""A blind gauge study as people take it up: planned, read, and shown when it is complete; pictures at 80 columns."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.shop.common import find
from inspect_tui.shop.gauges import plan as gauge_plan
from inspect_tui.shop.gauges import results
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.forms import Form
from inspect_tui.tui.gauges.screen import GaugesScreen
from inspect_tui.tui.gauges.study_screen import StudyScreen
from inspect_tui.tui.question import Chooser
from tests.conftest import SmallShop
from tests.tui.gauges.test_screen import burst, choose, run, screen_lines, text_of, typed, until


def begin(shop: SmallShop, parts: int = 3, trials: int = 2) -> GaugeStudy:
    people = (shop.ab, find.person(shop.record, "IN"))
    pieces = tuple((f"C-{n}", None, None) for n in range(1, parts + 1))
    plan = gauge_plan.Plan(
        title="G1",
        design="crossed",
        instrument=shop.caliper,
        people=people,
        parts=pieces,
        trials=trials,
        seed=7,
        band=1.0,
    )
    return gauge_plan.begin(shop.record, plan)


def test_a_study_is_planned_from_the_place_and_opens(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("n")
        await pilot.pause()
        assert isinstance(app.screen, Form) and "60 readings" in text_of(app, "#follows")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, StudyScreen)

    run(shop, script)
    (study,) = shop.record.gauge_studies()
    assert (study.trials, len(shop.record.gauge_parts(study.id)), study.quantity) == (3, 10, "length")


def test_a_study_is_blind_from_the_first_reading_to_the_last(shop: SmallShop) -> None:
    study = begin(shop)
    true = {"C-1": 52.0, "C-2": 52.4, "C-3": 51.7}

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.push_screen(StudyScreen(shop.record, study))
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, StudyScreen)
        entry = screen.query_one(Entry)
        await typed(pilot, "52.1")
        assert "turn" in text_of(app, "#say") and entry.value == "52.1" and not screen.desk.done
        await pilot.press("escape")
        seen: set[str] = set()
        while not screen.desk.complete:
            if screen.desk.slot is None:
                await pilot.pause(0.3)  # a person sits down; a gauge's next line would come faster
                await pilot.press("enter")
                await pilot.pause()
                continue
            part = screen.desk.parts[screen.desk.slot.part].label
            shown = "\n".join(screen_lines(app))
            for value in seen:
                assert value not in shown, "an earlier value stands on the screen"
            value = f"{true[part] + 0.01 * (len(screen.desk.done) % 3):.2f}"
            seen.add(value)
            await typed(pilot, value)
        await until(pilot, lambda: screen.result is not None)
        await pilot.pause()
        shown = "\n".join(screen_lines(app))
        assert "of the band" in shown and "off the mean of each piece" in shown

    run(shop, script)
    made = results.evaluate(shop.record, study)
    assert made.crossed is not None and made.crossed.trials == 2


def test_a_gauge_that_types_on_after_a_round_does_not_read_for_the_next_person(shop: SmallShop) -> None:
    study = begin(shop)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.push_screen(StudyScreen(shop.record, study))
        await pilot.pause(0.3)
        await pilot.press("enter")
        await pilot.pause()
        await burst(pilot, *(key for _ in range(5) for key in (*"52.00", "enter", "ctrl+j")))
        await until(pilot, lambda: "turn" in text_of(app, "#say"))
        screen = app.screen
        assert isinstance(screen, StudyScreen)
        assert len(screen.desk.done) == 3  # the three of the round; the rest waits in the field
        assert "turn" in text_of(app, "#say")

    run(shop, script)
    assert results.progress(shop.record, study) == (3, 12)


def test_an_empty_line_right_behind_another_is_not_a_person_sitting_down(shop: SmallShop) -> None:
    study = begin(shop)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.push_screen(StudyScreen(shop.record, study))
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, StudyScreen)
        assert screen.take("", 0.05) is None and screen.desk.person is None
        assert screen.take("", 1.0) is None and screen.desk.person is not None

    run(shop, script)


def test_the_pictures_read_at_80_columns_without_colour(shop: SmallShop) -> None:
    from tests.shop.common.test_study_feed import measured

    study = measured(shop, "width")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.push_screen(StudyScreen(shop.record, study))
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, StudyScreen)
        await until(pilot, lambda: screen.result is not None)
        await pilot.pause()
        text = str(screen.query_one("#pictures", Static).render())
        assert "IN repeats with s" in text and "◀" in text
        for part in range(1, 11):
            assert any(line.startswith(f"part {part} ") and "1" in line[7:] for line in text.splitlines())
        assert all(len(line) <= 80 for line in screen_lines(app))
        await pilot.press("pagedown", "escape")
        await pilot.pause()
        assert isinstance(app.screen, GaugesScreen)

    run(shop, script)


def test_studies_of_an_instrument_are_listed_with_how_far_they_are(shop: SmallShop) -> None:
    begin(shop)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await choose(pilot, app, "caliper 1")
        assert "G1: crossed, 0 of 12 read" in text_of(app, "#body")
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, StudyScreen)

    run(shop, script)
