"""Forms of the Kit place: what came back is counted, a passage needs a formula it understands, a loop its members."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from inspect_tui.frozen import replace
from inspect_tui.shop.common import parting
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.kit import edit, shipping
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.kit.test_screen import filled, made, run, text_of, until  # noqa: F401  (made is a fixture)
from tests.worlds.kit_jobs import Kit


def test_what_came_back_is_counted_against_what_went_out(made: Kit) -> None:
    tool = made.record.tools(made.job.of_id)[0].label
    parcels = [shipping.Parcel(tool, loose_pieces=4), shipping.Parcel("setting sheet")]
    shipping.ship(made.record, made.job, "the foundry", "2026-03-01", parcels)

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("s", "e")
        await pilot.pause()
        await filled(pilot, app, on="2026-02-01")
        assert "before that" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, on="2026-04-01", what=f"{tool}:3", condition="joint worn")
        await pilot.pause()
        said = text_of(screen, "#say")
        assert "3 of 4 loose pieces" in said and "setting sheet did not come back" in said

    run(made, script)
    ways = [shipment.way for shipment, _ in KitFacts(made.record, made.job).shipments]
    assert sorted(ways) == ["back", "out"]


def test_a_kit_with_points_open_is_shipped_only_with_a_word_why(made: Kit) -> None:
    made.add_fit("K9", 1, 1)  # a core that sits in itself

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("s", "n")
        await pilot.pause()
        await filled(pilot, app, to="a foundry", on="2026-03-01")
        wrong = str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        assert "core 1 sits in itself" in wrong and "say why it is shipped all the same" in wrong
        await filled(pilot, app, why="they will look at it")
        await until(pilot, lambda: "shipped to a foundry" in text_of(screen, "#say"))

    run(made, script)
    assert [s.why_open for s, _ in made.record.shipments(made.job.of_id)] == ["they will look at it"]


def test_the_body_of_a_core_is_given_on_the_page_of_the_mould(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("down", "down", "v", "e")
        await pilot.pause()
        await filled(pilot, app, boxes="0 100 0 50 30 30")
        assert "has no height" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, boxes="0 100 0 50 0 30")
        await until(pilot, lambda: "a body of 1 box" in text_of(screen, "#say"))

    run(made, script)
    assert [len(boxes) for boxes in made.record.core_bodies(made.job.of_id).values()] == [1]


def test_a_passage_with_a_name_that_does_not_exist_stays_in_the_form(made: Kit) -> None:
    feature = next(f.balloon for f in KitFacts(made.record, made.job).features if f.scale == "cast")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("p", "n")
        await pilot.pause()
        await filled(pilot, app, label="A1", formula="pi/4*F999*F998")
        assert "F999" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, formula="__import__('os')")
        assert str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, formula=f"pi/4*{feature}*{feature}", rated="46", unit="m3/min", minimum="45")
        await pilot.pause()
        assert "A1 added" in text_of(screen, "#say")

    run(made, script)
    assert [p.label for p in made.record.passages(made.job.of_id)] == ["A1"]


def test_a_rating_is_typed_in_any_unit_of_flow_and_what_is_none_stays_in_the_form(made: Kit) -> None:
    feature = next(f.balloon for f in KitFacts(made.record, made.job).features if f.scale == "cast")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("p", "n")
        await pilot.pause()

        def wrong() -> str:
            return str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]

        await filled(pilot, app, label="A1", formula=f"{feature}*{feature}", rated="300 gall/mni")
        assert "unit: gall/mni is no unit known here" in wrong()
        await filled(pilot, app, rated="300 gal/min", minimum="60 m3/h", exponent="0")
        assert "an exponent of 0 says" in wrong()
        await filled(pilot, app, exponent="", formula=f"law({feature}*{feature}, 50, 30, 80, 20)")
        assert "the law falls from 50: 30 to 80: 20" in wrong()
        await filled(pilot, app, exponent="", formula="series()")
        assert "series of nothing" in wrong()
        await filled(pilot, app, formula=f"{feature}*{feature}", exponent="1,5")
        await pilot.pause()
        assert "A1 added" in text_of(screen, "#say")

    run(made, script)
    (added,) = made.record.passages(made.job.of_id)
    assert (added.rated, added.unit, added.exponent) == (300.0, "gal/min", 1.5)
    # NIST SP 811, appendix B.8: 1 gal (US)/min = 6.309020e-5 m3/s
    assert added.minimum == pytest.approx(60 / 3600 / 6.309020e-5, rel=2e-7)


def test_a_loop_by_hand_says_which_member_it_does_not_understand(made: Kit, tmp_path: Path) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("w", "n")
        await pilot.pause()
        await filled(pilot, app, label="ST9", members="+ wall 7 ±0.2; seven")
        assert "'seven' is no member" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, members="+ wall 7 ±0.2; - lift 0,25 ±0.25", limits="6 8")
        await pilot.pause()

    run(made, script)
    ((stack, members),) = made.record.stacks(made.job.of_id)
    assert stack.label == "ST9" and (stack.lower, stack.upper) == (6.0, 8.0)
    assert [(m.sense, m.size_mm, m.plus_mm) for m in members] == [(1, 7.0, 0.2), (-1, 0.25, 0.25)]


def test_a_wall_between_any_two_faces_is_shown_and_nothing_written(made: Kit) -> None:
    written = made.record.frontier()

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        def wrong() -> str:
            return str(app.screen.query_one("#wrong").render())

        await pilot.press("w", "e")
        await pilot.pause()
        await filled(pilot, app, a="core 1", b="core 2 x 40")
        assert "is no face" in wrong()
        await filled(pilot, app, a="core 1 y 5", b="core 2 x 40")
        assert "a wall has both its faces along one" in wrong()
        await filled(pilot, app, a="core 1 x 5")
        await pilot.pause()
        shown = text_of(screen, "#detail")
        assert "core 1 face x 5 to core 2 face x 40" in shown and "follows from " in shown

    run(made, script)
    assert made.record.frontier() == written


def test_forms_of_the_kit_that_nobody_typed_in_write_nothing(made: Kit) -> None:
    """A fit, a core and the parting with figures of more digits than are shown; then a figure is typed over."""
    kit = edit.change_fit(made.record, made.job, made.fit["K1"], clear_max_mm=0.71234567, lift_mm=0.1234567)
    edit.set_core_detail(made.record, made.job, made.core[1], in_metal_dm3=0.123456789, caution="sharp")
    parting.say(made.record, made.job, "0 520 90; 520 624 118")
    jobs.revise(made.record, made.job, "B", [])  # the print has another row now
    written = made.record.frontier()

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        for keys, said in (
            (("f", "e"), "K1 is as it was"),
            (("f", "up", "g"), "the parting is as it was"),
        ):
            await pilot.press(*keys)
            await pilot.pause()
            await filled(pilot, app)
            await until(pilot, lambda said=said: said in text_of(screen, "#say"))  # type: ignore[misc]
        assert made.record.frontier() == written
        await pilot.press("f", "e")
        await pilot.pause()
        await filled(pilot, app, mark="red")
        await until(pilot, lambda: "K1 changed" in text_of(screen, "#say"))

    run(made, script)
    now = next(fit for fit in made.record.fits(made.job.of_id) if fit.label == "K1")
    assert now == replace(kit, id=now.id, replaces_id=kit.id, mark="red")


def test_the_form_of_a_core_that_nobody_typed_in_writes_nothing(made: Kit) -> None:
    edit.set_core_detail(made.record, made.job, made.core[1], in_metal_dm3=0.123456789, caution="sharp")
    written = made.record.frontier()

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        for core in ("core 1", "core 2"):  # of core 2 nothing was said yet
            await pilot.press("down", *(("down",) if core == "core 1" else ()), "e")
            await pilot.pause()
            await filled(pilot, app)
            await until(pilot, lambda: "is as it was" in text_of(screen, "#say"))

    run(made, script)
    assert made.record.frontier() == written


def test_what_was_not_typed_over_in_the_form_of_a_core_stays_exact(made: Kit) -> None:
    edit.set_core_detail(made.record, made.job, made.core[1], in_metal_dm3=0.123456789, caution="sharp")

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("down", "down", "e")
        await pilot.pause()
        await filled(pilot, app, vents="two")
        await until(pilot, lambda: "core 1: noted" in text_of(screen, "#say"))

    run(made, script)
    detail = made.record.core_details(made.job.of_id)[made.core[1].of_id]
    assert (detail.in_metal_dm3, detail.vents, detail.caution) == (0.123456789, "two", "sharp")


def test_a_fit_begins_as_one_that_is_there_with_parts_to_choose_from(made: Kit) -> None:
    before = {fit.name for fit in KitFacts(made.record, made.job).fits}

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("f", "n")
        await pilot.pause()
        await pilot.press("ctrl+n")
        await pilot.pause()
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, Form))
        form = app.screen
        assert isinstance(form, Form)
        label = form.query_one("#field-label", Input).value
        assert label and label not in {name.partition("-")[0] for name in before}
        form.query_one("#field-inner", Input).focus()
        await pilot.press("ctrl+l")
        await pilot.pause()
        await pilot.press(*"core", "enter")
        await until(pilot, lambda: app.screen is form)
        assert form.query_one("#field-inner", Input).value.startswith("core ")
        for key, text in (
            ("print", ""),
            ("seat", ""),
            ("inner", "core 2"),
            ("outer", "drag"),
            ("clearance", "0.2 0.4"),
        ):
            form.query_one(f"#field-{key}", Input).value = text
        await pilot.press("ctrl+g")
        await pilot.pause()
        assert "Another like it" in str(form.query_one("#wrong", Static).render())
        await pilot.press("escape")
        await pilot.pause()

    run(made, script)
    assert len(KitFacts(made.record, made.job).fits) == len(before) + 1
