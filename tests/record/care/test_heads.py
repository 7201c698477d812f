"""The ends of the chains tell whether one file knows all that another knows."""

from __future__ import annotations

from inspect_tui.record.care.heads import heads_of, holds


def test_a_longer_record_holds_the_ends_of_a_shorter_one_and_not_the_reverse(bench) -> None:
    con = bench.record.connection
    before = heads_of(con)
    bench.log(59.1)
    after = heads_of(con)
    ((device, (seq, written)),) = after.items()
    assert before.keys() == after.keys() and seq > before[device][0]
    assert holds(con, before) and holds(con, after)
    assert not holds(con, {device: (seq + 1, written)}) and not holds(con, {device: (seq, b"\0" * 32)})
    assert holds(con, {}) and not holds(con, {b"x" * 16: (1, written)})
