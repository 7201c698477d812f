"""A record of its own for a sample casting."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.record.store import Record


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """Empty."""
    with Record.open(tmp_path / "s.db", create=True, state_dir=tmp_path) as opened:
        yield opened
