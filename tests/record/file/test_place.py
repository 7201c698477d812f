"""Every file that is no record of ours is refused with one sentence and stays as it is."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from inspect_tui.errors import Damaged, NotOurs, ReadOnly, RecordError, TooNew
from inspect_tui.model.measuring import Person
from inspect_tui.record.file import place
from inspect_tui.record.store import Record
from inspect_tui.todo import Todo
from tests.record.conftest import furnish


def digest(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir() if p.is_file()}


def refuse(path: Path, kind: type[RecordError], sentence: str, **options: object) -> None:
    before = digest(path.parent) if path.parent.is_dir() else {}
    with pytest.raises(kind, match=sentence) as caught:
        Record.open(path, **options)
    assert type(caught.value) is kind
    if path.parent.is_dir():
        assert digest(path.parent) == before  # nothing written, nothing left beside it


@pytest.mark.parametrize("create", [False, True])
@pytest.mark.parametrize("content", [b"F1 59.66\nF2 60.1\n", b"x", b"SQLite format 3\0", b"\0" * 5000])
def test_a_text_file_is_not_touched(tmp_path, content, create):
    path = tmp_path / "notes.db"
    path.write_bytes(content)
    refuse(path, NotOurs, "notes.db is not a record of this program; it was not touched", create=create)


@pytest.mark.parametrize("create", [False, True])
@pytest.mark.parametrize("mode", ["WAL", "DELETE"])
def test_a_file_of_another_program_is_not_touched(tmp_path, mode, create):
    path = tmp_path / "other.db"
    con = sqlite3.connect(path)
    con.execute(f"PRAGMA journal_mode={mode}")
    con.execute("CREATE TABLE t (x)")
    con.execute("PRAGMA application_id=12345")
    con.close()
    refuse(path, NotOurs, "other.db belongs to another program", create=create)


def test_the_unfinished_log_of_another_program_is_left_alone(tmp_path):
    con = sqlite3.connect(tmp_path / "busy.db")
    con.execute("PRAGMA journal_mode=WAL")
    con.execute("CREATE TABLE t (x)")
    con.commit()
    (tmp_path / "left").mkdir()
    for name in ("busy.db", "busy.db-wal"):  # as a killed program leaves them
        (tmp_path / "left" / name).write_bytes((tmp_path / name).read_bytes())
    con.close()
    refuse(tmp_path / "left" / "busy.db", NotOurs, "busy.db belongs to another program")


def test_a_newer_record_is_not_touched(tmp_path):
    path = tmp_path / "bench.db"
    Record.open(path, create=True).close()
    con = sqlite3.connect(path)
    con.execute("PRAGMA user_version=99")
    con.close()
    refuse(path, TooNew, "bench.db was made by version 99 of the record; this program knows version [0-9]+. Nothing")
    refuse(path, TooNew, "version 99", read_only=True)


def test_a_folder_a_missing_file_and_a_missing_folder_are_named(tmp_path):
    refuse(tmp_path, RecordError, "is a folder, not a record")
    refuse(tmp_path / "no.db", RecordError, "There is no record at .*no.db")
    refuse(tmp_path / "no" / "no.db", RecordError, "There is no folder", create=True)
    (tmp_path / "empty.db").touch()
    refuse(tmp_path / "empty.db", NotOurs, "empty.db is empty")
    with Record.open(tmp_path / "empty.db", create=True) as record:  # a place that was kept free for it
        assert record.verify().ok


def test_garbage_behind_a_good_header_is_said_to_be_damaged(tmp_path):
    path = tmp_path / "bench.db"
    Record.open(path, create=True).close()
    data = bytearray(path.read_bytes())
    data[100:4096] = b"\xff" * 3996
    path.write_bytes(data)
    with pytest.raises(Damaged, match=r"bench.db is damaged"):
        Record.open(path)


def test_a_network_drive_is_known_by_its_mount():
    mounts = [
        "/dev/vda / ext4 rw 0 0",
        "server:/shop /shop nfs4 rw 0 0",
        "//nas/b /shop/local\\040disk cifs rw 0 0",
        "/dev/sdb /shop/stick vfat rw 0 0",
        "me@h:/ /mnt/far fuse.sshfs rw 0 0",
    ]
    assert place.network_type(Path("/shop/bench.db"), mounts) == "nfs4"
    assert place.network_type(Path("/shop/local disk/bench.db"), mounts) == "cifs"
    assert place.network_type(Path("/shop/stick/bench.db"), mounts) == ""
    assert place.network_type(Path("/shopping/bench.db"), mounts) == ""
    assert place.network_type(Path("/mnt/far/x/bench.db"), mounts) == "fuse.sshfs"
    assert place.network_type(Path(__file__)) == ""


def test_on_a_network_drive_a_record_is_read_and_not_written(bench, monkeypatch):
    reading, path = bench.reading(), bench.record.path
    bench.record.close()
    monkeypatch.setattr(place, "network_type", lambda *_: "nfs4")
    with Record.open(path) as record:
        assert record.jobs()[0].number == "4711"
        with pytest.raises(ReadOnly, match=r"Not logged. bench.db lies on a network drive \(nfs4\).*Copy it"):
            record.append_reading(reading)
    with pytest.raises(ReadOnly, match="No record can be made"):
        Record.open(path.with_name("new.db"), create=True)


def test_opened_to_read_only_it_answers_and_refuses_to_write(bench):
    logged = bench.log()
    with Record.open(bench.record.path, read_only=True) as record:
        assert record.read_only
        assert record.readings()[0].reading == logged
        for write in (
            lambda: record.append_reading(bench.reading()),
            lambda: record.void(logged.id, "misread", "x"),
            lambda: record.add(bench.person),
            record.rebuild_summaries,
            record.checkpoint,
        ):
            with pytest.raises(ReadOnly, match="opened to read only"):
                write()
        assert record.verify().ok
    assert bench.record.counts()["reading"] == 1


AS_NOBODY = """
import os, sys
from inspect_tui.record.store import Record
from inspect_tui.errors import InspectError
if os.geteuid() == 0:  # only now: the interpreter's own files may be root's
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
try:
    with Record.open(sys.argv[1], create=len(sys.argv) > 2) as record:
        print(record.read_only, len(record.readings()), record.verify().ok, record.read_only_why)
        record.append_reading(record.readings()[0].reading)
