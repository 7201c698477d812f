"""A log that belongs to another file or another day is put aside; the log of a killed program is taken in."""

from __future__ import annotations

import os
import shutil
import sqlite3
from pathlib import Path

import pytest

from inspect_tui.record.file import stray_log
from inspect_tui.record.store import Record
from tests.record.conftest import furnish


@pytest.fixture
def killed(tmp_path: Path, bench):
    """Copies a record as a kill leaves it: file and log as they stand, nobody at them."""

    def copy(name: str) -> Path:
        path = tmp_path / name
        for end in ("", "-wal"):
            source = Path(f"{bench.record.path}{end}")
            if source.exists():
                shutil.copy(source, f"{path}{end}")
        return path

    return copy


def values(path: Path) -> tuple[list[float], str]:
    with Record.open(path) as record:
        assert record.verify().ok
        return [logged.reading.value for logged in record.readings()], record.opening_said


def test_the_log_of_a_killed_program_is_taken_in(bench, killed) -> None:
    bench.log(59.1)
    bench.record.checkpoint()
    bench.log(59.2)
    assert values(killed("k.db")) == ([59.1, 59.2], "")


def test_a_log_of_another_record_is_put_aside(bench, killed, tmp_path: Path) -> None:
    bench.log(59.1)
    path = killed("k.db")
    with Record.open(tmp_path / "other.db", create=True) as other:
        furnish(other)
        other.checkpoint()
        for end in ("", "-shm"):
            Path(f"{path}{end}").unlink(missing_ok=True)
        shutil.copy(other.path, path)
    read, said = values(path)
    assert read == [] and "k.db-wal that lay beside k.db is not of this file" in said
    (kept,) = path.parent.glob("k.db-wal.stray-*")
    assert kept.name in said and kept.stat().st_size > 32
    assert values(path) == ([], "")  # said once


def test_the_newer_log_beside_an_older_copy_is_put_aside(bench, killed) -> None:
    bench.log(59.1)
    bench.record.checkpoint()
    old = killed("old.db")
    Path(f"{old}-wal").unlink(missing_ok=True)
    for n in range(300):
        bench.log(59.2 + n / 1000)
    bench.record.checkpoint()
    bench.log(60.0)  # the log begins anew with this one
    newer = killed("newer.db")
    shutil.move(f"{newer}-wal", f"{old}-wal")
    read, said = values(old)
    assert read == [59.1] and "put aside" in said
    assert values(newer)[0][-1] == 59.499  # what was folded in before


def test_a_file_torn_by_a_half_done_checkpoint_is_mended_by_its_log(bench, killed) -> None:
    bench.log(59.1)
    bench.record.checkpoint()
    before = killed("before.db")
    for n in range(60):
        bench.log(59.2 + n / 1000)
    path = killed("k.db")
    bench.record.checkpoint()
    whole, size = bench.record.path.read_bytes(), 4096
    old = before.read_bytes()
    for torn in (1, 2, 3):  # every so many of the changed pages reached the file before the power went
        pages = bytearray(whole)
        for n, at in enumerate(range(0, len(old), size)):
            if old[at : at + size] != whole[at : at + size] and n % (torn + 1):
                pages[at : at + size] = old[at : at + size]
        path.write_bytes(pages)
        copy = path.with_name(f"torn-{torn}.db")
        shutil.copy(path, copy)
        shutil.copy(f"{path}-wal", f"{copy}-wal")
        read, said = values(copy)
        assert len(read) == 61 and said == ""


def test_a_log_in_use_is_nobody_elses_to_judge(bench, tmp_path: Path) -> None:
    bench.log(59.1)
    pid = os.fork()
    if pid == 0:  # locks of this very process are not seen as another's
        os._exit(0 if stray_log.in_use(bench.record.path) else 1)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0
    bench.record.close()
    assert not stray_log.in_use(bench.record.path) and stray_log.belongs(bench.record.path, tmp_path)


def test_an_empty_log_and_one_that_cannot_be_read_alone_are_left(bench, killed, tmp_path: Path) -> None:
    bench.log(59.1)
    path = killed("k.db")
    Path(f"{path}-wal").write_bytes(b"")
    assert stray_log.belongs(path, tmp_path)
    path = killed("torn.db")
    path.write_bytes(path.read_bytes()[:5000])
    assert stray_log.belongs(path, tmp_path)  # what it is worth is said when it is opened


def test_files_are_for_their_owner_alone(tmp_path: Path) -> None:
    with Record.open(tmp_path / "new.db", create=True) as record:
        furnish(record)
        names = [record.path, f"{record.path}-wal", f"{record.path}.lock", record.backup()]
        assert {Path(name).stat().st_mode & 0o777 for name in names} == {0o600}


def test_a_record_behind_a_link_has_its_lock_and_backups_beside_itself(bench, tmp_path: Path) -> None:
    bench.record.close()
    desk = tmp_path / "desk"
    desk.mkdir()
    link = desk / "shop.db"
    link.symlink_to(bench.record.path)
    with Record.open(link) as record:
        assert record.path == bench.record.path
        assert record.backup().parent == bench.record.path.parent / "backups"
    assert [file.name for file in desk.iterdir()] == ["shop.db"]
    con = sqlite3.connect(link)
    con.close()
