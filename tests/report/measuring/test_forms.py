"""The measuring sheet as files: HTML and PDF to print, CSV to fill in, nothing lost, nothing overwritten unasked."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.report.measuring.forms import make, write
from inspect_tui.report.paper.file import PaperError
from inspect_tui.shop.measuring.faces import enter
from inspect_tui.shop.measuring.sample import of_sample
from inspect_tui.shop.measuring.sheet import MeasuringSheet, sheet
from inspect_tui.todo import Todo
from tests.worlds.paper_readers import Page
from tests.worlds.sample_faces import named


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[MeasuringSheet, MeasuringSheet]]:
    """Before and after the sizes between faces are on the list."""
    folder = tmp_path_factory.mktemp("sheet")
    with Record.open(folder / "s.db", create=True, state_dir=folder) as record:
        job, _ = named(record)
        before = sheet(record, job, of_sample(record, job))
        enter(record, job, of_sample(record, job).to_enter)
        yield before, sheet(record, job, of_sample(record, job))


def test_paper_has_every_line_and_room_to_draw(sheets: tuple[MeasuringSheet, MeasuringSheet]) -> None:
    page = Page(make(sheets[1], "html"))
    text = " ".join(page.texts)
    for words in ("Measuring sheet SB-7", "S3-S4", "from flange face (S1) to far end (S2)", "draw the casting here"):
        assert words in text or words in make(sheets[1], "html").decode(), words
    assert page.loads == []
    pdf = " ".join(p.extract_text() for p in PdfReader(io.BytesIO(make(sheets[1], "pdf"))).pages)
    for words in ("S4-S5", "worth taking besides", "silica dust"):
        assert words in " ".join(pdf.split()), words


def test_the_file_to_fill_in_has_the_heads_of_readings(sheets: tuple[MeasuringSheet, MeasuringSheet]) -> None:
    rows = list(csv.DictReader(io.StringIO(make(sheets[1], "csv").decode("utf-8"))))
    assert [row["feature"] for row in rows] == ["S2", "S3", "S3-S4", "S5", "S4-S5", "R1"]
    assert all(row["serial"] == "17" and row["value"] == "" for row in rows)
    assert rows[0]["remark"] == "from flange face (S1) to far end (S2)"


def test_the_workbook_has_their_order_and_means(sheets: tuple[MeasuringSheet, MeasuringSheet]) -> None:
    page = openpyxl.load_workbook(io.BytesIO(make(sheets[1], "xlsx"))).active
    rows = list(page.iter_rows(values_only=True))
    at = {head: n for n, head in enumerate(rows[0])}
    assert [row[at["feature"]] for row in rows[1:]] == ["S2", "S3", "S3-S4", "S5", "S4-S5", "R1"]
    ordered = [row[at["in order"]] for row in rows[1:] if row[at["in order"]] is not None]
    assert ordered == list(range(1, len(ordered) + 1)) and rows[1][at["taken with"]] == sheets[1].groups[0].title


def test_a_file_that_could_not_be_taken_in_is_not_made(
    sheets: tuple[MeasuringSheet, MeasuringSheet], tmp_path: Path
) -> None:
    with pytest.raises(PaperError, match="S3-S4, S4-S5 are not on the list yet") as told:
        write(sheets[0], tmp_path / "s.csv")
    assert told.value.todo == Todo.ENTER_SIZES
    with pytest.raises(PaperError, match="not on the list yet"):
        write(sheets[0], tmp_path / "s.xlsx")
    assert write(sheets[0], tmp_path / "s.html").read_bytes().startswith(b"<!doctype html>")
    assert write(sheets[1], tmp_path / "s.csv").is_file()
    with pytest.raises(PaperError, match="is there already"):
        write(sheets[1], tmp_path / "s.csv")
    assert write(sheets[1], tmp_path / "s.csv", force=True).is_file()
    with pytest.raises(PaperError, match="the ending says the form"):
        write(sheets[1], tmp_path / "s.doc")
    with pytest.raises(PaperError, match="Nothing is left to measure on the sample casting of SB-7"):
        write(replace(sheets[1], groups=()), tmp_path / "n.pdf")