except InspectError as error:
    print(type(error).__name__, error)
"""


@pytest.fixture
def shared():
    """A folder that another user may look into."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        with Record.open(folder / "bench.db", create=True) as record:
            furnish(record).log()
        (folder / "bench.db").chmod(0o644)
        yield folder
        folder.chmod(0o755)


def as_nobody(*arguments: object) -> str:
    done = subprocess.run(
        [sys.executable, "-c", AS_NOBODY, *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=30,
        cwd=Path(__file__).parents[3],
    )
    assert done.stderr == ""
    return done.stdout


def test_a_write_protected_file_and_folder_open_to_read(shared):
    if os.geteuid() != 0:
        (shared / "bench.db").chmod(0o444)
        shared.chmod(0o555)
    said = as_nobody(shared / "bench.db")
    assert said.startswith("True 1 True ")
    assert "may be read only, so nothing can be logged" in said
    assert "ReadOnly Not logged." in said
    assert as_nobody(shared / "new.db", "create").startswith("ReadOnly No record can be made at")


def test_without_the_right_to_read_the_file_is_named(shared):
    (shared / "bench.db").chmod(0o000 if os.geteuid() != 0 else 0o600)
    assert as_nobody(shared / "bench.db").startswith(f"RecordError There is no right to read {shared / 'bench.db'}")


def test_a_second_opening_in_one_process_does_not_drop_the_locks_of_the_first(bench):
    assert Path("/proc/locks").exists(), "this test reads the locks where Linux lists them"
    inode = bench.record.path.stat().st_ino

    def locks() -> int:
        return sum(f":{inode} " in line and f" {os.getpid()} " in line for line in Path("/proc/locks").open())

    bench.log()
    held = locks()
    assert held > 0
    with Record.open(bench.record.path):
        pass
    with bench.record.reader():
        pass
    # closing any handle of a file drops the process's locks on it: SQLite guards its own, and we read none by hand
    assert locks() == held


def test_a_record_without_its_guards_is_not_written_any_more(tmp_path):
    path = tmp_path / "bench.db"
    with Record.open(path, create=True) as record:
        record.add(Person(initials="AB"))
    con = sqlite3.connect(path)
    con.execute("DROP TRIGGER reading_no_update")
    con.commit()
    con.close()
    with Record.open(path) as record:
        assert record.read_only and "append-only are missing" in record.read_only_why
        with pytest.raises(ReadOnly, match="Writing has stopped") as stopped:
            record.add(Person(initials="CD"))
        assert stopped.value.todo is Todo.CHECK_RECORD
        assert [p.initials for p in record.people()] == ["AB"]


def test_damaged_pages_are_found_by_a_reader_beside_the_work(tmp_path):
    path = tmp_path / "bench.db"
    with Record.open(path, create=True) as record:
        for number in range(40):
            record.add(Person(initials=f"P{number}"))
        with record.reader() as reader:
            assert reader.damage() is None
    body = bytearray(path.read_bytes())
    con = sqlite3.connect(path)
    (page,) = con.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'person'").fetchone()
    con.close()
    body[(page - 1) * 4096 : (page - 1) * 4096 + 64] = b"\xff" * 64
    path.write_bytes(body)
    with Record.open(path, read_only=True) as record:
        assert "damaged" in (record.damage() or "")
