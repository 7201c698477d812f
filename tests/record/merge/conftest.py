"""Benches of one shop, each with a record, a state and a machine of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from inspect_tui.record.merge.folder import Synced, sync_folder
from inspect_tui.record.store import Record
from tests.record.conftest import Bench, furnish


class Station:
    """A bench: its record, and the things it measures with once it has some."""

    def __init__(self, folder: Path, name: str) -> None:
        self.folder, self.name = folder, name
        folder.mkdir()
        self.record = self.open(create=True)
        self.things: Bench | None = None

    def open(self, create: bool = False) -> Record:
        return Record.open(
            self.folder / "shop.db", create=create, state_dir=self.folder / "state", bench=self.name, program="test"
        )

    def furnish(self) -> Bench:
        self.things = furnish(self.record)
        return self.things

    def log(self, value: float) -> None:
        assert self.things is not None
        self.record.append_reading(self.things.reading(value))

    def values(self) -> list[float]:
        return sorted(logged.reading.value for logged in self.record.readings())

    def sync(self, folder: Path, adopt: str = "") -> Synced:
        return sync_folder(self.record, folder, adopt)

    def content(self) -> tuple[list[str], dict[str, int]]:
        checked = self.record.verify()
        assert checked.ok, checked.problems
        return sorted(checked.heads), checked.counts


@pytest.fixture
def stations(tmp_path: Path) -> Iterator[Callable[[str], Station]]:
    made: list[Station] = []

    def make(name: str) -> Station:
        made.append(Station(tmp_path / name.replace(" ", "-"), name))
        return made[-1]

    yield make
    for station in made:
        station.record.close()


@pytest.fixture
def share(tmp_path: Path) -> Path:
    folder = tmp_path / "share"
    folder.mkdir()
    return folder
