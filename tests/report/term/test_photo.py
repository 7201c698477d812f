"""A picture in half blocks has the colours of its dots where they are, keeps its shape and says when it cannot be seen."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from PIL import Image
from rich.text import Text

from inspect_tui.report.term import photo


def cells(text: Text) -> list[list[tuple[tuple[int, ...] | None, tuple[int, ...] | None]]]:
    """Upper and lower colour of every cell."""

    def rgb(colour: object) -> tuple[int, ...] | None:
        return tuple(colour.triplet) if colour is not None else None

    rows = text.plain.split("\n")
    assert all(set(row) <= {photo.HALF} for row in rows)
    looks = [span.style for span in text.spans]
    assert sum(map(len, rows)) == len(looks)
    shown = iter(looks)
    return [[(rgb(look.color), rgb(look.bgcolor)) for look in (next(shown) for _ in row)] for row in rows]


def test_every_dot_has_its_colour_in_its_half(tmp_path: Path) -> None:
    picture = Image.new("RGB", (3, 3))
    dots = [(10 * n, 250 - 20 * n, n) for n in range(9)]
    picture.putdata(dots)
    picture.save(tmp_path / "dots.png")
    made = cells(photo.half_blocks(tmp_path / "dots.png", 3, 2))
    assert made == [[(dots[n], dots[n + 3]) for n in range(3)], [(dots[n + 6], None) for n in range(3)]]


@pytest.mark.parametrize(
    ("size", "room", "columns", "lines"),
    [
        ((400, 200), (40, 24), 40, 10),
        ((200, 400), (80, 20), 20, 20),
        ((6, 4), (80, 24), 6, 2),
        ((500, 5), (50, 9), 50, 1),
    ],
)
def test_the_whole_picture_fits_and_keeps_its_shape(
    tmp_path: Path, size: tuple[int, int], room: tuple[int, int], columns: int, lines: int
) -> None:
    Image.new("L", size, 128).save(tmp_path / "grey.jpg")
    made = photo.half_blocks(tmp_path / "grey.jpg", *room).plain.split("\n")
    assert (len(made[0]), len(made)) == (columns, lines)


def test_it_stands_as_the_camera_was_held(tmp_path: Path) -> None:
    picture = Image.new("RGB", (40, 20), "red")
    exif = Image.Exif()
    exif[0x0112] = 6  # Exif 2.3, 4.6.4: orientation, turned a quarter
    picture.save(tmp_path / "turned.jpg", exif=exif)
    made = photo.half_blocks(tmp_path / "turned.jpg", 80, 40).plain.split("\n")
    assert (len(made[0]), len(made)) == (20, 20)


def test_what_cannot_be_seen_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "cut.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    assert photo.half_blocks(tmp_path / "cut.png", 80, 24).plain == photo.UNREADABLE
    assert photo.half_blocks(tmp_path / "none.png", 80, 24).plain == photo.UNREADABLE
    monkeypatch.setitem(sys.modules, "PIL", None)
    assert "inspect-tui[pictures]" in photo.half_blocks(tmp_path / "cut.png", 80, 24).plain
