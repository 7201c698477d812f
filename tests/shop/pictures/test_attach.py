"""Pictures come in: several at once, each kept under its hash once, what is none refused and nothing left of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.demo.pictures import drawn
from inspect_tui.errors import InspectError
from inspect_tui.record import attachments
from inspect_tui.record.kinds import CORE, PERSON, TOOL
from inspect_tui.record.store import Record
from inspect_tui.shop.pictures import attach
from tests.record.test_heic import telephone
from tests.worlds.kit_jobs import Kit, two_cores


@pytest.fixture
def made(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield two_cores(record)


def test_several_at_once_keep_what_can_be_kept_and_name_the_rest(made: Kit, tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(drawn(1))
    (tmp_path / "b.png").write_bytes(drawn(2))
    (tmp_path / "c.HEIC").write_bytes(telephone())
    (tmp_path / "same as a.png").write_bytes(drawn(1))
    (tmp_path / "no.jpg").write_bytes(b"<svg/>")
    names = ("none.png", "a.png", "no.jpg", "b.png", "same as a.png", "c.HEIC")
    box = made.tool["box 1"].of_id
    taken = attach.attach_all(
        made.record, [tmp_path / name for name in names], TOOL.number, box, "worn", made.person.id
    )
    assert [kept.shown_name for kept in taken.kept] == ["a.png", "b.png", "c.HEIC"]
    assert [known.shown_name for known in taken.known] == ["a.png"]
    assert [said.partition(" ")[0] for said in taken.refused] == ["none.png", "no.jpg:"]
    shown = made.record.pictures([box])[box]
    assert [picture.use.ord for picture in shown] == [1, 2, 3]
    assert {picture.use.caption for picture in shown} == {"worn"}
    assert shown[2].attachment.media == "image/jpeg"
    assert made.record.counts()["attachment"] == 3


def test_a_caption_that_is_too_long_is_said_before_anything_is_kept(made: Kit, tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(drawn(1))
    core = made.core[1].of_id
    with pytest.raises(InspectError, match="121 letters; at most 120 fit"):
        attach.attach(made.record, tmp_path / "a.png", CORE.number, core, "x" * 121)
    assert made.record.counts()["attachment"] == 0 and not (tmp_path / "att").exists()
    attach.attach(made.record, tmp_path / "a.png", CORE.number, core, "x" * 120)


def test_a_picture_is_kept_beside_the_record_under_its_hash_once(made: Kit, tmp_path: Path) -> None:
    file = tmp_path / "core one.png"
    file.write_bytes(drawn(1))
    kept, use = attach.attach(made.record, file, CORE.number, made.core[1].of_id, "from above")
    path = attachments.stored_at(made.record.path, kept.sha256)
    assert path.read_bytes() == drawn(1)
    assert path.parts[-3:] == ("att", kept.sha256[:2], kept.sha256)
    assert (kept.media, kept.width_px, kept.height_px, kept.shown_name) == ("image/png", 240, 160, "core one.png")
    again, same = attach.attach(made.record, file, CORE.number, made.core[1].of_id)
    assert (again.id, same.id) == (kept.id, use.id)
    other, _ = attach.attach(made.record, file, CORE.number, made.core[2].of_id)
    assert other.id == kept.id
    assert [p.use.caption for p in made.record.pictures([made.core[1].of_id])[made.core[1].of_id]] == ["from above"]
    assert not list(path.parent.glob(".new-*"))


def test_a_jpeg_is_told_by_its_content_and_its_size_read(made: Kit) -> None:
    # JFIF head, a comment, then the frame header SOF0: 8 bits, 480 high, 640 wide (ITU-T T.81, annex B)
    data = (
        b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00\xff\xfe\x00\x04hi"
        b"\xff\xc0\x00\x11\x08\x01\xe0\x02\x80\x03\x01\x22\x00\x02\x11\x01\x03\x11\x01\xff\xd9"
    )
    kept = attachments.keep(made.record, data, "named.png")
    assert (kept.media, kept.width_px, kept.height_px) == ("image/jpeg", 640, 480)


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("script.png", b"#!/bin/sh\nrm -rf /\n", "That is no picture"),
        ("page.jpg", b"<html><script>alert(1)</script></html>", "That is no picture"),
        ("vector.png", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "That is no picture"),
        ("empty.png", b"", "That is no picture"),
        ("cut.png", drawn(1)[:-40], "cut off"),
        ("head.jpg", b"\xff\xd8\xff\xe0\x00\x10JFIF\x00", "cannot be read"),
        ("giant.png", drawn(1)[:16] + b"\x7f\xff\xff\xff\x7f\xff\xff\xff" + drawn(1)[24:], "that is no photograph"),
    ],
)
def test_what_is_no_picture_is_refused_and_leaves_nothing(
    made: Kit, tmp_path: Path, name: str, data: bytes, words: str
) -> None:
    file = tmp_path / name
    file.write_bytes(data)
    with pytest.raises(InspectError, match=words):
        attach.attach(made.record, file, CORE.number, made.core[1].of_id)
    assert made.record.counts()["attachment"] == 0
    assert not (tmp_path / "att").exists()


def test_a_huge_picture_a_folder_and_a_missing_file_are_refused(made: Kit, tmp_path: Path) -> None:
    huge = tmp_path / "huge.png"
    with huge.open("wb") as file:
        file.truncate((25 << 20) + 1)
    for path, words in ((huge, "at most 25 MB"), (tmp_path, "is not a file"), (tmp_path / "none.png", "is not a file")):
        with pytest.raises(InspectError, match=words):
            attach.attach(made.record, path, CORE.number, made.core[1].of_id)
    with pytest.raises(InspectError, match="at most 25 MB"):
        attachments.keep(made.record, b"\x89PNG\r\n\x1a\n" + bytes(26 << 20), "x.png")
    assert made.record.counts()["attachment"] == 0


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../etc/passwd.png", "passwd.png"),
        ("..\\..\\boot.ini.png", "boot.ini.png"),
        ("/", "picture"),
        ("a\x00b\x1b[2J.png", "ab[2J.png"),
        ("‮gnp.evil", "gnp.evil"),
        ("x" * 400 + ".jpeg", "x" * 115 + ".jpeg"),
        ("...", "picture"),
    ],
)
def test_a_name_with_a_path_or_control_characters_is_only_a_name(made: Kit, name: str, shown: str) -> None:
    kept = attachments.keep(made.record, drawn(2), name)
    assert kept.shown_name == shown
    inside = attachments.stored_at(made.record.path, kept.sha256).resolve()
    assert inside.is_relative_to(made.record.path.parent.resolve() / "att")


@pytest.mark.parametrize("digest", ["../../x", "A" * 64, "0" * 63, ""])
def test_a_hash_that_is_none_names_no_path(made: Kit, digest: str) -> None:
    with pytest.raises(InspectError, match="no SHA-256"):
        attachments.stored_at(made.record.path, digest)


def test_a_picture_that_went_missing_is_known_and_can_be_put_back(made: Kit, tmp_path: Path) -> None:
    kept = attachments.keep(made.record, drawn(3), "three.png")
    assert attachments.missing(made.record) == []
    attachments.stored_at(made.record.path, kept.sha256).unlink()
    assert [a.id for a in attachments.missing(made.record)] == [kept.id]
    assert attachments.keep(made.record, drawn(3), "three.png").id == kept.id
    assert attachments.missing(made.record) == []


def test_pictures_are_shown_only_for_things_that_have_a_picture(made: Kit, tmp_path: Path) -> None:
    file = tmp_path / "a.png"
    file.write_bytes(drawn(1))
    with pytest.raises(InspectError, match="Pictures are shown for"):
        attach.attach(made.record, file, PERSON.number, made.core[1].of_id)
