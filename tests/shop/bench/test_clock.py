"""What is said of a clock that is wrong, and the day that counts at the Bench meanwhile."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from inspect_tui.errors import DataError
from inspect_tui.model.measuring import Setup
from inspect_tui.record.chain.clock import ClockDoubt, local_day
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import clock
from inspect_tui.shop.bench.line import Bench
from inspect_tui.todo import Todo
from tests.conftest import SmallShop

DAY = 86_400_000_000
NOW = 1_790_000_000_000_000  # 2026-09-21 14:13:20 UTC
YEARS = 3653 * DAY


def test_the_sentence_names_both_days_and_what_readings_are_taken_as() -> None:
    ahead = clock.wrong(ClockDoubt(NOW + YEARS, 0, NOW))
    assert ahead is not None and ahead.todo is Todo.SAY_DAY
    assert "says 2036-09-21, and the newest entry of the record is of 2026-09-21" in ahead.sentence
    assert "marked and taken as of 2026-09-21" in ahead.sentence
    said = clock.wrong(ClockDoubt(NOW + YEARS, 0, NOW), "2026-09-24")
    assert said is not None and "taken as of 2026-09-24" in said.sentence
    short = clock.wrong(ClockDoubt(NOW - 7200 * 10**6, 0, NOW))
    assert short is not None and "120 minutes behind" in short.sentence


def test_nothing_is_said_of_a_clock_that_is_right_or_that_somebody_agreed_with() -> None:
    assert clock.wrong(None) is None
    assert clock.wrong(ClockDoubt(NOW + YEARS, 0, NOW), "2036-09-21") is None


class Wall:
    """A wall clock that a test sets."""

    at = NOW

    def __call__(self) -> tuple[int, int]:
        self.at += 1000
        return self.at, 0


class Desk:
    """A record with a clock that is set, and benches opened at it."""

    def __init__(self, shop: SmallShop, record: Record, wall: Wall) -> None:
        self.shop, self.record, self.wall = shop, record, wall

    def bench(self, day: str | None = None) -> Bench:
        kept = self.shop.bench()
        bench = Bench(self.record, kept.job, kept.subject, self.shop.ab, self.shop.caliper)
        if day is not None:
            bench.set_day(day, bench.opened_on)
        return bench

    def take(self, bench: Bench) -> Setup:
        """One reading of F1; the setup that it was made in."""
        bench.goto("F1")
        task = bench.task
        bench.take("59.60")
        assert task
        return bench.readings_of(task, limit=1)[0].setup


@pytest.fixture
def desk(shop: SmallShop) -> Iterator[Desk]:
    wall = Wall()
    wall.at = (shop.record._clock()[0] // DAY + 1) * DAY + 15 * DAY // 24  # tomorrow afternoon
    with Record.open(shop.path, clock=wall) as record:
        made = Desk(shop, record, wall)
        made.take(made.bench())
        yield made


def local(us: int) -> str:
    return local_day(us, 0)


def test_a_bench_opened_under_a_wrong_clock_says_so_and_takes_the_day_that_is_believed(desk: Desk) -> None:
    today = local(desk.wall.at)
    assert desk.bench().clock_wrong is None
    desk.wall.at += YEARS
    bench = desk.bench()
    assert bench.clock_wrong is not None and bench.today == today
    setup = desk.take(bench)
    assert (setup.clock_doubt, setup.on_date) == (True, today)


def test_the_day_that_is_said_counts_and_that_of_the_clock_ends_the_doubt(desk: Desk) -> None:
    known = desk.wall.at
    desk.wall.at += YEARS
    other = desk.bench(local(known + 3 * DAY))
    setup = desk.take(other)
    assert (setup.clock_doubt, setup.on_date) == (True, local(known + 3 * DAY))
    agreed = desk.bench(local(desk.wall.at))
    assert agreed.clock_wrong is None
    assert desk.take(agreed).clock_doubt is False
    assert desk.bench().clock_wrong is None


def test_a_clock_that_is_hours_behind_is_agreed_with_by_its_day(desk: Desk) -> None:
    desk.wall.at -= 2 * DAY // 24
    assert desk.bench().clock_wrong is not None
    agreed = desk.bench(local(desk.wall.at))
    assert agreed.clock_wrong is None and desk.take(agreed).on_date == local(desk.wall.at)


def test_behind_a_later_day_can_be_said_but_not_any(desk: Desk) -> None:
    known = desk.wall.at
    desk.wall.at -= YEARS
    setup = desk.take(desk.bench(local(known + 7 * DAY)))
    assert (setup.clock_doubt, setup.on_date) == (True, local(known + 7 * DAY))
    with pytest.raises(DataError, match="still to come"):
        desk.bench(local(known + 400 * DAY))


def test_a_clock_that_jumps_within_a_stay_begins_another_setup_and_so_does_putting_it_right(desk: Desk) -> None:
    bench = desk.bench()
    first = desk.take(bench)
    desk.wall.at -= DAY
    second, third = desk.take(bench), desk.take(bench)
    desk.wall.at += DAY + 60_000_000
    fourth = desk.take(bench)
    assert [s.clock_doubt for s in (first, second, third, fourth)] == [False, True, True, False]
    assert second.id == third.id and len({first.id, second.id, fourth.id}) == 3
    assert (second.on_date, fourth.on_date) == (local(desk.wall.at), None)


def test_the_day_that_was_said_is_taken_back_with_an_empty_one(desk: Desk) -> None:
    known = desk.wall.at
    desk.wall.at += YEARS
    bench = desk.bench(local(known + 3 * DAY))
    bench.set_day(None, bench.opened_on)
    setup = desk.take(bench)
    assert (setup.clock_doubt, setup.on_date) == (True, local(known))


def test_what_is_read_in_doubt_is_the_newest_of_its_day(desk: Desk) -> None:
    """Though its day has no time: what was read before it on that day is older."""
    desk.wall.at += YEARS
    bench = desk.bench()
    bench.goto("F1")
    bench.take("59.99")
    bench.keep_pending()
    task = next(task for task in desk.bench().tasks if task.feature.balloon == "F1")
    assert task.last == pytest.approx(59.99)
