"""What the first-article paper shows: who and by which rule, room for signatures, answers that read without colour."""

from __future__ import annotations

import re

from inspect_tui.report.first_article.forms import make
from tests.worlds.paper_readers import Page, csv_rows, pdf_text
from tests.worlds.report_samples import plain

PLAIN = plain(24, 3)


def test_identity_rule_instruments_cautions_and_chain_heads_are_on_the_paper() -> None:
    text = pdf_text(make(PLAIN, "pdf"))
    page = " ".join(Page(make(PLAIN, "html")).texts)
    for words in (
        "EXM-4-100, revision B",
        "PO 1187",
        "ductile iron",
        "H2214",
        "S1-1, S1-2, S1-3",
        "2025-05-26 to 2025-05-28",
        "AB, CD",
        "1.645 standard uncertainties",
        "JCGM 100",
        "caliper 2",
        "C-0042",
        "cert. 118",
        "pass on 2025-01-15, due 2026-01-15",
        "no calibration on record",
        "calibration ran out 86 days before",
        "is not soundness",
        "named person under the order",
        "bench1·4211·0f3a66c2d91b7e55",
        "behind the clamp: not reached",
        "misses the 45.0",
        "first-order estimate",
        "Signature",
    ):
        assert words in re.sub(r"\s+", " ", page), words
        assert words in re.sub(r"\s+", " ", text), words


def test_signatures_are_blank_and_no_paper_says_what_only_people_may_say() -> None:
    page = Page(make(PLAIN, "html"))
    at = page.texts.index("Names")
    signed = [word.strip() for word in page.texts[at:] if word.strip()]
    assert signed.count("Name") == signed.count("Date") == signed.count("Signature") == 4
    for what in ("Checked", "Released"):  # nobody did: nothing stands between the word and the line
        after = signed[signed.index(what) :]
        assert after[after.index("Name") + 1] == "Date" and after[after.index("Date") + 1] == "Signature"
    for form in ("html", "json", "csv", "qif"):
        words = make(PLAIN, form).decode("utf-8").casefold()
        assert not re.search(r"approved|certified|accredited|guarantee", words)


def test_a_paper_is_readable_by_its_words_alone() -> None:
    """Colour gone, every answer still stands there as a sign and a word."""
    page = Page(make(PLAIN, "html"))
    words = " ".join(page.texts)
    assert "✗ does not conform" in words and "✓ conforms" in words and "? undecided" in words


def test_many_castings_are_one_lane_with_the_worst_big_and_all_of_them_in_the_table() -> None:
    told = plain(4, 40)
    page = Page(make(told, "html"))
    assert "worst of 40: " in " ".join(page.texts)
    assert make(told, "html").count(b"<circle") >= 39 * 3
    assert len(csv_rows(make(told, "csv"))) == 160
    assert make(told, "pdf").startswith(b"%PDF-")
