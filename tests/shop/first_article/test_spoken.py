"""Sentences with their figures apart: in mm they are what they would have been, and they are said in any style."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.report.first_article.forms import without_annex
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import to_plain
from inspect_tui.shop.first_article.spoken import CLOSE, HOW, KEPT, OPEN, apart, said, without_what_is_gone
from tests.worlds.cut_desk import Desk

STYLES = (Style("in"), Style("in", places=3), Style("fraction"), Style(mark=","), Style(printed=True))
LONG = st.floats(-500, 500)


def sentence(style: Style, mm: float, half: float) -> dict[str, Any]:
    """What a room might say, in a style."""
    own = style.of("deg")
    words = f"{style.length(mm)} {style.word} off by {style.signed(half, unit=False)}, {style.plus_minus(mm, half)}; "
    words += f"{own.length(mm, unit=False)} deg, {style.percent(half / 1000, 2)} of {style.given(mm, unit=False)}"
    return {"list": ["plain", {"words": words, "empty": style.length(None)}], "u": half}


@given(LONG, st.floats(0.001, 3))
def test_kept_figures_say_what_each_style_would_have_said(mm: float, half: float) -> None:
    made = apart(sentence(KEPT, mm, half))
    assert {key: made[key] for key in ("list", "u")} == sentence(MM, mm, half)
    assert [line["where"] for line in made["spoken"]] == ["list/1/words"]
    again = json.loads(json.dumps(made))
    for style in STYLES:
        assert said(again, style)["list"] == sentence(style, mm, half)["list"]


def test_a_sentence_that_was_left_out_or_changed_stays_so() -> None:
    made = apart(sentence(KEPT, 12.5, 0.25))
    for words in ("", "something else"):
        left = {**made, "list": ["plain", {**made["list"][1], "words": words}]}
        assert said(left, Style("in"))["list"][1]["words"] == words
        assert without_what_is_gone(left)["spoken"] == []
    assert without_what_is_gone(made) == made
    assert without_what_is_gone({"list": []}) == {"list": []}  # of a report of before


def test_every_way_to_write_a_figure_is_kept() -> None:
    given_: dict[str, tuple[Any, ...]] = {
        "band": (1.5, 2.5),
        "pair": (1.5, 2.5),
        "plus_minus": (12.5, 0.25),
        "derived": (3706.9, "mm²", 12.3),
        "deviations": (10.0, 9.5, 10.5),
        "size": (12.5,),
        "spread": (44.3, 0.6),
        "flow": (184.9, "m3/h", 0.1),
        "with_unit": (83.12, "mm", 0.1),
        "unit_word": (),
        "percent": (0.0125, 2),
        "nearly": (0.5,),
        "chance": (0.5,),
    }
    for how in HOW:
        arguments = given_.get(how, (12.5,))
        marked = getattr(KEPT, how)(*arguments)
        made = apart({"a": marked})
        assert made["a"] == getattr(MM, how)(*arguments), how
        for style in STYLES:
            assert said(made, style)["a"] == getattr(style, how)(*arguments), how


@pytest.mark.parametrize(
    "typed", [f"{OPEN}[1]{CLOSE}", f"{OPEN}x{CLOSE} y", OPEN, f'{OPEN}["__class__",false,[],{{}}]{CLOSE}']
)
def test_a_mark_that_somebody_typed_stays_text(typed: str) -> None:
    made = apart({"name": typed})
    assert made["name"] == typed and made["spoken"] == [] and said(made, STYLES[0])["name"] == typed


def test_a_report_in_mm_is_what_it_was_and_its_sentences_are_said_in_inches(first: Desk) -> None:
    job, usual = find.job(first.record, None), to_plain(first.article)
    kept = apart(to_plain(first_article(first.record, job, "S1", style=KEPT)))
    assert {**kept, "spoken": []} == usual and len(kept["spoken"]) > 20
    inches = said(kept, Style("in"))
    moved = [(a, b) for a, b in zip(inches["causes"]["sentences"], usual["causes"]["sentences"], strict=True) if a != b]
    assert moved and all(re.search(r"\b0\.0\d{3}\b", a) for a, _ in moved)  # two decimals of mm are four of an inch
    customer = without_annex(kept)  # what is for the shop alone does not go out among the kept sentences either
    heads = {line["where"].split("/")[0] for line in customer["spoken"]}
    assert heads and not heads & {"causes", "cuts", "promises"}
    assert not any(line["where"].endswith("predicted_from") for line in customer["spoken"])
