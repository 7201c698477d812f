"""A record under random use against a model of dicts: what was acknowledged is there, as it was, in one chain."""

from __future__ import annotations

import os
import shutil
import tempfile
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from inspect_tui.errors import DiskFull, InspectError, RecordError
from inspect_tui.model.measuring import Person, Reading
from inspect_tui.model.words import SUPERSEDE_REASONS
from inspect_tui.record.store import Record
from tests.record.conftest import Bench, furnish


class RecordMachine(RuleBasedStateMachine):
    """One bench file, its second connection, its backups, and what a careful clerk would have in his book."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.path = self.folder / "bench.db"
        self.before = os.environ.get("INSPECT_TUI_STATE")
        os.environ["INSPECT_TUI_STATE"] = str(self.folder / "state")
        self.at_us = 1_750_000_000_000_000
        self.readings: dict[bytes, Reading] = {}  # as first seen
        self.gone: dict[bytes, bytes] = {}  # reading -> the supersede that took it out
        self.rows: dict[bytes, tuple] = {}  # every entry as first seen
        self.second: Record | None = None
        self.backups: list[tuple[Path, dict, dict]] = []
        self.restored = 0

    def clock(self) -> tuple[int, int]:
        self.at_us += 1_000
        return self.at_us, 60

    def open(self) -> Record:
        return Record.open(self.path, create=True, clock=self.clock)

    @initialize()
    def begin(self) -> None:
        self.record = self.open()
        self.bench: Bench = furnish(self.record)

    def teardown(self) -> None:
        for record in (self.second, getattr(self, "record", None)):
            if record is not None:
                record.close()
        if self.before is not None:
            os.environ["INSPECT_TUI_STATE"] = self.before
        shutil.rmtree(self.folder)

    def seen(self, *readings: Reading) -> None:
        for reading in readings:
            assert reading.id not in self.readings
            self.readings[reading.id] = reading

    # ---------------------------------------------------------------- at the bench
    @rule(value=st.floats(-9e4, 9e4), feature=st.integers(0, 1), on_item=st.booleans())
    def log(self, value: float, feature: int, on_item: bool) -> None:
        make = self.bench.on_item if on_item else self.bench.reading
        asked = make(value, feature, typed=f"{value:.12g}")
        stored = self.record.append_reading(asked)
        assert stored == replace(asked, id=stored.id)
        self.seen(stored)

    @rule(values=st.lists(st.floats(0, 100), max_size=4))
    def log_many(self, values: list[float]) -> None:
        self.seen(*self.record.append_readings(self.bench.reading(v) for v in values))

    @rule(value=st.floats(0, 100))
    def log_through_the_second_connection(self, value: float) -> None:
        if self.second is None:
            self.second = self.open()
        self.seen(self.second.append_reading(self.bench.reading(value)))

    @precondition(lambda self: self.readings)
    @rule(data=st.data(), reason=st.sampled_from(SUPERSEDE_REASONS), correct=st.booleans())
    def take_out(self, data: st.DataObject, reason: str, correct: bool) -> None:
        target = data.draw(st.sampled_from(sorted(self.readings)))
        by = self.bench.person.id
        try:
            if correct:
                new, answer = self.record.correct(target, self.bench.reading(59.0), reason, "drawn", by)
            else:
                new, answer = None, self.record.void(target, reason, "drawn", by)
        except RecordError as error:
            assert target in self.gone, error
            assert "already" in str(error)
            return
        assert target not in self.gone
        self.gone[target] = answer.id
        if new is not None:
            self.seen(new)

    @rule(initials=st.text(min_size=1, max_size=8))
    def sign_on(self, initials: str) -> None:
        try:
            self.record.add(Person(initials=initials))
        except InspectError as error:
            assert "initials" in str(error)

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

    @precondition(lambda self: len(self.backups) < 2)
    @rule()
    def back_up(self) -> None:
        self.backups.append((self.record.backup(), dict(self.readings), dict(self.gone)))

    @precondition(lambda self: self.backups and self.restored < 3)
    @rule(data=st.data())
    def restore(self, data: st.DataObject) -> None:
        file, readings, gone = data.draw(st.sampled_from(self.backups))
        self.record.close()
        if self.second is not None:
            self.second.close()
            self.second = None
        shutil.copy(file, self.path)
        self.readings, self.gone = dict(readings), dict(gone)
        self.restored += 1
        self.record = self.open()

    # ---------------------------------------------------------------- what must hold at every moment
    @invariant()
    def the_file_holds_the_book(self) -> None:
        if not hasattr(self, "bench"):
            return
        logged = {r.reading.id: r for r in self.record.readings()}
        assert {i: r.reading for i, r in logged.items()} == self.readings
        assert {i: r.supersede.id for i, r in logged.items() if r.supersede} == self.gone
        assert {i for i, r in logged.items() if r.out} == set(self.gone)
        left: dict[tuple[bytes, bytes], list[float]] = {}
        for i, reading in self.readings.items():
            if i not in self.gone:
                subject = reading.item_id or self.bench.tool.of_id
                left.setdefault((subject, reading.feature_id), []).append(reading.value)
        counted = {
            (subject, feature): summary
            for subject, found in (
                (self.bench.tool.of_id, self.record.summaries(self.bench.tool.of_id)),
                (self.bench.item.id, self.record.summaries(item_id=self.bench.item.id)),
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
    max_examples=12,
    stateful_step_count=20,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
TestRecord = RecordMachine.TestCase
