"""The Bench as a person and as a gauge uses it: keys in, text on the screen, readings in the record."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.errors import Busy, DiskFull, InspectError, ReadOnly
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.todo import Todo
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench.screen import BenchScreen
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.feature.screen import FeatureScreen
from inspect_tui.tui.panel import Panel
from tests.conftest import SmallShop

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


def run(
    shop: SmallShop, script: Script, on: str = "stick 1", size: tuple[int, int] = (80, 24), bench: Bench | None = None
) -> InspectApp:
    async def go() -> InspectApp:
        app = InspectApp(shop.record, bench or shop.bench(on))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await script(pilot, app)
        return app

    return asyncio.run(go())


def text_of(app: InspectApp, widget: str) -> str:
    return app.screen.query_one(widget, Panel).plain


def values(shop: SmallShop, on: str = "stick 1") -> list[float]:
    key = shop.bench(on).subject.key
    return [row.reading.value for row in shop.record.readings(tool_of_id=key, newest_first=False)]


async def typed(pilot: Pilot[int], *lines: str) -> None:
    for line in lines:
        await pilot.press(*line, "enter")
    await pilot.pause()


def test_a_reading_is_logged_and_its_meaning_stands_on_the_screen(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down")
        await typed(pilot, "59.75")
        assert text_of(app, "#say").startswith("logged  F1 59.75")
        last = text_of(app, "#below")
        assert "CONFORMS" in last
        assert "cut 0.16" in last
        assert "the casting will be 59.16" in last

    run(shop, script)
    assert values(shop) == [59.75]


def test_the_verdict_is_on_the_screen_with_the_key_and_the_list_follows(shop: SmallShop) -> None:
    """Between the key and the verdict nothing else is drawn; of a burst the last verdict stands in the end."""

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        app.bench.goto("F1")  # type: ignore[union-attr]
        screen.show()
        before = text_of(app, "#list")
        painted: list[str] = []
        paint, screen._painted = screen._paint_at_once, 0.0
        screen._paint_at_once = lambda: (painted.append(text_of(app, "#below")), paint())[1]  # type: ignore[method-assign]
        screen.take("59.75", 9.0)
        assert len(painted) == 1 and "CONFORMS" in painted[0] and "cut 0.16" in painted[0]
        assert text_of(app, "#list") == before and text_of(app, "#prompt").startswith("F1 ")
        screen._painted += 60.0
        screen.take("40.40", 9.0)
        assert len(painted) == 1  # so soon after the first there is time for it
        await pilot.pause()
        assert "59.75" in text_of(app, "#list") and "last: F2" in text_of(app, "#below")
        assert text_of(app, "#prompt").startswith("P1 ")

    run(shop, script)
    assert values(shop) == [59.75, 40.4]


def test_a_comma_is_a_decimal_mark(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212,15")

    run(shop, script)
    assert values(shop) == [212.15]


def waiting(app: InspectApp) -> list[str]:
    assert app.bench
    return [f"{line.balloon} {line.text}" for line in app.bench.waiting]


def test_words_are_set_apart_with_a_sentence_and_nothing_is_typed_behind_them(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "abc")
        assert "not a size" in text_of(app, "#say")
        assert app.screen.query_one(Entry).value == "" and waiting(app) == ["F3 abc"]
        assert "… F3" in text_of(app, "#list").splitlines()[1] or "…" in text_of(app, "#list")
        await typed(pilot, "212.11", "59.61")
        assert waiting(app) == []

    run(shop, script)
    assert values(shop) == [212.11, 59.61]


def test_a_word_is_mended_with_backspace_and_dropped_with_escape(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.1o")
        await pilot.press("backspace")
        assert app.screen.query_one(Entry).value == "212.1o" and waiting(app) == []
        await pilot.press("backspace", "1", "enter")
        await typed(pilot, "xyz")
        await pilot.press("escape")
        await pilot.pause()
        assert waiting(app) == [] and "Dropped: F1 xyz" in text_of(app, "#say")

    run(shop, script)
    assert values(shop) == [212.11]


def test_lines_that_wait_are_listed_taken_up_moved_and_dropped_one_by_one(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.bench
        app.bench.person = None
        await typed(pilot, "212.11", "59.61", "40.41")
        assert waiting(app) == ["F3 212.11", "F1 59.61", "F2 40.41"]
        app.bench.set_person(shop.ab)
        await pilot.press("ctrl+e", "down", "enter")  # the second of them
        await pilot.press("enter")  # as typed
        await pilot.pause()
        assert "logged  F1 59.61" in text_of(app, "#say") and "F3 212.11" in text_of(app, "#say")
        await pilot.press("ctrl+e", "enter", "end")
        await pilot.press(*"Drop", "enter")
        await pilot.pause()
        assert waiting(app) == ["F2 40.41"]
        await pilot.press("enter")  # the first that waits, in the empty field
        await pilot.pause()

    run(shop, script)
    assert values(shop) == [59.61, 40.41]


def test_a_value_of_the_next_size_does_not_answer_the_question(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down")
        await typed(pilot, "95.59")
        app.screen.query_one(Entry)._last_taken -= 2.0  # a person's pace
        await typed(pilot, "40.41")
        said = text_of(app, "#say")
        assert "logged  F2 40.41" in said and "F1 waits: 95.59 or 59.59?" in said
        app.screen.query_one(Entry)._last_taken -= 2.0
        await typed(pilot, "59.60")
        assert "95.59 struck out, 59.60 stands" in text_of(app, "#say")

    run(shop, script)
    assert values(shop) == [40.41, 95.59, 59.60]


def test_markup_in_what_is_typed_is_shown_literally(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.screen.query_one(Entry).value = "[/box][red]x"
        await pilot.press("enter")
        await pilot.pause()
        assert "[red]x" in text_of(app, "#say")

    run(shop, script)


def test_the_question_is_asked_once_and_enter_keeps_it(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down")
        await typed(pilot, "95.59")
        assert "Not logged yet" in text_of(app, "#say") and "59.59" in text_of(app, "#say")
        await pilot.press("enter")
        await pilot.pause()
        assert "kept as typed" in text_of(app, "#say")

    run(shop, script)
    assert values(shop) == [95.59]


def test_equals_takes_the_suggestion(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down")
        await typed(pilot, "95.59")
        await pilot.press("=")
        await pilot.pause()

    run(shop, script)
    assert values(shop) == [95.59, 59.59]


def test_quitting_keeps_a_reading_that_is_being_asked_about(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down")
        await typed(pilot, "95.59")
        await pilot.press("ctrl+q")
        await pilot.pause()

    run(shop, script)
    assert values(shop) == [95.59]


def test_taking_back_shows_the_reading_struck_out(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down")
        await typed(pilot, "59.60")
        await pilot.press("f9")
        await pilot.pause()
        assert "taken back" in text_of(app, "#say")
        assert "void" in text_of(app, "#below")

    run(shop, script)


def test_for_castings_the_size_wanted_stays_hidden_until_asked_for(shop: SmallShop) -> None:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs import jobs

    jobs.add_casting(shop.record, find.job(shop.record, None), "S1-1")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert "hidden" in text_of(app, "#now")
        assert "drawing" not in text_of(app, "#now")
        await pilot.press("f5")
        await pilot.pause()
        assert "drawing" in text_of(app, "#now")

    run(shop, script, on="casting S1-1")


def test_help_lists_every_key_and_question_mark_opens_it(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("question_mark")
        await pilot.pause()
        shown = str(app.screen.query_one(Static).render())
        for binding in BenchScreen.BINDINGS:
            if getattr(binding, "show", False):
                assert getattr(binding, "description", "") in shown
        await pilot.press("escape")

    run(shop, script)


def test_the_palette_has_every_command(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        titles = {command.title for command in app.get_system_commands(app.screen)}
        assert {"Take back the last line", "Who measures", "With what", "Skip", "Go to Jobs", "Quit"} <= titles

    run(shop, script)


def test_a_person_is_changed_with_a_key(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("f3", *"IN", "enter")
        await pilot.pause()
        assert app.bench and app.bench.person and app.bench.person.initials == "IN"

    run(shop, script)


def test_the_bell_rings_out_of_band_and_can_be_turned_off(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    rung: list[int] = []

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        monkeypatch.setattr(app, "bell", lambda: rung.append(1))
        await pilot.press("down", "down")
        await typed(pilot, "40.75")
        await pilot.press("ctrl+b", "f7")
        await typed(pilot, "39.5")

    run(shop, script)
    assert rung == [1]


# ------------------------------------------------------------------------------ gauges that type like a keyboard
def burst(app: InspectApp, text: str) -> None:
    """Keys as fast as the terminal hands them over, nothing waited for in between."""
    for character in text:
        key = {"\r": "enter", "\n": "ctrl+j", ".": "full_stop"}.get(character, character)
        app.post_message(events.Key(key, character if character not in "\r\n" else None))


def fits(index: int) -> str:
    return f"{212.10 + (index % 11 - 5) / 100:.2f}"


def prepare_again(app: InspectApp) -> None:
    """Keep the first feature open, so that a burst of values for it stays on it."""
    assert app.bench
    app.bench.tasks = app.bench.tasks[:1]


def test_five_hundred_readings_in_one_burst_none_lost_none_swapped(shop: SmallShop) -> None:
    wanted = [fits(i) for i in range(500)]

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        prepare_again(app)
        burst(app, "".join(value + "\r" for value in wanted))
        for _ in range(600):
            await pilot.pause()
            if len(values(shop)) == 500:
                break

    run(shop, script)
    assert values(shop) == [float(value) for value in wanted]


def test_a_burst_goes_on_across_auto_advance(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "212.11\r59.61\r40.41\r39.91\r")
        for _ in range(30):
            await pilot.pause()

    run(shop, script)
    rows = shop.record.readings(tool_of_id=shop.bench().subject.key, newest_first=False)
    balloons = [shop.record.feature(row.reading.feature_id).balloon for row in rows]
    assert list(zip(balloons, values(shop), strict=True)) == [
        ("F3", 212.11),
        ("F1", 59.61),
        ("F2", 40.41),
        ("P1", 39.91),
    ]


def test_a_question_in_the_middle_of_a_burst_loses_nothing(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "212.11\r95.59\r40.41\r39.91\r")
        for _ in range(30):
            await pilot.pause()

    run(shop, script)
    assert values(shop) == [212.11, 95.59, 40.41, 39.91]


def test_a_long_question_is_seen_to_its_end_at_80_columns(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        say = app.screen.query_one("#say", Panel)
        await typed(pilot, "212.10 212.57")
        assert say.rows > 3
        assert say.size.height == say.rows
        assert say.plain.endswith("Or type it again.")
        await pilot.press("enter")
        await pilot.pause()
        assert say.size.height == 3

    run(shop, script)


def test_the_header_says_who_and_with_what_at_80_columns(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        head = text_of(app, "#head")
        assert len(head) == 80
        assert "SV-12" in head and "stick 1" in head and "AB" in head and "caliper 1" in head and "U 0.04 mm" in head

    run(shop, script)


def test_on_a_wide_screen_the_budget_stands_beside_the_verdict(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.10")
        assert "where U comes from" in text_of(app, "#below")

    run(shop, script, size=(160, 48))


@pytest.mark.parametrize(
    "trouble",
    [
        DiskFull("the disk is full (0.3 MB free).", todo=Todo.FREE_SPACE),
        Busy("another program holds the record"),
        ReadOnly("it was opened to read only."),
    ],
)
def test_what_could_not_be_written_waits(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch, trouble: InspectError
) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        def refuse(*_: object, **__: object) -> None:
            raise trouble

        with monkeypatch.context() as patch:
            patch.setattr(type(shop.record), "add_all", refuse)
            await typed(pilot, "212.11")
            assert app.screen.query_one(Entry).value == "" and waiting(app) == ["F3 212.11"]
            assert "Not logged" in text_of(app, "#say") and str(trouble)[:20] in text_of(app, "#say")
            assert ("press Enter again" in text_of(app, "#say")) == (trouble.todo is Todo.FREE_SPACE)
        await pilot.press("enter")  # the trouble is over: Enter again
        await pilot.pause()
        assert "logged  F3 212.11" in text_of(app, "#say")

    run(shop, script)
    assert values(shop) == [212.11]


@pytest.mark.parametrize("back", [True, False])
def test_a_record_that_is_moved_away_under_the_screen_takes_nothing_until_it_is_back(
    shop: SmallShop, back: bool
) -> None:
    away = shop.path.with_name("away.db")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.10")
        shop.path.rename(away)
        await typed(pilot, "59.60")
        assert waiting(app) == ["F1 59.60"] and "Not logged" in text_of(app, "#say")
        assert "is no longer in" in text_of(app, "#say")
        if not back:
            shop.path.write_bytes(away.read_bytes())  # somebody puts a copy in its place
            await pilot.press("enter")
            await pilot.pause()
            assert waiting(app) == ["F1 59.60"] and "another file was put in the place" in text_of(app, "#say")
            shop.path.unlink()
        away.rename(shop.path)
        await pilot.press("enter")
        await pilot.pause()
        assert waiting(app) == [] and "logged  F1 59.60" in text_of(app, "#say")

    run(shop, script)
    assert values(shop) == [212.10, 59.60]


def test_a_record_that_may_only_be_read_says_so_in_the_head(shop: SmallShop) -> None:
    shop.record.close()
    record = Record.open(shop.path, read_only=True)
    job = find.job(record, None)
    bench = Bench(record, job, find.subject(record, job, "stick 1"), shop.ab, shop.caliper)

    async def go() -> None:
        app = InspectApp(record, bench)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            assert "READ ONLY" in text_of(app, "#head")
            await typed(pilot, "212.11")
            assert waiting(app) == ["F3 212.11"]
            assert "Not logged" in text_of(app, "#say")

    asyncio.run(go())
    record.close()


# ------------------------------------------------------------------------------ a question that stands
def test_a_kept_reading_is_shown_even_when_the_line_behind_it_is_refused(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.screen.query_one(Entry).post_message(events.Paste("212.11\n95.59\nhello\n40.41\n"))
        for _ in range(10):
            await pilot.pause()
        assert "F1 95.59" in text_of(app, "#below") or "F1" in text_of(app, "#list")
        assert waiting(app) == []  # what follows a word that is no size is taken for its size

    run(shop, script)
    assert values(shop) == [212.11, 95.59, 40.41]


def test_the_line_before_stands_until_it_is_taken_back_itself(shop: SmallShop) -> None:
    """What was asked about goes first; the verdict below is of another line, and is not struck with it."""

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11", "95.59")
        shown = []
        for _ in range(2):
            await pilot.press("f9")
            await pilot.pause()
            (last,) = [part for part in text_of(app, "#below").split("╌") if "last:" in part]
            shown.append(("CONFORM" in last, "taken back" in last))
        assert shown == [(True, False), (False, True)]

    run(shop, script)


def test_taking_back_while_a_question_stands_takes_back_what_was_asked_about(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11", "95.59")
        await pilot.press("f9")
        await pilot.pause()
        assert "taken back  F1 95.59" in text_of(app, "#say")
        assert app.bench and app.bench.pending is None

    run(shop, script)
    rows = shop.record.readings(tool_of_id=shop.bench().subject.key, newest_first=False)
    assert [(row.reading.value, row.out) for row in rows] == [(212.11, False), (95.59, True)]


def test_a_question_stays_in_sight_whatever_else_is_said(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11", "95.59")
        await pilot.press("ctrl+b")
        await pilot.pause()
        assert "bell is off" in text_of(app, "#say") and "59.59" in text_of(app, "#say")

    run(shop, script)


def test_lines_that_were_not_logged_are_offered_again_next_time(shop: SmallShop) -> None:
    async def leave(pilot: Pilot[int], app: InspectApp) -> None:
        app.screen.query_one(Entry).post_message(events.Paste("212.11\nhello\n40.41\n"))
        for _ in range(10):
            await pilot.pause()
        await pilot.press("6", "6")  # typed, and not entered
        await pilot.press("ctrl+q")
        await pilot.pause()

    async def again(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.screen.query_one(Entry).value == "" and waiting(app) == ["F1 hello", "P1 66"]
        assert "2 lines were not logged" in text_of(app, "#say")
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert waiting(app) == []

    async def once_more(pilot: Pilot[int], app: InspectApp) -> None:
        assert waiting(app) == []

    run(shop, leave)
    run(shop, again)
    run(shop, once_more)


def test_a_closed_terminal_keeps_what_is_being_asked_about(shop: SmallShop) -> None:
    import os
    import signal

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11", "95.59")
        os.kill(os.getpid(), signal.SIGHUP)
        for _ in range(10):
            await pilot.pause()

    run(shop, script)
    assert values(shop) == [212.11, 95.59]


def test_a_machined_casting_is_measured_finished_and_the_head_says_so(shop: SmallShop) -> None:
    jobs.add_casting(shop.record, find.job(shop.record, None), "C1")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down")
        assert "FINISHED" not in text_of(app, "#head")
        await pilot.press("5", "ctrl+y")
        await pilot.pause()
        assert "casting C1  FINISHED" in text_of(app, "#head")
        assert "casting C1 is measured finished from now on" in text_of(app, "#say") or "5 still stands" in text_of(
            app, "#say"
        )
        assert app.screen.query_one(Entry).value == "5"  # what was being typed stays
        await pilot.press("escape")
        assert app.bench
        app.bench.goto("F1")
        await typed(pilot, "62.01")
        assert "F1 62.01" in text_of(app, "#say") and "CONFORMS" in text_of(app, "#below")
        await pilot.press("ctrl+y")
        await pilot.pause()
        assert "FINISHED" not in text_of(app, "#head") and len(app.bench.tasks) == 5
        await pilot.press("ctrl+y", "ctrl+f")
        await pilot.pause()
        assert isinstance(app.screen, FeatureScreen)
        assert app.screen.heading()[0].endswith("castings, finished")

    run(shop, script, on="casting C1")

    async def on_stick(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+y")
        assert "stick 1 is no casting" in text_of(app, "#say")

    run(shop, on_stick)


def test_a_caliper_is_not_asked_for_an_angle(shop: SmallShop) -> None:
    from inspect_tui.shop.jobs import feature_form as featureform
    from inspect_tui.shop.jobs import jobs

    job = find.job(shop.record, None)
    fields = dict(
        balloon="A1",
        name="branch angle",
        quantity="angle",
        axis="none",
        nominal="75",
        limits="±1",
        a="core 1",
        b="core 1",
        between="space",
        stock="0 0",
    )
    made = featureform.read(shop.record, job, fields)
    assert not isinstance(made, str)
    jobs.add_feature(shop.record, job, made)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.bench
        app.bench.goto("A1")
        await typed(pilot, "75")
        assert "reads mm" in text_of(app, "#say")

    run(shop, script)
    assert values(shop) == []


def test_a_clock_that_is_wrong_is_said_at_the_start_and_with_each_line(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    now = shop.record._clock()
    shop.record._clock = lambda: (now[0] + 3653 * 86_400_000_000, now[1])

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        said = " ".join(text_of(app, "#say").split())
        assert "set the clock right" in said and "(Ctrl+T)" in said
        await pilot.press("down")
        await typed(pilot, "59.61")
        assert "the clock is in doubt" in text_of(app, "#say")

    run(shop, script)


def test_the_verdict_that_stands_follows_the_unit(shop: SmallShop) -> None:
    """Its cut, too: 0.10 mm too big says 0.10 in mm and 3.9 thou beside parts of an inch (25.4 mm to the inch)."""

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.bench is not None and isinstance(app.screen, BenchScreen)
        app.bench.goto("F1")
        await pilot.press(*"59.69", "enter")
        assert "cut 0.10" in text_of(app, "#below") and "mm (k" in text_of(app, "#below")
        app.bench.set_conditions(35.0)  # of what comes: it stands as it was judged
        await pilot.press("ctrl+k", "ctrl+k")
        said = text_of(app, "#below")
        assert "✓ CONFORMS" in said and "cut 3.9 thou" in said and "thou (k" in said and "thou in" not in said
        assert app.screen.outcome is not None and app.screen.outcome.judged.value == 59.69

    run(shop, script)
