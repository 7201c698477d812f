"""A backup is one proved file, or none."""

from __future__ import annotations

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
