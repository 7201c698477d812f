"""What can be read of a damaged record is saved, and what is missing is named."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from inspect_tui.errors import NotOurs, RecordError
from inspect_tui.record.care.salvage import Salvaged, salvage
from inspect_tui.record.file.state import state_dir
from inspect_tui.record.store import Record
from tests.record.care.test_whole import tear_page_of_entries
from tests.record.file.released import record_of


def saved(damaged: Path, to: Path) -> Salvaged:
    return salvage(damaged, to, state_dir(), "bench 1", "test")


@pytest.fixture
def full(bench) -> Path:
    """A closed record of 400 readings."""
    bench.record.append_readings([bench.reading(59 + n / 1000) for n in range(400)])
    bench.record.close()
    path: Path = bench.record.path
    return path


def test_of_a_sound_record_all_is_saved(full: Path, tmp_path: Path) -> None:
    done = saved(full, tmp_path / "saved.db")
    assert done.missing == () and done.counts["reading"] == 400
    with Record.open(done.path) as record:
        assert record.verify().ok and len(record.readings()) == 400
        (device,) = {why for (why,) in record.connection.execute("SELECT why FROM device") if why != "new"}
        assert device == "salvaged"
        assert record.summaries(record.readings()[0].reading.tool_id) if hasattr(record, "summaries") else True


def test_it_goes_on_writing_as_the_salvaged_device(bench, tmp_path: Path) -> None:
    bench.log(59.1)
    bench.record.close()
    done = saved(bench.record.path, tmp_path / "saved.db")
    with Record.open(done.path) as record:
        record.append_reading(bench.reading(59.2))
        assert record.connection.execute("SELECT count(*) FROM device").fetchone() == (2,)
        assert record.verify().ok


def test_a_torn_page_of_entries(full: Path, tmp_path: Path) -> None:
    tear_page_of_entries(full, near=200)
    before = full.read_bytes()
    done = saved(full, tmp_path / "saved.db")
    assert done.counts["reading"] == 400  # the readings themselves are all there
    assert any(line.startswith("Entries of device") and "cannot be read" in line for line in done.missing)
    bare = next(line for line in done.missing if "saved without an entry" in line)
    assert 5 < int(bare.split()[0]) < 80 and "reading" in bare
    assert full.read_bytes() == before  # the original stays


def test_a_torn_page_of_readings(full: Path, tmp_path: Path) -> None:
    con = sqlite3.connect(full)
    ids = [row[0] for row in con.execute("SELECT id FROM reading ORDER BY id LIMIT 3 OFFSET 200")]
    con.close()
    content = bytearray(full.read_bytes())
    for at in range(0, len(content), 4096):  # the leaf of the table itself: it holds the texts that were typed
        page = bytes(content[at : at + 4096])
        if page[0] == 0x0A and any(row_id in page for row_id in ids) and page.count(b"none") > 20:
            content[at : at + 16] = b"\xff" * 16
            break
    full.write_bytes(content)
    done = saved(full, tmp_path / "saved.db")
    lost = 400 - done.counts["reading"]
    assert 5 < lost < 80
    assert sum(line.startswith("The reading of entry") for line in done.missing) == lost
    assert any(line.startswith("Rows of reading written after") for line in done.missing)
    with Record.open(done.path) as record:
        assert len(record.readings()) == 400 - lost
        assert sum("is missing" in problem for problem in record.verify().problems) >= min(lost, 40)


def test_an_old_version_is_saved_as_it_is_and_comes_forward(tmp_path: Path) -> None:
    done = saved(record_of(3, tmp_path / "old.db"), tmp_path / "saved.db")
    assert done.missing == ()
    with Record.open(done.path) as record:
        assert [logged.reading.value for logged in record.readings()] == [59.66, 59.70] and record.verify().ok


def test_what_cannot_be_saved_is_said_and_nothing_is_left(full: Path, tmp_path: Path) -> None:
    there = tmp_path / "there.db"
    there.write_text("mine")
    with pytest.raises(RecordError, match="is there already"):
        saved(full, there)
    assert there.read_text() == "mine"
    with pytest.raises(RecordError, match="There is no record"):
        saved(tmp_path / "none.db", tmp_path / "saved.db")
    content = bytearray(full.read_bytes())
    content[100:4096] = b"\xff" * 3996  # the list of tables
    full.write_bytes(content)
    with pytest.raises((NotOurs, RecordError), match="nothing can be saved"):
        saved(full, tmp_path / "saved.db")
    assert not (tmp_path / "saved.db").exists()
