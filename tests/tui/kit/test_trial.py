"""Trials at the Kit place: the checklist as a form a line an item, refused and asked in it, put right, withdrawn."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from textual.pilot import Pilot

from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.tried.trials import trials
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.kit.test_screen import filled, made, run, text_of, until  # noqa: F401  (made is a fixture)
from tests.worlds.kit_jobs import Kit
from tests.worlds.trials import mould, now, tried

TODAY = date.today().isoformat()


async def form(pilot: Pilot[int], app: InspectApp, *keys: str) -> Form:
    """The form that comes after these keys, chosen through as far as it takes."""
    await pilot.press(*keys)
    await pilot.pause()
    for _ in range(3):
        if not isinstance(app.screen, Form):
            await pilot.press("enter")
            await pilot.pause()
    assert isinstance(app.screen, Form)
    return app.screen


def line_of(asked: Form, item: str) -> str:
    """The key of the field of an item."""
    return next(field.key for field in asked.fields if field.name == item)


def test_a_trial_is_written_down_line_by_line(made: Kit) -> None:
    mould(made)

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("z")
        await pilot.pause()
        assert "not proven: no trial of this kit is written down" in text_of(screen, "#detail")
        asked = await form(pilot, app, "n")
        assert [field.name for field in asked.fields][9:] == ["core 1", "K1", "core 2", "K2", "F1", "closing", "remark"]
        k1, k2, f1, closing = (line_of(asked, item) for item in ("K1", "K2", "F1", "closing"))
        await filled(pilot, app, **{k1: "+", k2: "perhaps"})
        assert "K2: 'perhaps' does not say how it goes" in str(asked.query_one("#wrong").render())  # type: ignore[attr-defined]
        assert asked.focused is asked.query_one(f"#field-{k2}")
        await filled(pilot, app, **{k2: "r 0.1, neck", f1: "15", closing: "0"})
        assert "F1: 15.00 mm for F1, which is to be 8.08 mm there" in str(asked.query_one("#wrong").render())  # type: ignore[attr-defined]
        assert "4 of 7 lines filled in, 1 rub or stop" in str(asked.query_one("#follows").render())  # type: ignore[attr-defined]
        await filled(pilot, app, **{f1: "8.1", "mould": "mould 1", "cores": "1-2"})
        await until(pilot, lambda: f"trying in of {TODAY}: 2 cores, 4 answers" in text_of(screen, "#say"))
        await until(pilot, lambda: "rubbed at K2" in text_of(screen, "#detail"))

    run(made, script)
    (trial,) = trials(KitFacts(made.record, made.job))
    assert [(item, line.result) for item, line in zip(trial.items, trial.lines, strict=True)] == [
        ("core 1", None),
        ("core 2", None),
        ("K1", "goes"),
        ("K2", "rubs"),
        ("F1", None),
        ("closing", None),
    ]
    assert trial.mould == "mould 1" and trial.proving.who == "TK"


def test_what_is_asked_is_taken_as_it_stands_the_second_time(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("z")
        asked = await form(pilot, app, "n")
        await filled(pilot, app, mould="another")
        assert "another is no tool of job TK-1" in str(asked.query_one("#wrong").render())  # type: ignore[attr-defined]
        await pilot.press("ctrl+s")
        await until(pilot, lambda: app.screen is screen)

    run(made, script)
    assert now(made).mould == "another"


def test_a_trial_is_put_right_and_taken_out(made: Kit) -> None:
    tried(made, {"K2": "rubs", "K1": "+"})

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("z")
        await pilot.pause()
        asked = await form(pilot, app, "e")
        assert asked.query_one(f"#field-{line_of(asked, 'K2')}").value == "rubs"  # type: ignore[attr-defined]
        await filled(pilot, app, **{line_of(asked, "K2"): "t"})
        await until(pilot, lambda: "proven together" in text_of(screen, "#detail"))
        assert "K2: tight" in text_of(screen, "#detail") and len(made.record.provings(made.job.of_id)) == 1
        asked = await form(pilot, app, "x")
        await filled(pilot, app, why="another kit's")
        await until(pilot, lambda: "is withdrawn" in text_of(screen, "#say"))
        await until(pilot, lambda: "no trial of this kit" in text_of(screen, "#detail"))

    run(made, script)
    assert made.record.provings(made.job.of_id) == []


def test_the_checklist_is_written_from_its_page(made: Kit, tmp_path: Path) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("h")
        await pilot.pause()
        assert "a checklist on that of trials (z)" in text_of(screen, "#say")
        await pilot.press("z")
        await pilot.pause()
        asked = await form(pilot, app, "h")
        await filled(pilot, app, path="checklist.txt")
        assert app.screen is asked
        await filled(pilot, app, path=str(tmp_path / "checklist.csv"))
        await until(pilot, lambda: "written: " in text_of(screen, "#say"))

    run(made, script)
    assert "trying in,K1," in (tmp_path / "checklist.csv").read_text("utf-8-sig")


def test_a_filled_in_checklist_is_taken_in_among_the_answers(made: Kit, tmp_path: Path) -> None:
    from inspect_tui.shop.answers import checklist as answers
    from inspect_tui.shop.answers import take_in
    from inspect_tui.tui.files.answers import AnswersFile
    from tests.shop.answers.test_checklist import FILLED, sheet

    file = sheet(made, tmp_path, **FILLED)

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        flow = AnswersFile(screen, made.job)
        flow.values["file"] = str(file)
        flow.filled = {"by": "TK", "with": "", "day": None, "days": None, "mould": ""}
        found = flow.look(app.record, lambda *_: None)  # type: ignore[arg-type]
        assert isinstance(found, answers.CheckedSheet) and flow.nothing_new(found) == ""
        assert "rubs, at the neck" in flow.shown(found).plain
        assert "taken in" in flow.write(app.record, found)

    run(made, script)
    assert isinstance(take_in.read(file), answers.FilledIn)
    assert now(made).proving.sort == "trial_closing"
