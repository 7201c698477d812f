"""Connections as durability needs them; files of other programs and of newer ones are refused and left alone."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.errors import NotOurs, RecordError, TooNew
from inspect_tui.record.file import connect
from inspect_tui.record.store import Record


@pytest.fixture
def path(tmp_path: Path) -> Path:
    Record.open(tmp_path / "shop.db", create=True).close()
    return tmp_path / "shop.db"


def test_a_path_with_signs_of_an_address_is_taken_as_it_is(path: Path) -> None:
    odd = path.with_name("50%20 of #3?.db")
    shutil.copyfile(path, odd)
    assert connect.uri(odd, "mode=ro").endswith("50%2520 of %233%3f.db?mode=ro")
    con = connect.connect_reader(odd, 1.0)
    assert connect.pragma(con, "application_id") == connect.APPLICATION_ID
    con.close()


def test_who_writes_waits_for_the_disk_and_folds_the_log_in_by_hand(path: Path) -> None:
    con = connect.connect_writer(path, 1.0)
    taken = {
        name: connect.pragma(con, name)
        for name in ("journal_mode", "synchronous", "foreign_keys", "recursive_triggers", "trusted_schema")
    }
    assert taken == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "recursive_triggers": 1,
        "trusted_schema": 0,
    }
    assert connect.pragma(con, "wal_autocheckpoint") == connect.pragma(con, "mmap_size") == 0
    assert connect.pragma(con, "cell_size_check") == 1
    con.close()


def test_who_reads_cannot_write(path: Path) -> None:
    con = connect.connect_reader(path, 1.0)
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        con.execute("CREATE TABLE t (a)")
    assert (connect.pragma(con, "query_only"), connect.pragma(con, "trusted_schema")) == (1, 0)
    con.close()


@pytest.mark.parametrize("opened", [connect.connect_writer, connect.connect_reader])
def test_a_file_of_another_program_is_refused_and_stays_as_it_is(tmp_path: Path, opened: Any) -> None:
    other = tmp_path / "other.db"
    con = sqlite3.connect(other)
    con.execute("CREATE TABLE t (a)")
    con.commit()
    con.close()
    before = other.read_bytes()
    with pytest.raises(NotOurs, match=r"other\.db belongs to another program"):
        opened(other, 1.0)
    assert other.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith("other")] == ["other.db"]


def test_a_writer_makes_no_file(tmp_path: Path) -> None:
    with pytest.raises(sqlite3.OperationalError):
        connect.connect_writer(tmp_path / "none.db", 1.0)
    assert not (tmp_path / "none.db").exists()


@pytest.mark.parametrize(
    ("name", "answers", "words"),
    [
        ("journal_mode", "delete", "this disk refuses the write-ahead log"),
        ("synchronous", 1, "ignores the settings"),
        ("foreign_keys", 0, "ignores the settings"),
    ],
)
def test_a_disk_or_library_that_does_not_take_the_settings_is_refused(
    path: Path, monkeypatch: pytest.MonkeyPatch, name: str, answers: object, words: str
) -> None:
    real = connect.pragma
    monkeypatch.setattr(connect, "pragma", lambda con, text: answers if text.startswith(name) else real(con, text))
    with pytest.raises(RecordError, match=words):
        connect.connect_writer(path, 1.0)


def test_a_newer_record_is_refused_and_an_older_one_is_not() -> None:
    connect.check_version(Path("shop.db"), 3, 4)
    connect.check_version(Path("shop.db"), 4, 4)
    with pytest.raises(TooNew, match=r"shop\.db was made by version 5 of the record; this program knows version 4"):
        connect.check_version(Path("folder/shop.db"), 5, 4)
