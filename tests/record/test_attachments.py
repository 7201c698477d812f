"""Pictures beside the record: told by their content, kept once and whole, the row only after the bytes."""

from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path
from struct import pack

import pytest

from inspect_tui.errors import DiskFull, RecordError
from inspect_tui.record import attachments

# PNG specification, 11.2.2: IHDR comes first; T.81, B.2.2: a frame header holds precision, height, width
PNG = b"\x89PNG\r\n\x1a\n" + pack(">I4sIIBBBBB", 13, b"IHDR", 40, 30, 8, 2, 0, 0, 0) + bytes(4)
PNG += pack(">I4sI", 0, b"IEND", 0xAE426082)


def jpeg(*segments: bytes, frame: int = 0xC0, width: int = 640, height: int = 480) -> bytes:
    size = bytes([0xFF, frame]) + pack(">HBHHB", 17, 8, height, width, 3) + bytes(9)
    return b"\xff\xd8" + b"".join(segments) + size + b"\xff\xda\x00\x02" + b"\xff\xd9"


CAMERA = b"\xff\xe1" + pack(">H", 10) + b"\xff\xc0\x00\x00\x00\x00\x00\x00"  # what a camera notes looks like a frame


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (PNG, ("image/png", 40, 30)),
        (jpeg(), ("image/jpeg", 640, 480)),
        (jpeg(CAMERA, frame=0xC2, width=3000, height=4000), ("image/jpeg", 3000, 4000)),
        (jpeg(b"\xff\xff\xff"[:1], b"\xff\x01", b"\xff\xc4" + pack(">H", 4) + b"\x11\x22"), ("image/jpeg", 640, 480)),
    ],
    ids=["png", "baseline", "progressive behind a camera's note", "fill byte and tables"],
)
def test_a_picture_is_told_by_its_content(data: bytes, told: tuple[str, int, int]) -> None:
    assert attachments.look(data) == told


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"GIF89a", "JPEG and PNG are kept"),
        (b"", "That is no picture"),
        (PNG[:-12], "cut off: its end is missing"),
        (b"\xff\xd8\xff\xda\x00\x02" + bytes(40), "a JPEG without its size"),
        (b"\xff\xd8\xff\xe0\x00\x04ab" + bytes(40), "a JPEG without its size"),
        (jpeg(width=0), "0 by 480 dots: that is no photograph"),
        (PNG.replace(pack(">I", 30), pack(">I", 100_001)), "40 by 100001 dots"),
        (PNG.replace(pack(">II", 40, 30), pack(">II", 60_000, 50_000)), "60000 by 50000 dots, 3000 million"),
    ],
)
def test_what_is_no_picture_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(RecordError, match=words):
        attachments.look(data)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("/home/a/seat 3.png", "seat 3.png"),
        (r"C:\pictures\seat.jpg", "seat.jpg"),
        ("a\x00b\x1b[31m.png", "ab[31m.png"),
        ("..", "picture"),
        ("", "picture"),
        ("x" * 200 + ".jpeg", "x" * 115 + ".jpeg"),
        ("y" * 200, "y" * 120),
    ],
)
def test_a_name_is_shown_without_its_folder_and_without_control_characters(name: str, shown: str) -> None:
    told = attachments.shown_name(name)
    assert len(told) <= 120
    assert told.replace("\ufffd", "") == shown


def test_bytes_lie_under_their_hash_and_the_row_says_what_they_are(bench) -> None:
    kept = attachments.keep(bench.record, PNG, "in/seat.png", bench.person.id)
    digest = sha256(PNG).hexdigest()
    assert (kept.sha256, kept.bytes, kept.media, kept.shown_name) == (digest, len(PNG), "image/png", "seat.png")
    path = attachments.stored_at(bench.record.path, digest)
    assert path == bench.record.path.parent / "att" / digest[:2] / digest
    assert path.read_bytes() == PNG and [p.name for p in path.parent.iterdir()] == [digest]
    assert attachments.keep(bench.record, PNG, "again.png").id == kept.id
    assert bench.record.counts()["attachment"] == 1


def test_bytes_that_were_spoiled_are_put_right_when_the_picture_comes_again(bench) -> None:
    kept = attachments.keep(bench.record, PNG, "seat.png")
    path = attachments.stored_at(bench.record.path, kept.sha256)
    assert attachments.missing(bench.record) == []
    path.write_bytes(b"spoiled")
    assert attachments.missing(bench.record) == [kept]
    attachments.keep(bench.record, PNG, "seat.png")
    assert attachments.missing(bench.record) == [] and path.read_bytes() == PNG


def test_a_row_never_names_bytes_that_could_not_be_written(bench, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DiskFull, match=r"not kept: No space left on device\."):
        attachments.keep(bench.record, PNG, "seat.png")
    assert bench.record.counts()["attachment"] == 0
    assert [p for p in (bench.record.path.parent / "att").rglob("*") if p.is_file()] == []


@pytest.mark.parametrize("digest", ["", "../../etc/passwd", "0" * 63, "G" * 64, "0" * 64 + "/x"])
def test_only_a_hash_leads_to_a_file(bench, digest: str) -> None:
    with pytest.raises(RecordError, match="no SHA-256"):
        attachments.stored_at(bench.record.path, digest)


def test_a_file_is_read_if_it_is_one_and_not_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "seat.png").write_bytes(PNG)
    assert attachments.read_picture(tmp_path / "seat.png") == PNG
    for path in (tmp_path, tmp_path / "none.png"):
        with pytest.raises(RecordError, match="is not a file: check the name"):
            attachments.read_picture(path)
    monkeypatch.setattr(attachments, "MOST_BYTES", len(PNG) - 1)
    with pytest.raises(RecordError, match="at most 25 MB are kept"):
        attachments.read_picture(tmp_path / "seat.png")
