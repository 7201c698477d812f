"""A PDF is set whatever the texts are, and prints them as texts."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.report.first_article.forms import make
from tests.amounts import some
from tests.worlds.hostile import STEERING, TEXTS, everywhere
from tests.worlds.paper_readers import pdf_text
from tests.worlds.report_samples import plain


@pytest.mark.parametrize("text", TEXTS[:2] + TEXTS[8:12])
def test_pdf_prints_every_text_as_text(text: str) -> None:
    told = everywhere(plain(4, 2), text)
    printed = pdf_text(make(told, "pdf"))
    assert re.sub(r"\s", "", text) in re.sub(r"\s", "", printed)


def test_pdf_is_set_whatever_the_texts_are() -> None:
    told = everywhere(plain(4, 2), " ".join((*TEXTS, *STEERING)))
    assert make(told, "pdf").startswith(b"%PDF-")


@settings(max_examples=some(10, 100), deadline=None)
@given(st.text(max_size=30))
def test_a_pdf_can_be_set_with_any_text(text: str) -> None:
    assert make(everywhere(plain(2, 1), text), "pdf").startswith(b"%PDF-")
