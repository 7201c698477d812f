"""Benches through a hub: nothing lost, nothing doubled, the same at every bench; cut off at any moment it goes on."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import psycopg
import pytest

from inspect_tui.hub import chain, ddl, exchange
from inspect_tui.hub.connect import HubError
from inspect_tui.hub.exchange import Exchanged, sync_hub
from inspect_tui.record import attachments
from inspect_tui.record.merge import portions
from inspect_tui.record.merge.folder import unsent
from tests.hub.conftest import Hub, Server
from tests.record.care.test_whole import DOT
from tests.record.merge.conftest import Station

Make = Callable[[str], Station]


def sync(station: Station, hub: Hub) -> Exchanged:
    return sync_hub(station.record, hub.bench(station.name))


def count(hub: Hub, table: str) -> int:
    with psycopg.connect(hub.owner) as con:
        row = con.execute(f'SELECT count(*) FROM hub."{table}"').fetchone()  # type: ignore[call-overload]
        assert row is not None
        return int(row[0])


def test_what_one_wrote_is_at_the_hub_and_at_the_other(stations: Make, hub: Hub) -> None:
    a, b = stations("bench_a"), stations("bench_b")
    a.furnish()
    kept = attachments.keep(a.record, DOT, "seat.png", a.things.person.id)
    a.log(59.66)
    done = sync(a, hub)
    assert (done.came.rows, done.unsent, done.wrong) == (0, 0, "")
    assert done.sent == count(hub, "entry") and count(hub, "reading") == 1
    done = sync(b, hub)
    assert done.came.counts["reading"] == 1
    assert attachments.stored_at(b.record.path, kept.sha256).read_bytes() == DOT
    b.things = a.things
    b.log(59.67)
    for station in (b, a):
        sync(station, hub)
    assert a.values() == b.values() == [59.66, 59.67] and a.content() == b.content()
    before = a.content()
    again = sync(a, hub)
    assert (again.sent, again.came.rows) == (0, 0) and a.content() == before
    with psycopg.connect(hub.owner) as con:  # typed rows, to be asked in SQL, in the partition of their time
        assert con.execute("SELECT value, typed FROM hub.reading ORDER BY id").fetchall()[0] == (59.66, "59.66")
        year = con.execute("SELECT tableoid::regclass::text FROM hub.reading LIMIT 1").fetchone()
        assert year is not None and year[0].startswith("hub.reading_20")


def test_a_line_cut_at_any_moment_is_gone_on_with(stations: Make, hub: Hub, monkeypatch) -> None:
    monkeypatch.setattr(exchange, "BATCH", 6)
    monkeypatch.setattr(exchange, "TRIES", 2)
    a = stations("bench_a")
    a.furnish()
    for n in range(12):
        a.log(59 + n / 100)
    real, calls = exchange._union, iter(range(1000))

    def cut(con: psycopg.Connection[Any], table: str, *rest: Any, **more: Any) -> None:
        real(con, table, *rest, **more)
        if next(calls) % 9 == 8:  # the server's own process for us dies
            with psycopg.connect(hub.owner, autocommit=True) as other:
                other.execute("SELECT pg_terminate_backend(%s)", (con.info.backend_pid,))

    monkeypatch.setattr(exchange, "_union", cut)
    sent = 0
    for _ in range(20):
        done = sync(a, hub)
        sent += done.sent
        if not done.wrong:
            break
        assert "The line to the hub was cut" in done.wrong and done.unsent > 0
    else:
        raise AssertionError("it never came through")
    entries = a.record.connection.execute("SELECT count(*) FROM entry").fetchone()[0]
    assert sent == entries == count(hub, "entry") and count(hub, "reading") == 12
    b = stations("bench_b")
    sync(b, hub)
    sync(a, hub)
    assert a.content() == b.content()


def test_offline_is_normal(stations: Make, hub: Hub, server: Server) -> None:
    a = stations("bench_a")
    a.furnish()
    address = f"postgresql://bench_a@/nowhere?host={server.folder}"
    done = sync_hub(a.record, address)
    entries = a.record.connection.execute("SELECT count(*) FROM entry").fetchone()[0]
    assert (done.sent, done.unsent) == (0, entries) and "cannot be reached" in done.wrong
    sync(a, hub)
    assert unsent(a.record, hub.bench("bench_a")) == 0
    a.log(59.1)
    assert unsent(a.record, hub.bench("bench_a")) == 1


def test_a_record_that_went_on_in_two_places_is_told(stations: Make, hub: Hub) -> None:
    a = stations("bench_a")
    a.furnish()
    a.record.close()
    folder = a.folder.with_name("clone")
    shutil.copytree(a.folder, folder)
    for file in (folder / "state" / "devices").iterdir():
        file.write_text(file.read_text().replace(str(a.folder), str(folder)))
    a.record = a.open()
    a.log(59.1)
    sync(a, hub)
    b = stations("bench_b")
    b.record.close()
    b.folder = folder
    b.record, b.things = b.open(), a.things
    b.log(59.2)
    with pytest.raises(HubError, match="was written twice"):
        sync(b, hub)
    assert count(hub, "reading") == 1


def test_rows_that_differ_at_the_hub_are_found(stations: Make, hub: Hub) -> None:
    a = stations("bench_a")
    a.furnish()
    a.log(59.1)
    sync(a, hub)
    with psycopg.connect(hub.owner) as con:
        con.execute("UPDATE hub.reading SET value = 59.2")
    b = stations("bench_b")
    done = sync(b, hub)
    assert any("is not what was written" in said for said in done.came.wrong) and b.values() == []
    with psycopg.connect(hub.owner) as con:
        con.execute("DELETE FROM hub.entry WHERE seq = (SELECT max(seq) FROM hub.entry)")
    with pytest.raises(HubError, match="other rows of reading under the same ids"):
        sync(a, hub)  # it sends the last one again, and looks at what is there


def test_another_version_of_the_hub_and_none_at_all(stations: Make, hub: Hub, database: str, server: Server) -> None:
    a = stations("bench_a")
    a.furnish()
    with psycopg.connect(hub.owner) as con:
        con.execute("UPDATE hub.version SET number = %s", (ddl.VERSION + 1,))
    with pytest.raises(HubError, match="use the newer program"):
        sync(a, hub)
    with pytest.raises(HubError, match="There is no hub in that database"):
        sync_hub(a.record, server.address(database))


def furnished(stations: Make, hub: Hub, readings: int) -> Station:
    a = stations("bench_a")
    a.furnish()
    a.record.append_readings([a.things.reading(59 + n / 100) for n in range(readings)])
    sync(a, hub)
    return a


@pytest.fixture
def by_fives(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read and taken in five entries at a time, and tried once."""
    monkeypatch.setattr(chain, "READ_AT_ONCE", 5)
    monkeypatch.setattr(portions, "ENTRIES", 5)
    monkeypatch.setattr(portions, "PAUSE_S", 0.0)
    monkeypatch.setattr(exchange, "TRIES", 1)


