"""The checklist on paper: every line with its boxes, A4 and Letter, the same as a table that comes back."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from inspect_tui.record.store import Record
from inspect_tui.report.kit import checklist as dressed
from inspect_tui.shop.kit.proving.checklist import Checklist, checklist
from tests.shop.kit.test_check import checked, proven, record  # noqa: F401  a fixture
from tests.worlds.paper_readers import pdf_text


@pytest.fixture
def made(record: Record) -> Checklist:
    return checklist(record, checked(proven(record)), "trying in")


def test_what_the_paper_shows(made: Checklist) -> None:
    shown = dressed.view(made)
    assert [group["title"] for group in shown["groups"]] == [
        "core 1",
        "core 2",
        "Thicknesses, by clay or plugs",
        "Closing",
    ]
    assert [group["heads"][1:] for group in shown["groups"]] == [
        ["Clearance", "How it goes", "Read, words"],
        [],
        ["Should be", "Read, by what", "Words"],
        ["", "How it goes", "Read, words"],
    ]
    first, wall = shown["groups"][0]["rows"], shown["groups"][2]["rows"]
    assert [(row["item"], row["limits"], row["goes"]) for row in first] == [
        ("core 1", "", True),
        ("K1", "0.30 to 0.70", True),
    ]
    assert [(row["item"], row["limits"], row["goes"]) for row in wall] == [("F1", "7.07 to 9.09", False)]
    assert made.edition in shown["short"] and "clay ±0.60" in shown["ways"]


def test_html_has_a_box_for_each_way_to_go(made: Checklist) -> None:
    page = dressed.make(made, "html").decode()
    boxes = sum(row["goes"] for group in dressed.view(made)["groups"] for row in group["rows"])
    assert page.count('class="tick"') == 5 * boxes == 30
    assert "props" not in page and "propped before anybody reaches under it" in page


def test_the_sheet_is_the_size_that_was_asked_for(made: Checklist, monkeypatch: pytest.MonkeyPatch) -> None:
    for sheet, size in (("A4", (595, 842)), ("Letter", (612, 792))):
        monkeypatch.setattr("inspect_tui.shop.settings.file._asked_paper", [sheet])
        content = dressed.make(made, "pdf")
        (page, *_) = PdfReader(io.BytesIO(content)).pages
        assert (round(page.mediabox.width), round(page.mediabox.height)) == size
        assert "K1" in pdf_text(content) and "0.30 to 0.70" in pdf_text(content)


def test_names_with_markup_are_text(record: Record) -> None:
    kit = proven(record)
    kit.add_core(3, "<b>#x;\n$neck$", set_order=3)
    made = checklist(record, checked(kit), "trial closing")
    assert "&lt;b&gt;" in dressed.make(made, "html").decode()
    assert dressed.make(made, "pdf").startswith(b"%PDF")


def test_tables_carry_the_edition_on_each_row(made: Checklist) -> None:
    rows = dressed.make(made, "csv").decode("utf-8-sig").splitlines()
    assert rows[0] == "job,rev,trial,item,what,least_mm,most_mm,found,edition"
    assert all(row.endswith(f",{made.edition}") for row in rows[1:])
    assert dressed.make(made, "xlsx") == dressed.make(made, "xlsx")
