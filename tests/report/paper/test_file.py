"""A paper goes to the disk whole or not at all, and never over something unasked."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper.file import PaperError, target, write_bytes


def left(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_the_content_is_there_and_nothing_else(tmp_path: Path) -> None:
    assert write_bytes(tmp_path / "a.csv", b"x").read_bytes() == b"x"
    assert left(tmp_path) == ["a.csv"]


def test_an_existing_file_stays_unless_asked(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")
    with pytest.raises(PaperError, match="there already and was left as it is"):
        write_bytes(path, b"new")
    assert path.read_text() == "old"
    write_bytes(path, b"new", force=True)
    assert path.read_text() == "new"


def test_a_file_that_appears_meanwhile_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.csv"
    real = os.fsync

    def slow(handle: int) -> None:
        real(handle)
        if not path.exists():
            path.write_text("another program's")

    monkeypatch.setattr(os, "fsync", slow)
    with pytest.raises(PaperError, match="appeared while"):
        write_bytes(path, b"ours")
    assert path.read_text() == "another program's" and left(tmp_path) == ["a.csv"]


def test_links_are_not_followed(tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text("keep")
    link = tmp_path / "a.pdf"
    link.symlink_to(secret)
    for force in (False, True):
        with pytest.raises(PaperError, match="links are not followed"):
            write_bytes(link, b"x", force=force)
    dangling = tmp_path / "b.pdf"
    dangling.symlink_to(tmp_path / "nowhere")
    with pytest.raises(PaperError, match="link"):
        write_bytes(dangling, b"x")
    assert secret.read_text() == "keep" and not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize(
    ("name", "words"),
    [("no/such/folder/a.pdf", "no folder"), (".", "is a folder"), ("file/a.pdf", "no folder")],
)
def test_a_place_that_cannot_be_written_is_a_sentence(tmp_path: Path, name: str, words: str) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(PaperError, match=words):
        target(tmp_path / name)


def test_a_pipe_or_device_is_not_written(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.pdf")
    with pytest.raises(PaperError, match="not an ordinary file"):
        write_bytes(tmp_path / "a.pdf", b"x", force=True)


def test_a_folder_without_rights_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)  # its own rights do not stop root, as whom tests may run
    with pytest.raises(PaperError, match="may not be written"):
        write_bytes(tmp_path / "a.pdf", b"x")


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.pdf"
    path.write_text("old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(PaperError, match="No space left"):
        paper_file.write_bytes(path, b"new", force=True)
    assert path.read_text() == "old" and left(tmp_path) == ["a.pdf"]


def test_a_name_as_long_as_names_may_be_still_gets_its_draft(tmp_path: Path) -> None:
    path = tmp_path / ("x" * 240 + ".csv")
    assert write_bytes(path, b"x").exists()
