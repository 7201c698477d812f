"""Bundles come in portion by portion: the same record at the end, and who logs meanwhile waits for one portion."""

from __future__ import annotations

import os
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from inspect_tui.model.first_article import ImportFile
from inspect_tui.model.measuring import Note, Person, Session
from inspect_tui.record import attachments, kinds
from inspect_tui.record.care import whole
from inspect_tui.record.chain import ids
from inspect_tui.record.merge import portions
from inspect_tui.record.merge.bundle import frontier_of, pack
from inspect_tui.record.merge.folder import bundles_in, manifest_of, own_chains, sync_folder
from inspect_tui.record.merge.portions import take_in_portions
from inspect_tui.record.merge.take_in import opened
from tests.record.merge.conftest import Station
from tests.record.merge.test_folder import DOT

Make = Callable[[str], Station]


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(portions, "PAUSE_S", 0.0)
    monkeypatch.setattr(portions, "ENTRIES", 10)


def furnished(stations: Make, share: Path, readings: int) -> Station:
    a = stations("bench a")
    a.furnish()
    assert a.things is not None
    a.record.append_readings([a.things.reading(59.0 + n / 1000) for n in range(readings)])
    a.sync(share)
    return a


def taken_in(station: Station, share: Path, entries: int) -> tuple[list[int], list[str]]:
    """Take all of the folder in; after how many entries it was told, and what was wrong."""
    told: list[int] = []
    wrong: list[str] = []
    bundles = opened([named.path for named in bundles_in(share)], wrong)
    station.record.own_device()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(portions, "ENTRIES", entries)
        came = take_in_portions(station.record, bundles, "", told.append)
    return told, [*wrong, *came.wrong, *came.waiting]


