"""The invented shop with three samplings, copied for each test that writes."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.record.store import Record


@pytest.fixture
def opened(sampled: Path, tmp_path: Path) -> Iterator[Record]:
    shutil.copy(sampled, tmp_path / "copy.db")
    with Record.open(tmp_path / "copy.db") as record:
        yield record
