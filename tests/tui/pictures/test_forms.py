"""Several files at once by the form: which thing they are of is asked where there are several, what is none is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.demo.pictures import drawn
from inspect_tui.shop.pictures import attach, owners
from inspect_tui.tui.pictures import forms
from tests.conftest import SmallShop


def test_what_was_kept_is_said(shop: SmallShop, tmp_path: Path) -> None:
    record, job = shop.record, shop.record.job("SV-12")
    for n in (1, 2, 3):
        (tmp_path / f"{n}.png").write_bytes(drawn(n))
    box = owners.named(record, job, "box 1")

    def take(*names: str) -> str:
        paths = [tmp_path / name for name in names]
        return forms.said(attach.attach_all(record, paths, box.kind.number, box.of_id))

    assert take("1.png") == "1.png kept (240 by 160 dots)"
    assert take("1.png", "2.png", "3.png") == "2 pictures kept"
    assert take("3.png") == "there already: nothing was written"


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("{}/a b.jpg", ["a b.jpg"]),
        ("  {}/*.jpg ", ["a b.jpg", "c.jpg"]),
        ("'{0}/a b.jpg' {0}/d.png", ["a b.jpg", "d.png"]),
        ("{0}/c.jpg {0}/*.png", ["c.jpg", "d.png"]),
        ("{0}/no.jpg {0}/c.jpg", ["no.jpg", "c.jpg"]),
        ("{0}/*.gif", ["*.gif"]),
        ("'{0}/c.jpg", ["c.jpg"]),
    ],
)
def test_files_are_named_singly_by_a_pattern_or_in_a_row(tmp_path: Path, text: str, names: list[str]) -> None:
    for name in ("a b.jpg", "c.jpg", "d.png"):
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "folder.jpg").mkdir()
    assert [path.name for path in attach.files(text.format(tmp_path))] == names


def test_files_of_a_pattern_come_in_their_order(tmp_path: Path) -> None:
    wanted = [f"{n:02}.jpg" for n in range(30)]
    for name in (*wanted[::2], *wanted[1::2]):
        (tmp_path / name).write_bytes(b"x")
    assert [path.name for path in attach.files(f"{tmp_path}/*.jpg")] == wanted
