"""A line a person and day: what each wrote, counted once; days at the edge of UTC belong to the bench's day."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.model.changes import SameThing, Withdrawal
from inspect_tui.model.measuring import Person
from inspect_tui.record import kinds
from inspect_tui.record.chain.ids import IdMaker
from inspect_tui.record.store import Record
from inspect_tui.shop.changes import by_day, changed
from inspect_tui.shop.changes.by_day import PersonDay
from inspect_tui.shop.changes.changed import Changed
from tests.conftest import SmallShop
from tests.record.conftest import furnish

DAY_US = 86_400_000_000


class Clock:
    """Some day at some hour, by a clock two hours east of UTC."""

    def __init__(self) -> None:
        self.at = (0, 0)

    def __call__(self) -> tuple[int, int]:
        day, hour = self.at
        return 20_000 * DAY_US + day * DAY_US + hour * 3_600_000_000, 120


def test_each_line_counts_what_one_person_wrote_on_one_day(tmp_path: Path) -> None:
    clock = Clock()
    with Record.open(tmp_path / "r.db", create=True, clock=clock, ids=IdMaker(clock), bench="b", program="t") as record:
        made = furnish(record)
        other = record.add(Person(initials="ZZ"), made.person.id)
        clock.at = (3, 12)
        readings = record.append_readings([made.reading(59.0 + n / 100) for n in range(4)])
        record.void(readings[0].id, "misread", "slipped", made.person.id)
        record.add(Withdrawal(about_kind=kinds.PERSON.number, about_id=other.of_id, why="left"), other.id)
        clock.at = (3, 23)  # one o'clock of the next day, there
        record.append_reading(made.reading(60.0))
        said = SameThing(about_kind=kinds.PERSON.number, this_id=other.of_id, that_id=made.person.of_id, why="x")
        record.add(said, made.person.id)
        who = made.person.initials
        record.look_for_ones()
        lines = [line for line in by_day.by_day(record.each_apart()) if line.day > "2024-10-05"]
    assert [(line.day, line.by, line.words) for line in lines] == [
        ("2024-10-08", who, "1 reading, 1 decision"),
        ("2024-10-07", who, "4 readings, 1 reading put right"),
        ("2024-10-07", "ZZ", "1 decision"),
    ]


def test_only_the_days_that_were_asked_for(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    (line, *_) = [line for line in by_day.by_day(shop.record) if line.readings]
    assert line.readings == 1 and line.by == "AB"
    assert line in by_day.by_day(shop.record, line.day, line.day)
    assert by_day.by_day(shop.record, "2999-01-01") == by_day.by_day(shop.record, None, "1999-01-01") == []


def test_changes_of_one_person_and_day() -> None:
    day = 20_000 * DAY_US
    listed = [
        Changed(at_us=day + n * DAY_US, tz_min=0, by=by, job=None, what="x") for n, by in enumerate(("AB", None, "ab"))
    ]
    assert by_day.of(listed) == listed
    assert by_day.of(listed, "ab") == [listed[0], listed[2]]
    assert by_day.of(listed, "AB", listed[2].at[:10]) == [listed[2]]
    assert by_day.of(listed, "") == [listed[1]]
    assert changed.search(listed, "") == listed


def test_words_leave_out_what_there_is_none_of() -> None:
    assert PersonDay(day="2026-01-01", by=None, given_out=2, else_=1).words == (
        "2 papers or shipments given out, 1 other entry"
    )
