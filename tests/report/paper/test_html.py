"""A page stands alone: it loads nothing, its policy forbids it, and every text in it is text."""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode

import pytest

from inspect_tui.report.first_article.forms import make
from tests.worlds.hostile import TEXTS, everywhere
from tests.worlds.paper_readers import Page
from tests.worlds.report_samples import plain

PLAIN = plain(24, 3)
FEW = plain(3, 2)


@pytest.mark.parametrize("text", TEXTS)
def test_html_gives_every_text_back_as_text(text: str) -> None:
    page = Page(make(everywhere(FEW, text), "html"))
    assert page.isolated.count(text) >= len([line for line in FEW["features"] if line["n"]])
    assert "script" not in page.tags and "img" not in page.tags
    assert page.loads == []


def test_the_page_loads_nothing_and_its_policy_forbids_it() -> None:
    page = Page(make(PLAIN, "html"))
    assert page.loads == [] and "script" not in page.tags and "link" not in page.tags
    assert not re.search(r"url\(|@import|https?:", page.style)
    policy = next(m["content"] for m in page.metas if m.get("http-equiv") == "Content-Security-Policy") or ""
    assert policy.startswith("default-src 'none'; ")
    digest = b64encode(hashlib.sha256(page.style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}';" in policy  # the style itself, and no other


def test_the_only_addresses_in_a_page_are_names_of_xml() -> None:
    found = set(re.findall(r"https?://[^\s\"'<>]+", make(PLAIN, "html").decode()))
    assert found == {"http://www.w3.org/2000/svg"}