@pytest.mark.parametrize("entries", [1, 7, 1000])
def test_it_is_the_same_record_in_portions_of_any_size(
    stations: Make, share: Path, entries: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    a = furnished(stations, share, 20)
    b = stations("bench b")
    slept: list[float] = []
    monkeypatch.setattr(portions, "PAUSE_S", 0.125)
    monkeypatch.setattr(portions.time, "sleep", slept.append)
    told, wrong = taken_in(b, share, entries)
    assert slept.count(0.125) == len(told)  # after each portion others get at the record
    assert wrong == [] and told == sorted(told)
    assert len(told) == -(-own_chains(a.record)[a.record.own_device()] // entries)
    assert b.values() == a.values()
    b.sync(share)
    a.sync(share)
    assert a.content() == b.content()
    assert a.things is not None
    (kept,), (made) = (list(x.record.summaries(tool_of_id=a.things.tool.of_id).values()) for x in (a, b))
    assert made == [pytest.approx(kept)]


def test_between_two_portions_others_log(stations: Make, share: Path) -> None:
    a = furnished(stations, share, 30)
    b = stations("bench b")
    taken_in(b, share, 1000)
    a.record.append_readings([a.things.reading(60.0 + n / 1000) for n in range(30)])
    a.sync(share)
    other = b.open()  # the screen's own connection, while the exchange has another one
    logged = 0

    def log(_: int) -> None:
        nonlocal logged
        other.append_reading(a.things.reading(61.0))
        logged += 1

    try:
        bundles = opened([named.path for named in bundles_in(share)], [])
        take_in_portions(b.record, bundles, "", log)
    finally:
        other.close()
    assert b.values().count(61.0) == logged >= 3 and len(b.values()) == 60 + logged
    assert b.record.verify().ok


def test_pictures_come_with_the_first_portion(stations: Make, share: Path) -> None:
    a = furnished(stations, share, 3)
    assert a.things is not None
    kept = attachments.keep(a.record, DOT, "seat.png", a.things.person.id)
    a.sync(share)
    b = stations("bench b")
    _, wrong = taken_in(b, share, 2)
    assert wrong == [] and attachments.stored_at(b.record.path, kept.sha256).read_bytes() == DOT


class Enough(Exception):
    pass


def test_what_was_stopped_goes_on_where_it_was(stations: Make, share: Path) -> None:
    a = furnished(stations, share, 30)
    b = stations("bench b")

    def stop(done: int) -> None:
        if done >= 40:
            raise Enough

    bundles = opened([named.path for named in bundles_in(share)], [])
    with pytest.raises(Enough):
        take_in_portions(b.record, bundles, "", stop)
    assert b.record.verify().ok and 0 < len(b.values()) < 30
    assert sync_folder(b.record, share).came.wrong == ()
    assert b.values() == a.values()


def test_what_rests_on_itself_in_a_circle_comes_at_once(stations: Make, share: Path) -> None:
    """Two benches wrote turn about: neither chain stands without the other's."""
    a, b = furnished(stations, share, 2), stations("bench b")
    b.sync(share)
    b.things = a.things
    for _ in range(3):
        b.log(60.1)
        b.sync(share)
        a.sync(share)
        a.log(60.2)
        a.sync(share)
        b.sync(share)
    c = stations("bench c")
    assert sync_folder(c.record, share).came.wrong == ()
    assert c.values() == a.values() == b.values()
    c.sync(share)


def test_a_broken_bundle_keeps_nothing_else_out(stations: Make, share: Path) -> None:
    furnished(stations, share, 5)
    b = stations("bench b")
    b.furnish()
    b.log(60.0)
    (good,) = bundles_in(share)
    broken = share / f"{'0' * 32}-1-9.itui"
    broken.write_bytes(good.path.read_bytes()[:-40])
    c = stations("bench c")
    _, wrong = taken_in(c, share, 3)
    assert len(wrong) == 1 and broken.name in wrong[0]
    assert len(c.values()) == 5


def strays(station: Station) -> list[object]:
    """Rows that point to what is not there, with a key or without one."""
    con = station.record.connection
    notes = con.execute("SELECT about_id FROM note WHERE about_id NOT IN (SELECT id FROM entry)").fetchall()
    unsigned = con.execute(
        "SELECT seq FROM entry WHERE by_id IS NOT NULL AND by_id NOT IN (SELECT id FROM person)"
    ).fetchall()
    return [*con.execute("PRAGMA foreign_key_check").fetchall(), *notes, *unsigned]


@pytest.mark.parametrize("entries", [1, 3])
def test_no_row_is_ever_there_without_what_it_points_to(
    stations: Make, share: Path, monkeypatch: pytest.MonkeyPatch, entries: int
) -> None:
    """Two benches rest on one another, one with a clock a day behind, and a file names the session that follows it."""
    monkeypatch.setattr(portions, "ENTRIES", entries)
    a, b, c = furnished(stations, share, 2), stations("bench b"), stations("bench c")
    b.record._clock = lambda: (ids.now()[0] - 86_400_000_000, 0)
    late = a.record.add(Person(initials="PP"))
    a.sync(share)
    b.sync(share)
    b.things = a.things
    assert a.things is not None
    by = a.things.person.id
    b.record.add(Person(initials="QQ"), late.id)
    for n in range(4):
        b.log(60.1)
        a.record.add(Note(about_kind=kinds.READING.number, about_id=b.record.readings()[0].reading.id, text="why?"), by)
        b.sync(share)
        a.sync(share)
        session = Session(id=a.record.new_id(), kind="tool", job_of_id=a.things.job.of_id)
        file = ImportFile(
            sha256="0" * 64, shown_name=f"{n}.csv", job_of_id=a.things.job.of_id, session_id=session.id, readings=0
        )
        a.record.add_all((file, session), by)
        a.log(60.2)
        a.sync(share)
        b.sync(share)
    found: list[object] = []
    told: list[int] = []

    def look(done: int) -> None:
        told.append(done)
        found.extend(strays(c))

    done = sync_folder(c.record, share, watch=look)
    assert done.came.wrong == done.came.waiting == () and found == [] and len(told) > 10
    assert c.values() == a.values() and c.record.counts()["import_file"] == 4
    checked = whole.check(c.record.connection, c.record.path, c.folder / "state")
    assert checked.ok and checked.summaries_off == 0


def test_a_note_about_what_nobody_has_comes_in_last(stations: Make, share: Path) -> None:
    a = furnished(stations, share, 3)
    assert a.things is not None
    a.record.add(Note(about_kind=kinds.READING.number, about_id=b"\1" * 16, text="lost"), a.things.person.id)
    a.record.append_readings([a.things.reading(60.0 + n / 100) for n in range(20)])
    a.sync(share)
    b = stations("bench b")
    told, wrong = taken_in(b, share, 4)
    assert wrong == [] and b.values() == a.values() and b.record.counts()["note"] == 1
    assert told[-1] == own_chains(a.record)[a.record.own_device()]  # and for its sake not all at once
    assert all(later - one <= 4 for one, later in pairwise(told))


def test_what_points_further_ahead_than_is_looked_comes_at_once(
    stations: Make, share: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a = furnished(stations, share, 3)
    assert a.things is not None
    session = Session(id=a.record.new_id(), kind="tool", job_of_id=a.things.job.of_id)
    file = ImportFile(
        sha256="0" * 64, shown_name="x.csv", job_of_id=a.things.job.of_id, session_id=session.id, readings=0
    )
    people = [Person(initials=f"P{n}") for n in range(9)]
    a.record.add_all((file, *people, session), a.things.person.id)
    a.sync(share)
    monkeypatch.setattr(portions, "FURTHEST", 5)
    b = stations("bench b")
    told, wrong = taken_in(b, share, 3)
    assert wrong == [] and len(told) > 5 and strays(b) == []
    assert b.record.counts()["import_file"] == 1 and b.values() == a.values()


def test_thousands_of_bundles_are_not_open_at_once(stations: Make, share: Path) -> None:
    furnished(stations, share, 3)
    paths = [named.path for named in bundles_in(share)]

    def free() -> int:
        number = os.dup(0)
        os.close(number)
        return number

    before = free()
    bundles = opened(paths * 4, [])
    assert len(bundles) == 4 * len(paths) and free() == before


def test_a_bundle_of_several_chains_comes_chain_by_chain(stations: Make, share: Path, tmp_path: Path) -> None:
    a, b, c = furnished(stations, share, 3), stations("bench b"), stations("bench c")
    b.sync(share)
    b.things = a.things
    b.log(60.3)
    until = frontier_of(b.record.connection)
    device = b.record.own_device()
    manifest = manifest_of(b.record, device, {}, until, {})
    other = tmp_path / "other"
    other.mkdir()
    pack(b.record.connection, b.record.path, other / f"{device.hex()}-1-99.itui", {}, until, manifest)
    told, wrong = taken_in(c, other, 5)
    assert wrong == [] and len(told) > 4 and c.values() == b.values() and strays(c) == []
