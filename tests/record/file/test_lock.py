"""One lock for all our programs at one file: waited for, and who holds it is said."""

from __future__ import annotations

import errno
import fcntl
import os
import subprocess
import sys
from pathlib import Path

import pytest

from inspect_tui.errors import Busy, RecordError
from inspect_tui.record.store import Record


def test_a_record_held_by_another_program_is_busy_and_says_who(bench):
    holder = subprocess.Popen(
        [
            sys.executable,
            "-c",
            (
                "import sqlite3, sys\ncon = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
                "con.execute('BEGIN IMMEDIATE'); print('held', flush=True); sys.stdin.read()"
            ),
            bench.record.path,
        ],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        with Record.open(bench.record.path, busy_s=0.2) as record:
            with pytest.raises(Busy, match=r"Not logged: .* writing to bench.db for more than 0.2 s") as caught:
                record.append_reading(bench.reading())
            if Path("/proc/locks").exists():
                assert f"(process {holder.pid})" in str(caught.value)
            holder.communicate("")
            assert record.append_reading(bench.reading()).id  # and then it goes on
    finally:
        holder.kill()
        holder.wait()


def test_our_own_lock_held_too_long_is_busy(bench):
    with Path(f"{bench.record.path}.lock").open("r+b") as file, Record.open(bench.record.path, busy_s=0.1) as record:
        fcntl.flock(file, fcntl.LOCK_EX)
        with pytest.raises(Busy, match="another program has been writing"):
            record.append_reading(bench.reading())
        fcntl.flock(file, fcntl.LOCK_UN)
        record.append_reading(bench.reading())


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP])
def test_a_disk_without_locks_is_said_and_nothing_is_written(bench, monkeypatch, number):
    bench.log(59.1)

    def refused(fd, what):
        if what != fcntl.LOCK_UN:
            raise OSError(number, os.strerror(number))

    with (
        monkeypatch.context() as patch,
        pytest.raises(RecordError, match=r"Not logged: the disk of bench.db gives no locks \(.*\), so two programs"),
    ):
        patch.setattr(fcntl, "flock", refused)
        bench.log(59.2)
    bench.log(59.3)
    assert [r.reading.value for r in bench.record.readings()] == [59.1, 59.3]
