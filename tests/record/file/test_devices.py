"""A copied or a restored file begins a new device; a moved file and a memory that lags do not."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.record.conftest import furnish


def devices(record: Record) -> list[tuple[str, int | None]]:
    return record._rows_of("SELECT why, parent_seq FROM device ORDER BY id")


def last_seq(record: Record) -> int:
    return max(int(head.split("·")[1]) for head in record.heads())


@pytest.fixture
def reading(tmp_path: Path):
    """A closed record with one reading; gives the reading to log again."""
    with Record.open(tmp_path / "bench.db", create=True, bench="one") as record:
        bench = furnish(record)
        bench.log()
        return bench.reading()


def test_a_file_opened_again_goes_on_as_the_same_device(tmp_path, reading):
    for _ in range(3):
        with Record.open(tmp_path / "bench.db") as record:
            record.append_reading(reading)
            assert devices(record) == [("new", None)]
            assert record.verify().ok


def test_a_copy_begins_a_device_of_its_own_and_the_original_goes_on(tmp_path, reading):
    shutil.copy(tmp_path / "bench.db", tmp_path / "copy.db")
    with Record.open(tmp_path / "copy.db", bench="two") as record:
        assert devices(record) == [("new", None)]  # to look at it changes nothing
        before = last_seq(record)
        record.append_reading(reading)
        assert devices(record) == [("new", None), ("copied", before)]
        parent, child = record._rows_of("SELECT id, shop_id, parent_id, bench FROM device ORDER BY id")
        assert (child[1], child[2], child[3]) == (parent[1], parent[0], "two")
        assert record.verify().ok
    for name, count in (("bench.db", 1), ("copy.db", 2), ("bench.db", 1)):
        with Record.open(tmp_path / name) as record:
            record.append_reading(reading)
            assert len(devices(record)) == count
            assert record.verify().ok


def test_a_file_from_another_machine_begins_a_device(tmp_path, reading):
    with Record.open(tmp_path / "bench.db", state_dir=tmp_path / "another machine") as record:
        record.append_reading(reading)
        assert [why for why, _ in devices(record)] == ["new", "copied"]
    with Record.open(tmp_path / "bench.db") as record:  # back where it was made: it knows its first device
        record.append_reading(reading)
        assert [why for why, _ in devices(record)] == ["new", "copied"]
        assert record.verify().ok


def test_a_restored_backup_begins_a_device_and_gives_no_number_twice(tmp_path, reading):
    path = tmp_path / "bench.db"
    with Record.open(path) as record:
        kept = record.backup()
        record.append_reading(reading)
        lost = record.heads()[0]
    path.unlink()
    shutil.copy(kept, path)
    with Record.open(path) as record:
        before = last_seq(record)
        record.append_reading(reading)
        assert devices(record)[1:] == [("restored", before)]
        assert lost not in record.heads()
        assert record.verify().ok
    path.unlink()
    shutil.copy(kept, path)  # and once more
    with Record.open(path) as record:
        record.append_reading(reading)
        assert [why for why, _ in devices(record)] == ["new", "restored"]
        assert len(list((tmp_path / "state" / "devices").iterdir())) == 3


def test_another_history_of_the_same_length_is_known_by_its_head(tmp_path, reading):
    path = tmp_path / "bench.db"
    shutil.copy(path, tmp_path / "kept.db")
    with Record.open(path) as record:
        record.append_reading(reading)
        device = record.device_id
    ours = (tmp_path / "state" / "devices" / device.hex()).read_text()
    shutil.copy(tmp_path / "kept.db", path)
    elsewhere = tmp_path / "elsewhere"
    (elsewhere / "devices").mkdir(parents=True)  # somebody wrote the same numbers where our memory does not reach
    seq, rest = ours.split(" ", 1)
    with Record.open(tmp_path / "kept.db", read_only=True) as record:
        head = record._rows_of("SELECT hash FROM entry ORDER BY seq DESC LIMIT 1")[0][0].hex()
    (elsewhere / "devices" / device.hex()).write_text(f"{int(seq) - 1:020d} {head}\n" + rest.split("\n", 1)[1])
    with Record.open(path, state_dir=elsewhere) as record:
        record.append_reading(reading)
        assert record.device_id == device
    with Record.open(path) as record:
        record.append_reading(reading)
        assert [why for why, _ in devices(record)] == ["new", "restored"]
        assert record.verify().ok


def test_a_moved_file_goes_on(tmp_path, reading):
    (tmp_path / "attic").mkdir()
    (tmp_path / "bench.db").rename(tmp_path / "attic" / "old.db")
    for _ in range(2):
        with Record.open(tmp_path / "attic" / "old.db") as record:
            record.append_reading(reading)
            assert devices(record) == [("new", None)]


def test_a_file_reached_through_a_link_goes_on(tmp_path, reading):
    (tmp_path / "link.db").symlink_to(tmp_path / "bench.db")
    with Record.open(tmp_path / "link.db") as record:
        record.append_reading(reading)
        assert devices(record) == [("new", None)]


def test_a_memory_that_lags_does_not_say_restored(tmp_path, reading):
    memory = next((tmp_path / "state" / "devices").iterdir())
    then = memory.read_bytes()
    with Record.open(tmp_path / "bench.db") as record:
        for _ in range(5):
            record.append_reading(reading)
    assert memory.read_bytes() != then
    memory.write_bytes(then)  # a power cut took the last notes
    with Record.open(tmp_path / "bench.db") as record:
        record.append_reading(reading)
        assert devices(record) == [("new", None)]
        assert record.verify().ok


@pytest.mark.parametrize("broken", [b"", b"rubbish", b"\xff\xfe\n\n"])
def test_an_unreadable_memory_costs_a_new_device_and_nothing_else(tmp_path, reading, broken):
    next((tmp_path / "state" / "devices").iterdir()).write_bytes(broken)
    with Record.open(tmp_path / "bench.db") as record:
        record.append_reading(reading)
        assert [why for why, _ in devices(record)] == ["new", "copied"]
        assert record.verify().ok


def test_two_programs_at_one_record_share_one_memory(tmp_path, reading):
    path = tmp_path / "bench.db"
    with Record.open(path) as first, Record.open(path) as second:
        second.append_reading(reading)
        first.append_reading(reading)
        kept = first.backup()
        second.append_reading(reading)  # after `first` opened the memory too: this must still reach it
        numbers = last_seq(second)
    shutil.copy(kept, path)
    with Record.open(path) as record:
        record.append_reading(reading)
        assert devices(record)[1:] == [("restored", numbers - 1)]


def test_without_a_place_to_remember_logging_goes_on(tmp_path, reading):
    (tmp_path / "no folder").write_text("")
    for count in (2, 3):
        with Record.open(tmp_path / "bench.db", state_dir=tmp_path / "no folder") as record:
            record.append_reading(reading)
            record.append_reading(reading)
            assert len(devices(record)) == count
            assert record.verify().ok


def test_a_file_put_back_under_an_open_record_begins_a_device(tmp_path, reading):
    path = tmp_path / "bench.db"
    with Record.open(path) as record:
        kept = record.backup()
        record.append_reading(reading)
        record.checkpoint()
        source, target = sqlite3.connect(kept), sqlite3.connect(path)
        source.backup(target)  # in place, while we are open
        source.close()
        target.close()
        record.append_reading(reading)
        assert [why for why, _ in devices(record)] == ["new", "restored"]
        assert record.verify().ok
