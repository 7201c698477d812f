"""A record under random use against a book of dicts: what was acknowledged is there, as it was, in one chain.

A bench logs, takes out, revises, repairs and withdraws, is brought forward from an old version, crashes, goes back to a
backup, and exchanges with another bench through a folder; the book says what has to stand at each of them.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from contextlib import suppress
from copy import deepcopy
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from inspect_tui.errors import DiskFull, InspectError, RecordError
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.measuring import Person, Reading
from inspect_tui.model.trends import ToolRepair
from inspect_tui.model.words import SUPERSEDE_REASONS
from inspect_tui.record.care import whole
from inspect_tui.record.kinds import ITEM
from inspect_tui.record.merge.folder import sync_folder
from inspect_tui.record.store import Record
from tests.amounts import some
from tests.record.conftest import Bench, furnish
from tests.record.file.released import VERSIONS, record_of


@dataclass
class Book:
    """What one record has to hold: readings as first seen, who took them out, names of the tool, repairs, the casting."""

    readings: dict[bytes, Reading] = field(default_factory=dict)
    answers: dict[bytes, dict[bytes, bytes | None]] = field(default_factory=dict)  # reading -> answer -> replacement
    labels: dict[bytes, tuple[str, bytes]] = field(
        default_factory=dict
    )  # version of the tool -> name, what it replaced
    repairs: dict[bytes, str] = field(default_factory=dict)
    withdrawals: dict[bytes, str] = field(default_factory=dict)
    settling: set[bytes] = field(default_factory=set)  # answers that settle which of several holds
    aside: set[bytes] = field(default_factory=set)  # versions that give way to one that was saved

    def take(self, other: Book) -> None:
        """What another bench knows, too."""
        self.readings |= other.readings
        self.labels |= other.labels
        self.repairs |= other.repairs
        self.withdrawals |= other.withdrawals
        self.settling |= other.settling
        self.aside |= other.aside
        for target, answers in other.answers.items():
            self.answers.setdefault(target, {}).update(answers)

    def in_force(self, target: bytes) -> bytes | None:
        """The answer that holds: the last that settles, or the only one; None where two stand apart."""
        answers = self.answers[target]
        settling = self.settling & set(answers)
        return max(settling) if settling else next(iter(answers)) if len(answers) == 1 else None

    def contested(self) -> list[bytes]:
        """Readings with answers that stand apart."""
        return sorted(target for target in self.answers if self.in_force(target) is None)

    def counting(self) -> dict[bytes, Reading]:
        """Readings that nobody took out; of the replacements of one reading that of the answer that holds."""
        apart: set[bytes | None] = set()
        for target, answers in self.answers.items():
            holds = self.in_force(target)
            apart |= set(answers.values()) - {answers[holds] if holds else None}
        return {i: r for i, r in self.readings.items() if i not in self.answers and i not in apart}

    def newest_labels(self) -> set[bytes]:
        """The versions of the tool that give way to no other."""
        return set(self.labels) - {old for _, old in self.labels.values()} - self.aside


class RecordMachine(RuleBasedStateMachine):
    """One bench file, its second connection, its backups, and what a careful clerk would have in his book."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.path = self.folder / "bench.db"
        self.before = os.environ.get("INSPECT_TUI_STATE")
        os.environ["INSPECT_TUI_STATE"] = str(self.folder / "state")
        self.at_us = 1_750_000_000_000_000
        self.book = Book()
        self.shared = Book()  # what this bench put into the folder
        self.elsewhere: Record | None = None
        self.book_elsewhere = Book()
        self.rows: dict[bytes, tuple] = {}  # every entry as first seen
        self.second: Record | None = None
        self.backups: list[tuple[Path, Book]] = []
        self.restored = 0

    def clock(self) -> tuple[int, int]:
        self.at_us += 1_000
        return self.at_us, 60

    def open(self) -> Record:
        return Record.open(self.path, create=True, clock=self.clock)

    @initialize(version=st.one_of(st.none(), st.sampled_from(VERSIONS)))
    def begin(self, version: int | None) -> None:
        if version is not None:
            record_of(version, self.path)
        self.record = self.open()
        assert self.record.version == 0 or ("was brought from version" in self.record.opening_said) is bool(version)
        for logged in self.record.readings():
            self.book.readings[logged.reading.id] = logged.reading
        assert len(self.book.readings) == (2 if version else 0)
        for file in (self.folder / "backups").glob("*.db"):  # of the old version, made before it was brought forward
            self.backups.append((file, deepcopy(self.book)))
        self.bench: Bench = furnish(self.record)
        self.book.labels[self.bench.tool.id] = (self.bench.tool.label, b"")

    def teardown(self) -> None:
        for record in (self.second, self.elsewhere, getattr(self, "record", None)):
            if record is not None:
                record.close()
        if self.before is not None:
            os.environ["INSPECT_TUI_STATE"] = self.before
        shutil.rmtree(self.folder)

    def seen(self, *readings: Reading) -> None:
        for reading in readings:
            assert reading.id not in self.book.readings
            self.book.readings[reading.id] = reading

    # ---------------------------------------------------------------- at the bench
    @precondition(lambda self: self.furnished())
    @rule(value=st.floats(-9e4, 9e4), feature=st.integers(0, 1), on_item=st.booleans())
    def log(self, value: float, feature: int, on_item: bool) -> None:
        make = self.bench.on_item if on_item else self.bench.reading
        asked = make(value, feature, typed=f"{value:.12g}")
        stored = self.record.append_reading(asked)
        assert stored == replace(asked, id=stored.id)
        self.seen(stored)

    @precondition(lambda self: self.furnished())
    @rule(values=st.lists(st.floats(0, 100), max_size=4))
    def log_many(self, values: list[float]) -> None:
        self.seen(*self.record.append_readings(self.bench.reading(v) for v in values))

    @precondition(lambda self: self.furnished())
    @rule(value=st.floats(0, 100))
    def log_through_the_second_connection(self, value: float) -> None:
        if self.second is None:
            self.second = self.open()
        self.seen(self.second.append_reading(self.bench.reading(value)))

    @precondition(lambda self: self.furnished() and self.book.readings)
    @rule(data=st.data(), reason=st.sampled_from(SUPERSEDE_REASONS), correct=st.booleans(), here=st.booleans())
    def take_out(self, data: st.DataObject, reason: str, correct: bool, here: bool) -> None:
        record, book = self.one_of(here)
        if not book.readings:
            return
        target = data.draw(st.sampled_from(sorted(book.readings)))
        contested = target in book.answers and book.in_force(target) is None  # whoever answers now settles it
        by = self.bench.person.id
        try:
            if correct:
                new, answer = record.correct(target, self.bench.reading(59.0), reason, "drawn", by)
            else:
                new, answer = None, record.void(target, reason, "drawn", by)
        except RecordError as error:
            assert target in book.answers and not contested, error
            assert "already" in str(error)
            return
        assert target not in book.answers or contested
        book.answers.setdefault(target, {})[answer.id] = new.id if new else None
        if contested:
            book.settling.add(answer.id)
        if new is not None:
            assert new.id not in book.readings
            book.readings[new.id] = new

    @precondition(lambda self: self.furnished())
    @rule(label=st.sampled_from(["stick 3", "stick three", "old stick"]), here=st.booleans())
    def name_the_tool_anew(self, label: str, here: bool) -> None:
        record, book = self.one_of(here)
        (shown,) = record.tools(self.bench.job.of_id)
        assert shown.id in book.newest_labels() and book.labels[shown.id][0] == shown.label
        new = record.revise(shown, self.bench.person.id, label=label)
        if new == shown:
            assert shown.label == label
            return
        book.aside |= book.newest_labels() - {shown.id}
        book.labels[new.id] = (label, shown.id)

    @precondition(lambda self: self.furnished() and self.book.contested())
    @rule(data=st.data())
    def settle(self, data: st.DataObject) -> None:
        target = data.draw(st.sampled_from(self.book.contested()))
        answers = self.book.answers[target]
        holds = answers[data.draw(st.sampled_from(sorted(answers)))]
        said = self.record.supersede(target, "other", "looked at again", holds, self.bench.person.id)
        assert said.settles_id == max(answers)
        answers[said.id] = holds
        self.book.settling.add(said.id)

    @precondition(lambda self: self.furnished())
    @rule(what=st.sampled_from(["faced", "new print"]), here=st.booleans())
    def repair_the_tool(self, what: str, here: bool) -> None:
        record, book = self.one_of(here)
        done = ToolRepair(tool_of_id=self.bench.tool.of_id, done_on="2026-03-10", what=what)
        book.repairs[record.add(done, self.bench.person.id).id] = what

    @precondition(lambda self: self.furnished())
    @rule(state=st.sampled_from(["withdrawn", "back"]), here=st.booleans())
    def withdraw_the_casting(self, state: str, here: bool) -> None:
        record, book = self.one_of(here)
        said = Withdrawal(about_kind=ITEM.number, about_id=self.bench.item.id, state=state, why="drawn")
        book.withdrawals[record.add(said, self.bench.person.id).id] = state

    @rule(initials=st.text(min_size=1, max_size=8))
    def sign_on(self, initials: str) -> None:
        try:
            self.record.add(Person(initials=initials))
        except InspectError as error:
            assert "initials" in str(error)

    @precondition(lambda self: self.furnished())
    @rule(rep=st.sampled_from([0, 1000]), n=st.integers(0, 3))
    def a_bad_one_among_good_ones(self, rep: int, n: int) -> None:
        todo = [self.bench.reading(59.0)] * n + [self.bench.reading(59.0, rep=rep)]
        with pytest.raises(RecordError):
            self.record.append_readings(todo)

    # ---------------------------------------------------------------- what happens to benches
    @rule(days=st.integers(-400, 400))
    def the_clock_jumps(self, days: int) -> None:
        self.at_us += days * 86_400_000_000

    @rule()
    def close_and_open(self) -> None:
        self.record.close()
        self.record = self.open()

    @rule()
    def die_and_open(self) -> None:
        self.record._con.execute("BEGIN IMMEDIATE")
        self.record._con.execute("DELETE FROM cache_summary")
        self.record._con.close()  # without a commit, as a killed program leaves it
        self.record.close()
        self.record = self.open()

    @precondition(lambda self: self.furnished())
    @rule()
    def the_disk_fills_up(self) -> None:
        self.record.checkpoint()
        con = self.record._con
        con.execute(f"PRAGMA max_page_count={con.execute('PRAGMA page_count').fetchone()[0]}")
        with suppress(DiskFull):
            self.seen(*self.record.append_readings(self.bench.reading(59.0) for _ in range(200)))
        con.execute("PRAGMA max_page_count=1000000")

    @rule()
    def fold_the_log_in(self) -> None:
        self.record.checkpoint()

    @precondition(lambda self: len(self.backups) < 3)
    @rule()
    def back_up(self) -> None:
        self.backups.append((self.record.backup(), deepcopy(self.book)))

    @precondition(lambda self: self.backups and self.restored < 3)
    @rule(data=st.data())
    def restore(self, data: st.DataObject) -> None:
        file, book = data.draw(st.sampled_from(self.backups))
        self.record.close()
        if self.second is not None:
            self.second.close()
            self.second = None
        shutil.copy(file, self.path)
        self.book = deepcopy(book)
        self.restored += 1
        self.record = self.open()

    # ---------------------------------------------------------------- another bench
    def furnished(self) -> bool:
        """Whether what is measured is in the record: a backup from before it came forward lacks it."""
        return hasattr(self, "bench") and self.bench.tool.id in self.book.labels

    def one_of(self, here: bool) -> tuple[Record, Book]:
        """This bench, or the other one where it has joined and knows what is measured."""
        if here or self.elsewhere is None or self.bench.tool.id not in self.book_elsewhere.labels:
            return self.record, self.book
        return self.elsewhere, self.book_elsewhere

    @rule(here=st.booleans())
    def exchange(self, here: bool) -> None:
        share = self.folder / "share"
        share.mkdir(exist_ok=True)
        if self.elsewhere is None:
            (self.folder / "elsewhere").mkdir()
            self.elsewhere = Record.open(
                self.folder / "elsewhere" / "bench.db",
                create=True,
                clock=self.clock,
                state_dir=self.folder / "elsewhere",
                bench="elsewhere",
            )
            here = True
        record, book = (self.record, self.book) if here else (self.elsewhere, self.book_elsewhere)
        came = sync_folder(record, share).came
        assert came.wrong == () and came.waiting == ()
        book.take(self.shared)
        self.shared.take(book)
        for knows in (self.record, self.elsewhere) if self.same_books() else ():
            assert whole.check(knows.connection, knows.path, self.folder / "nothing").problems == ()

    def same_books(self) -> bool:
        """Whether both know the same: then their entries are the same, but for devices that have not yet been sent."""
        return self.book == self.book_elsewhere

    # ---------------------------------------------------------------- what must hold at every moment
    @invariant()
    def the_file_holds_the_book(self) -> None:
        if hasattr(self, "bench"):
            self.holds(self.record, self.book)
            if self.elsewhere is not None:
                self.holds(self.elsewhere, self.book_elsewhere)

    def holds(self, record: Record, book: Book) -> None:
        logged = {r.reading.id: r for r in record.readings()}
        assert {i: r.reading for i, r in logged.items()} == book.readings
        counting = book.counting()
        assert {i for i, r in logged.items() if not r.out} == set(counting)
        assert {i for i, r in logged.items() if r.supersede} == set(book.answers)
        for target in book.answers:
            holding = book.in_force(target)
            assert logged[target].contested is (holding is None)
            assert logged[target].supersede.id == (holding or max(book.answers[target]))
        newest = book.newest_labels()
        shown = [tool.id for tool in record.tools(self.bench.job.of_id)] if newest else []
        assert len(shown) == bool(newest) and set(shown) <= newest
        if newest:
            assert {r.id: r.what for r in record.tool_repairs(self.bench.tool.of_id)} == book.repairs
        said = [book.withdrawals[row] for row in sorted(book.withdrawals)]
        assert record.withdrawn(ITEM.number) == ({self.bench.item.id} if said[-1:] == ["withdrawn"] else set())
        left: dict[tuple[bytes, bytes], list[float]] = {}
        ours = {feature.id for feature in self.bench.features}
        for reading in counting.values():
            if reading.feature_id in ours:
                subject = reading.item_id or self.bench.tool.of_id
                left.setdefault((subject, reading.feature_id), []).append(reading.value)
        counted = {
            (subject, feature): summary
            for subject, found in (
                (self.bench.tool.of_id, record.summaries(self.bench.tool.of_id)),
                (self.bench.item.id, record.summaries(item_id=self.bench.item.id)),
            )
            for feature, summary in found.items()
        }
        assert {k: (s.n, s.min, s.max) for k, s in counted.items()} == {
            k: (len(v), min(v), max(v)) for k, v in left.items()
        }

    @invariant()
    def the_chain_is_whole(self) -> None:
        if not hasattr(self, "bench"):
            return
        checked = self.record.verify()
        assert checked.ok, checked.problems
        for row in self.record._rows_of("SELECT id, device_id, seq, at_us, hash FROM entry"):
            assert self.rows.setdefault(row[0], row) == row  # no entry ever differs, not even after a restore
        assert len({row[1:3] for row in self.rows.values()}) == len(self.rows)  # no number was ever given twice
        for _, n, last in self.record._rows_of("SELECT device_id, count(*), max(seq) FROM entry GROUP BY device_id"):
            assert n == last


RecordMachine.TestCase.settings = settings(
    max_examples=some(12, 300),
    stateful_step_count=some(20, 50),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
TestRecord = RecordMachine.TestCase
