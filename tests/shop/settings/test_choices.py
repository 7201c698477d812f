"""What may be set, and for whom a style holds."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.settings.choices import CHOICES, in_style, looked_at, made


def test_what_the_program_comes_with_can_be_said() -> None:
    for key, choice in CHOICES.items():
        assert looked_at(key, choice.first) == (choice.first, "")
    assert made({}) == made({key: choice.first for key, choice in CHOICES.items()})


@pytest.mark.parametrize(
    ("key", "value", "text"),
    [
        ("show.style", "INCH", "inch"),
        ("show.bell", False, "false"),
        ("show.inch_places", 3, "3"),
        ("paper.size", "letter", "Letter"),
        ("people.B1", "fraction", "fraction"),
        ("keys.bench.skip", ["f8", "ctrl+k"], "f8,ctrl+k"),
    ],
)
def test_it_is_read_as_it_is_meant(key: str, value: object, text: str) -> None:
    assert looked_at(key, value) == (text, "")


@pytest.mark.parametrize(
    ("key", "value", "why"),
    [
        ("show.stile", "inch", "show.stile is no setting: nearest: show.style"),
        ("show.style", "inches", "show.style is 'inches': it may be mm, inch, fraction"),
        ("show.style", 1.5, "show.style is no text: it may be mm, inch, fraction"),
        ("people", "inch", "people is no setting: nearest: people."),
        ("keys.bench.skip", " ", "keys.bench.skip names no key: type one such as f8 or ctrl+e"),
        ("nothing.like.it", "1", "nothing.like.it is no setting: known are show.style"),
    ],
)
def test_what_is_wrong_is_said(key: str, value: object, why: str) -> None:
    shown, said = looked_at(key, value)
    assert shown == "" and said.startswith(why)


def test_a_person_comes_before_the_job_and_the_job_before_everybody() -> None:
    settings = made({"show.style": "fraction", "show.decimal_mark": ",", "people.B1": "mm", "jobs.EXM-4": "inch"})
    assert settings.style_for("B1", "EXM-4") == Style("mm", mark=",")
    assert settings.style_for("B2", "EXM-4") == Style("in", mark=",")
    assert settings.style_for("B2", "SV-12") == settings.style_for() == Style("fraction", mark=",")
    assert in_style(Style("mm", 3, ",", True), "in") == Style("in", 3, ",", True)
