"""Rounds at the Bench: a key begins one, what was read before stands beside each size, and blind means blind."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.shop.bench import memory
from inspect_tui.shop.measuring.due import Due
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.bench import rounds
from inspect_tui.tui.bench.screen import BenchScreen
from tests.conftest import SmallShop
from tests.tui.bench.test_screen import run, text_of, typed


def test_a_key_begins_a_round_that_goes_on_after_a_restart_and_is_ended_by_the_key(shop: SmallShop) -> None:
    async def begin(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11", "59.61", "40.41", "39.91")
        await pilot.press("ctrl+x")
        await pilot.pause()
        assert "ROUND" in text_of(app, "#head") and "4 of 4 to measure" in text_of(app, "#say")
        await pilot.pause()
        assert "last time 212.11" in text_of(app, "#below")
        await typed(pilot, "212.12")
        assert "(3 left in the round)" in text_of(app, "#say")

    async def go_on(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.bench and app.bench.left_in_round == ["F1", "F2", "P1"]
        await pilot.press("ctrl+x", "down", "enter")
        await pilot.pause()
        assert app.bench.round is None and "The round is ended" in text_of(app, "#say")

    run(shop, begin)
    back = memory.last_bench(shop.record)
    assert back is not None and back.round is not None
    run(shop, go_on, bench=back)
    back = memory.last_bench(shop.record)
    assert back is not None and back.round is None


def test_blind_shows_no_earlier_reading_no_value_in_the_list_and_no_mean(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11", "59.61", "40.41", "39.91")
        await pilot.press("ctrl+x", "f5")
        for _ in range(3):
            await pilot.pause()
        seen = " ".join(text_of(app, widget) for widget in ("#list", "#now", "#below", "#say", "#where"))
        for secret in ("212.1", "59.6", "40.4", "39.9"):
            assert secret not in seen
        await typed(pilot, "212.12")
        for _ in range(3):
            await pilot.pause()
        seen = " ".join(text_of(app, widget) for widget in ("#list", "#now", "#below"))
        for secret in ("212.11", "59.6", "40.4", "39.9"):
            assert secret not in seen

    run(shop, script)


def test_what_is_due_stands_beside_the_size(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.take("212.11")
    bench.begin_round()
    task, due = bench.tasks[0], {"F3": Due(100.0, True, "due by wear: past its limit")}
    assert rounds.line(bench, task, due, 80, blind=False).plain == "last time 212.11; due by wear: past its limit\n"
    assert rounds.line(bench, task, due, 80, blind=True).plain == "due by wear: past its limit\n"
    bench.end_round()
    assert rounds.line(bench, bench.tasks[0], due, 80, blind=False).plain == ""


def test_two_programs_on_one_record_see_each_others_readings(shop: SmallShop) -> None:
    from inspect_tui.record.store import Record

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert isinstance(app.screen, BenchScreen) and app.bench
        app.screen.look_elsewhere()
        with Record.open(shop.path) as other:
            there = SmallShop(other, shop.path, shop.ab, shop.caliper).bench()
            there.goto("F1")
            there.take("59.61")
            assert app.bench.to_do == 4
            app.screen.look_elsewhere()
            await pilot.pause()
            assert app.bench.to_do == 3 and "Somebody else wrote on this too" in text_of(app, "#say")
        await typed(pilot, "212.11")
        app.screen.look_elsewhere()
        assert text_of(app, "#say").startswith("logged  F3")  # our own writing is none of somebody else

    run(shop, script)
