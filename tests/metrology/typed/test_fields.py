"""The readers of what is typed: worked examples of each, and texts of every kind that none may raise on."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.parsed import TypedLine
from inspect_tui.metrology.typed.quantity import parse_line

TODAY = "2026-11-29"


def wrong(answer: object) -> str:
    assert isinstance(answer, Wrong), answer
    return str(answer)


# ------------------------------------------------------------------------------ sizes
# 1 in = 25.4 mm exactly (NIST SP 811, from memory): 1/2 in = 12.7, 12 1/2 in = 317.5, 1/64 in = 0.396875 mm.
@pytest.mark.parametrize(
    "text, unit, mm",
    [
        ("59.66", "mm", 59.66),
        ("12,5 mm", "mm", 12.5),
        ("1/2 in", "mm", 12.7),
        ("12 1/2", "mm", 12.5),
        ("12 1/2", "in", 317.5),
        ("1 000", "mm", 1000.0),
        ("1 250", "mm", 1250.0),
        ("1\u00a0250", "mm", 1250.0),
        ("1e3", "mm", 1000.0),
        ("3' 2 1/2\"", "mm", 977.9),
        ("15 thou", "mm", 0.381),
        ("0.6", "in", 15.24),
        ("0.6 mm", "in", 0.6),
        (12.5, "mm", 12.5),
        (7, "mm", 7.0),
        (0.1 + 0.2, "mm", 0.1 + 0.2),
    ],
)
def test_a_size_in_mm(text: object, unit: str, mm: float) -> None:
    assert fields.size(text, unit) == mm


def test_what_a_size_may_be() -> None:
    assert "above 0" in wrong(fields.size("0"))
    assert fields.size("0", zero=True) == 0.0
    assert wrong(fields.size("-1", zero=True)) == "-1 is below 0: type it without the minus"
    assert "a width is above 0" in wrong(fields.size("0", quantity="width"))
    assert isinstance(fields.size("-1"), Wrong) and isinstance(fields.sizes("1 -1", 2), Wrong)
    assert fields.size("-1.5", signed=True) == -1.5
    assert fields.size("12°30'", quantity="angle") == 12.5
    assert fields.size("73.4 F", quantity="temperature") == 23.0
    assert fields.size("12°30'", "deg") == 12.5 and fields.size("73.4 F", "C") == 23.0
    assert "below 0" in wrong(fields.size("-1", "deg", zero=True)) and fields.size("-1", "C", signed=True) == -1.0
    assert fields.span("0 to 360", "deg") == (0.0, 360.0) and fields.span("-40 to 200", "C") == (-40.0, 200.0)
    assert "2 sizes" in wrong(fields.size("5; 6"))
    assert "1.2345 or 1234.5" in wrong(fields.size("1,234.5"))
    assert "kg is no length" in wrong(fields.size("3 kg"))
    assert "nothing typed" in wrong(fields.size(None)) and "nothing typed" in wrong(fields.size("  "))
    assert fields.size("1/64", "in", to="in") == 1 / 64
    assert fields.size("5 mm", "in", to="in") == pytest.approx(5 / 25.4, rel=1e-11)


@given(st.floats(0.0001, 90_000.0).map(lambda x: float(f"{x:.4f}")))
def test_a_size_is_what_the_entry_line_says(mm: float) -> None:
    for unit in ("mm", "in", "thou"):
        answer = parse_line(f"{mm:.4f}", unit)
        said = fields.size(f"{mm:.4f}", unit)
        assert isinstance(said, Wrong) if not isinstance(answer, TypedLine) else said == answer.sizes[0].mm


@given(st.integers(1, 99_999), st.integers(0, 99))
def test_thousands_may_stand_apart(whole: int, hundredths: int) -> None:
    text = f"{whole:,}.{hundredths:02d}".replace(",", " ")
    value = float(f"{whole}.{hundredths:02d}")
    assert fields.size(text) == fields.figure(text) == value
    assert fields.size(text.replace(".", ",")) == value


def test_several_sizes_in_one_field() -> None:
    assert fields.sizes("0 3", (1, 2), zero=True) == (0.0, 3.0)
    assert fields.sizes("520 624 118", 3) == (520.0, 624.0, 118.0)
    assert fields.sizes("0; 1 250", 2, zero=True) == (0.0, 1250.0)
    assert fields.sizes("1/2 in; 20", 2) != (12.7, 20.0)  # a unit on one of them only is asked about
    assert fields.sizes("1/2 in 20 mm", 2) == (12.7, 20.0)
    assert "3 sizes, not 2" in wrong(fields.sizes("1 2 3", 2))
    assert "is one size, not 2" in wrong(fields.sizes("1 000", 2))
    assert fields.sizes("1 2 3") == (1.0, 2.0, 3.0)


# The range of a gauge of 0 to 1 000 mm, and the step of 1/64 in: what entered budgets as 0 to 1 mm and 0.0156 mm.
@pytest.mark.parametrize(
    "text, unit, low, high",
    [
        ("0 to 1 000", "mm", 0.0, 1000.0),
        ("0 to 1 000 mm", "mm", 0.0, 1000.0),
        ("0 to 1 250", "mm", 0.0, 1250.0),
        ("500-1 250", "mm", 500.0, 1250.0),
        ("0 TO 6", "in", 0.0, 152.4),
        ("0 to 6 in", "mm", 0.0, 152.4),
        ("0..150", "mm", 0.0, 150.0),
        ("0 - 150", "mm", 0.0, 150.0),
        ("0-150", "mm", 0.0, 150.0),
        ("0–150", "mm", 0.0, 150.0),
        ("0.30 0.70", "mm", 0.3, 0.7),
        ("-20 to 60", "mm", -20.0, 60.0),
        ("12-3/16 to 14-1/2 in", "mm", 309.5625, 368.3),
        ("0 to 360", "deg", 0.0, 360.0),
    ],
)
def test_a_range(text: str, unit: str, low: float, high: float) -> None:
    quantity = "angle" if unit == "deg" else ""
    assert fields.span(text, unit, quantity=quantity) == pytest.approx((low, high), rel=1e-14)


def test_what_is_no_range() -> None:
    for text in ("150", "", "0 to", "0 to 1 to 2", "to", "abc", "1 2 3"):
        assert isinstance(fields.span(text), Wrong), text
    assert "from low to high" in wrong(fields.span("5 to 1")) and "from low to high" in wrong(fields.span("3 to 3"))
    assert fields.span("0 to 6", "in", to="in") == (0.0, 6.0)


def test_the_step_of_an_instrument() -> None:
    assert fields.step("1/64 in") == 0.396875
    assert fields.step("1/64", "in") == 0.396875
    assert fields.step("1/64", "in", to="in") == 0.015625
    assert fields.step("0.0005", "in", to="in") == 0.0005
    assert fields.step("0,01") == 0.01 and fields.step("1 250", "um") == 1.25
    assert fields.step("1/64 in", "mm", to="mm") == 0.396875
    assert fields.step("0.5", "deg") == 0.5 and fields.step("0.1", "C") == 0.1
    assert "1/64 of what: type 1/64 in" in wrong(fields.step("1/64"))
    assert isinstance(fields.step("0"), Wrong) and isinstance(fields.step(""), Wrong)


@given(st.integers(1, 20_000), st.sampled_from(["mm", "in", "thou", "um", "ft", "cm"]))
def test_a_size_told_in_its_own_unit_comes_back_as_typed(tenths: int, unit: str) -> None:
    typed = tenths / 10_000
    mm = fields.size(f"{typed:.4f}", unit)
    assert isinstance(mm, float)
    assert fields.told_in(mm, unit) == typed


# ------------------------------------------------------------------------------ figures
@pytest.mark.parametrize(
    "text, value",
    [("2", 2.0), ("-2,5", -2.5), ("12 1/2", 12.5), ("1/4", 0.25), ("1 000", 1000.0), ("1e3", 1000.0), ("½", 0.5)],
)
def test_a_figure(text: str, value: float) -> None:
    assert fields.figure(text) == value


def test_what_is_no_figure() -> None:
    assert "does not lie between 1 and 5" in wrong(fields.figure("7", 1, 5))
    assert fields.figure("5", 1, 5) == 5.0 and fields.figure("1", 1, 5) == 1.0
    assert "not above 0" in wrong(fields.figure("0", above=0))
    assert "below 3" in wrong(fields.figure("2", low=3)) and "above 1" in wrong(fields.figure("2", high=1))
    for text in ("12,5 mm", "1/2 in", "2 x", "5; 6", "nan", "inf", "1e999", "", "abc", "1,234.5", "9" * 65):
        assert isinstance(fields.figure(text), Wrong), text


def test_a_count() -> None:
    for text in ("9000", "9 000", "9,000", " 9000 ", "9e3", "9\u202f000", 9000):
        assert fields.count(text) == 9000, text
        assert isinstance(fields.count(text), int)
    assert fields.count("1,234,567") == 1_234_567
    for text in ("12 1/2", "12,5", "-1", "9000 cores", "", "1_000", "10000000000"):
        assert isinstance(fields.count(text), Wrong), text
    assert "between 1 and 999" in wrong(fields.count("1000", 1, 999))
    assert "-4 is below 0" in wrong(fields.count("-4")) and "is above 999999999" in wrong(fields.count("1e9"))


def test_percentages_and_shares() -> None:
    assert fields.percent("9") == fields.percent("9 %") == fields.percent("9,0%") == 0.09
    assert "between 0 and 40 %" in wrong(fields.percent("41", high=0.4))
    assert fields.share("0.333") == 0.333 and fields.share("33 %") == 0.33 and fields.share("1/4") == 0.25
    assert isinstance(fields.share("33"), Wrong) and isinstance(fields.share("5 mm"), Wrong)
    assert isinstance(fields.percent("5 mm"), Wrong)


def test_contractions_along_one_axis_or_three() -> None:
    assert fields.contraction("1.0 %") == 0.01 and fields.contraction(0.01) == 0.01
    assert fields.contraction("1/8 in/ft") == float(Fraction(1, 96))
    assert fields.contractions("1.0 %") == (0.01, 0.01, 0.01)
    assert fields.contractions("1.0 % 1.2 % 0.9 %") == (0.01, 0.012, 0.009)
    assert fields.contractions("1.0%, 1.2%, 0.9%") == (0.01, 0.012, 0.009)
    assert fields.contractions("10 mm/m 12 mm/m 9 mm/m") == (0.01, 0.012, 0.009)
    assert fields.contractions("1.0 %; 12 mm/m; 1:96") == (0.01, 0.012, float(Fraction(1, 96)))
    for text in ("1.0 % 1.2 %", "10", "", "30 %"):
        assert isinstance(fields.contractions(text), Wrong), text


def test_measures_in_their_own_units() -> None:
    assert fields.weight("41,35") == 41.35 and fields.weight("850 g") == 0.85
    assert fields.area("1.85 m²") == 1.85e6 and fields.area("1.85", "m2", to="m2") == 1.85
    assert fields.volume("2400 cm3") == 2.4 and fields.volume("2,4") == 2.4
    assert fields.flow("46 m³/min") == 46.0 and fields.flow("12 l/s") == 0.72
    assert fields.density("7.1 g/cm3") == 7100.0
    assert "above 0" in wrong(fields.weight("0")) and "beyond" in wrong(fields.weight("2000000"))
    assert "mm is no weight" in wrong(fields.weight("3 mm")) and "no unit known here" in wrong(fields.flow("3 xyz"))
    assert fields.unit_of("m³/min", "flow") == "m3/min" and fields.unit_of("Inches", "length") == "in"
    assert isinstance(fields.unit_of("kg", "length"), Wrong) and isinstance(fields.unit_of("", "length"), Wrong)
    assert fields.temperature("73.4 F") == 23.0 and isinstance(fields.temperature("500"), Wrong)
    assert fields.angle("12°30'") == 12.5 and isinstance(fields.angle("5 mm"), Wrong)


# ------------------------------------------------------------------------------ days, words
@pytest.mark.parametrize(
    "text, iso",
    [
        ("2025-03-31", "2025-03-31"),
        ("2025-3-1", "2025-03-01"),
        ("2025-03-31T00:00:00", "2025-03-31"),
        ("31.3.2025", "2025-03-31"),
        ("3.4.2025", "2025-04-03"),
        ("31/3/2025", "2025-03-31"),
        ("3/31/2025", "2025-03-31"),
        ("4/4/2025", "2025-04-04"),
        ("today", TODAY),
        ("Yesterday", "2026-11-28"),
        ("2024-02-29", "2024-02-29"),
    ],
)
def test_a_day(text: str, iso: str) -> None:
    assert fields.day(text, TODAY) == iso


def test_what_is_no_day() -> None:
    assert "2025-04-03 or 2025-03-04" in wrong(fields.day("3/4/2025", TODAY))
    assert "2025-05-12 or 2025-12-05" in wrong(fields.day("12/5/2025", TODAY))
    assert fields.day("5/13/2025", TODAY) == fields.day("13/5/2025", TODAY) == "2025-05-13"
    for text in ("2025-02-30", "31.3.25", "20250331", "2025-W14-1", "", "soon", "0000-01-01", "2025-13-01"):
        assert isinstance(fields.day(text, TODAY), Wrong), text
    assert fields.day("2026-11-30", TODAY) == "2026-11-30"
    assert "still to come" in wrong(fields.day("2026-11-30", TODAY, past=True))
    assert fields.day(TODAY, TODAY, past=True) == TODAY
    assert isinstance(fields.day("today", TODAY, spoken=False), Wrong)


def test_a_month() -> None:
    assert fields.month("2025-11", TODAY) == fields.month("2025-11-03", TODAY) == "2025-11"
    assert fields.month("today", TODAY) == "2026-11"
    for text in ("2025-13", "", "November"):
        assert isinstance(fields.month(text, TODAY), Wrong), text


def test_a_choice_names_the_nearest() -> None:
    kinds = ("cut", "new_insert", "recoat")
    assert fields.choice("New insert", kinds) == "new_insert" and fields.choice(" CUT ", kinds) == "cut"
    said = wrong(fields.choice("recaot", kinds, "the kind"))
    assert said == "'recaot' is not among them: the kind is one of cut, new_insert, recoat; nearest: recoat"
    assert "nearest" not in wrong(fields.choice("zzz", kinds)) and isinstance(fields.choice("", kinds), Wrong)


def test_yes_and_no_and_words() -> None:
    assert fields.yes("Y") is True and fields.yes("no") is False and fields.yes("", True) is True
    assert fields.yes(True) is True and fields.yes(False) is False
    assert isinstance(fields.yes(""), Wrong) and isinstance(fields.yes("maybe", True), Wrong)
    assert fields.words("  a\tfew   words\n") == "a few words"
    assert isinstance(fields.words(" "), Wrong) and isinstance(fields.words("x" * 201), Wrong)


def test_a_field_that_may_be_left_empty() -> None:
    read = fields.optional(fields.size)
    assert read("") is None and read(None) is None and read(" ") is None
    assert read("-2", signed=True) == -2.0 and isinstance(read("x"), Wrong)


READERS: list[Callable[[Any], object]] = [
    fields.size,
    fields.sizes,
    fields.span,
    fields.step,
    fields.figure,
    fields.count,
    fields.percent,
    fields.share,
    fields.contraction,
    fields.contractions,
    fields.angle,
    fields.temperature,
    fields.weight,
    fields.flow,
    lambda text: fields.day(text, TODAY),
    lambda text: fields.month(text, TODAY),
    lambda text: fields.choice(text, ("cut", "add")),
    fields.yes,
    fields.words,
    lambda text: fields.unit_of(text, "flow"),
]
TYPED = st.text(st.sampled_from("0123456789 .,;/-+–e'\"°%½³toinmkglft:=\t\x1b[\u00a0"), max_size=24) | st.text(
    max_size=80
)


@settings(deadline=None)  # the first rare unit loads the library of units
@given(TYPED)
@example("9" * 400)
@example("1 000" * 20)
@example("0 to " * 30)
def test_no_reader_raises_and_what_is_wrong_fits_on_a_line(text: str) -> None:
    for read in READERS:
        answer = read(text)
        if isinstance(answer, Wrong):
            said = str(answer)
            assert said and "\n" not in said and "\x1b" not in said and len(said) < 400, (read, said)


def test_light_until_a_rare_unit_is_typed() -> None:
    probe = (
        "import sys; from inspect_tui.metrology.typed import fields\n"
        "heavy = {'pint', 'numpy', 'dataclasses', 'typing', 'difflib', 'datetime', 'inspect'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
        "fields.span('0 to 1 000'); fields.size('3 xyzzy'); fields.weight('3 amperes'); fields.flow('4 l/s')\n"
        "print(sorted({'pint', 'numpy'} & set(sys.modules)))\n"
        "fields.flow('300 bbl/h'); print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["[]", "[]", "True"]