@pytest.mark.usefixtures("by_fives")
def test_a_pull_that_is_cut_keeps_what_came_and_goes_on_there(stations: Make, hub: Hub) -> None:
    a, b = furnished(stations, hub, 20), stations("bench_b")

    def cut(done: int) -> None:
        if done in (25, 30):
            with psycopg.connect(hub.owner, autocommit=True) as other:
                other.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'bench_b'")

    kept: list[int] = []
    for _ in range(3):
        done = sync_hub(b.record, hub.bench("bench_b"), cut)
        assert b.record.verify().ok
        kept.append(done.came.rows)
        if not done.wrong:
            break
        assert "The line to the hub was cut" in done.wrong and 0 < len(b.values()) < 20
        assert unsent(b.record, hub.bench("bench_b")) == 0  # its own was sent before
    assert kept[0] == 25 and len(kept) > 1 and b.values() == a.values()
    assert sum(kept) == a.record.connection.execute("SELECT count(*) FROM entry").fetchone()[0]


@pytest.mark.usefixtures("by_fives")
def test_a_pull_can_be_stopped_and_one_line_that_is_cut_is_counted_once(
    stations: Make, hub: Hub, monkeypatch: pytest.MonkeyPatch
) -> None:
    a, b = furnished(stations, hub, 20), stations("bench_b")

    class Enough(Exception):
        pass

    def stop(done: int) -> None:
        if done >= 30:
            raise Enough

    with pytest.raises(Enough):
        sync_hub(b.record, hub.bench("bench_b"), stop)
    before = len(b.values())
    assert 0 < before < 20 and b.record.verify().ok
    monkeypatch.setattr(exchange, "TRIES", 3)
    cuts = iter([True])

    def cut(_: int) -> None:
        if next(cuts, False):
            with psycopg.connect(hub.owner, autocommit=True) as other:
                other.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'bench_b'")

    done = sync_hub(b.record, hub.bench("bench_b"), cut)
    assert (done.wrong, done.came.counts["reading"]) == ("", 20 - before) and b.values() == a.values()


@pytest.mark.usefixtures("by_fives")
def test_what_rests_on_entries_that_never_reached_the_hub_waits(stations: Make, hub: Hub, share: Path) -> None:
    a, b, c = stations("bench_a"), stations("bench_b"), stations("bench_c")
    a.furnish()
    a.sync(share)
    b.sync(share)
    b.things = a.things
    b.log(59.2)
    sync(b, hub)
    done = sync(c, hub)
    assert done.wrong == "" and "waits for what it rests on" in done.came.waiting[0]
    assert c.values() == [] and c.record.verify().ok
    sync(a, hub)
    assert sync(c, hub).came.waiting == () and c.values() == [59.2]
