"""Forms: read all at once, refused without losing a letter, used once, and typed into as fast as it comes."""

from __future__ import annotations

import ast
import asyncio
import re
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

import inspect_tui
from inspect_tui.errors import DataError
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.bench import memory
from inspect_tui.tui import forms
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Doubt, Field, Form
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]
FIELDS = [
    Field("balloon", "balloon: such as F9"),
    Field("name", "name: what it is"),
    Field("size", "size: such as 20", "20", fields.size),
]


def run(shop: SmallShop, script: Script) -> InspectApp:
    async def go() -> InspectApp:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await script(pilot, app)
        return app

    return asyncio.run(go())


def wrong(app: InspectApp) -> str:
    return str(app.screen.query_one("#wrong", Static).render())


def test_what_is_typed_in_one_go_stands_in_the_right_fields(shop: SmallShop) -> None:
    used: list[Any] = []

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "A feature", FIELDS, use=used.append, then=used.append)
        burst(app, "X9", "enter", "bore", "enter", "end", "backspace", "5", "enter")
        await settled(pilot)
        assert not isinstance(app.screen, Form)

    run(shop, script)
    assert used == [{"balloon": "X9", "name": "bore", "size": 25.0}, None]


def test_a_whole_job_is_made_by_one_burst_of_keys(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "f10", "jobs", "enter")
        await settled(pilot)
        burst(app, "n", "T-7", "enter", "lid", "enter", "grey iron", "enter", "enter", "1.2 %", "enter", "D1", "enter")
        burst(app, "enter", "enter")  # the last field stands; a bounced Enter is nothing
        await settled(pilot)
        assert app.place == "jobs" and not isinstance(app.screen, Form)

    run(shop, script)
    job = shop.record.job("T-7")
    assert (job.name, job.alloy, job.a_x) == ("lid", "grey iron", 0.012)
    assert [r.number for r in shop.record.revisions(job.of_id)] == ["D1"]


def test_a_field_that_cannot_be_read_is_named_and_gets_the_keyboard(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "A feature", [*FIELDS[::-1]], use=lambda _: pytest.fail("used"))
        await pilot.pause()
        app.screen.query_one("#field-size", Input).value = "2O"
        app.screen.query_one("#field-name", Input).value = "bore"
        app.screen.query_one("#field-name", Input).focus()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert wrong(app).startswith("size: ") and wrong(app).endswith(".")
        assert app.focused is app.screen.query_one("#field-size", Input)
        assert app.screen.query_one("#field-name", Input).value == "bore"

    run(shop, script)


def test_what_is_refused_stays_as_it_was_typed_until_it_is_taken(shop: SmallShop) -> None:
    answers: list[Any] = [Wrong("F9 is there already", "take another balloon"), DataError("The disk is full."), "in"]
    then: list[Any] = []

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        def use(_: Any) -> Any:
            answer = answers.pop(0)
            if isinstance(answer, Exception):
                raise answer
            return answer

        forms.ask(app.screen, "A feature", FIELDS, use=use, then=then.append)
        await pilot.pause()
        app.screen.query_one("#field-balloon", Input).value = "F9"
        for said in ("F9 is there already: take another balloon.", "The disk is full."):
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert wrong(app) == said
            assert app.screen.query_one("#field-balloon", Input).value == "F9" and then == []
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert not isinstance(app.screen, Form)

    run(shop, script)
    assert then == ["in"]


def test_what_is_doubtful_is_asked_once_and_again_when_it_is_changed(shop: SmallShop) -> None:
    used: list[Any] = []

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        def read(values: dict[str, Any]) -> Any:
            return Doubt(values["balloon"], ["That is far from the others."])

        forms.ask(app.screen, "A feature", FIELDS, read, used.append)
        await pilot.pause()
        balloon = app.screen.query_one("#field-balloon", Input)
        for text in ("F8", "F9"):
            balloon.value = text
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert "That is far from the others. Ctrl+S again" in wrong(app) and used == []
        await pilot.press("ctrl+s")
        await pilot.pause()

    run(shop, script)
    assert used == ["F9"]


def test_what_follows_is_said_while_it_is_typed_even_when_it_is_an_error(shop: SmallShop) -> None:
    def watch(texts: dict[str, str]) -> str:
        if texts["balloon"] == "F0":
            raise DataError("There is no F0.")
        return f"{texts['balloon']} it is"

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "A feature", FIELDS, watch=watch)
        await pilot.pause()
        follows = app.screen.query_one("#follows", Static)
        for text, said in (("F1", "F1 it is"), ("F0", "There is no F0.")):
            app.screen.query_one("#field-balloon", Input).value = text
            await pilot.pause()
            assert str(follows.render()) == said

    run(shop, script)


