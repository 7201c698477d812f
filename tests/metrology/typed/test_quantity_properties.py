"""Whatever is rendered is read back, and whatever is typed gives a value or a sentence."""

import unicodedata
from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.typed.parsed import Ambiguous, TypedLine, Unreadable
from inspect_tui.metrology.typed.quantity import parse_line, parse_temperature
from inspect_tui.metrology.typed.ratio import parse_contraction
from inspect_tui.metrology.typed.show import feet, fraction, in_unit, on_rule
from inspect_tui.model.words import QUANTITIES


def mm(typed: str, unit: str = "mm", rule_scale: float = 0.0, quantity: str = "length") -> float:
    answer = parse_line(typed, unit, rule_scale, quantity)
    assert isinstance(answer, TypedLine), answer
    (size,) = answer.sizes
    return size.mm


BLANK = st.sampled_from([" ", "  ", "\u00a0", "\u2009", "\u202f", "\t"])
MINUS = st.sampled_from(["-", "\u2212", "\u2013", "－"])
FULL_WIDTH = str.maketrans("0123456789.,", "０１２３４５６７８９．，")
UNITS = {"": 1.0, "mm": 1.0, "cm": 10.0, "um": 0.001, "µm": 0.001, "in": 25.4, '"': 25.4, "thou": 0.0254, "ft": 304.8}


@st.composite
def decimals(draw: st.DrawFn) -> tuple[str, float]:
    places = draw(st.integers(0, 6))
    number = Decimal(draw(st.integers(1, 299 * 10**places))).scaleb(-places)
    unit = draw(st.sampled_from(sorted(UNITS)))
    text = f"{number:.{places}f}".replace(".", draw(st.sampled_from(".,")))
    minus = draw(st.booleans())
    if draw(st.booleans()):
        text = text.translate(FULL_WIDTH)
    blank = draw(BLANK) if unit and draw(st.booleans()) else ""
    text = f"{draw(MINUS) if minus else ''}{text}{blank}{unit}"
    return text, (-1 if minus else 1) * float(number * Decimal(repr(UNITS[unit])))


@st.composite
def fractions(draw: st.DrawFn) -> tuple[str, float]:
    under = 2 ** draw(st.integers(1, 7))
    over = draw(st.integers(0, under - 1))
    whole = draw(st.one_of(st.none(), st.integers(0, 300)))
    head = "" if whole is None else f"{whole}{draw(st.one_of(BLANK, st.just('-')))}"
    unit = draw(st.sampled_from(["in", '"', " in", "mm"]))
    value = ((whole or 0) + over / under) * (1.0 if unit == "mm" else 25.4)
    return f"{head}{over}/{under}{unit}", value


@st.composite
def feet_and_inches(draw: st.DrawFn) -> tuple[str, float]:
    feet, parts = draw(st.integers(0, 300)), draw(st.integers(0, 12 * 64 - 1))
    over = parts % 64
    inches = f"{parts // 64} {over}/64" if over else f"{parts // 64}"
    one, two = draw(st.sampled_from([("'", '"'), (" ft ", " in"), ("' ", '"'), ("′-", "″"), ("ft", "in")]))
    return f"{feet}{one}{inches}{two}", (feet * 12 + parts / 64) * 25.4


READINGS = st.one_of(decimals(), fractions(), feet_and_inches())


@given(READINGS, st.sampled_from([0.0, 0.01, 5 / 384]))
def test_what_is_rendered_is_read_back(reading: tuple[str, float], scale: float) -> None:
    text, value = reading
    assert mm(text, "mm", scale, "position") == pytest.approx(value * (1 + scale), rel=1e-12, abs=1e-12)


@given(st.lists(READINGS, min_size=1, max_size=8))
def test_a_line_of_readings_gives_each_of_them(readings: list[tuple[str, float]]) -> None:
    line = "; ".join(f"{text}mm" if text[-1].isdigit() else text for text, _ in readings)
    found = parse_line(line, quantity="position")
    assert isinstance(found, TypedLine), found
    assert [size.mm for size in found.sizes] == pytest.approx([value for _, value in readings], rel=1e-12, abs=1e-12)


