"""What is written goes into the file that its path names, whole as it was made, or nothing is said to be logged."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from inspect_tui.errors import ReadOnly, RecordError, TooNew
from inspect_tui.frozen import replace
from inspect_tui.record.file import guard, schema
from inspect_tui.record.store import Record
from tests.record.file.released import record_of


def values(record: Record) -> list[float]:
    return [logged.reading.value for logged in record.readings()]


def other(path: Path) -> sqlite3.Connection:
    """Another program at the file, with none of our settings."""
    return sqlite3.connect(path, isolation_level=None)


# ---------------------------------------------------------------- the schema
def test_the_digest_of_every_version_is_that_of_its_files() -> None:
    con, made = sqlite3.connect(":memory:", isolation_level=None), {}
    for number, file in schema.migrations(schema.shipped()):
        schema.apply(con, number, file, proven=False)
        made[number] = guard.digest(con)
    assert made == guard.WHOLE  # a new schema file needs its line in WHOLE


def test_a_record_of_an_old_version_that_came_forward_is_whole(tmp_path: Path) -> None:
    with Record.open(record_of(1, tmp_path / "old.db")) as record:
        assert guard.misfit(record._con) == "" and not record.read_only


@pytest.mark.parametrize(
    "sql, said",
    [
        ("CREATE TRIGGER thief BEFORE INSERT ON reading BEGIN SELECT RAISE(IGNORE); END", "added .*: thief"),
        ("DROP VIEW reading_that_counts", "missing .*: reading_that_counts"),
        ("DROP INDEX reading_setup", "missing .*: reading_setup"),
        ("DROP VIEW reading_that_counts; CREATE VIEW reading_that_counts AS SELECT 1", "changed .*: reading_that_c"),
    ],
)
def test_changed_tables_are_said_before_anything_is_logged(bench, monkeypatch, sql: str, said: str) -> None:
    bench.log(59.1)
    monkeypatch.setitem(guard.WHOLE, bench.record.version, guard.digest(bench.record._con))
    con = other(bench.record.path)
    con.executescript(sql)
    with pytest.raises(RecordError, match=f"Not logged: Something .*{said}"):
        bench.log(59.2)
    if "VIEW" not in sql:
        assert values(bench.record.reader()) == [59.1]
    bench.record.close()
    with Record.open(bench.record.path) as again:  # and when it is opened with them
        assert again.read_only and "Writing has stopped" in again.read_only_why
    con.close()


def test_a_row_that_a_trigger_swallows_is_not_said_to_be_logged(bench, monkeypatch) -> None:
    other(bench.record.path).execute(
        "CREATE TRIGGER thief BEFORE INSERT ON reading BEGIN SELECT RAISE(IGNORE); END"
    ).close()
    monkeypatch.setattr(guard.Guard, "tables", lambda *_: None)
    with pytest.raises(RecordError, match=r"Not logged: the record took this reading and kept nothing"):
        bench.log(59.2)
    assert values(bench.record) == []


def test_tables_of_sqlite_itself_are_no_change(bench) -> None:
    other(bench.record.path).execute("ANALYZE").close()
    bench.log(59.2)
    assert values(bench.record) == [59.2]


def test_a_record_brought_to_a_newer_version_meanwhile_is_not_written(bench) -> None:
    con = other(bench.record.path)
    con.executescript("CREATE TABLE cache_new (a); PRAGMA user_version = 99")
    with pytest.raises(TooNew, match=r"Not logged: bench.db was brought to version 99"):
        bench.log(59.2)
    con.close()


# ---------------------------------------------------------------- the file
def test_a_record_that_was_moved_is_not_written_until_it_is_back(bench) -> None:
    bench.log(59.1)
    path, away = bench.record.path, bench.record.path.with_name("away.db")
    path.rename(away)
    with pytest.raises(RecordError, match=r"Not logged: bench.db is no longer in .* moved, renamed or deleted"):
        bench.log(59.2)
    away.rename(path)
    bench.log(59.3)
    assert values(bench.record) == [59.1, 59.3]


def test_a_record_that_was_deleted_or_replaced_is_not_written(bench) -> None:
    bench.log(59.1)
    path = bench.record.path
    bench.record.checkpoint()
    copy = path.with_name("copy.db")
    shutil.copy(path, copy)
    path.unlink()
    with pytest.raises(RecordError, match=r"Not logged: .* no longer in"):
        bench.log(59.2)
    copy.rename(path)
    with pytest.raises(RecordError, match=r"Not logged: another file was put in the place of bench.db"):
        bench.log(59.3)
    bench.record.close()
    with Record.open(path) as again:
        assert values(again) == [59.1]


def test_a_record_moved_between_look_and_commit_says_that_it_does_not_know(bench, monkeypatch) -> None:
    bench.log(59.1)
    path = bench.record.path
    tables = guard.Guard.tables

    def move(self, con):
        path.rename(path.with_name("away.db"))
        tables(self, con)

    monkeypatch.setattr(guard.Guard, "tables", move)
    with pytest.raises(RecordError, match=r"taken away at the very moment .* may stand in it or not"):
        bench.log(59.2)


# ---------------------------------------------------------------- its log
def test_a_log_that_was_deleted_is_folded_in_and_nothing_is_lost(bench) -> None:
    for value in (59.1, 59.2):
        bench.log(value)
    Path(f"{bench.record.path}-wal").unlink()
    bench.log(59.3)
    bench.log(59.4)
    con = other(bench.record.path)  # what the next one finds
    assert con.execute("SELECT count(*) FROM reading").fetchone() == (4,)
    con.close()
    assert bench.record.verify().ok


def test_a_log_deleted_during_the_write_is_folded_in(bench, monkeypatch) -> None:
    bench.log(59.1)
    tables = guard.Guard.tables

    def unlink(self, con):
        Path(f"{bench.record.path}-wal").unlink()
        tables(self, con)

    with monkeypatch.context() as patch:
        patch.setattr(guard.Guard, "tables", unlink)
        bench.log(59.2)
    con = other(bench.record.path)
    assert con.execute("SELECT count(*) FROM reading").fetchone() == (2,)
    con.close()
    bench.log(59.3)
    assert values(bench.record) == [59.1, 59.2, 59.3] and bench.record.verify().ok


def test_another_log_in_its_place_stops_the_write(bench) -> None:
    bench.log(59.1)
    wal = Path(f"{bench.record.path}-wal")
    other_log = wal.with_name("x")
    other_log.write_bytes(wal.read_bytes())
    other_log.replace(wal)
    with pytest.raises(RecordError, match=r"Not logged: the file bench.db-wal beside the record was changed"):
        bench.log(59.2)


# ---------------------------------------------------------------- the end of the chain
def test_a_newest_entry_that_is_not_what_was_written_stops_the_record(bench) -> None:
    bench.log(59.1)
    bench.record.close()
    con = other(bench.record.path)
    (sql,) = con.execute("SELECT sql FROM sqlite_schema WHERE name = 'reading_no_update'").fetchone()
    con.execute("DROP TRIGGER reading_no_update")
    con.execute("UPDATE reading SET value = 59.9")
    con.execute(sql)
    con.close()
    with Record.open(bench.record.path) as again:
        with pytest.raises(ReadOnly, match=r"Its newest entry is not what was written"):
            again.add(replace(bench.person, id=b"", of_id=b"", initials="X"))
        assert again.read_only


def test_the_end_fits_where_a_chain_has_only_its_device(tmp_path: Path) -> None:
    with Record.open(tmp_path / "new.db", create=True) as record:
        (device,) = record._con.execute("SELECT id FROM device").fetchone()
        assert guard.end_fits(record._con, device) and guard.end_fits(record._con, b"x" * 16)
