"""Every day only what came since is proved, every week all of it; what is remembered saves time and decides nothing."""

from __future__ import annotations

import sqlite3
from datetime import date, timedelta
from pathlib import Path

import pytest

from inspect_tui.record import attachments
from inspect_tui.record.care import tail
from inspect_tui.record.care.whole import Whole
from inspect_tui.record.file.state import state_dir
from inspect_tui.record.read import Reader
from tests.record.care.test_whole import DOT

DAY = date(2026, 3, 10)


def checked(path: Path, days: int = 0, only_tail: bool = True, walked: list[tuple[int, int]] | None = None) -> Whole:
    watch = None if walked is None else lambda done, total: walked.append((done, total))
    with Reader.of(path) as reader:
        return tail.check(reader.connection, path, state_dir(), DAY + timedelta(days=days), (), watch, only_tail)


def spoil(bench, sql: str) -> None:
    """Change rows behind the record's back and leave no trace in its tables."""
    con = sqlite3.connect(bench.record.path, isolation_level=None)
    triggers = con.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        con.execute(f"DROP TRIGGER {name}")
    assert con.execute(sql).rowcount
    for _, made in triggers:
        con.execute(made)
    con.close()


@pytest.fixture
def logged(bench):
    for value in (59.5, 59.6):
        bench.log(value)
    return bench


def test_the_first_time_and_after_a_week_all_is_proved_and_between_them_the_tail(logged) -> None:
    path = logged.record.path
    walked: list[tuple[int, int]] = []
    first = checked(path, walked=walked)
    entries = sum(first.counts.values())
    assert first.ok and first.notes == () and walked == [(entries, entries)]
    logged.log(59.7)
    for days in (0, 1, 6):
        again = checked(path, days, walked=walked)
        assert again.ok and again.counts == {} and len(again.heads) == 1
        new = 1 if days == 0 else 0
        assert again.notes == (
            f"All of it was last proved on 2026-03-10; {new} entries that came since it was last looked at were "
            "proved now.",
        )
    assert walked[1:] == [(1, 1)]
    assert checked(path, 7).counts["reading"] == 3 and checked(path, 13).counts == {}
    assert checked(path, 12, only_tail=False).counts["reading"] == 3 and checked(path, 18).counts == {}
    assert checked(path, 3).counts["reading"] == 3  # a clock that was set back is not believed


def test_what_is_wrong_in_the_tail_is_found_every_day_and_what_is_older_every_week(logged) -> None:
    path = logged.record.path
    checked(path)
    logged.log(59.7)
    spoil(logged, "UPDATE reading SET value = 60 WHERE value = 59.7")
    assert any("is not what was written" in said for said in checked(path, 1).problems)
    again = checked(path, 2).problems  # what is not whole is not remembered
    assert any("is not what was written" in said for said in again)
    spoil(logged, "UPDATE reading SET value = 59.7 WHERE value = 60")
    assert checked(path, 3).ok
    spoil(logged, "UPDATE reading SET value = 60 WHERE value = 59.5")
    assert checked(path, 4).ok and not checked(path, 7).ok and not checked(path, 4, only_tail=False).ok


@pytest.mark.parametrize("sql", ["UPDATE entry SET hash = zeroblob(32) WHERE seq = (SELECT max(seq) FROM entry)", ""])
def test_another_file_in_its_place_is_proved_whole(logged, sql: str) -> None:
    path = logged.record.path
    checked(path)
    logged.log(59.7)
    spoil(logged, sql or "DELETE FROM entry WHERE seq > 5")
    assert not checked(path, 1).ok


def test_a_new_row_without_an_entry_and_a_changed_schema_are_found(logged) -> None:
    path = logged.record.path
    checked(path)
    logged.log(59.7)
    spoil(logged, "DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)")
    assert any("stands in no chain" in said for said in checked(path, 1).problems)
    con = sqlite3.connect(path)
    con.execute("DROP INDEX reading_setup")
    con.close()
    assert any("reading_setup" in said for said in checked(path, 1).problems)


def test_pictures_of_the_tail_alone_are_read(logged) -> None:
    record, path = logged.record, logged.record.path
    old = attachments.keep(record, DOT, "old.png", logged.person.id)
    checked(path)
    new = attachments.keep(record, DOT.replace(b"\1\x08", b"\2\x08"), "new.png", logged.person.id)
    for picture in (old, new):
        attachments.stored_at(path, picture.sha256).unlink()
    (said,) = checked(path, 1).problems
    assert said.startswith("The picture new.png is missing")
    assert len(checked(path, 8).problems) == 2


@pytest.mark.parametrize(
    "kept", ["", "{", "[]", '{"heads": {"x": 1}}', '{"all_on": "2026-03-10", "heads": {}}', "\0\xff"]
)
def test_an_odd_memory_is_no_memory(logged, kept: str) -> None:
    path = logged.record.path
    checked(path)
    (file,) = (state_dir() / "proved").iterdir()
    file.write_bytes(kept.encode("latin-1"))
    assert checked(path, 1).counts["reading"] == 2
    file.unlink()
    file.mkdir()  # where nothing can be remembered all is proved every day
    assert checked(path, 2).counts["reading"] == 2 and checked(path, 3).counts["reading"] == 2
