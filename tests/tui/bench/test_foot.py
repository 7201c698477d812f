"""A foot switch at the Bench: its keys do what is said of the gauge in hand, and reading once more is blind."""

from __future__ import annotations

import asyncio
from typing import ClassVar

from textual import events
from textual._xterm_parser import XTermParser
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen

from inspect_tui.model.gauges import InstrumentProfile
from inspect_tui.model.measuring import Instrument
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.settings import write
from inspect_tui.shop.speech.foot import DEEDS
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench.foot import COMMANDS
from inspect_tui.tui.bench.screen import BenchScreen
from inspect_tui.tui.entry import Entry
from tests.conftest import SmallShop
from tests.tui.hands import settled

SAID = "f13=log f14=retry f15=take-back f16=next pageup=back f8=skip f18=ask"


def with_foot(shop: SmallShop, said: str | None = SAID) -> InspectApp:
    shop.record.add(InstrumentProfile(instrument_of_id=shop.caliper.of_id, foot=said), by=shop.ab.id)
    return InspectApp(shop.record, shop.bench())


def at(app: InspectApp) -> tuple[BenchScreen, Bench]:
    assert isinstance(app.screen, BenchScreen) and app.bench is not None
    return app.screen, app.bench


def test_everything_that_can_be_said_has_its_command() -> None:
    assert COMMANDS.keys() == DEEDS.keys()


def test_each_key_does_what_is_said_of_it(shop: SmallShop) -> None:
    async def script() -> None:
        app = with_foot(shop)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            place, bench = at(app)
            bench.goto("F1")
            await pilot.press(*"59.60", "f13")
            first, then = ([task.feature.balloon for task in bench.tasks].index(balloon) for balloon in ("F1", "F2"))
            assert bench.tasks[first].read == 1 and bench.index == then
            await pilot.press("pageup")
            assert bench.index == first
            await pilot.press("f16")
            assert bench.index == then
            await pilot.press("f8")
            assert bench.tasks[then].mark == "skipped"
            await pilot.press("f15")
            assert [row.out for row in shop.record.readings()] == [True]
            await pilot.press("f18")
            await settled(pilot)
            assert [note.message for note in app._notifications] == [
                "The gauge in hand has no line of its own; Gauges (p) says how it speaks."
            ]
            assert "F13" in str(next(b.key for b in place.bindings() if b.id == "bench.log")).upper()

    asyncio.run(script())


def test_the_keys_are_those_of_the_gauge_in_hand(shop: SmallShop) -> None:
    """With another gauge they mean nothing, or what they mean without it; keys of the settings come back."""
    write.put("keys.bench.skip", "f8,f13")
    other = shop.record.add(Instrument(label="caliper 2"))

    async def script() -> None:
        app = with_foot(shop, "f13=log")
        async with app.run_test(size=(80, 24)) as pilot:
            for _ in range(3000):
                await pilot.pause(0.01)
                if app._set_keys and app._foot:  # of the settings and of the gauge, in whichever order
                    break
            _, bench = at(app)
            assert app.chosen_keys == {"bench.skip": "f8", "bench.log": "ctrl+s,f13"}
            bench.goto("F1")
            await pilot.press(*"59.60", "f13")
            assert [task.read for task in bench.tasks if task.feature.balloon == "F1"] == [1]
            bench.set_instrument(other)
            app.remember(bench)
            await settled(pilot)
            assert app.chosen_keys == {"bench.skip": "f8,f13"}
            at_hand = bench.index
            await pilot.press("f13")
            assert bench.tasks[at_hand].mark == "skipped"

    asyncio.run(script())


def test_a_key_that_was_said_anew_holds_when_the_bench_is_come_back_to(shop: SmallShop) -> None:
    async def script() -> None:
        app = with_foot(shop, None)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            app.go("gauges")
            await settled(pilot)
            (old,) = shop.record.instrument_profiles().values()
            shop.record.revise(old, shop.ab.id, foot="f19=skip")
            app.restyle()  # as the form of the gauge does
            app.go("bench")
            await settled(pilot)
            await pilot.press("f19")
            assert at(app)[1].tasks[0].mark == "skipped"

    asyncio.run(script())


def text_of(place: BenchScreen) -> str:
    return "\n".join("".join(part.text for part in strip) for strip in place._compositor.render_strips())


def test_reading_once_more_shows_nothing_of_what_was_read(shop: SmallShop) -> None:
    async def script() -> None:
        app = with_foot(shop)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            place, bench = at(app)
            bench.goto("F1")
            place.show()
            await pilot.press(*"59.63", "enter")
            await settled(pilot)
            assert "59.63" in text_of(place)
            await pilot.press("f14")
            await settled(pilot)
            task = bench.tasks[bench.index]
            assert task.feature.balloon == "F1" and not place.show_target
            assert "59.63" not in text_of(place) and f"{task.sizes.target:.2f}" not in text_of(place)
            await pilot.press(*"59.61", "f13")
            await settled(pilot)
            assert place.show_target and "59.61" in text_of(place)
            assert [reading.value for reading in bench.readings_of(task)] == [59.61, 59.63]
            await pilot.press("f14", "f16")  # gone on without a reading: nothing stays hidden
            assert place.show_target
            await pilot.press("f5", "f14", *"59.62", "enter")  # whoever measures blind goes on so
            assert not place.show_target

    asyncio.run(script())


def test_there_is_nothing_to_read_once_more_before_the_first_reading(shop: SmallShop) -> None:
    async def script() -> None:
        app = with_foot(shop)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            place, bench = at(app)
            before = bench.index
            await pilot.press("f14")
            assert bench.index == before and place.show_target
            assert "Nothing was read in this stay" in text_of(place)

    asyncio.run(script())


def test_it_logs_wherever_readings_are_typed(shop: SmallShop) -> None:
    """On a screen that has no command for it, and over a key that means something else there."""
    taken: list[str] = []

    class Asked(Screen[None]):
        BINDINGS: ClassVar = [Binding("f8", "app.bell", "Something else")]

        def __init__(self, bench: Bench) -> None:
            super().__init__()
            self.bench = bench

        def compose(self) -> ComposeResult:
            yield Entry(lambda text, _: taken.append(text))

    async def script() -> None:
        app = with_foot(shop, "f13=log f8=log f16=next")
        async with app.run_test(size=(80, 24)) as pilot:
            await app.push_screen(Asked(at(app)[1]))
            await pilot.press(*"1.5", "f13", *"2.5", "f8", *"3.5", "f16", "enter")

    asyncio.run(script())
    assert taken == ["1.5", "2.5", "3.5"]


def test_function_keys_beyond_twelve_arrive_as_consoles_send_them() -> None:
    sent = "".join(f"\x1b[{code}~" for code in (24, 25, 26, 28, 29, 31, 32, 33, 34))
    keys = [event.key for event in XTermParser().feed(sent) if isinstance(event, events.Key)]
    assert keys == [f"f{n}" for n in range(12, 21)]
