"""The state that the QIF document gives a casting, and its id."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as Tree

import pytest

from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.qif import state
from tests.published.qif_schema import SPACE
from tests.worlds.report_samples import plain


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        (["conforms", "conforms"], "PASS"),
        (["conforms", "no limits"], "PASS"),
        (["conforms", "not measurable"], "PASS"),
        (["conforms", "undecided"], "UNKNOWN"),
        (["conforms", "in question"], "UNKNOWN"),
        (["conforms", "to measure"], "UNKNOWN"),
        (["in question", "does not conform"], "FAIL"),
        (["in question"], "UNKNOWN"),
        (["no limits"], "NOT_CALCULATED"),
        (["to measure", "not measurable"], "NOT_MEASURED"),
        ([], "NOT_MEASURED"),
    ],
)
def test_a_casting_with_anything_open_does_not_pass(answers: list[str], expected: str) -> None:
    assert state(answers) == expected


def test_a_feature_that_waits_for_a_casting_to_be_cut_up_leaves_the_casting_open() -> None:
    told = plain(2, 1)
    conforms, waits = told["features"]
    conforms["cells"][0]["answer"] = "conforms"
    waits["cells"][0].update(answer="not measurable", value=None, reason="only on a casting that is cut up")
    for answer, expected in (("to measure", "UNKNOWN"), ("conforms", "PASS")):  # conforms: on the one that was cut up
        waits["answer"] = answer
        root = Tree.fromstring(make(told, "qif"))
        assert root.findtext(f".//{SPACE}ActualComponent/{SPACE}Status/{SPACE}InspectionStatusEnum") == expected


def test_the_same_content_has_the_same_document_id_and_another_content_another() -> None:
    def number(told: dict[str, Any]) -> str | None:
        return Tree.fromstring(make(told, "qif")).findtext(f"{SPACE}QPId")

    told = plain(3, 1)
    assert number(told) == number(plain(3, 1))
    assert number(told) != number(plain(3, 1, seed=5))
