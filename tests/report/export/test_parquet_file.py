"""The Parquet file of an export, and what is said without its library."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.report.export import folder, parquet_file
from tests.report.export.test_folder import (
    ROWS,
    _no_views,  # noqa: F401  a fixture
    names,
    written,
)


def test_without_the_library_the_other_forms_are_written_and_an_old_parquet_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "out"
    written(place)
    monkeypatch.setattr(parquet_file, "there", lambda: False)
    done = written(place, ROWS[:1], force=True)
    assert names(place) == sorted(set(folder.FILES) - {folder.PARQUET})
    assert "extra 'analysis'" in done.said[0]
    assert folder.PARQUET not in (place / folder.README).read_text("utf-8")
