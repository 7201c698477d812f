"""What the chains alone cannot show is found against this machine's memory, heads on papers and the pictures."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from inspect_tui.record import attachments
from inspect_tui.record.care import whole
from inspect_tui.record.care.whole import Whole
from inspect_tui.record.file import guard
from inspect_tui.record.file.state import state_dir
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from tests.record.chain.test_verify import put_back, unlocked
from tests.record.file.released import VERSIONS, record_of

DOT = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\0\0\0\0\0\0\0\0\0\0\0\0IEND\0\0\0\0"


def checked(path: Path, printed: tuple[str, ...] = ()) -> Whole:
    with Reader.of(path) as reader:
        return whole.check(reader.connection, path, state_dir(), printed)


@pytest.fixture
def logged(bench):
    for value in (59.5, 59.6, 59.7, 59.8):
        bench.log(value)
    return bench


def cut_off(bench) -> None:
    con = unlocked(bench)
    con.execute("DELETE FROM reading WHERE value = 59.8")
    con.execute("DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)")
    con.execute("DELETE FROM cache_summary")
    put_back(con)


def test_a_whole_record_has_nothing_to_say(logged) -> None:
    result = checked(logged.record.path)
    assert result.ok and result.problems == () and result.notes == () and result.summaries_off == 0
    assert checked(logged.record.path, result.heads).ok
    assert checked(logged.record.path, (f"Printed on 3 March; head {result.heads[0].replace('·', ' / ')}.",)).ok


def test_a_tail_that_was_cut_off_shows_against_the_memory_and_the_paper(logged) -> None:
    head = checked(logged.record.path).heads[0]
    last = int(head.split("·")[1])
    cut_off(logged)
    result = checked(logged.record.path, (head,))
    assert not result.ok and result.summaries_off == 1
    assert (
        f"This machine wrote up to entry {last} of device {head[:8]}; the file ends at {last - 1}: 1 entries are "
        "missing (cut off, or an older copy was put in its place)." in result.problems
    )
    assert f"The paper knows entry {last} of device {head[:8]}; the file does not hold it." in result.problems


def test_a_tail_written_anew_is_not_the_one_that_was_written(logged) -> None:
    head = checked(logged.record.path).heads[0]
    device, seq, begins = head.split("·")
    other = f"{device}·{seq}·{'0' * 16}"
    said = [f"Entry {seq} of device {device[:8]} is not the one that the paper was made from."]
    assert list(checked(logged.record.path, (other,)).problems) == said
    memory = state_dir() / "devices" / device
    memory.write_text(memory.read_text().replace(begins, "f" * 16))
    said = [f"Entry {seq} of device {device[:8]} is not the one that this machine wrote."]
    assert list(checked(logged.record.path).problems) == said


def test_a_restored_file_that_went_on_is_told_and_no_fault(logged, tmp_path: Path) -> None:
    backup = logged.record.backup()
    logged.log(60.0)
    logged.record.close()
    shutil.copy(backup, logged.record.path)
    assert "1 entries are missing" in checked(logged.record.path).problems[0]
    with Record.open(logged.record.path) as record:
        record.append_reading(logged.reading(60.1))
    result = checked(logged.record.path)
    assert result.ok
    assert len(result.notes) == 1 and "so 1 entries are not in it" in result.notes[0]


def test_a_file_without_any_of_its_devices(logged, tmp_path: Path) -> None:
    logged.record.close()
    logged.record.path.unlink()
    with Record.open(logged.record.path, create=True):
        pass
    assert "the file holds none of them" in checked(logged.record.path).problems[0]


def test_words_that_are_no_head(logged) -> None:
    assert checked(logged.record.path, ("page 3",)).problems[0].startswith("“page 3” is no head")


def test_pictures_that_are_missing_or_changed(logged) -> None:
    kept = attachments.keep(logged.record, DOT, "seat.png", logged.person.id)
    file = attachments.stored_at(logged.record.path, kept.sha256)
    assert checked(logged.record.path).ok
    file.write_bytes(DOT + b"!")
    assert "The picture seat.png is not what was kept: att" in checked(logged.record.path).problems[0]
    file.unlink()
    assert "The picture seat.png is missing: att" in checked(logged.record.path).problems[0]


@pytest.mark.parametrize("sql", ["UPDATE cache_summary SET n = n + 1", "DELETE FROM cache_summary"])
def test_summaries_that_are_off_are_counted_and_no_fault(logged, sql: str) -> None:
    con = sqlite3.connect(logged.record.path, isolation_level=None)
    con.execute(sql)
    con.close()
    result = checked(logged.record.path)
    assert result.ok and result.summaries_off == 1


def test_an_added_trigger_is_said(logged, monkeypatch) -> None:
    monkeypatch.setitem(guard.WHOLE, logged.record.version, guard.digest(logged.record.connection))
    con = sqlite3.connect(logged.record.path, isolation_level=None)
    con.execute("CREATE TRIGGER thief BEFORE INSERT ON reading BEGIN SELECT RAISE(IGNORE); END")
    con.close()
    said = ("Something was added to the tables of the record: thief.",)
    assert checked(logged.record.path).problems == said


@pytest.mark.parametrize("version", VERSIONS)
def test_records_of_old_versions_are_checked_as_they_are(version: int, tmp_path: Path) -> None:
    path = record_of(version, tmp_path / "old.db")
    before = path.read_bytes()
    result = checked(path)
    assert result.ok and result.counts["reading"] == 2
    assert path.read_bytes() == before


def tear_page_of_entries(path: Path, near: int) -> None:
    """Overwrite the head of the leaf page that holds an entry of about this number."""
    con = sqlite3.connect(path)
    hashes = [row[0] for row in con.execute("SELECT hash FROM entry WHERE seq >= ? ORDER BY seq LIMIT 3", (near,))]
    con.close()
    content = bytearray(path.read_bytes())
    pages = [content.find(written) // 4096 * 4096 for written in hashes]
    leaf = next(page for page in pages if content[page] == 0x0A)  # not an inner page of the tree
    content[leaf : leaf + 16] = b"\xff" * 16
    path.write_bytes(content)


def test_it_goes_on_after_damage_and_names_what_can_be_read(bench) -> None:
    for n in range(400):
        bench.log(59 + n / 1000)
    bench.record.close()
    path = bench.record.path
    tear_page_of_entries(path, near=200)
    result = checked(path)
    missing = [problem for problem in result.problems if "are missing" in problem and "entries" in problem]
    assert len(missing) == 1 and result.heads[0].split("·")[1] == "422"  # the chain is walked to its end
    first, last = (int(word) for word in missing[0].split("entries ")[1].split(" are")[0].split(" to "))
    assert 5 < last - first < 80  # one page of entries
