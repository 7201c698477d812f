"""Benches whose clocks are wrong: what they said apart is not decided by the clock alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from inspect_tui.model.changes import Renamed, SameThing, Withdrawal
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Item
from inspect_tui.record import kinds
from inspect_tui.record.chain.ids import IdMaker
from inspect_tui.record.merge.folder import sync_folder
from inspect_tui.record.store import Record
from tests.record.conftest import furnish

DAY_US = 86_400_000_000
START_US = 20_000 * DAY_US


class Clock:
    """A clock that is set by the test; it goes on by a second at every look."""

    def __init__(self) -> None:
        self.us = START_US

    def __call__(self) -> tuple[int, int]:
        self.us += 1_000_000
        return self.us, 0


class Bench:
    def __init__(self, folder: Path, name: str) -> None:
        folder.mkdir()
        self.clock = Clock()
        self.record = Record.open(
            folder / "shop.db",
            create=True,
            state_dir=folder / "state",
            clock=self.clock,
            ids=IdMaker(self.clock),
            bench=name,
            program="test",
        )


@pytest.fixture
def benches(tmp_path: Path) -> Iterator[tuple[Bench, Bench, Callable[[], None]]]:
    """Two benches that know the same shop, and what has both exchange all they wrote."""
    share = tmp_path / "share"
    share.mkdir()
    a, b = Bench(tmp_path / "a", "bench a"), Bench(tmp_path / "b", "bench b")
    furnish(a.record)

    def exchange() -> None:
        for bench in (a, b, a):
            sync_folder(bench.record, share)

    exchange()
    yield a, b, exchange
    a.record.close()
    b.record.close()


Two = tuple[Bench, Bench, Callable[[], None]]


def labels(*benches: Bench) -> list[str]:
    return [bench.record.instruments()[0].label for bench in benches]


def edit(bench: Bench, label: str) -> None:
    record = bench.record
    record.revise(record.instruments()[0], record.people()[0].id, label=label)


def test_of_two_versions_the_later_is_shown(benches: Two) -> None:
    a, b, exchange = benches
    b.clock.us += 60 * 1_000_000
    edit(b, "later")
    edit(a, "earlier")
    exchange()
    assert labels(a, b) == ["later", "later"]


def test_a_clock_a_year_ahead_does_not_decide(benches: Two) -> None:
    a, b, exchange = benches
    b.clock.us += 400 * DAY_US
    edit(b, "of the wrong clock")
    edit(a, "of the right one")
    exchange()
    assert labels(a, b) == ["of the right one"] * 2


def test_a_clock_that_was_put_right_since_does_not_decide(benches: Two) -> None:
    """Two months ahead when it was written, as the chain shows: what was written behind it is earlier."""
    a, b, exchange = benches
    b.clock.us += 60 * DAY_US
    edit(b, "of the wrong clock")
    b.clock.us = START_US + 3600 * 1_000_000
    b.record.add(Person(initials="XX"), b.record.people()[0].id)
    a.clock.us = START_US + 2 * 3600 * 1_000_000
    edit(a, "of the right one")
    exchange()
    assert labels(a, b) == ["of the right one"] * 2


def test_a_word_that_answers_another_is_the_last_whatever_the_clock(benches: Two) -> None:
    """Withdrawn, called otherwise and said to be one by a clock that is two years ahead; taken back by a right one."""
    a, b, exchange = benches
    by = a.record.people()[0]
    other = a.record.add(Person(initials="KB"), by.id)
    casting = a.record.add(Item(job_of_id=a.record.jobs()[0].of_id, kind="casting", serial="C9"), by.id)
    exchange()
    b.clock.us += 730 * DAY_US
    about = {"about_kind": kinds.INSTRUMENT.number, "about_id": b.record.instruments()[0].of_id}
    pair = {"about_kind": kinds.PERSON.number, "this_id": by.of_id, "that_id": other.of_id}
    said = {"about_kind": kinds.ITEM.number, "about_id": casting.id}
    b.record.add(Withdrawal(**about, why="lost"), by.id)
    b.record.add(SameThing(**pair, why="one man"), by.id)
    b.record.add(Renamed(**said, name="C8", why="misread"), by.id)
    exchange()
    assert a.record.instruments() == [] and len(a.record.people()) == 1
    assert a.record.item(casting.id).serial == "C8"
    a.record.add(Withdrawal(**about, state="back", why="found"), by.id)
    a.record.add(SameThing(**{**pair, "this_id": other.of_id, "that_id": by.of_id}, state="apart", why="two"), by.id)
    a.record.add(Renamed(**said, name="C9", why="it is 9"), by.id)
    exchange()
    for bench in (a, b):
        assert len(bench.record.instruments()) == 1 and len(bench.record.people()) == 2
        assert bench.record.item(casting.id).serial == "C9"
        assert bench.record.verify().ok