def test_a_form_that_is_left_gives_nothing(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(
            app.screen, "A feature", FIELDS, use=lambda _: pytest.fail("used"), then=lambda _: pytest.fail("then")
        )
        burst(app, "F9", "escape")
        await settled(pilot)
        assert not isinstance(app.screen, Form)

    run(shop, script)


def test_what_stood_in_a_form_when_the_program_was_left_stands_there_again(shop: SmallShop) -> None:
    async def leave(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "A feature", FIELDS)
        burst(app, "F9", "enter", "bore", "ctrl+q")
        await settled(pilot)

    async def come_again(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "Another form", FIELDS)
        await settled(pilot)
        assert app.screen.query_one("#field-name", Input).value == ""
        burst(app, "escape")
        await settled(pilot)
        forms.ask(app.screen, "A feature", FIELDS)
        await settled(pilot)
        assert app.screen.query_one("#field-name", Input).value == "bore" and "never entered" in wrong(app)
        assert memory.kept_form(shop.record, "A feature") == {"balloon": "F9", "name": "bore", "size": "20"}
        burst(app, "escape")
        await settled(pilot)

    run(shop, leave)
    run(shop, come_again)
    assert memory.kept_form(shop.record, "A feature") == {}


def test_a_form_that_nothing_was_typed_into_is_not_kept(shop: SmallShop) -> None:
    async def leave(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "A feature", FIELDS)
        burst(app, "ctrl+q")
        await settled(pilot)

    run(shop, leave)
    assert memory.kept_form(shop.record, "A feature") == {}


def test_the_hint_of_the_field_at_hand_stands_whole_under_the_fields(shop: SmallShop) -> None:
    long = "at: " + "where the ends stand along the axis, such as 20 82; " * 3
    lines = [Field("a", "name: short"), Field("b", long, "", None, ["one", ("two", "the second")])]

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "Hints", lines)
        await pilot.pause()
        assert str(app.screen.query_one("#hint", Static).render()) == "name: short"
        await pilot.press("enter")
        await pilot.pause()
        hint = app.screen.query_one("#hint", Static)
        assert str(hint.render()) == f"{long} (Ctrl+L: list)" and hint.size.height == 3
        box = app.screen.query_one("#box")
        assert "Ctrl+L list" in str(box.border_subtitle) and "Ctrl+G" not in str(box.border_subtitle)
        await pilot.press("ctrl+l", "t", "w", "o", "enter")
        await settled(pilot)
        assert app.screen.query_one("#field-b", Input).value == "two"
        await pilot.press("ctrl+g", "ctrl+n")  # there is nothing like it: neither does anything
        assert isinstance(app.screen, Form)

    run(shop, script)


def test_what_carries_the_number_of_the_name_goes_on_with_it(shop: SmallShop) -> None:
    lines = [Field("label", "called"), Field("core", "core"), Field("size", "size")]

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "Boxes", lines, again=True, numbered=("core",))
        await pilot.pause()
        for key, text in (("label", "box 3"), ("core", "3"), ("size", "3")):
            app.screen.query_one(f"#field-{key}", Input).value = text
        await pilot.press("ctrl+g")
        await settled(pilot)
        assert [app.screen.query_one(f"#field-{key}", Input).value for key in ("label", "core", "size")] == [
            "box 4",
            "4",
            "3",
        ]

    run(shop, script)


def test_one_like_another_is_entered_and_the_place_hears_of_the_last(shop: SmallShop) -> None:
    there = [("F9", {"balloon": "F9", "name": "bore", "size": "20"})]
    used: list[Any] = []
    heard: list[Any] = []

    def use(values: dict[str, Any]) -> Any:
        if values["name"] == "bad":
            return Wrong("no")
        used.append((values["balloon"], values["name"]))
        return f"Added {values['balloon']}."

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "More", FIELDS, use=use, then=heard.append, like=lambda: there, again=True)
        await pilot.pause()
        await pilot.press("ctrl+n", "enter")
        await settled(pilot)
        assert app.screen.query_one("#field-balloon", Input).value == "F10"
        await pilot.press("ctrl+g")
        await settled(pilot)
        assert wrong(app) == "Added F10. Another like it:"
        app.screen.query_one("#field-name", Input).value = "bad"
        await pilot.press("ctrl+g")
        await settled(pilot)
        assert wrong(app) == "no." and app.screen.query_one("#field-balloon", Input).value == "F11"
        app.screen.query_one("#field-name", Input).value = "slot"
        await pilot.press("ctrl+g", "escape")
        await settled(pilot)
        assert not isinstance(app.screen, Form)

    run(shop, script)
    assert used == [("F10", "bore"), ("F11", "slot")] and heard == ["Added F11."]


@pytest.mark.parametrize(
    ("name", "taken", "following"),
    [
        ("F9", {"F9", "F10"}, "F11"),
        ("box 3", {"box 3"}, "box 4"),
        ("K7-1", {"k7-1", "K7-2"}, "K7-3"),
        ("F09", {"F09"}, "F10"),
        ("throat", {"throat"}, "throat"),
        ("F9", set(), "F9"),
    ],
)
def test_the_next_name_is_the_next_number_that_is_free(name: str, taken: set[str], following: str) -> None:
    assert forms.next_name(name, taken) == following


# ------------------------------------------------------------------------------ every form on 80 columns
def labels() -> Iterator[tuple[str, str]]:
    """Where it stands, and `name: hint`, of every field of a form: those written out, and those in lists of fields."""
    package = Path(inspect_tui.__file__).parent
    for path in sorted([*(package / "tui").rglob("*.py"), *(package / "shop").rglob("*.py")]):
        if path.parent.name == "entered":
            continue  # columns of tables
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            parts = node.args if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Field" else ()
            if isinstance(node, ast.Tuple) and 2 <= len(node.elts) <= 3:
                parts = node.elts
            said = [part.value for part in parts[:2] if isinstance(part, ast.Constant) and isinstance(part.value, str)]
            if len(said) == 2 and re.fullmatch(r"[a-z_0-9]+", said[0]) and re.match(r"[\w ',/-]+: ", said[1]):
                yield path.name, said[1]


def test_no_hint_of_any_form_is_cut_on_80_columns() -> None:
    every = list(labels())
    assert len(every) > 150
    room = 79 - 4 - 16 - 2
    cut = [(where, label) for where, label in every if len(label.partition(": ")[2]) > room]
    assert cut == []
