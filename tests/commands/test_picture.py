"""`picture`: several files on a thing at once, listed, shown and withdrawn; what cannot be kept is named."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.commands.picture import OF
from inspect_tui.demo.pictures import drawn
from inspect_tui.report.term import photo
from inspect_tui.shop.pictures import owners
from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def picture(cli: Run, shop: SmallShop, tmp_path: Path) -> Callable[..., Ran]:
    for n in (1, 2, 3):
        (tmp_path / f"{n}.png").write_bytes(drawn(n))
    (tmp_path / "no.jpg").write_bytes(b"#!/bin/sh")
    return lambda *words: cli("picture", *words, "--record", str(shop.record.path))


def test_pictures_are_added_listed_and_withdrawn(picture: Callable[..., Ran], cli: Run, tmp_path: Path) -> None:
    assert owners.EXAMPLES == OF
    one, two, three = (str(tmp_path / f"{n}.png") for n in (1, 2, 3))
    added = picture("add", "--on", "box 1", one, two, "--caption", "worn", "--by", "AB")
    assert added.status == 0 and added.err == ""
    assert added.out == "1.png is kept: box 1, 240 by 160 dots\n2.png is kept: box 1, 240 by 160 dots\n"
    again = picture("add", "--on", "box 1", str(tmp_path / "[12].png"), "--by", "AB")  # by a shell without patterns
    assert again.out == "1.png is there already: box 1\n2.png is there already: box 1\n"
    assert picture("add", "--on", "box 1", one, "--by", "AB").out == "1.png is there already: box 1\n"
    assert picture("add", "--on", "step 1", three, "--by", "AB").out.startswith("3.png is kept: core 1,")
    rows = json.loads(picture("list", "--json").out)
    assert [(row["of"], row["name"], row["caption"], row["by"]) for row in rows] == [
        ("core 1", "3.png", None, "AB"),
        ("box 1", "1.png", "worn", "AB"),
        ("box 1", "2.png", "worn", "AB"),
    ]
    assert Path(rows[1]["file"]).read_bytes() == drawn(1)
    assert "3.png" not in picture("list", "--on", "box 1").out
    assert picture("withdraw", "2.png of box 1", "--why", "blurred", "--by", "AB").status == 0
    assert "2.png" not in picture("list").out
    assert picture("withdraw", "1.png of box 1", "--by", "AB").status == 2


def test_numbers_are_put_on_a_picture_and_taken_off(picture: Callable[..., Ran], tmp_path: Path) -> None:
    one, table = str(tmp_path / "1.png"), tmp_path / "numbers.csv"
    assert picture("add", "--on", "job", one, "--by", "AB").status == 0
    put = picture("numbers", "1.png", "--at", "F1 20 30; f3 5,5 99", "--by", "AB")
    assert put.out == "1.png of job: 2 numbers stand there now\n"
    assert picture("numbers", "1.png").out == "F1 20 30; F3 5.5 99\n"
    assert json.loads(picture("list", "--json").out)[0]["numbers"] == [["F1", 20.0, 30.0], ["F3", 5.5, 99.0]]
    table.write_text("number;from the left;from the top\nF1;20;30\nF2;40,5;60\n")
    assert picture("numbers", "1.png", "--from", str(table), "--by", "AB").out.startswith("1.png of job: 2 numbers")
    assert picture("numbers", "1.png").out == "F1 20 30; F2 40.5 60\n"
    assert "so already" in picture("numbers", "1.png", "--at", "F1 20 30; F2 40.5 60", "--by", "AB").out
    wrong = picture("numbers", "1.png", "--at", "F1 20", "--by", "AB")
    assert wrong.status == 2 and "The numbers on 1.png stay as they were." in wrong.err
    assert picture("numbers", "1.png", "--at", "").status == 2  # nobody says who
    assert picture("numbers", "1.png", "--at", "", "--by", "AB").status == 0
    assert picture("numbers", "1.png").out == "\n"


def test_a_page_is_written_on_which_numbers_are_put_by_a_tap(picture: Callable[..., Ran], tmp_path: Path) -> None:
    page = tmp_path / "numbers.html"
    assert picture("add", "--on", "job", str(tmp_path / "1.png"), "--by", "AB").status == 0
    assert picture("numbers", "1.png", "--at", "F3 5.5 99", "--by", "AB").status == 0
    assert picture("numbers", "1.png", "--page", str(page)).out == f"{page}\n"
    written = page.read_text("utf-8")
    data = json.loads(written.split('id="numbers-data">')[1].split("</script>")[0])
    assert data["marks"] == [["F3", 5.5, 99.0]] and data["numbers"] == ["F1", "F2", "F3", "F4", "F5"]
    assert "default-src &#39;none&#39;" in written and "data:image/jpeg;base64," in written
    assert picture("numbers", "1.png", "--page", str(page)).status == 2  # it is there
    assert picture("numbers", "1.png", "--page", str(page), "--force").status == 0


def test_sound_files_are_kept_beside_those_that_are_not(
    picture: Callable[..., Ran], tmp_path: Path, shop: SmallShop
) -> None:
    ran = picture("add", "--on", "job", str(tmp_path / "no.jpg"), str(tmp_path / "1.png"), "--by", "AB")
    assert ran.status == 2 and ran.out == "1.png is kept: job, 240 by 160 dots\n"
    assert "no.jpg: That is no picture" in ran.err and "1 of 2 files were not kept; the others were." in ran.err
    before = shop.record.heads()
    for words, said in (
        (("add", "--on", "box 9", str(tmp_path / "2.png"), "--by", "AB"), "A picture is of one of these"),
        (("add", "--on", "job", str(tmp_path / "2.png"), "--by", "Q"), "Q"),
        (("add", "--on", "job", str(tmp_path / "2.png"), "--caption", "x" * 121, "--by", "AB"), "at most 120 fit"),
    ):
        refused = picture(*words)
        assert refused.status == 2 and said in refused.err
    assert shop.record.heads() == before


def test_pictures_are_seen_in_half_blocks_with_their_titles(
    picture: Callable[..., Ran], tmp_path: Path, shop: SmallShop
) -> None:
    assert "there is no picture of box 1 yet" in picture("show", "--on", "box 1").err
    assert "there is no picture in job SV-12 yet" in picture("list").err
    picture("add", "--on", "box 1", str(tmp_path / "1.png"), "--caption", "[red] face", "--by", "AB")
    shown = picture("show", "1.png").out
    title, *lines = shown.splitlines()
    assert title.startswith("box 1: [red] face (1.png, 240 by 160, ")
    assert {photo.HALF} == set("".join(lines)) and len(lines) in range(20, 40)
    next(path for path in (tmp_path / "att").rglob("*") if path.is_file()).unlink()
    assert photo.NOT_HERE in picture("show").out
    assert "another bench" in picture("list").out


def test_a_terminal_that_shows_pictures_whole_gets_them_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from textual_image import renderable

    from inspect_tui.commands import picture as command

    (tmp_path / "1.png").write_bytes(drawn(1))
    assert command._whole(tmp_path / "1.png", 40) is None  # no terminal
    for stream in ("stdin", "stdout"):
        monkeypatch.setattr(f"sys.{stream}.isatty", lambda: True, raising=False)
    for way, whole in (
        (renderable.SixelImage, True),
        (renderable.TGPImage, True),
        (renderable.HalfcellImage, False),
        (renderable.UnicodeImage, False),
    ):
        monkeypatch.setattr(renderable, "Image", way)
        assert isinstance(command._whole(tmp_path / "1.png", 40), way) is whole
    (tmp_path / "cut.png").write_bytes(drawn(1)[:60])
    monkeypatch.setattr(renderable, "Image", renderable.SixelImage)
    assert command._whole(tmp_path / "cut.png", 40) is None
    monkeypatch.setitem(sys.modules, "textual_image", None)
    assert command._whole(tmp_path / "1.png", 40) is None


def test_what_comes_into_a_watched_folder_is_kept_until_somebody_ends_it(
    picture: Callable[..., Ran], tmp_path: Path, shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    inbox = tmp_path / "in"
    inbox.mkdir()
    (inbox / "before.png").write_bytes(drawn(3))
    looks = iter(("first", "again", "again"))

    def sleep(_: float) -> None:
        look = next(looks, None)
        if look is None:
            raise KeyboardInterrupt
        if look == "first":
            (inbox / "1.png").write_bytes(drawn(1))
            (inbox / "no.png").write_bytes(b"no")

    monkeypatch.setattr("time.sleep", sleep)
    ran = picture("watch", str(inbox), "--on", "box 1", "--caption", "lined", "--by", "AB")
    assert ran.status == 0 and ran.out == "1.png is kept: box 1, 240 by 160 dots\n"
    assert "no.png: That is no picture" in ran.err and "the watch ends: 1 pictures were kept" in ran.err
    (row,) = json.loads(picture("list", "--json").out)
    assert (row["name"], row["caption"]) == ("1.png", "lined")
    assert picture("watch", str(tmp_path / "none"), "--on", "box 1", "--by", "AB").status == 2
