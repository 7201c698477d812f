"""Sheets of a first article: the views of the mould and photographs with their numbers, on every paper."""

from __future__ import annotations

import io
from collections.abc import Iterator

import openpyxl
import pytest

from inspect_tui.record.store import Record
from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.places import mould_sheets, photograph_sheets, view
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.places import NO_AXIS, NO_ENDS
from inspect_tui.shop.first_article.snapshot import Again, fix
from tests.worlds import numbered
from tests.worlds.paper_readers import Page, pdf_text


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    with numbered.made(tmp_path_factory.mktemp("numbered")) as made:
        yield made


@pytest.fixture(scope="module")
def given(record: Record) -> Again:
    return fix(record, find.job(record, None), "S1")


def test_a_size_is_shown_where_its_spot_is_seen(given: Again) -> None:
    """F1 is taken at y 20, which the plan shows; F2 and F3 stand in the sections that their axes lie in."""
    _, sheets = mould_sheets(given.plain["places"])
    shown = {sheet.title.split(" at ")[0]: {ring.balloon for ring in sheet.rings} for sheet in sheets}
    assert shown == {"plan, from above": {"F1"}, "section along y": {"F2", "G1"}, "section along x": {"F3"}}
    plan = next(sheet for sheet in sheets if "plan" in sheet.title)
    assert plan.svg.count('r="1.5"') == 2  # two dots: where F1 is taken


def test_of_two_views_the_one_that_shows_the_spot_is_taken(given: Again) -> None:
    places = given.plain["places"]
    at_z = [{**size, "at": [["z", 10.0]]} if size["balloon"] == "F1" else size for size in places["sizes"]]
    _, sheets = mould_sheets({**places, "sizes": at_z})
    shown = next(sheet for sheet in sheets if "F1" in {ring.balloon for ring in sheet.rings})
    assert shown.title.startswith("section along x") and shown.svg.count('r="1.5"') == 2


def test_papers_show_the_sheets_and_name_what_stands_nowhere(given: Again) -> None:
    page = make(given.plain, "html", files=given.files)
    words = " ".join(Page(page).texts)
    assert "Where the numbers stand" in words and "Not placed:" in words and NO_AXIS in words
    assert page.count(b"data:image/jpeg;base64,") == 1 and b"<b>above" not in page
    paper = pdf_text(make(given.plain, "pdf", files=given.files))
    assert "Where the numbers stand" in paper and "D2" in paper and NO_ENDS in paper
    head, *lines = openpyxl.load_workbook(io.BytesIO(make(given.plain, "xlsx")))["Numbers"].iter_rows(values_only=True)
    rows = [dict(zip(head, line, strict=True)) for line in lines]
    assert [row["number"] for row in rows] == ["F1", "F2", "G1", "F3", "D1", "G2", "F4", "D2"]
    assert (rows[0]["to_mm"], rows[0]["at_y_mm"], rows[4]["percent_from_left"], rows[7]["why_nowhere"]) == (
        100.0,
        20.0,
        25.0,
        NO_AXIS,
    )


def test_a_picture_that_is_not_there_is_named_with_its_numbers(given: Again) -> None:
    assert photograph_sheets(given.plain["places"], {})[0] == []
    shown = view(given.plain, {})
    assert shown["not_shown"] == ["Picture job.png is not beside the record: its numbers are D1, G2."]
    assert "its numbers are D1, G2" in " ".join(Page(make(given.plain, "html")).texts)
    assert view({**given.plain, "places": None}, {}) == {"sheets": [], "not_placed": [], "not_shown": []}
