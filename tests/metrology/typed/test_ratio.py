"""Contractions as people type them: one fraction of the casting, or a question back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.typed.parsed import ContractionTyped, Unreadable
from inspect_tui.metrology.typed.ratio import parse_contraction


@pytest.mark.parametrize(
    "typed, a",
    [
        ("1.0%", 0.010),
        ("1 %", 0.010),
        ("1,0 %", 0.010),
        ("1 percent", 0.010),
        ("1.0 % of casting", 0.010),
        ("-5 %", -0.05),
        ("10 %", 0.10),
        ("10‰", 0.010),
        ("1/8 in/ft", 1 / 96),
        ('1/8"/ft', 1 / 96),
        ('1/8" per ft', 1 / 96),
        ("1/8 inch per foot", 1 / 96),
        ("⅛ in per foot", 1 / 96),
        ("5/32 in / ft", 5 / 384),
        ("0.125 in/ft", 1 / 96),
        ("1/8\"/'", 1 / 96),
        ("10 mm/m", 0.010),
        ("10.4 mm/m", 0.0104),
        ("10 mm per metre", 0.010),
        ("1:96", 1 / 96),
        ("1 : 96", 1 / 96),
        ("0.010", 0.010),
        ("0,01", 0.010),
        ("0", 0.0),
        ("1.2 cm/m", 0.012),
        ("12 um/mm", 0.012),
    ],
)
def test_contractions_people_type(typed: str, a: float) -> None:
    answer = parse_contraction(typed)
    assert isinstance(answer, ContractionTyped), answer
    assert answer.a == pytest.approx(a, rel=1e-14)
    assert (answer.typed, answer.of) == (typed, "casting")


@pytest.mark.parametrize(
    "typed", ["2 % of pattern", "2 % of the pattern", "2% pattern", "2 per cent of pattern", "20 mm/m of pattern"]
)
def test_a_share_of_the_pattern_becomes_one_of_the_casting(typed: str) -> None:
    answer = parse_contraction(typed)
    assert isinstance(answer, ContractionTyped), answer
    assert answer.a == pytest.approx(0.02 / 0.98, rel=1e-14)
    assert answer.of == "pattern"


@pytest.mark.parametrize(
    "typed, said",
    [
        ("10", "10 is 1000 %; meant 10 mm/m or 1.0 %?"),
        ("1", "1 is 100 %; meant 1.0 %? type it with its unit"),
        ("0.8", "meant 0.8 %?"),
        ("0.2", "0.2 is 20 %"),
        ("12 %", "beyond -5 % to 10 %"),
        ("-6%", "beyond"),
        ("2 in/ft", "beyond"),
        ("1:5", "beyond"),
        ("1:0", "beyond"),
        ("100 % of pattern", "beyond"),
        ("1/8", "1/8 of what?"),
        ("500", "type it with its unit"),
        ("", "nothing typed"),
        ("abc", "no contraction"),
        ("10 mm", "no unit of contraction"),
        ("1 kg/m", "no unit"),
        ("1 % of weight", "neither casting nor pattern"),
        ("1e-2", "exponent"),
        ("1/0 in/ft", "0 below"),
        ("1/7 in/ft", "7ths are on no rule"),
        ("1,234.5 %", "only one fits"),
        ("1 deg/ft", "no unit"),
        ("nan", "no contraction"),
        ("9" * 65, "at most 64"),
        ("9" * 10_000, "too many"),
        ("1.0 1.2 %", "no unit of contraction"),
    ],
)
def test_a_doubtful_contraction_is_asked_back(typed: str, said: str) -> None:
    answer = parse_contraction(typed)
    assert isinstance(answer, Unreadable), answer
    assert said in answer.sentence
    assert answer.text == typed


@given(st.floats(-0.04, 0.09))
def test_a_typed_percentage_is_the_same_contraction(a: float) -> None:
    percent = parse_contraction(f"{100 * a:.6f} %")
    assert isinstance(percent, ContractionTyped)
    assert percent.a == pytest.approx(a, abs=1e-8)
    of_pattern = parse_contraction(f"{100 * a / (1 + a):.6f} % of pattern")
    assert isinstance(of_pattern, ContractionTyped)
    assert of_pattern.a == pytest.approx(a, abs=2e-8)
