"""first-article: the sheet, the unit and the decimal mark of its paper, kept with the report."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.commands.conftest import Ran, Run
from tests.worlds.paper_readers import pdf_text
from tests.worlds.signed_shop import GOOD, made

On = Callable[..., Ran]


@pytest.fixture
def on(cli: Run, tmp_path: Path) -> On:
    made(tmp_path / "s.db", {"C1": {**GOOD, "F2": 50.9}}).close()
    return lambda *argv: cli("--record", str(tmp_path / "s.db"), *argv)


def sheet(path: Path) -> tuple[int, int]:
    """Width and height of the first page, points."""
    box = PdfReader(path).pages[0].mediabox
    return round(box.width), round(box.height)


def test_sheet_unit_and_decimal_mark_of_the_paper_are_kept_with_it(on: On, tmp_path: Path) -> None:
    first, again, other = (tmp_path / name for name in ("a.pdf", "b.pdf", "c.pdf"))
    how = ("--paper", "letter", "--show", "in", "--decimal-mark", ",")
    assert on("first-article", *how, "--to", str(first)).status == 0
    text = pdf_text(first.read_bytes())
    assert "2,0039" in text and "50.90" not in text  # F2, 50.9 mm
    assert sheet(first) == (612, 792)
    assert on("first-article", "--again", "--to", str(again)).status == 0
    assert again.read_bytes() == first.read_bytes()
    assert on("first-article", "--again", "--paper", "a4", "--show", "mm", "--to", str(other)).status == 0
    assert "50,90" in pdf_text(other.read_bytes()) and sheet(other) == (595, 842)
