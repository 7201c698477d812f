"""Taking in: summaries move along, what waits is named, and a record that may only be read takes nothing."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.record.care import whole
from inspect_tui.record.merge import take_in as module
from inspect_tui.record.merge.bundle import Bundle
from inspect_tui.record.merge.folder import bundles_in
from inspect_tui.record.merge.take_in import is_bare, opened, shops_of, take_in
from tests.record.merge.conftest import Station

Make = Callable[[str], Station]


@pytest.mark.parametrize("one_by_one", [True, False])
def test_summaries_are_those_of_the_readings_afterwards(stations: Make, share: Path, monkeypatch, one_by_one) -> None:
    if not one_by_one:
        monkeypatch.setattr(module, "_KEYS_ONE_BY_ONE", 0)
    a, b = stations("bench a"), stations("bench b")
    a.furnish()
    a.log(59.1)
    a.sync(share)
    b.sync(share)
    a.log(59.2)
    (logged, *_) = a.record.readings()
    a.record.void(logged.reading.id, "misread", "slipped", a.things.person.id)
    a.sync(share)
    b.sync(share)
    for station in (a, b):
        con = station.record.connection
        assert whole.check(con, station.record.path, station.folder / "state").summaries_off == 0
        assert con.execute("SELECT n FROM cache_summary").fetchall() == [(1,)]


def test_what_is_bare_joins_and_says_so_in_its_shops(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("bench b")
    assert is_bare(a.record.connection)
    a.furnish()
    assert not is_bare(a.record.connection)
    (shop,) = shops_of(a.record.connection)
    a.sync(share)
    b.sync(share)
    assert shop in shops_of(b.record.connection)


def test_files_that_are_no_bundles_are_told(tmp_path: Path) -> None:
    wrong: list[str] = []
    (tmp_path / "text.itui").write_text("hello")
    os.mkfifo(tmp_path / "pipe.itui")
    names = ("none.itui", "text.itui", "pipe.itui")
    assert opened([*(tmp_path / name for name in names), tmp_path], wrong) == []
    for name, said, why in zip((*names, tmp_path.name), wrong, ("file", "bundle", "file", "file"), strict=True):
        assert f"{name} is no {why}" in said


def test_a_record_that_may_only_be_read_takes_nothing(stations: Make, share: Path) -> None:
    a, b = stations("bench a"), stations("bench b")
    a.furnish()
    a.sync(share)
    b.record.stop_writing("It is damaged.")
    with pytest.raises(RecordError, match="Nothing was taken in"):
        take_in(b.record, [Bundle(bundles_in(share)[0].path)])
