"""Of a watched folder each new picture is told once, when it is whole; what lay there before, and other files, never."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.pictures.watch import Watched


def test_new_pictures_come_once_and_whole_the_oldest_first(tmp_path: Path) -> None:
    (tmp_path / "old.jpg").write_bytes(b"old")
    watched = Watched(tmp_path)
    assert watched.new() == []
    for name in ("b.JPG", "a.heic", "notes.txt", ".hidden.jpg", "empty.png", "growing.png"):
        (tmp_path / name).write_bytes(b"" if name == "empty.png" else b"x")
    (tmp_path / "folder.jpg").mkdir()
    os.utime(tmp_path / "b.JPG", ns=(1, 1))
    assert watched.new() == []  # seen for the first time: it may still grow
    (tmp_path / "growing.png").write_bytes(b"xx")
    assert [path.name for path in watched.new()] == ["b.JPG", "a.heic"]
    assert [path.name for path in watched.new()] == ["growing.png"]
    (tmp_path / "a.heic").unlink()
    assert watched.new() == []


def test_a_folder_that_is_none_or_goes_away_is_said(tmp_path: Path) -> None:
    with pytest.raises(DataError, match=r"The folder .*none cannot be read"):
        Watched(tmp_path / "none")
    (tmp_path / "in").mkdir()
    watched = Watched(tmp_path / "in")
    (tmp_path / "in").rmdir()
    with pytest.raises(DataError, match=r"The folder .*in cannot be read"):
        watched.new()
