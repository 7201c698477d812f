"""Sand cores at the Kit place: opened by a form, refused in it, and nothing to see while there are none."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import OptionList

from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.shop.answers import sand_cores
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from inspect_tui.tui.kit import from_foundry
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.kit.test_screen import filled, made, run, text_of, until  # noqa: F401  (made is a fixture)
from tests.worlds.kit_jobs import Kit


def test_sand_cores_are_opened_for_the_core_that_is_looked_at(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("y")
        await pilot.pause()
        await pilot.press("up", "enter")
        await pilot.pause()
        assert "There are no sand cores yet" in text_of(screen, "#say")
        await pilot.press("down", "down", "y")
        await pilot.pause()
        await pilot.press(*"open", "enter")
        await pilot.pause()
        if not isinstance(app.screen, Form):  # who opens them
            await pilot.press("enter")
            await pilot.pause()
        assert isinstance(app.screen, Form)
        assert app.screen.query_one("#field-core").value == "1"  # type: ignore[attr-defined]
        await filled(pilot, app, marks="A-7 a-7")
        assert "named twice" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, marks="A-7 A-8", cavity="left")
        await until(pilot, lambda: "A-7, A-8 of core 1 opened" in text_of(screen, "#say"))

    run(made, script)
    assert [(s.item.serial, s.core.number) for s in sand_cores.listed(made.record, made.job)] == [
        ("A-7", 1),
        ("A-8", 1),
    ]


def test_an_answer_is_put_right_in_its_form(made: Kit) -> None:
    core = made.record.cores(made.job.of_id)[0]
    (sand,) = sand_cores.open_new(made.record, made.job, core, ["A-7"])
    said = SettingAnswer(
        job_of_id=made.job.of_id, core_of_id=core.of_id, item_id=sand.id, sort="rub", what="rubbed?", words="lower end",
        on_date="2026-03-01",
    )  # fmt: skip
    made.record.add(said)

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        from_foundry.answer_right(screen, made.job)
        await pilot.pause()
        assert "A-7 rub rubbed?" in str(app.screen.query_one(OptionList).get_option_at_index(0).prompt)
        await pilot.press("enter")
        await pilot.pause()
        if not isinstance(app.screen, Form):  # who does it
            await pilot.press("enter")
            await pilot.pause()
        assert app.screen.query_one("#field-words").value == "lower end"  # type: ignore[attr-defined]
        await filled(pilot, app, words="upper end")
        assert "say why" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, why="wrong end")
        await until(pilot, lambda: "is put right: rubbed?: upper end" in text_of(screen, "#say"))

    run(made, script)
    assert [answer.words for answer in made.record.setting_answers(made.job.of_id)] == ["upper end"]


def test_where_nothing_was_said_there_is_nothing_to_put_right(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        from_foundry.answer_right(screen, made.job)
        assert "said nothing yet" in text_of(screen, "#say")

    run(made, script)
