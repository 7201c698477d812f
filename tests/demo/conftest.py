"""The demo record, written once a run for all that is read from it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.demo.__main__ import main
from inspect_tui.record.store import Record
from tests.worlds.kept import kept


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file as the generator's own command writes it; nobody opens it to write."""

    def make(path: Path) -> None:
        assert main([str(path)]) == 0

    return kept(tmp_path_factory, "demo.db", make)


@pytest.fixture(scope="session")
def record(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """The record in it, open to be read."""
    folder = tmp_path_factory.mktemp("copy")
    shutil.copy(made, folder / "copy.db")
    with Record.open(folder / "copy.db", read_only=True, state_dir=folder) as opened:
        yield opened
