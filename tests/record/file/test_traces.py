"""Files tell whether a machine was in use by its clock; what was written just now, and the record, tell nothing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from inspect_tui.record.file import traces

DAY_S = 86_400
NOW_S = 1_790_000_000


def file(path: Path, days_ago: float) -> Path:
    path.touch()
    os.utime(path, (NOW_S - days_ago * DAY_S,) * 2)
    return path


@pytest.mark.parametrize(
    ("days_ago", "tells"), [(1, False), (29, False), (31, True), (99, True), (101, False), (-5, False)]
)
def test_a_file_of_days_before_tells_that_the_machine_was_in_use(tmp_path: Path, days_ago: int, tells: bool) -> None:
    file(tmp_path / "letter.txt", days_ago)
    assert traces.in_use([tmp_path], NOW_S * 1_000_000, 100 * DAY_S * 1_000_000) is tells


def test_the_record_does_not_speak_for_itself(tmp_path: Path) -> None:
    record = file(tmp_path / "shop.db", 40)
    file(tmp_path / "shop.db.lock", 40)
    folders = [tmp_path / "nowhere", tmp_path]
    assert not traces.in_use(folders, NOW_S * 1_000_000, 100 * DAY_S * 1_000_000, record)
    file(tmp_path / "other.db", 40)
    assert traces.in_use(folders, NOW_S * 1_000_000, 100 * DAY_S * 1_000_000, record)


def test_folders_are_those_where_people_and_programs_write(tmp_path: Path) -> None:
    folders = traces.usual_folders(tmp_path / "shop.db")
    assert folders[0] == tmp_path and Path.home() in folders
