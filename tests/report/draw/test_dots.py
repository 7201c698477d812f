"""Photographs made into dots: clear ones stand on white, a bomb is not unfolded."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from inspect_tui.report.draw import dots


def test_what_is_clear_is_white_and_nothing_is_made_larger(tmp_path: Path) -> None:
    picture = Image.new("RGBA", (4, 2), (255, 0, 0, 255))
    picture.putpixel((0, 0), (0, 0, 0, 0))
    picture.save(tmp_path / "clear.png")
    columns, rows, made = dots.thumbnail(tmp_path / "clear.png", 80, 40) or (0, 0, [])
    assert (columns, rows, len(made)) == (4, 2, 8)
    assert made[0] == (255, 255, 255) and set(made[1:]) == {(255, 0, 0)}


def test_a_picture_of_too_many_dots_is_not_unfolded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    Image.new("L", (8, 8)).save(tmp_path / "bomb.png")
    assert dots.thumbnail(tmp_path / "bomb.png", 80, 40) is not None
    monkeypatch.setattr(dots, "MOST_PIXELS", 63)
    assert dots.thumbnail(tmp_path / "bomb.png", 80, 40) is None
