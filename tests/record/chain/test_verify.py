"""Whatever is done to a file behind the program's back is found, with or without the triggers."""

from __future__ import annotations

import sqlite3

import pytest

from inspect_tui.record.chain.verify import _first_behind
from inspect_tui.record.kinds import KINDS, triggers
from inspect_tui.record.store import Record
from tests.record.conftest import Bench


def unlocked(bench: Bench) -> sqlite3.Connection:
    """A connection of somebody who has dropped all triggers and puts them back afterwards."""
    bench.record.close()
    con = sqlite3.connect(bench.record.path, isolation_level=None)
    con.execute("PRAGMA foreign_keys=OFF")
    con.execute("BEGIN")
    names = con.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    for (name,) in names:
        con.execute(f"DROP TRIGGER {name}")
    return con


def put_back(con: sqlite3.Connection) -> None:
    for kind in KINDS:
        for sql in triggers(kind.table, kind.unique_in(99)).values():
            con.execute(sql)
    for sql in triggers("entry", "device_id seq").values():
        con.execute(sql)
    con.execute("COMMIT")
    con.close()


@pytest.fixture
def logged(bench: Bench) -> Bench:
    for value in (59.5, 59.6, 59.7, 59.8):
        bench.log(value)
    assert bench.record.verify().ok
    return bench


@pytest.mark.parametrize(
    ("sql", "found"),
    [
        ("UPDATE reading SET value = 59.59 WHERE value = 59.6", "is not what was written"),
        ("UPDATE reading SET typed = '59.70' WHERE value = 59.7", "is not what was written"),
        ("UPDATE job SET a_x = 0.008", "is not what was written"),
        ("UPDATE chain_step SET u = 0.0 WHERE u > 0", "is not what was written"),
        ("UPDATE entry SET at_us = at_us - 1 WHERE seq = 5", "is not what was written"),
        ("UPDATE entry SET by_id = NULL WHERE seq = 6", "is not what was written"),
        ("DELETE FROM reading WHERE value = 59.6", "is missing"),
        ("DELETE FROM entry WHERE id = (SELECT id FROM reading WHERE value = 59.6)", "stands in no chain"),
        (
            "INSERT INTO reading SELECT randomblob(16), setup_id, feature_id, item_id, tool_id, tool_feature_id, 2, "
            "59.61, typed, typed_unit, slip FROM reading LIMIT 1",
            "stands in no chain",
        ),
        ("DELETE FROM entry WHERE seq BETWEEN 7 AND 8", "entries 7 to 8 are missing"),
        ("UPDATE entry SET hash = zeroblob(32) WHERE seq = 9", "is not what was written"),
        ("UPDATE entry SET kind = 99 WHERE seq = 9", "does not know kind 99"),
        ("DELETE FROM session", "names a row of session that is not there"),
    ],
)
def test_a_changed_or_missing_row_is_found_though_the_triggers_are_back(logged, sql, found):
    con = unlocked(logged)
    assert con.execute(sql).rowcount >= 1
    put_back(con)
    with Record.open(logged.record.path) as record:
        checked = record.verify()
    assert not checked.ok
    assert any(found in problem for problem in checked.problems), checked.problems


def test_reordered_rows_are_found(logged):
    con = unlocked(logged)
    last = con.execute("SELECT max(seq) FROM entry").fetchone()[0]
    con.execute("UPDATE entry SET seq = 0 - seq + 999999 WHERE seq IN (?, ?)", (last, last - 1))
    con.execute("UPDATE entry SET seq = ? WHERE seq = ?", (last - 1, 999999 - last))
    con.execute("UPDATE entry SET seq = ? WHERE seq = ?", (last, 999999 - last + 1))
    put_back(con)
    with Record.open(logged.record.path) as record:
        assert sum("is not what was written" in p for p in record.verify().problems) >= 2


def test_a_dropped_or_weakened_trigger_is_found(logged):
    con = sqlite3.connect(logged.record.path, isolation_level=None)
    con.execute("DROP TRIGGER reading_no_update")
    con.execute("DROP TRIGGER job_no_delete")
    con.execute("CREATE TRIGGER job_no_delete BEFORE DELETE ON job WHEN 0 BEGIN SELECT RAISE(ABORT, 'no'); END")
    con.close()
    assert set(logged.record.verify().problems) == {
        "The trigger reading_no_update is missing.",
        "The trigger job_no_delete is changed.",
    }


def test_a_tail_that_was_cut_off_shows_only_against_a_head_kept_outside(logged):
    printed = logged.record.verify().heads[0]
    con = unlocked(logged)
    con.execute("DELETE FROM reading WHERE value = 59.8")
    con.execute("DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)")
    put_back(con)
    with Record.open(logged.record.path, read_only=True) as record:
        checked = record.verify()
    assert checked.ok  # by itself the shorter file is as good as any: this is why heads are printed
    assert checked.heads[0] != printed


def test_a_damaged_page_is_found(logged):
    logged.record.close()
    path = logged.record.path
    data = bytearray(path.read_bytes())
    at = data.find(b"port width 1")
    assert at > 0
    page = at // 4096 * 4096
    data[page : page + 64] = bytes(range(64))
    path.write_bytes(data)
    with Record.open(path, read_only=True) as record:
        checked = record.verify()
    assert not checked.ok
    assert "damaged" in checked.problems[0]


def test_the_tail_alone_can_be_verified(logged):
    device = bytes.fromhex(logged.record.verify().heads[0].split("·")[0])
    last = int(logged.record.verify().heads[0].split("·")[1])
    logged.log(60.0)
    whole = logged.record.verify()
    assert logged.record.verify({device: last}) == whole
    assert logged.record.heads() == list(whole.heads)
    assert whole.counts["reading"] == 5
    assert sum(whole.counts.values()) == last + 1  # one entry for each row
    assert not logged.record.verify({device: last + 99}).ok


def test_the_tail_begins_where_those_who_wrote_since_began() -> None:
    """A bench that was silent for a year does not have the rows of that year looked at again each day."""
    con = sqlite3.connect(":memory:")
    con.execute("CREATE TABLE entry (device_id BLOB, seq INTEGER, id BLOB)")
    hour = 3_600_000

    def id_at(hours: int) -> bytes:
        return (hours * hour).to_bytes(6, "big") + bytes(10)

    for device, seq, hours in ((b"a", 1, 10), (b"a", 2, 20), (b"b", 1, 9000), (b"b", 2, 9500), (b"b", 3, 9600)):
        con.execute("INSERT INTO entry VALUES (?, ?, ?)", (device, seq, id_at(hours)))
    ends = {b"a": 2, b"b": 3}
    assert _first_behind(con, ends, {b"a": 2, b"b": 2}) == id_at(9499)[:6]
    assert _first_behind(con, ends, {b"a": 1, b"b": 2}) == id_at(9)[:6]
    assert _first_behind(con, ends, {b"b": 2}) == id_at(9)[:6]  # all of the other's is new here
    assert _first_behind(con, ends, ends) == id_at(9599)[:6]  # nothing is new
    assert _first_behind(con, {}, ends) == b""
