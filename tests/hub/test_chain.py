"""Entries come back from the hub as they were written, in order, in parts; a row or kind that is missing is no value."""

from __future__ import annotations

from collections.abc import Callable

import psycopg
import pytest

from inspect_tui.hub import chain as module
from inspect_tui.hub.chain import chain
from inspect_tui.hub.exchange import sync_hub
from inspect_tui.record.merge import lines
from tests.hub.conftest import Hub
from tests.record.merge.conftest import Station


@pytest.mark.parametrize("at_once", [4, 5_000])
def test_entries_are_what_was_written(stations: Callable[[str], Station], hub: Hub, monkeypatch, at_once: int) -> None:
    monkeypatch.setattr(module, "READ_AT_ONCE", at_once)
    station = stations("bench_a")
    station.furnish()
    station.log(59.1)
    sync_hub(station.record, hub.bench("bench_a"))
    ((device, last),) = [(bytes.fromhex(one), seq) for one, seq in station.record.frontier().items()]
    written = [lines.read(line) for line in lines.write(station.record.connection, device, 0, last)]
    with psycopg.connect(hub.owner) as con:
        held = list(chain(con, device))
        assert [one.line for one in held] == written
        assert [(one.seq, one.number, one.id, one.kind, one.hash) for one in held] == [
            (line.seq, line.kind.number, line.values[0], line.kind, line.hash) for line in written
        ]
        assert [one.seq for one in chain(con, device, 5)] == list(range(6, last + 1)) and not list(
            chain(con, device, last)
        )
        con.execute("DELETE FROM hub.reading")
        con.execute("UPDATE hub.entry SET kind = 999 WHERE seq = 2")
        con.execute("UPDATE hub.entry SET fmt = 9 WHERE seq = 3")
        held = list(chain(con, device))
    assert [one.seq for one in held if one.kind is None] == [2, 3]
    assert [one.seq for one in held if one.line is None] == [2, 3, last]
