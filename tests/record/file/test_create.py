"""A new record: whole, durable, and only then given its name."""

from __future__ import annotations

import pytest

from inspect_tui.record.store import Record


@pytest.mark.usefixtures("disk_is_waited_for")
def test_a_new_record_is_whole_and_takes_the_settings_of_durability(tmp_path):
    path = tmp_path / "a b%20?#.db"
    with Record.open(path, create=True, bench="bench 1", program="test 0") as record:
        settings = {
            name: record._con.execute(f"PRAGMA {name}").fetchone()[0]
            for name in (
                "journal_mode",
                "synchronous",
                "foreign_keys",
                "recursive_triggers",
                "trusted_schema",
                "cell_size_check",
                "mmap_size",
                "wal_autocheckpoint",
                "busy_timeout",
            )
        }
        assert settings == {
            "journal_mode": "wal",
            "synchronous": 2,
            "foreign_keys": 1,
            "recursive_triggers": 1,
            "trusted_schema": 0,
            "cell_size_check": 1,
            "mmap_size": 0,
            "wal_autocheckpoint": 0,
            "busy_timeout": 10000,
        }
        assert record.counts()["device"] == 1
        assert record._rows_of("SELECT bench, why, program FROM device") == [("bench 1", "new", "test 0")]
        assert record.verify().heads[0].split("·")[1] == "1"
    assert sorted(p.name for p in tmp_path.iterdir()) == [path.name, path.name + ".lock", "state"]
