"""A line is what is hashed, and comes back as it was; anything else is refused."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.record.chain.canon import canonical, genesis, link
from inspect_tui.record.kinds import READING
from inspect_tui.record.merge import lines

DEVICE = bytes(range(16))
VALUES = (b"\1" * 16, b"\2" * 16, b"\3" * 16, None, b"\4" * 16, b"\5" * 16, 1, 59.66, "59,66", "mm", "none")


def line(seq: int = 7, **changes: object) -> bytes:
    text = canonical(READING.number, 1, DEVICE, seq, 1_700_000_000_000_000, 60, None, VALUES)
    said = json.loads(text)
    for place, value in changes.items():
        said[int(place[1:])] = value
    if changes:
        text = json.dumps(said, separators=(",", ":"), ensure_ascii=False).encode()
    return text + b"\t" + link(genesis(DEVICE), text).hex().encode() + b"\n"


def test_every_entry_of_a_record_comes_back(bench) -> None:
    bench.log(59.66)
    con = bench.record.connection
    (device, until) = con.execute("SELECT device_id, max(seq) FROM entry").fetchone()
    head = genesis(device)
    read = [lines.read(one) for one in lines.write(con, device, 0, until)]
    for made in read:
        assert link(head, made.text) == made.hash
        head = made.hash
        row = con.execute(f"SELECT * FROM {made.kind.table} WHERE id = ?", (made.values[0],)).fetchone()
        assert row == made.values
    assert [made.seq for made in read] == list(range(1, until + 1))
    assert [made.seq for made in map(lines.read, lines.write(con, device, 3, 5))] == [4, 5]


def test_a_row_that_is_lost_is_not_sent_on(bench) -> None:
    bench.log(59.66)
    con = bench.record.connection
    con.execute("PRAGMA foreign_keys=OFF")
    con.execute("DROP TRIGGER reading_no_delete")
    con.execute("DELETE FROM reading")
    (device, until) = con.execute("SELECT device_id, max(seq) FROM entry").fetchone()
    with pytest.raises(DataError, match="has lost its reading"):
        list(lines.write(con, device, 0, until))


@pytest.mark.parametrize(
    "wrong",
    [
        b"",
        b"\t\n",
        b"[]\t" + b"0" * 64,
        line()[:-10],
        line().replace(b",", b", ", 1),  # the same values in other bytes
        line(_0="itui-2"),
        line(_2=99),
        line(_4=0),
        line(_8=True),
        line(_15="0x1.8p+5 "),
        line(_15=59.66),
        line(_14=1.0),
        line(_16=5),
        line(_3="00"),
        b"[" * 5000 + b"\t" + b"0" * 64,
    ],
)
def test_what_this_program_could_not_have_written_is_no_entry(wrong: bytes) -> None:
    assert lines.read(line()).values == VALUES
    with pytest.raises(DataError, match="no entry"):
        lines.read(wrong)


def test_a_kind_of_the_future_is_said() -> None:
    with pytest.raises(DataError, match="kind 99"):
        lines.read(line(_1=99))


@given(st.binary(max_size=200))
def test_no_bytes_make_anything_else_than_an_entry_or_that_sentence(noise: bytes) -> None:
    with pytest.raises(DataError):
        lines.read(noise)
