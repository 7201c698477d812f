"""The program: a place that cannot be made, and the exit status."""

from __future__ import annotations

import asyncio
import os
import time
from datetime import datetime, timedelta

import pytest
from textual.pilot import Pilot

from inspect_tui.model.measuring import Instrument
from inspect_tui.model.work import Item, Job
from inspect_tui.record.care import backups
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.tui import app as app_module
from inspect_tui.tui.app import PLACES, InspectApp
from inspect_tui.tui.place import NoPlace
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled
from tests.tui.test_place import (
    Walls,
    run,
    text_of,
    walls,  # noqa: F401  a fixture
)


def test_a_place_that_cannot_be_made_is_one_that_says_so(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(PLACES, "kit", ("Kit", "", "no_such_module", "KitScreen"))

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        app.go("kit")
        await settled(pilot)
        assert isinstance(app.screen, NoPlace)
        assert "Kit cannot be shown: ModuleNotFoundError" in text_of(app.screen, "#trouble")
        burst(app, "f10", "bench", "enter")
        await settled(pilot)
        assert app.place == "bench"

    run(shop, script)


@pytest.mark.parametrize("fails", [False, True])
def test_the_exit_status_is_1_only_after_a_fault(shop: SmallShop, monkeypatch: pytest.MonkeyPatch, fails: bool) -> None:
    headless = InspectApp.run

    def on_mount(self: InspectApp) -> None:
        self.call_after_refresh(self._boom if fails else self.action_leave)  # type: ignore[attr-defined]

    monkeypatch.setattr(InspectApp, "_boom", lambda self: 1 / 0, raising=False)
    monkeypatch.setattr(InspectApp, "on_mount", on_mount)
    monkeypatch.setattr(InspectApp, "run", lambda self: headless(self, headless=True))
    assert app_module.run(shop.record, shop.bench()) == (1 if fails else 0)


def take(shop: SmallShop, text: str) -> None:
    bench = shop.bench()
    bench.goto("F1")
    assert isinstance(bench.take(text), Logged)


def test_backups_are_made_hourly_beside_the_work_and_an_old_one_is_said(shop: SmallShop) -> None:
    take(shop, "59.6")
    os.utime(f"{shop.path}.lock", (time.time() - 3700,) * 2)
    made = backups.make(shop.path, datetime.now() - timedelta(days=9)).path
    take(shop, "59.7")

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        app.look_for_damage()
        await app.workers.wait_for_complete()
        app.back_up_when_due()
        await app.workers.wait_for_complete()
        await pilot.pause()
        (said,) = {
            note.message for note in app._notifications if "backup" in note.message
        }  # it looks at its start, too
        assert said.startswith("TOO OLD: last good backup 9 days ago") and "not in it" in said

    run(shop, script)
    assert len(list(made.parent.glob("*.db"))) == 2


# ------------------------------------------------------------------------------ a job whose drawing is at odds with itself
ODD = """
[job]
number = "OB-1"
name = "sizes outside their own limits"
contraction = "1.0 %"
[drawing]
number = "OB-1-01"
rev = "A"
[[core]]
number = 1
name = "bore"
[[tool]]
label = "drag pattern"
kind = "pattern_drag"
[[tool]]
label = "stick 1"
kind = "core_stick"
core = 1
"""
ODD_SIZES = [  # balloon, quantity, axis, size, limits, what is read
    ("F1", "diameter", "none", "30", "f7", ("30.27", "31", "1", "-4", "9000")),
    ("F2", "length", "x", "100", "-0.3/-0.7", ("100.49", "99.0 104.0", "0.001")),
    ("F3", "length", "x", "80", "", ("80.81", "70")),
    ("F4", "length", "y", "50", "max 49.5", ("50.0", "49.99", "2000")),
    ("F5", "angle", "none", "45", "44..44.5", ("44.2", "300")),
    ("F6", "length", "z", "20", "20.5..20.5", ("20.7", "20.71")),
]


def odd_job(record: Record) -> Job:
    text = ODD
    for balloon, quantity, axis, size, limits, _ in ODD_SIZES:
        text += (
            f'[[feature]]\nballoon = "{balloon}"\nname = "size {balloon}"\nquantity = "{quantity}"\naxis = "{axis}"\n'
        )
        text += f'nominal = {size}\na = "drag"\nb = "drag"\n' + (f'limits = "{limits}"\n' if limits else "")
    return jobs.add_from_file(record, text).job


@pytest.mark.parametrize("size", [(80, 24), (160, 48)])
def test_every_place_opens_on_sizes_outside_their_own_limits_and_readings_far_out(
    shop: SmallShop, size: tuple[int, int]
) -> None:
    """Targets, limits and readings beyond the drawn range are arrows; the record opens again with all of it inside."""
    record = shop.record
    job = odd_job(record)
    item = record.add(Item(job_of_id=job.of_id, serial="C1"))
    any_kind = record.add(Instrument(label="arm", kind="arm", resolution=0.001, range_hi=9999.0), shop.ab.id)
    for subject in (find.subject(record, job, "drag pattern"), find.subject(record, job, f"casting {item.serial}")):
        bench = Bench(record, job, subject, shop.ab, any_kind)
        for balloon, _, _, _, _, lines in ODD_SIZES:
            for line in lines:
                bench.goto(balloon)
                bench.take(line)
                bench.keep_pending()
    memory.remember(record, bench)  # the casting: the next start comes back to it

    async def go(bench: Bench | None) -> None:
        assert bench is not None
        app = InspectApp(record, bench)
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            for at in range(len(ODD_SIZES)):
                bench.index = at
                app.screen.show()  # type: ignore[attr-defined]
                await settled(pilot)
            for name in PLACES:
                app.go(name)
                await settled(pilot)
                assert not isinstance(app.screen, NoPlace), name
                assert "cannot be shown" not in text_of(app.screen, "#trouble"), name
                await pilot.press("down", "up")
                await settled(pilot)
        assert app.return_code in (None, 0)

    for open_on in (memory.last_bench(record), Bench(record, job, find.subject(record, job, "drag pattern"))):
        asyncio.run(go(open_on))


def test_a_clock_that_cannot_be_believed_is_said_once_at_whatever_place(shop: SmallShop) -> None:
    take(shop, "59.60")
    now = shop.record._clock()

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        said: list[str] = []
        app.notify = lambda text, **_: said.append(text)  # type: ignore[method-assign,assignment]
        app.look_at_clock()
        assert said == []
        shop.record._clock = lambda: (now[0] + 3653 * 86_400_000_000, now[1])
        for _ in range(3):
            app.look_at_clock()
        assert len(said) == 1 and "set the clock right" in said[0] and "(Ctrl+T)" in said[0]
        shop.record._clock = lambda: now
        app.look_at_clock()
        shop.record._clock = lambda: (now[0] - 3653 * 86_400_000_000, now[1])
        app.look_at_clock()
        assert len(said) == 2
        app.today = "2026-03-10"  # a played day has no clock
        app.clock_said = False
        app.look_at_clock()
        assert len(said) == 2

    run(shop, script)
