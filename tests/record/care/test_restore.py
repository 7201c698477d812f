"""A backup takes the place of a record; what was there is kept, and what differs is told."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.record.care.restore import restore
from inspect_tui.record.store import Record

STAMP = "20260310-163000"


def values(path: Path) -> list[float]:
    with Record.open(path) as record:
        assert record.verify().ok
        return [logged.reading.value for logged in record.readings()]


def as_killed(bench, path: Path) -> None:
    """The record at `path` as a program that was killed leaves it: with its log."""
    for end in ("", "-wal"):
        Path(f"{path}{end}").write_bytes(Path(f"{bench.record.path}{end}").read_bytes())


def test_what_was_there_is_moved_aside_and_the_difference_told(bench) -> None:
    bench.log(59.1)
    backup = bench.record.backup()
    for value in (59.2, 59.3):
        bench.log(value)
    path = bench.record.path
    bench.record.close()
    done = restore(backup, path, STAMP)
    assert done.aside is not None and done.aside.name == f"bench-before-{STAMP}.db"
    assert done.said[0] == "2 entries that stood there are not in the backup."
    assert done.said[1].startswith("That is 2 reading.")
    assert values(path) == [59.1] and values(done.aside) == [59.1, 59.2, 59.3] and backup.exists()


def test_a_new_device_begins_after_it(bench) -> None:
    bench.log(59.1)
    backup = bench.record.backup()
    bench.log(59.2)
    path = bench.record.path
    bench.record.close()
    restore(backup, path, STAMP)
    with Record.open(path) as record:
        record.append_reading(bench.reading(59.4))
        devices = record.connection.execute("SELECT why, parent_seq FROM device ORDER BY id").fetchall()
        assert [why for why, _ in devices] == ["new", "restored"] and devices[1][1] is not None
        assert record.verify().ok


def test_the_log_of_what_was_there_goes_with_it(bench, tmp_path: Path) -> None:
    bench.log(59.1)
    backup = bench.record.backup()
    bench.log(59.2)
    path = tmp_path / "killed.db"
    as_killed(bench, path)
    done = restore(backup, path, STAMP)
    assert done.aside is not None and values(done.aside) == [59.1, 59.2]
    assert values(path) == [59.1]


@pytest.mark.parametrize("looked_at", [False, True])
def test_one_that_was_cut_off_between_two_names_is_taken_back_first(bench, tmp_path: Path, looked_at: bool) -> None:
    bench.log(59.1)
    backup = bench.record.backup()
    bench.log(59.2)
    path = tmp_path / "killed.db"
    as_killed(bench, path)
    aside = path.with_name(f"killed-before-{STAMP}.db")
    path.rename(aside)  # killed before the log had its new name
    path.with_name(f"killed-{STAMP}-coming.db").write_bytes(backup.read_bytes())
    if looked_at:
        Path(f"{aside}-wal").touch()  # SQLite leaves that beside a file that is only read
    done = restore(backup, path, "20260310-170000")
    assert done.said[0] == "1 entries that stood there are not in the backup."
    assert done.aside is not None and values(done.aside) == [59.1, 59.2] and values(path) == [59.1]
    assert not aside.exists() and not list(tmp_path.glob("*coming*"))


def test_what_lies_aside_and_was_gone_on_with_is_not_touched(bench, tmp_path: Path) -> None:
    bench.log(59.1)
    backup = bench.record.backup()
    path, aside = tmp_path / "killed.db", tmp_path / f"killed-before-{STAMP}.db"
    path.with_name(f"killed-{STAMP}-coming.db").write_bytes(backup.read_bytes())
    as_killed(bench, aside)
    Path(f"{path}-wal").write_text("the older log")
    before = aside.read_bytes()
    restore(backup, path, "20260310-170000")
    assert aside.read_bytes() == before and Path(f"{aside}-wal").exists()


def test_nothing_is_lost_and_nothing_said_where_the_backup_has_all(bench) -> None:
    bench.log(59.1)
    backup = bench.record.backup()
    bench.record.close()
    assert restore(backup, bench.record.path, STAMP).said == ("The backup holds all that stood there.",)
    again = restore(backup, bench.record.path, STAMP)
    assert again.aside is not None and again.aside.name == f"bench-before-{STAMP}-2.db"


def test_to_where_nothing_is(bench, tmp_path: Path) -> None:
    bench.log(59.1)
    done = restore(bench.record.backup(), tmp_path / "new.db", STAMP)
    assert (done.aside, done.said) == (None, ()) and values(tmp_path / "new.db") == [59.1]


def test_a_damaged_file_there_is_no_hindrance(bench) -> None:
    bench.log(59.1)
    backup = bench.record.backup()
    bench.record.close()
    bench.record.path.write_bytes(bench.record.path.read_bytes()[:5000])
    done = restore(backup, bench.record.path, STAMP)
    assert done.said == ("What stood there could not be read, so nobody can say what the backup lacks of it.",)
    assert values(bench.record.path) == [59.1] and done.aside is not None and done.aside.stat().st_size == 5000


def test_another_records_backup_is_told(bench, tmp_path: Path) -> None:
    with Record.open(tmp_path / "other.db", create=True) as other:
        backup = other.backup()
    bench.record.close()
    done = restore(backup, bench.record.path, STAMP)
    assert "entries that stood there are not in the backup" in done.said[0]


def test_what_is_refused_leaves_all_as_it_was(bench, tmp_path: Path) -> None:
    bench.log(59.1)
    path = bench.record.path
    backup = bench.record.backup()
    with pytest.raises(RecordError, match="is open in another program"):
        restore(backup, path, STAMP)
    bench.record.close()
    before = path.read_bytes()
    for wrong, said in (
        (tmp_path / "none.db", "There is no backup at"),
        (path, "is that record itself"),
    ):
        with pytest.raises(RecordError, match=said):
            restore(wrong, path, STAMP)
    con = sqlite3.connect(backup, isolation_level=None)
    con.execute("DROP TRIGGER reading_no_update")
    con.execute("UPDATE reading SET value = 59.9")
    con.close()
    with pytest.raises(RecordError, match="is not whole, so nothing was changed"):
        restore(backup, path, STAMP)
    with pytest.raises(RecordError, match="There is no folder"):
        restore(backup, tmp_path / "no" / "such.db", STAMP)
    assert path.read_bytes() == before
    assert [file.name for file in path.parent.glob("*coming*")] == []
