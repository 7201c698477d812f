"""Photographs in papers: upright, scaled, on white, without what the camera wrote beside them."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.report.paper import photos
from inspect_tui.shop.kit.paper.papers import SheetPhoto


def test_the_place_where_a_photograph_was_taken_does_not_go_out(tmp_path: Path) -> None:
    from PIL import Image

    path = tmp_path / "a.jpg"
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif.get_ifd(0x8825)[1] = "N"
    exif[0x010F] = "a maker of cameras"
    Image.new("RGB", (60, 20), "grey").save(path, exif=exif)
    ((made, _),) = photos.scaled([path])
    assert made is not None and b"a maker of cameras" not in made
    with Image.open(io.BytesIO(made)) as small:
        assert small.size == (20, 60)  # upright
        assert not small.getexif()


def test_a_clear_png_stands_on_white(tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(tmp_path / "a.png")
    ((made, little),) = photos.scaled([tmp_path / "a.png"])
    assert little is None
    with Image.open(io.BytesIO(made or b"")) as small:
        assert small.getpixel((5, 5)) == (255, 255, 255)


def test_many_photographs_stay_within_the_room_of_a_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from PIL import Image

    monkeypatch.setattr(photos, "ALL_BYTES", 300_000)

    path = tmp_path / "noise.png"
    Image.effect_noise((900, 700), 90).save(path)
    made = photos.scaled([path] * 8)
    assert sum(len(one or b"") for one, _ in made) <= photos.ALL_BYTES


def test_a_small_one_of_each_follows_the_large_ones(tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGB", (900, 700), "grey").save(tmp_path / "a.png")
    names, files = photos.pictures([tmp_path / "a.png", tmp_path / "none.png"], "pdf", small=True)
    assert names == ["picture-0.jpg", None, "picture-2.jpg", None]
    sizes = [Image.open(io.BytesIO(files[name])).size for name in ("picture-0.jpg", "picture-2.jpg")]
    assert sizes == [(900, 700), (260, 202)]
    shown, none = photos.pictures([tmp_path / "a.png"], "html")
    assert len(shown) == 1 and str(shown[0]).startswith("data:image/jpeg;base64,") and none == {}


def test_a_paper_says_what_it_has_no_picture_of() -> None:
    shown = photos.Photos(photos.not_beside)
    one = photo("a.png")
    assert shown.shown([one, replace(one, caption="in its box")]) == [
        {"at": 0, "caption": "a.png", "missing": "Picture a.png is not beside the record."},
        {"at": 1, "caption": "in its box", "missing": "Picture a.png is not beside the record."},
    ]
    assert shown.shown([one])[0]["at"] == 2 and shown.paths == [None, None, None]


def photo(name: str) -> SheetPhoto:
    return SheetPhoto(
        sha256="0" * 64, media="image/png", path=None, width_px=1, height_px=1, caption="", shown_name=name
    )
