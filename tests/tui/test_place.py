"""What every place has for nothing: keys, commands, questions put to the record, a way out when it cannot be drawn."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable
from typing import Any, ClassVar

import pytest
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.errors import DataError
from inspect_tui.record.chain import rights
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.tui import app as app_module
from inspect_tui.tui.app import PLACES, InspectApp
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.place import Found, Place, page_keys, window
from inspect_tui.tui.question import Chooser, Secret, choose
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled


class Walls(Place):
    """A place as short as one can be."""

    NAME = "Walls"
    FOOT = "n new  F1 keys"
    WORDS = "\nWalls\n  a wall is what is left\n"
    TABS = ("list", "picture")
    BINDINGS: ClassVar[list[BindingType]] = [
        *page_keys("walls", TABS),
        Binding("n", "new", "A new wall", id="walls.new"),
        Binding("m", "add(3)", "Three more", id="walls.add"),
        Binding("x", "fail", "Fail", show=False),
        Binding("q", "question", "Ask", id="walls.question"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.walls, self.arrived, self.back = 0, 0, 0
        self.wall = ""
        self.fault: Exception | None = None

    def arrive(self) -> None:
        self.arrived += 1
        self.show()

    def returned(self) -> None:
        self.back += 1

    def draw(self, width: int, height: int) -> None:
        if self.fault is not None:
            raise self.fault
        self.put("#body", f"{self.walls} walls, {self.wall} {width}x{height} page {self.page}")

    def action_new(self) -> None:
        """Write a wall down.

        And more.
        """
        self.attempt(lambda: self._one_more(1))

    def action_add(self, by: int) -> None:
        """Write several down."""
        self.attempt(lambda: self._one_more(by))

    def action_question(self) -> None:
        """Ask something."""
        choose(self, "Which?", [(1, "one")], lambda _: None)

    def action_fail(self) -> None:
        raise ZeroDivisionError("x of nothing")

    def _one_more(self, by: int) -> str:
        if self.walls > 3:
            raise DataError("There are enough walls.")
        self.walls += by
        return f"{self.walls} now"


Script = Callable[[Pilot[int], InspectApp, Any], Awaitable[None]]


@pytest.fixture(autouse=True)
def walls(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program has a place more."""
    monkeypatch.setitem(PLACES, "walls", ("Walls", "what is left between faces", "walls", "Walls"))
    made = app_module.make_place
    monkeypatch.setattr(app_module, "make_place", lambda name: Walls() if name == "walls" else made(name))


