"""The customer's capacity page as a paper: area with its interval, flow, what brings it back, cautions; hostile names."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.record.store import Record
from inspect_tui.report.kit.capacity import capacity
from inspect_tui.report.kit.forms import make
from inspect_tui.shop.kit.paper.capacity_page import CapacityPage, capacity_page
from tests.shop.kit.paper.test_capacity_page import port
from tests.worlds.paper_readers import Page


@pytest.fixture(scope="module")
def paper(tmp_path_factory: pytest.TempPathFactory) -> Iterator[CapacityPage]:
    """Of a port whose area is 184.6 mm2 where 200 mm2 are drawn: 92.3 of 100 l/s, at least 95."""
    with Record.open(tmp_path_factory.mktemp("capacity") / "port.db", create=True) as opened:
        kit = port(opened)
        yield capacity_page(opened, kit.job)


def test_area_and_flow_have_their_intervals_and_what_brings_it_back_is_said(paper: CapacityPage) -> None:
    (passage,) = capacity(paper)["passages"]
    facts = dict(passage["facts"])
    area = facts["Area or size as measured, 95 %"]
    assert area.startswith("184.6 ± ") and area.endswith(" mm²")
    now = paper.passages[0].line.now
    assert now is not None and area == f"184.6 ± {2 * now.u:.1f} mm²"  # 95 % is k = 2: JCGM 100:2008, 6.3.3
    assert facts["As drawn"] == "200.0 mm²" and facts["Against the drawing"] == "−7.7\u202f%"
    assert facts["Flow it lets expect, 95 %"].startswith("92.3 ± ") and facts["Rated"] == "100.0 l/s"
    assert facts["At least"] == "95.0 l/s" and facts["Chance that it is reached"]
    assert passage["level"] == "bad" and "7.7 % under" in passage["said"]
    assert passage["back"][0] == "H1: +0.77 mm on the casting alone would bring it back"
    assert [size["read"] for size in passage["sizes"]] == ["measured", "measured"]
    assert passage["sizes"][1]["drawn"] == "20.00 mm" and passage["sketch"].startswith("<svg")
    inches = capacity(paper, Style("in"))["passages"][0]
    assert dict(inches["facts"])["As drawn"].endswith(" in²") and inches["sizes"][1]["drawn"] == "0.7874 in"


def test_html_and_pdf_say_the_same(paper: CapacityPage) -> None:
    page = Page(make(paper, "html"))
    text = " ".join(page.texts)
    pdf = make(paper, "pdf")
    printed = " ".join(" ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages).split())
    for words in ("port P1", "184.6", "What would bring it back", "+0.77 mm", "the test stand decides"):
        assert words in text and words in printed, words
    assert page.loads == [] and "script" not in page.tags and pdf == make(paper, "pdf")
    assert "Nothing tells how far these reach" in text and "write down" not in text  # the customer has nothing to enter


def test_what_cannot_be_worked_out_says_why_and_the_rest_stands(paper: CapacityPage) -> None:
    (passage,) = paper.passages
    broken = replace(passage, line=replace(passage.line, now=None, capacity=None, wrong="F9 <b>is</b> gone"), sizes=())
    shown = replace(paper, passages=(broken, passage), name="<script>alert(1)</script>", scene=None)
    view = capacity(shown)
    assert view["passages"][0]["said"] == "F9 <b>is</b> gone" and view["passages"][0]["facts"] == []
    assert view["passages"][1]["facts"] and view["passages"][1]["sketch"] is None
    assert "script" not in Page(make(shown, "html")).tags and make(shown, "pdf").startswith(b"%PDF-")


def test_an_angle_is_in_degrees_and_a_passage_that_holds_needs_nothing(paper: CapacityPage) -> None:
    (passage,) = paper.passages
    assert passage.line.capacity is not None
    held = replace(passage.line, buys=(), capacity=replace(passage.line.capacity, value=100.0, level="as rated"))
    turned = replace(passage.sizes[0], unit="deg", drawn=12.0, effect=2.0)
    shown = capacity(replace(paper, passages=(replace(passage, line=held, sizes=(turned,)),)))["passages"][0]
    assert shown["sizes"][0]["drawn"] == "12.00 deg" and shown["sizes"][0]["effect"].endswith(" for 1 deg")
    assert shown["level"] == "good" and shown["back"] == ["nothing has to be brought back"]
