"""A clock that ran back or years ahead is doubted, leaves no id in the future, and is believed again when it is right."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Person, Setup
from inspect_tui.record.chain import ids
from inspect_tui.record.chain.clock import ClockDoubt, doubt_of, local_day
from inspect_tui.record.chain.ids import IdMaker
from inspect_tui.record.file import traces
from inspect_tui.record.store import Record
from tests.record.conftest import Bench, furnish

DAY = 86_400_000_000
NOW = 1_790_000_000_000_000  # 2026-09-21 14:13:20 UTC
YEARS = 3653 * DAY  # ten of them


class Wall:
    """A wall clock that a test sets."""

    def __init__(self) -> None:
        self.at = NOW

    def __call__(self) -> tuple[int, int]:
        self.at += 1000
        return self.at, 60


class Shop:
    """A record with a clock that can be set, opened anew each time as by another run of the program."""

    def __init__(self, path: Path) -> None:
        self.path, self.wall = path, Wall()
        with Record.open(path, create=True, clock=self.wall) as record:
            self.bench: Bench = furnish(record)

    def log(self, on_date: str | None = None) -> tuple[Setup, bytes]:
        """One reading in a setup of its own; the setup as stored and the reading's id."""
        with Record.open(self.path, clock=self.wall) as record:
            session = record.add(replace(self.bench.session, id=b""))
            setup = record.add(replace(self.bench.setup, id=b"", session_id=session.id, on_date=on_date))
            return setup, record.append_reading(self.bench.reading(setup_id=setup.id)).id

    def doubt(self) -> ClockDoubt | None:
        with Record.open(self.path, clock=self.wall) as record:
            return record.clock_doubt()


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path / "r.db")


def day_of_id(row_id: bytes) -> str:
    return local_day(int.from_bytes(row_id[:6], "big") * 1000, 60)


