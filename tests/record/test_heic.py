"""A telephone's HEIC is taken as JPEG, without what the telephone wrote beside it; what is none is said in words."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from PIL import Image

from inspect_tui.errors import RecordError
from inspect_tui.record import attachments, heic


def telephone(width: int = 64, height: int = 48, colour: tuple[int, int, int] = (200, 30, 20)) -> bytes:
    import pillow_heif

    out = io.BytesIO()
    picture = Image.new("RGB", (width, height), colour)
    exif = Image.Exif()
    exif[0x010F] = "MAKER OF TELEPHONES"  # Exif 2.3, 4.6.4: Make
    pillow_heif.from_pillow(picture).save(out, quality=80, exif=exif.tobytes())
    return out.getvalue()


def test_heic_becomes_a_jpeg_of_the_same_picture_alone(tmp_path: Path) -> None:
    content = telephone()
    assert heic.is_heic(content) and b"MAKER OF" in content
    (tmp_path / "IMG_1.jpg").write_bytes(content)  # told by its content, not by its name
    jpeg = attachments.read_picture(tmp_path / "IMG_1.jpg")
    assert attachments.look(jpeg) == ("image/jpeg", 64, 48)
    red, green, blue = Image.open(io.BytesIO(jpeg)).getpixel((20, 20))
    assert abs(red - 200) < 6 and abs(green - 30) < 6 and abs(blue - 20) < 6
    assert b"MAKER OF" not in jpeg
    assert heic.as_jpeg(content, "again") == jpeg


def test_what_is_no_heic_is_left_alone() -> None:
    for content in (b"", b"\xff\xd8\xff", b"\x00\x00\x00\x1cftypavif" + bytes(40), b"....xxxxheic"):
        assert not heic.is_heic(content)


@pytest.mark.parametrize("cut", [40, 200, -30])
def test_a_heic_that_is_cut_off_is_said(cut: int) -> None:
    with pytest.raises(RecordError, match=r"IMG_2\.HEIC is a HEIC picture that cannot be read"):
        heic.as_jpeg(telephone()[:cut], "IMG_2.HEIC")


def test_without_its_reader_the_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    with pytest.raises(RecordError, match=r"IMG_1\.HEIC is a HEIC picture.*inspect-tui\[pictures\].*JPEG"):
        heic.as_jpeg(b"\x00\x00\x00\x1cftypheic", "IMG_1.HEIC")


def test_a_picture_of_too_many_dots_is_refused_before_it_is_unfolded(monkeypatch: pytest.MonkeyPatch) -> None:
    heic.refuse_too_many(12_000, 10_000)
    with pytest.raises(RecordError, match="12001 by 10000 dots, 120 million: at most 120 million are kept"):
        heic.refuse_too_many(12_001, 10_000)
    content = telephone()
    monkeypatch.setattr(heic, "MOST_PIXELS", 64 * 48 - 1)
    monkeypatch.setattr(heic, "_jpeg", lambda picture: pytest.fail("unfolded"))
    with pytest.raises(RecordError, match=r"IMG_3\.HEIC says that it is 64 by 48 dots"):
        heic.as_jpeg(content, "IMG_3.HEIC")
