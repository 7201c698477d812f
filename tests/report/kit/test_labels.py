"""Labels in the usual sizes: as many pages as labels, the number of the core largest, codes for the Bench and the guide."""

from __future__ import annotations

import io
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.report.kit import labels as module
from inspect_tui.report.kit.forms import make, write
from inspect_tui.report.paper.file import PaperError
from inspect_tui.shop.kit.paper.kit_list import Labels
from inspect_tui.shop.settings.file import ask_paper
from inspect_tui.shop.speech import label as speech
from tests.worlds import kit_samples as samples
from tests.worlds.paper_readers import csv_rows

AT = "https://files.example/exm4.html"
POINTS = 72 / 25.4


def letters(content: bytes, page: int) -> dict[str, float]:
    """Every run of text on a page of a PDF and how high its letters are, points."""
    found: dict[str, float] = {}

    def seen(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            found[text.strip()] = abs(size * tm[3] * cm[3])

    PdfReader(io.BytesIO(content)).pages[page].extract_text(visitor_text=seen)
    return found


@pytest.mark.parametrize(("size", "wide", "high"), [("62x29", 62, 29), ("100x50", 100, 50), ("4x6", 101.6, 152.4)])
@pytest.mark.parametrize("at", ["", AT])
def test_one_label_a_page_with_the_number_of_the_core_largest(size: str, wide: float, high: float, at: str) -> None:
    tools = samples.labels()[:3]
    made = make(Labels(tools, size, at), "pdf")
    pages = PdfReader(io.BytesIO(made)).pages
    assert len(pages) == 3
    for page in pages:
        assert [float(side) / POINTS for side in page.mediabox[2:]] == [
            pytest.approx(wide, abs=0.1),
            pytest.approx(high, abs=0.1),
        ]
    text = " ".join(pages[1].extract_text().split())
    for words in ("box 2", "locator block", "14.5 kg", "mark red", "EXM-4", "owner the shop", "rev. B"):
        assert words in text, words
    sizes = letters(made, 1)
    assert sizes["2"] == max(sizes.values()) and sizes["2"] > 2.4 * max(v for k, v in sizes.items() if k != "2")
    assert ("guide" in text and "bench" in text) is bool(at)


@pytest.mark.parametrize(("paper", "wide", "pages"), [("A4", 595, 2), ("Letter", 612, 2)])
def test_on_sheets_to_cut_of_either_paper(paper: str, wide: int, pages: int) -> None:
    ask_paper(paper)
    try:
        made = PdfReader(io.BytesIO(make(Labels(samples.labels()), "pdf"))).pages
    finally:
        ask_paper()
    assert len(made) == pages and round(float(made[0].mediabox[2])) == wide
    text = " ".join(page.extract_text() for page in made)
    assert all(tool.label in text for tool in samples.labels())


def test_however_long_its_words_are_a_label_keeps_its_size_and_its_number() -> None:
    long = replace(samples.labels()[0], core_name="core for the " * 12, owner="owner " * 20, name="name " * 20)
    made = make(Labels((long,), "62x29", AT), "pdf")
    assert len(PdfReader(io.BytesIO(made)).pages) == 1 and letters(made, 0)["1"] > 20.0


def test_a_tool_of_no_core_has_its_own_name_largest_and_no_step_to_open() -> None:
    drag = replace(samples.labels()[0], label="pattern drag", core=None, core_name=None, kind="pattern")
    sizes = letters(make(Labels((drag,), "100x50", AT), "pdf"), 0)
    assert sizes["pattern drag"] == max(sizes.values()) and "guide" not in sizes
    assert module.guide_code(drag, AT) == ""


def test_the_codes_open_the_tool_and_the_step_of_its_core() -> None:
    labels = Labels(samples.labels(), at=AT)
    rows = csv_rows(make(labels, "csv"))
    assert rows[1]["code for the setting guide"] == f"{AT}#core-2"
    read = speech.read(rows[1]["code for the bench"])
    assert read is not None and (read.job, read.name) == ("EXM-4", "box 2") and len(read.of_id) == 16
    html = make(labels, "html").decode()
    assert html.count("mark for a camera") == 2 * len(labels.tools)
    assert "code for the setting guide" not in csv_rows(make(Labels(samples.labels()), "csv"))[0]


def test_the_table_has_heads_in_words_and_figures_as_figures() -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(make(Labels(samples.labels()), "xlsx"))).active
    heads = [cell.value for cell in sheet[1]]
    row = dict(zip(heads, [cell.value for cell in sheet[2]], strict=True))
    assert (row["tool"], row["core"], row["weight, kg"], row["loose pieces"]) == ("box 1", 1, 14.5, 2)


def test_labels_for_a_roll_are_pdf(tmp_path: Path) -> None:
    with pytest.raises(PaperError, match=r"62x29 are set one a page as PDF: name a file that ends in \.pdf"):
        write(Labels(samples.labels(), "62x29"), tmp_path / "a.html")
    assert list(tmp_path.iterdir()) == []
