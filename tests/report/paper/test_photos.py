"""Photographs in papers: upright, scaled, on white, without what the camera wrote beside them."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from inspect_tui.report.paper import photos


def test_the_place_where_a_photograph_was_taken_does_not_go_out(tmp_path: Path) -> None:
    from PIL import Image

    path = tmp_path / "a.jpg"
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif.get_ifd(0x8825)[1] = "N"
    exif[0x010F] = "a maker of cameras"
    Image.new("RGB", (60, 20), "grey").save(path, exif=exif)
    (made,) = photos.scaled([path])
    assert made is not None and b"a maker of cameras" not in made
    with Image.open(io.BytesIO(made)) as small:
        assert small.size == (20, 60)  # upright
        assert not small.getexif()


def test_a_clear_png_stands_on_white(tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(tmp_path / "a.png")
    (made,) = photos.scaled([tmp_path / "a.png"])
    with Image.open(io.BytesIO(made or b"")) as small:
        assert small.getpixel((5, 5)) == (255, 255, 255)


def test_many_photographs_stay_within_the_room_of_a_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from PIL import Image

    monkeypatch.setattr(photos, "ALL_BYTES", 300_000)

    path = tmp_path / "noise.png"
    Image.effect_noise((900, 700), 90).save(path)
    made = photos.scaled([path] * 8)
    assert sum(len(one or b"") for one in made) <= photos.ALL_BYTES