def run(shop: SmallShop, script: Script, record: Record | None = None) -> InspectApp:
    async def go() -> InspectApp:
        app = InspectApp(record or shop.record, None if record else shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            app.go("walls")
            await settled(pilot)
            await script(pilot, app, app.screen)
        return app

    return asyncio.run(go())


def text_of(place: Place, widget: str = "#body") -> str:
    return str(place.query_one(widget, Static).render())


# ------------------------------------------------------------------------------ what it has for nothing
def test_head_pages_body_say_line_and_foot_fill_the_screen(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        assert text_of(place, "#head").startswith(f" Walls · {shop.record.path.name}")
        assert len(text_of(place, "#head")) == 80
        assert text_of(place, "#tabs").split() == ["1", "list", "2", "picture"]
        assert text_of(place) == "0 walls,  80x19 page 0" and text_of(place, "#foot") == "n new  F1 keys"
        await pilot.press("2")
        assert "page 1" in text_of(place)
        await pilot.press("tab")
        assert "page 0" in text_of(place)
        await pilot.press("shift+tab")
        assert "page 1" in text_of(place)

    run(shop, script)


def test_it_is_drawn_once_for_a_size_however_often_the_library_tells_it(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[int] = []
    draw = Walls.draw
    monkeypatch.setattr(Walls, "draw", lambda self, width, height: (drawn.append(width), draw(self, width, height))[1])

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        drawn.clear()
        place.on_resize()
        assert drawn == []
        monkeypatch.setattr(Walls, "size", Size(100, 30))
        place.on_resize()
        place.on_resize()
        assert drawn == [100] and "100x25" in text_of(place)
        drawn.clear()
        place.fault = ValueError("cannot")
        place.show()
        place.fault = None
        place.on_resize()
        assert drawn == [100, 100] and "100x25" in text_of(place)  # what could not be drawn is drawn anew

    run(shop, script)


def test_a_long_head_keeps_what_stands_on_the_right(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        place.heading = lambda: ("x" * 100, "the end")  # type: ignore[method-assign]
        place.show()
        head = text_of(place, "#head")
        assert len(head) == 80 and head.endswith("x… the end ")

    run(shop, script)


def test_a_record_that_may_only_be_read_says_so_in_every_place(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        shop.record.stop_writing("The file is damaged.")
        place.show()
        assert "READ ONLY" in text_of(place, "#head")
        place.with_person(lambda _: pytest.fail("nothing can be written"))
        assert "damaged" in text_of(place, "#say")

    run(shop, script)


def test_f2_runs_what_has_a_key_with_what_the_key_gives_along(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        offered = {command.title: command for command in place.commands()}
        assert "Fail" not in offered and offered["A new wall"].help == "Write a wall down."
        burst(app, "f2", "three more", "enter")
        await settled(pilot)
        assert place.walls == 3 and text_of(place, "#say") == "3 now"

    run(shop, script)


def test_escape_leads_to_the_places_unless_the_place_has_its_own(shop: SmallShop) -> None:
    class Own(Walls):
        BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "new", "New", id="own.new")]

    keys = {binding.key: binding.action for binding in Own().own_bindings()}
    assert keys["escape"] == "new" and keys["f1,question_mark"] == "help" and keys["n"] == "new"

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, Chooser) and app.screen.question == "Where to?"

    run(shop, script)


def test_what_is_done_is_said_and_so_is_why_not(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        await pilot.press("m", "n")
        assert text_of(place, "#say") == "4 now" and "4 walls" in text_of(place)
        await pilot.press("n")
        assert text_of(place, "#say") == "Nothing was changed: There are enough walls." and place.walls == 4

    run(shop, script)


def test_coming_back_arrives_and_the_end_of_a_question_does_not(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        assert (place.arrived, place.back) == (1, 0)
        burst(app, "q", "enter")
        await settled(pilot)
        assert (place.arrived, place.back) == (1, 1)
        app.go("jobs")
        await settled(pilot)
        app.go("walls")
        await settled(pilot)
        assert app.screen is place and (place.arrived, place.back) == (2, 1)
        app.go("walls")
        await settled(pilot)
        assert place.arrived == 3

    run(shop, script)


def test_a_long_text_is_windowed_and_says_how_much_is_left() -> None:
    from rich.text import Text

    text = Text("\n".join(map(str, range(20))) + "\n\n")
    shown, row = window(text, 99, 5)
    assert shown.plain == "15\n16\n17\n18\n19" and row == 15
    shown, row = window(text, -3, 5)
    assert shown.plain == "0\n1\n2\n3\n↓ 16 more lines" and row == 0


# ------------------------------------------------------------------------------ questions put to the record
def test_an_answer_is_kept_under_its_name_and_drawn(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        place.ask("wall", lambda reader, answer: answer(wall=f"{len(reader.jobs())} jobs"))
        assert place.waits_for("wall")
        await settled(pilot)
        assert "1 jobs" in text_of(place) and not place.waits_for("wall")

    run(shop, script)


def test_only_the_newest_question_of_a_name_is_answered(shop: SmallShop) -> None:
    heard: list[str] = []
    go_on = threading.Event()
    wanted: list[bool] = []

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        def slow(reader: Any, answer: Any) -> None:
            go_on.wait(10)
            wanted.append(answer(said="old"))

        place.ask("wall", slow, lambda said: heard.append(said))
        place.ask("other", slow, lambda said: heard.append(f"other {said}"))
        await pilot.pause()
        place.ask("wall", lambda reader, answer: answer(said="new"), lambda said: heard.append(said))
        await pilot.pause()
        place.forget("other")
        go_on.set()
        await settled(pilot)

    run(shop, script)
    assert heard == ["new"] and wanted == [False, False]


def test_an_answer_that_is_on_its_way_when_something_newer_is_asked_is_dropped(shop: SmallShop) -> None:
    heard: list[str] = []

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        place.ask("wall", lambda reader, answer: answer(said="new"), lambda said: heard.append(said))
        place.post_message(Found("wall", 0, {"said": "old"}))
        place.post_message(Found("never asked", 1, {"said": "old"}))
        await settled(pilot)

    run(shop, script)
    assert heard == ["new"]


@pytest.mark.parametrize("always", [False, True])
def test_who_has_left_hears_only_what_is_wanted_anyway(shop: SmallShop, always: bool) -> None:
    heard: list[str] = []
    go_on = threading.Event()

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        def slow(reader: Any, answer: Any) -> None:
            go_on.wait(10)
            answer(said="written")

        place.ask("paper", slow, lambda said: heard.append(said), always=always)
        app.go("jobs")
        await pilot.pause()
        go_on.set()
        await settled(pilot)
        assert place.waits_for("paper") is False

    run(shop, script)
    assert heard == (["written"] if always else [])


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (DataError("Too few readings."), "Too few readings."),
        (KeyError("box"), "That could not be worked out (KeyError: 'box'). Nothing that was logged is touched."),
    ],
)
def test_what_cannot_be_worked_out_is_said_and_the_place_stays(shop: SmallShop, fault: Exception, said: str) -> None:
    heard: list[str] = []

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        def fail(reader: Any, answer: Any) -> None:
            raise fault

        place.ask("wall", fail)
        await settled(pilot)
        assert " ".join(text_of(place, "#say").split()) == said
        place.ask("wall", fail, wrong=heard.append)
        await settled(pilot)
        await pilot.press("n")
        assert "1 walls" in text_of(place)

    run(shop, script)
    assert heard == [said]


# ------------------------------------------------------------------------------ when something fails
def test_a_place_that_cannot_draw_says_so_and_offers_jobs(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        place.fault = ZeroDivisionError("of nothing")
        place.show()
        await pilot.pause()
        said = text_of(place, "#trouble")
        assert "Walls cannot be shown: ZeroDivisionError: of nothing" in said and "Enter goes to Jobs" in said
        assert place.query_one("#trouble").display and not place.query_one("#body").display
        assert "ZeroDivisionError" in memory.trouble_file().read_text("utf-8")
        await pilot.press("n")  # nothing is done unseen
        assert place.walls == 0
        await pilot.press("enter")
        await settled(pilot)
        assert app.place == "jobs"
        app.go("walls")
        await settled(pilot)
        assert "cannot be shown" in text_of(place, "#trouble")
        await pilot.press("f10")
        await pilot.pause()
        assert isinstance(app.screen, Chooser)
        await pilot.press("escape")
        await pilot.pause()
        place.fault = None
        app.go("walls")
        await settled(pilot)
        assert not place.query_one("#trouble").display and "0 walls" in text_of(place)
        await pilot.press("n")
        assert place.walls == 1

    run(shop, script)


@pytest.mark.parametrize("fault", ["arrive", "body", "returned", "use"])
def test_wherever_a_place_fails_while_it_is_shown_the_program_goes_on(shop: SmallShop, fault: str) -> None:
    def fail(*_: Any, **__: Any) -> Any:
        raise DataError("The job is gone.")

    class Broken(Walls):
        def body(self) -> Any:
            yield Static(id="body")
            yield Entry(lambda text, gap: text)  # it has the keyboard, and takes every Enter

    if fault in ("arrive", "body"):
        setattr(Broken, fault, fail)

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        if fault == "returned":
            place.returned = fail  # type: ignore[method-assign]
            place.action_question()
            burst(app, "escape")
        elif fault == "use":
            place.ask("wall", lambda reader, answer: answer(wall="x"), fail)
        await settled(pilot)
        assert "Walls cannot be shown: The job is gone." in text_of(place, "#trouble")
        assert app.focused is None
        burst(app, "enter")
        await settled(pilot)
        assert app.place == "jobs"

    with pytest.MonkeyPatch.context() as patch:
        made = app_module.make_place
        patch.setattr(app_module, "make_place", lambda name: Broken() if name == "walls" else made(name))
        run(shop, script)


def test_who_has_a_pin_gives_it_once_before_something_is_changed(shop: SmallShop, walls: None) -> None:
    record = shop.record
    (old, *_) = [p for p in record.people() if p.initials == "AB"]
    person = record.revise(old, old.id, pin_hash=rights.pin_hash("4711"))
    done: list[str] = []

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        app.bench.person = person  # type: ignore[union-attr]
        place.with_person(lambda who: done.append(who.initials))
        await settled(pilot)
        assert isinstance(app.screen, Secret) and done == []
        assert "PIN of AB" in [command.title for command in app.get_system_commands(app.screen)]
        burst(app, *"0815", "enter")
        await settled(pilot)
        assert "That is not the PIN of AB: nothing was changed." in text_of(app.screen, "#say") and done == []
        place.with_person(lambda who: done.append(who.initials))
        await settled(pilot)
        burst(app, *"4711", "enter")
        await settled(pilot)
        assert done == ["AB"] and app.screen is place
        place.with_person(lambda who: done.append(who.initials))
        assert done == ["AB", "AB"]
        assert not any("PIN" in command.title for command in app.get_system_commands(app.screen))

    run(shop, script)
