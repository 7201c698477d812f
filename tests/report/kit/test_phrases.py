"""Every phrase of the guide is in every shipped language, English always beside it; a shop's own table comes first."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from inspect_tui.report.kit import guide, phrases
from inspect_tui.report.kit.phrases import every
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.html import TEMPLATES
from inspect_tui.shop.kit.paper.papers import gentle


def test_every_phrase_that_the_guide_says_is_in_the_table() -> None:
    table = set(every())
    text = (TEMPLATES / "guide.html").read_text("utf-8")
    said = set(re.findall(r'v\.t\("([^"]+)"\)', text)) | set(guide.CLOSING) | set(guide._ON_PAPER.values())
    said |= {*guide.WAYS.values(), *guide.TOWARD.values(), *(gentle(mm) for mm in (0.1, 0.3, 0.9))}
    code = Path(guide.__file__).read_text("utf-8")
    said |= set(re.findall(r"phrases\(['\"]([^'\"{]+)['\"]\)", code))
    assert len(said) > 55 and said <= table, said - table


@pytest.mark.parametrize("language", ["fr", "es", "de"])
def test_a_shipped_language_has_all_of_them_and_says_that_nobody_read_it(language: str) -> None:
    say = phrases.phrases(language)
    assert say.missing(every()) == [] and say.note
    assert say("Core").endswith(" / Core") and say("Core") != "Core"
    assert say("never heard") == "never heard"


def test_english_stands_alone() -> None:
    say = phrases.phrases("EN")
    assert say("Core") == "Core" and say.note == "" and say.missing(every()) == []


def test_a_shops_own_table(tmp_path: Path) -> None:
    own = tmp_path / "own.csv"
    own.write_text("en,pl,fr\nCore,Rdzeń,Le noyau\n", "utf-8-sig")
    polish = phrases.phrases("pl", own)
    assert polish("Core") == "Rdzeń / Core" and polish("Next") == "Next" and len(polish.missing(every())) > 50
    assert (
        phrases.phrases("fr", own)("Core") == "Le noyau / Core" and phrases.phrases("fr", own)("Next") == "Suite / Next"
    )
    with pytest.raises(PaperError, match="no phrases in it: there are en, fr, es, de"):
        phrases.phrases("it")
    own.write_text("a,b\n1,2\n")
    with pytest.raises(PaperError, match="no column en"):
        phrases.phrases("pl", own)
    with pytest.raises(PaperError, match="cannot be read"):
        phrases.phrases("pl", tmp_path / "none.csv")