LENGTHS = st.floats(-90_000, 90_000, allow_nan=False)


@given(LENGTHS, st.sampled_from([2, 4, 8, 16, 32, 64, 128]), st.sampled_from([0.0, 0.01, 5 / 384]))
def test_fractions_feet_and_rules_are_read_back_within_half_a_place(value: float, under: int, scale: float) -> None:
    half = 0.005 + 1e-9
    for shown in (fraction(value, under), feet(value, under)):
        assert mm(shown, quantity="position") == pytest.approx(value, abs=half)
    assert mm(on_rule(value, scale, under), "mm", scale, "position") == pytest.approx(value, abs=half)


RESOLUTIONS = st.sampled_from([0.001, 0.01, 0.02, 0.05, 0.0127, 1.0])


@given(LENGTHS, st.sampled_from(["mm", "cm", "m", "um", "in", "ft", "thou"]), RESOLUTIONS)
def test_decimals_are_read_back_within_half_a_last_place(value: float, unit: str, resolution: float) -> None:
    text = in_unit(value, unit, resolution)
    assert not (text.startswith("-") and float(text) == 0)
    assert mm(text, unit, quantity="position") == pytest.approx(value, abs=resolution / 2 + 1e-9)


@given(st.integers(-10_000_000, 10_000_000), st.integers(0, 4))
def test_show_is_half_even_on_the_digits_and_not_on_the_binary(digits: int, places: int) -> None:
    number = Decimal(digits).scaleb(-places)
    assert Decimal(in_unit(float(number), "mm", 0.01)) == number.quantize(Decimal("0.01"), ROUND_HALF_EVEN)


ODD = st.sampled_from(list("0123456789.,/-+;'\" °½⅜%eE\x1b[m\x00\u202e\u00ad\t\nin ft mm nan go １／＂²\udc80"))


@st.composite
def mutated(draw: st.DrawFn) -> str:
    text = list(draw(READINGS)[0])
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, len(text)))
        text[at : at + draw(st.integers(0, 2))] = draw(st.lists(ODD, max_size=3))
    return "".join(text)


def looks_right(text: str, answer: TypedLine | Ambiguous | Unreadable) -> None:
    found = answer.sizes if isinstance(answer, TypedLine) else answer.choices if isinstance(answer, Ambiguous) else ()
    for size in found:
        assert -1e5 < size.mm < 1e5
        assert 0 < size.place_mm < float("inf")
        assert 1 <= len(size.typed) <= 64
        assert 1 <= len(size.unit) <= 12
        assert not any(unicodedata.category(char) in ("Cc", "Cf", "Cs") for char in size.typed)
    if isinstance(answer, TypedLine):
        assert 1 <= len(found) <= 99
    else:
        assert len(answer.sentence) > 10
        assert answer.text == text
        assert not any(unicodedata.category(char) in ("Cc", "Cs") for char in answer.sentence)
    if isinstance(answer, Ambiguous):
        assert len(answer.choices) >= 2


@settings(max_examples=400)
@given(
    st.one_of(st.text(), st.text(ODD, max_size=70), mutated()),
    st.sampled_from(QUANTITIES),
    st.sampled_from(["mm", "in", "deg", "C"]),
)
def test_any_text_gives_a_value_or_a_sentence_and_never_an_exception(text: str, quantity: str, unit: str) -> None:
    looks_right(text, parse_line(text, unit, 0.01, quantity))
    temperature = parse_temperature(text)
    assert isinstance(temperature, Unreadable) or -40 <= temperature <= 200
    contraction = parse_contraction(text)
    assert isinstance(contraction, Unreadable) or -0.05 <= contraction.a <= 0.10
