"""What the foundry said, in a line."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.shop.answers.words import said, within


def answer(**more: object) -> SettingAnswer:
    return SettingAnswer(job_of_id=b"j" * 16, on_date="2026-11-18", **{"sort": "check", "what": "throat", **more})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("given", "line"),
    [
        ({"result": "go"}, "check throat: goes"),
        ({"result": "no_go", "who": "HW"}, "check throat: does not go, HW"),
        ({"value": 1.5, "typed": "1.5", "lower": 1.0, "upper": 2.0}, "check throat: 1.50 mm, within 1.00 to 2.00 mm"),
        ({"value": 2.0000005, "typed": "2", "upper": 2.0}, "check throat: 2.00 mm, within at most 2.00 mm"),
        ({"value": 0.9, "typed": "0.9", "lower": 1.0}, "check throat: 0.90 mm, outside at least 1.00 mm"),
        ({"value": 0.9, "typed": "0.9"}, "check throat: 0.90 mm"),
        ({"sort": "rub", "what": "rubbed", "words": "at the key"}, "rubbed: at the key"),
        ({"sort": "remark", "what": "remark", "words": "dry"}, "remark: dry"),
        ({"sort": "remark", "what": "F12 jacket", "words": "dry"}, "remark on F12 jacket: dry"),
    ],
)
def test_a_line(given: dict[str, object], line: str) -> None:
    assert said(answer(**given), MM) == line


def test_limits_and_units() -> None:
    assert not within(answer(value=2.1, typed="2.1", upper=2.0)) and within(answer(value=2.1, typed="2.1", lower=2.1))
    assert "in" in said(answer(value=25.4, typed="25.4"), Style(unit="in"))
