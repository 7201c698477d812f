"""When the disk says no: nothing is half written, the sentence says so, and the next try works."""

from __future__ import annotations

import resource
import sqlite3

import pytest

from inspect_tui.errors import Damaged, DiskFull, ReadOnly, RecordError
from inspect_tui.record.file import trouble
from inspect_tui.record.store import Record
from inspect_tui.todo import Todo


def fill(record: Record) -> None:
    pages = record._con.execute("PRAGMA page_count").fetchone()[0]
    record._con.execute(f"PRAGMA max_page_count={pages}")


def test_on_a_full_disk_nothing_is_logged_and_it_works_again_afterwards(bench):
    logged = [bench.log(59.0 + n / 1000).id for n in range(3)]
    bench.record.checkpoint()
    fill(bench.record)
    with pytest.raises(DiskFull) as caught:
        for n in range(200):
            logged.append(bench.log(59.5 + n / 1000).id)
    assert str(caught.value).startswith("Not logged: the disk is full (")
    assert str(caught.value).endswith(" MB free).") and caught.value.todo is Todo.FREE_SPACE
    assert [r.reading.id for r in bench.record.readings()] == logged
    assert bench.record.verify().ok
    assert sum(s.n for s in bench.record.summaries(bench.tool.of_id).values()) == len(logged)
    bench.record._con.execute("PRAGMA max_page_count=1000000")
    logged.append(bench.log(59.9).id)
    assert [r.reading.id for r in bench.record.readings()] == logged
    assert bench.record.verify().ok


def test_many_readings_on_a_full_disk_are_all_in_or_none(bench):
    bench.record.checkpoint()
    fill(bench.record)
    with pytest.raises(DiskFull):
        bench.record.append_readings(bench.reading(59.0 + n / 1000) for n in range(300))
    assert bench.record.counts()["reading"] == 0
    assert bench.record.verify().ok


def test_after_a_write_error_of_the_disk_the_file_is_opened_anew(bench):
    logged = [bench.log(59.1).id]
    before = bench.record._con
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (512, hard))  # every write beyond that fails, as on a dying disk
    try:
        with pytest.raises(RecordError, match="Not logged: the disk reported an error"):
            bench.log(59.2)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    logged.append(bench.log(59.3).id)
    assert bench.record._con is not before  # never again on the handle that failed
    assert [r.reading.id for r in bench.record.readings()] == logged
    assert bench.record.verify().ok


class Lying(sqlite3.Connection):
    """Commits and then says that it could not."""

    def execute(self, sql, *values):  # type: ignore[override]
        done = super().execute(sql, *values)
        if sql == "COMMIT":
            error = sqlite3.OperationalError("disk I/O error")
            error.sqlite_errorcode = trouble.IOERR | 4 << 8
            raise error
        return done


def test_a_commit_that_failed_but_is_in_the_file_is_said_to_be_there(bench, monkeypatch):
    bench.log(59.1)
    bench.record._con.close()
    bench.record._con = sqlite3.connect(bench.record.path, isolation_level=None, factory=Lying)
    bench.record._watch()
    with pytest.raises(RecordError, match=r"holds what was typed. Look at the last readings before typing it again"):
        bench.log(59.2)
    bench.log(59.3)
    assert [r.reading.value for r in bench.record.readings()] == [59.1, 59.2, 59.3]
    assert bench.record.verify().ok


def test_a_disk_that_stays_away_is_tried_again_before_the_next_write(bench, monkeypatch):
    path = bench.record.path
    bench.record._con.close()
    path.rename(path.with_name("away.db"))
    with pytest.raises(RecordError, match=r"no longer in .* Put it back"):
        bench.log()
    with pytest.raises(RecordError):
        bench.record.readings()
    path.with_name("away.db").rename(path)
    bench.log(59.9)
    assert [r.reading.value for r in bench.record.readings()] == [59.9]


@pytest.mark.parametrize(
    ("code", "kind", "words"),
    [
        (trouble.READONLY, ReadOnly, "Not logged: bench.db may be read only"),
        (trouble.CORRUPT, Damaged, "bench.db is damaged"),
        (trouble.FULL, DiskFull, "Not logged: the disk is full"),
        (1, RecordError, "could not be used"),
    ],
)
def test_each_code_of_sqlite_has_its_sentence(tmp_path, code, kind, words):
    error = sqlite3.OperationalError("x")
    error.sqlite_errorcode = code | 3 << 8  # extended codes carry more in their upper bytes
    told = trouble.explain(error, tmp_path / "bench.db", 10.0, writing=True)
    assert type(told) is kind
    assert words in str(told)