def of_the_machine(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock of the shop is the machine's own, and there is no file on it."""
    monkeypatch.setattr(ids, "now", shop.wall)
    monkeypatch.setattr(ids, "uuid7", IdMaker(shop.wall))
    monkeypatch.setattr(traces, "usual_folders", lambda record: [])


def test_a_clock_that_is_right_is_not_doubted(shop: Shop) -> None:
    shop.wall.at += 290 * DAY  # a record that lay for most of a year
    assert shop.doubt() is None
    setup, reading = shop.log()
    assert (setup.clock_doubt, setup.on_date, day_of_id(reading)) == (False, None, "2027-07-08")


@pytest.mark.parametrize("pause", [0, 3, 40, 200])
@pytest.mark.parametrize("years", [365, 366, 3652])
def test_a_slip_of_the_year_after_a_pause_is_doubted_at_once(
    shop: Shop, years: int, pause: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    of_the_machine(shop, monkeypatch)
    shop.log()
    shop.wall.at += (pause + years) * DAY
    doubt = shop.doubt()
    assert doubt is not None and not doubt.back and local_day(doubt.believed_us, 60) == "2026-09-21"
    for _ in range(2):
        setup, reading = shop.log()
        assert (setup.clock_doubt, setup.on_date, day_of_id(reading)) == (True, "2026-09-21", "2026-09-21")
    shop.wall.at -= years * DAY - DAY
    assert shop.doubt() is None
    setup, reading = shop.log()
    assert (setup.clock_doubt, setup.on_date) == (False, None)
    assert day_of_id(reading) == local_day(shop.wall.at, 60)  # no id stayed in the future


def test_a_record_that_did_lie_for_a_year_is_believed_by_the_day_of_the_clock(shop: Shop) -> None:
    shop.wall.at += 400 * DAY
    setup, reading = shop.log(on_date=local_day(shop.wall.at, 60))
    assert not setup.clock_doubt and day_of_id(reading) == "2027-10-26" and shop.doubt() is None


def test_ten_years_ahead_readings_are_marked_and_stay_at_the_day_that_is_believed(shop: Shop) -> None:
    shop.wall.at += YEARS
    doubt = shop.doubt()
    assert doubt is not None and not doubt.back
    for _ in range(2):  # the second time the newest entry is of the wrong year already
        setup, reading = shop.log()
        assert (setup.clock_doubt, setup.on_date, day_of_id(reading)) == (True, "2026-09-21", "2026-09-21")


def test_two_years_ahead_is_doubted_where_no_file_tells_of_them(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    of_the_machine(shop, monkeypatch)
    shop.wall.at += 2 * 365 * DAY
    for _ in range(2):
        doubt = shop.doubt()
        assert doubt is not None and not doubt.back
        setup, reading = shop.log()
        assert (setup.clock_doubt, setup.on_date, day_of_id(reading)) == (True, "2026-09-21", "2026-09-21")
    shop.wall.at += DAY - 2 * 365 * DAY
    assert shop.doubt() is None
    setup, reading = shop.log()
    assert (setup.clock_doubt, setup.on_date, day_of_id(reading)) == (False, None, "2026-09-22")
    shop.wall.at += 2 * 365 * DAY
    asked: list[Path] = []

    def in_use(folders: object, now_us: int, within_us: int, but: Path) -> bool:
        asked.append(but)
        return True

    monkeypatch.setattr(traces, "in_use", in_use)
    assert shop.doubt() is None and asked == [shop.path]
    setup, _ = shop.log()
    assert (setup.clock_doubt, setup.on_date) == (False, None)


def test_what_was_entered_beside_the_measuring_two_years_ahead_is_not_believed(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    of_the_machine(shop, monkeypatch)
    shop.log()
    shop.wall.at += 2 * 365 * DAY
    with Record.open(shop.path, clock=shop.wall) as record:
        late = record.add(Person(initials="KL"))
        assert day_of_id(late.id) == "2026-09-21"
    assert shop.doubt() is not None
    shop.wall.at += DAY - 2 * 365 * DAY
    assert shop.doubt() is None


def test_put_right_again_ids_go_on_from_the_day_that_it_is(shop: Shop) -> None:
    _, before = shop.log()
    shop.wall.at += YEARS
    _, ahead = shop.log()
    shop.wall.at += 2 * DAY - YEARS
    assert shop.doubt() is None
    setup, after = shop.log()
    assert before < ahead < after
    assert (setup.clock_doubt, setup.on_date, day_of_id(after)) == (False, None, "2026-09-23")


def unasked(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """The machine tells of use, so that nobody is asked about the clock."""
    of_the_machine(shop, monkeypatch)
    monkeypatch.setattr(traces, "in_use", lambda *_: True)


def test_a_year_ahead_is_told_once_the_clock_was_put_right(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """A slip of the year that nobody was asked about looks like a record that lay, so long as the clock stays there."""
    unasked(shop, monkeypatch)
    shop.wall.at += 100 * DAY
    shop.log()
    shop.wall.at += 365 * DAY
    setup, _ = shop.log()
    assert (setup.clock_doubt, setup.on_date) == (False, None)
    shop.wall.at += DAY - 365 * DAY
    assert shop.doubt() is None
    setup, _ = shop.log()
    assert (setup.clock_doubt, setup.on_date) == (False, None)
    shop.wall.at += 58 * DAY
    assert shop.doubt() is None


@pytest.mark.parametrize(("ahead", "back"), [(365, 364 - 61), (290, 289), (365, 366), (365, 60)])
def test_a_clock_that_fell_back_is_not_taken_for_one_that_was_put_right(
    shop: Shop, ahead: int, back: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not soon after what was entered before the record lay, or it lay for less than a year, or before all of it."""
    unasked(shop, monkeypatch)
    shop.log()
    shop.wall.at += ahead * DAY
    shop.log()
    shop.wall.at -= back * DAY
    doubt = shop.doubt()
    assert doubt is not None and doubt.back


@pytest.mark.parametrize("back", [DAY, YEARS])
def test_a_clock_that_ran_back_is_doubted_until_it_has_come_up_again(shop: Shop, back: int) -> None:
    _, before = shop.log()
    shop.wall.at -= back
    for _ in range(2):
        doubt = shop.doubt()
        assert doubt is not None and doubt.back
        setup, reading = shop.log()
        assert (setup.clock_doubt, setup.on_date, day_of_id(reading)) == (True, "2026-09-21", "2026-09-21")
        assert reading > before
        before = reading
    shop.wall.at += back + DAY
    assert shop.doubt() is None
    assert not shop.log()[0].clock_doubt


def test_minutes_between_benches_are_no_doubt(shop: Shop) -> None:
    shop.log()
    shop.wall.at -= 200_000_000
    assert shop.doubt() is None
    shop.wall.at -= 200_000_000
    assert shop.doubt() is not None


def test_a_day_that_is_said_is_kept_and_that_of_the_clock_makes_it_right(shop: Shop) -> None:
    shop.wall.at += YEARS
    setup, _ = shop.log(on_date="2026-09-30")
    assert (setup.clock_doubt, setup.on_date) == (True, "2026-09-30")
    setup, reading = shop.log(on_date=local_day(shop.wall.at, 60))  # it is that late: the record lay for ten years
    assert (setup.clock_doubt, day_of_id(reading)) == (False, "2036-09-21")
    assert shop.doubt() is None
    assert shop.log()[0].clock_doubt is False


def test_within_one_stay_it_is_noticed_and_believed_again(shop: Shop) -> None:
    with Record.open(shop.path, clock=shop.wall) as record:
        assert record.clock_doubt() is None
        shop.wall.at -= DAY
        doubt = record.clock_doubt()
        assert doubt is not None and doubt.back
        said = local_day(shop.wall.at, 60)
        session = record.add(replace(shop.bench.session, id=b""))
        record.add(replace(shop.bench.setup, id=b"", session_id=session.id, on_date=said))
        assert record.clock_doubt() is None


def test_what_was_entered_with_a_wrong_clock_before_anything_was_measured_is_not_believed(tmp_path: Path) -> None:
    wall = Wall()
    with Record.open(tmp_path / "n.db", create=True, clock=wall) as record:
        record.add(Person(initials="JM"))
        wall.at += YEARS
    with Record.open(tmp_path / "n.db", clock=wall) as record:
        record.add(Person(initials="KL"))
    with Record.open(tmp_path / "n.db", clock=wall) as record:
        assert record.clock_doubt() is not None
        assert day_of_id(record.new_id()) == "2026-09-21"


def test_a_stay_that_goes_on_for_years_keeps_the_clock_believed(shop: Shop) -> None:
    """A gauge on a wire, say: one setup, and readings in it long after."""
    with Record.open(shop.path, clock=shop.wall) as record:
        for _ in range(12):
            shop.wall.at += 250 * DAY
            record.append_reading(shop.bench.reading())
    shop.wall.at += 250 * DAY
    setup, _ = shop.log()
    assert (setup.clock_doubt, setup.on_date) == (False, None)


def test_a_record_made_with_a_clock_that_had_lost_its_day_believes_the_right_one(tmp_path: Path) -> None:
    wall = Wall()
    wall.at = 5 * DAY  # 1970
    with Record.open(tmp_path / "n.db", create=True, clock=wall) as record:
        wall.at = NOW
        record.add(Person(initials="JM"))
        assert record.clock_doubt() is None


def test_an_empty_record_believes_any_clock() -> None:
    assert doubt_of((1, 0), None) is None


def test_a_day_beyond_all_days_is_the_last_one() -> None:
    assert local_day(10**18, 0) == "9999-12-31"


def test_ids_do_not_follow_a_clock_years_ahead_until_somebody_believes_it() -> None:
    wall = Wall()
    make = IdMaker(wall)
    first = make()
    wall.at += YEARS
    assert [day_of_id(make()) for _ in range(2)] == ["2026-09-21"] * 2
    make.believe(wall.at)
    assert day_of_id(make()) == "2036-09-21"
    make.believe(NOW)  # never back
    assert make() > first
    assert day_of_id(make()) == "2036-09-21"
