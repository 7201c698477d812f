"""A backup is one proved file, or none."""

from __future__ import annotations

import os

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.record.store import Record


def test_a_backup_is_one_verified_file_that_opens_as_a_record(bench, tmp_path):
    reading = bench.log()
    where = bench.record.backup(tmp_path / "stick", label="end of day!")
    again = bench.record.backup(tmp_path / "stick", label="end of day!")
    assert where != again
    assert where.name.startswith("bench-")
    assert "end-of-day" in where.name
    assert sorted(p.name for p in where.parent.iterdir()) == sorted([where.name, again.name])
    assert where.read_bytes()[18:20] == b"\1\1"  # rollback journal: complete without a log beside it
    with Record.open(where, read_only=True) as copy:
        assert copy.readings()[0].reading == reading
        assert copy.verify() == bench.record.verify()
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="No backup"):
        bench.record.backup(tmp_path / "file")


def test_what_a_killed_program_left_half_written_goes_and_nothing_else(bench, tmp_path):
    folder = tmp_path / "stick"
    folder.mkdir()
    left = [".bench-20260101-080000.db.77", ".bench-20260101-080000.db.77-journal", ".bench-1.db.9.new"]
    others = [".bench-notes", "bench-20260101-080000.db.77", ".benches.db.77", ".bench-20260101-080000.db"]
    for name in (*left, *others):
        (folder / name).write_text("x")
        os.utime(folder / name, (0, 0))
    (folder / ".bench-now.db.78").write_text("somebody writes it")
    where = bench.record.backup(folder)
    assert sorted(p.name for p in folder.iterdir()) == sorted([where.name, *others, ".bench-now.db.78"])
