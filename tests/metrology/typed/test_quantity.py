"""What people type at the entry line: what is understood, what is asked, what is refused, and what it costs."""

import pytest

from inspect_tui.metrology.typed.parsed import Ambiguous, Size, TypedLine, Unreadable
from inspect_tui.metrology.typed.quantity import parse_line, parse_temperature
from tests.operations import calls


def sizes(typed: str, unit: str = "mm", rule_scale: float = 0.0, quantity: str = "length") -> tuple[Size, ...]:
    answer = parse_line(typed, unit, rule_scale, quantity)
    assert isinstance(answer, TypedLine), answer
    return answer.sizes


def mm(typed: str, unit: str = "mm", rule_scale: float = 0.0, quantity: str = "length") -> float:
    (size,) = sizes(typed, unit, rule_scale, quantity)
    return size.mm


def refusal(typed: str, unit: str = "mm", quantity: str = "length") -> str:
    answer = parse_line(typed, unit, 0.0, quantity)
    assert isinstance(answer, Unreadable), answer
    assert answer.text == typed
    return answer.sentence


# ------------------------------------------------------------------------------ what is understood
@pytest.mark.parametrize(
    "typed, expected",
    [
        ("59.66", 59.66),
        ("59,66", 59.66),
        ("+59.66", 59.66),
        (".5", 0.5),
        (",5", 0.5),
        ("007", 7.0),
        ("1,234", 1.234),  # a decimal comma: thousands are not guessed
        ("  59.66  ", 59.66),
        ("59.66 mm", 59.66),
        ("59.66mm", 59.66),
        ("59.66 MM", 59.66),
        ("5.966 cm", 59.66),
        ("0.05966 m", 59.66),
        ("59660 um", 59.66),
        ("59660 µm", 59.66),
        ("59660 μm", 59.66),
        ("12 millimetres", 12.0),
        ("2 in", 50.8),
        ("2 in.", 50.8),
        ('2"', 50.8),
        ("2 ''", 50.8),
        ("2 inches", 50.8),
        ("100 thou", 2.54),
        ("100 mils", 2.54),
        ("2 ft", 609.6),
        ("2'", 609.6),
        ("2 foot", 609.6),
        ("3/4 in", 19.05),
        ("12 3/16 in", 309.5625),
        ("12-3/16 in", 309.5625),
        ("12 3 / 16 in", 309.5625),
        ("12  3/16in", 309.5625),
        ("12.1875 in", 309.5625),
        ("12,1875 in", 309.5625),
        ("1/2 mm", 0.5),
        ("3/128 in", 0.5953125),
        ("1 7/10 in", 43.18),
        ("3/100 in", 0.762),
        ("9/8 in", 28.575),
        ("½ in", 12.7),
        ("12½ in", 317.5),
        ("12 ½ in", 317.5),
        ("12-½ in", 317.5),
        ("¼ in", 6.35),
        ("⅜ in", 9.525),
        ("3⁄4 in", 19.05),
        ("12\u00ad3/16 in", 309.5625),
        ("12–3/16 in", 309.5625),
        ("1' 2-5/8\"", 371.475),
        ("1' 2 5/8\"", 371.475),
        ("1'2\"", 355.6),
        ("1'-2\"", 355.6),
        ("1'-2½\"", 368.3),
        ("1 ft 2 5/8 in", 371.475),
        ("1ft2in", 355.6),
        ("1 foot 2 inches", 355.6),
        ("1' 2 5/8", 371.475),
        ("1' 0\"", 304.8),
        ("1′ 2″", 355.6),
        ("1’ 2”", 355.6),
        ("1' 2.5\"", 368.3),
        ("0' 3\"", 76.2),
        ("５９．６６", 59.66),
        ("５９，６６", 59.66),
        ("59.66\u00a0mm", 59.66),
        ("59.66\u2009mm", 59.66),
        ("59.66\tmm", 59.66),
        ("5 ㎝", 50.0),
        ("12\u20093/16\u202fin", 309.5625),
        ("12 3/16 in + 0.10 mm", 309.6625),
        ("12 3/16 in - 0.10 mm", 309.4625),
        ("1' 2 5/8\" - 0.05 mm", 371.425),
        ("1 yd", 914.4),
    ],
)
def test_sizes_people_type(typed: str, expected: float) -> None:
    assert mm(typed) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    "typed, unit, expected",
    [
        ("12 3/16", "in", 309.5625),
        ("12.5", "in", 317.5),
        ("250", "thou", 6.35),
        ("5", "cm", 50.0),
        ("59.66 mm", "in", 59.66),
        ("1' 2\"", "in", 355.6),
    ],
)
def test_without_a_unit_the_instrument_s_unit_holds(typed: str, unit: str, expected: float) -> None:
    assert mm(typed, unit) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    "typed, expected",
    [
        ("59.66 59.68 59.65", [59.66, 59.68, 59.65]),
        ("59,66 59,68", [59.66, 59.68]),
        ("59.66;59.68", [59.66, 59.68]),
        ("59.66 ; 59.68;", [59.66, 59.68]),
        ("59.66\n59.68\r\n59.65\n", [59.66, 59.68, 59.65]),
        ("12 3/16 12 1/4 in", [309.5625, 311.15]),
        ("12-3/16 12-1/4 in", [309.5625, 311.15]),
        ("1 2 3/16 in", [25.4, 55.5625]),
        ("3/4 3/8 in", [19.05, 9.525]),
        ("1;3/16 in", [25.4, 4.7625]),
        ("1 in 2 in 30 mm", [25.4, 50.8, 30.0]),
        ("2 3 ft", [609.6, 914.4]),
        ("1' 2\" 1' 3\"", [355.6, 381.0]),
        ("1 ft; 2 in", [304.8, 50.8]),
        ("1' 2'", [304.8, 609.6]),
        ("59.66 59.68 mm", [59.66, 59.68]),
        ("12 in + 0.10 mm 12 in - 0.10 mm", [304.9, 304.7]),
    ],
)
def test_several_readings_in_one_line(typed: str, expected: list[float]) -> None:
    assert [size.mm for size in sizes(typed)] == pytest.approx(expected, rel=1e-14)


def test_each_reading_keeps_its_own_text_its_unit_and_its_place() -> None:
    first, second = sizes("59.66  ５９．７ in")
    assert (first.typed, first.unit, first.place_mm) == ("59.66", "in", pytest.approx(0.254))
    assert (second.typed, second.unit, second.place_mm) == ("５９．７ in", "in", pytest.approx(2.54))
    assert sizes("12 3/16 in")[0].place_mm == pytest.approx(25.4 / 16)
    assert sizes("1' 2\"")[0].unit == "ft in"
    assert sizes("12 3/16 in + 0.10 mm")[0].place_mm == 0.01
    assert sizes("  59.660 ")[0] == Size(59.66, "59.660", "mm", 0.001)


def test_a_contraction_rule_is_a_fact_of_the_instrument_whatever_unit_is_typed() -> None:
    assert mm("100", rule_scale=0.01) == pytest.approx(101.0)
    assert mm("24 in", rule_scale=1 / 96) == pytest.approx(24.25 * 25.4)
    assert [size.mm for size in sizes("100 200", rule_scale=0.01)] == pytest.approx([101.0, 202.0])
    assert mm("12 in + 0.10 mm", rule_scale=0.01) == pytest.approx(12 * 25.4 * 1.01 + 0.10)  # the rest is true mm
    assert mm("30", rule_scale=0.01, quantity="angle") == 30.0


@pytest.mark.parametrize(
    "typed, degrees",
    [
        ("12.5", 12.5),
        ("12.5°", 12.5),
        ("12.5 deg", 12.5),
        ("12 degrees", 12.0),
        ("12° 30'", 12.5),
        ("12°30'", 12.5),
        ("12° 30' 18\"", 12.505),
        ("-12° 30'", -12.5),
        ("-0° 30'", -0.5),
        ("30'", 0.5),
        ("100 gon", 90.0),
    ],
)
def test_angles_people_type(typed: str, degrees: float) -> None:
    assert mm(typed, "deg", quantity="angle") == pytest.approx(degrees)


@pytest.mark.parametrize(
    "typed, celsius",
    [
        ("23", 23.0),
        ("23 C", 23.0),
        ("23°C", 23.0),
        ("23 ° C", 23.0),
        ("23 deg C", 23.0),
        ("23°", 23.0),
        ("73.4 F", 23.0),
        ("73,4 °F", 23.0),
        ("-5", -5.0),
        ("−5 C", -5.0),
        ("296.15 K", 23.0),
    ],
)
def test_temperatures_people_type(typed: str, celsius: float) -> None:
    assert parse_temperature(typed) == celsius


@pytest.mark.parametrize(
    "typed", ["", "warm", "23 mm", "23 24", "-300", "1,234.5", "9000", "12 3/17", "500", "-41", "201", "400 F"]
)
def test_what_is_no_temperature_gets_a_sentence(typed: str) -> None:
    answer = parse_temperature(typed)
    assert isinstance(answer, Unreadable)
    assert answer.text == typed
    assert answer.sentence


@pytest.mark.parametrize(
    "typed, answers",
    [("go", [1.0]), ("no-go", [0.0]), ("No Go", [0.0]), ("NOGO", [0.0]), ("go go no-go", [1.0, 1.0, 0.0])],
)
def test_a_template_takes_go_and_no_go(typed: str, answers: list[float]) -> None:
    assert [size.mm for size in sizes(typed, quantity="attribute")] == answers


def test_a_template_takes_no_number_and_a_caliper_no_go() -> None:
    assert refusal("59.66", quantity="attribute") == "a template takes go or no-go, not a number"
    assert "maybe is neither" in refusal("maybe", quantity="attribute")
    assert "go or no-go" in refusal("", quantity="attribute")
    for typed in ("go", "no-go", "no go", "NoGo"):
        assert "go and no-go are for templates" in refusal(typed)


def test_a_fraction_read_in_mm_is_said_aloud() -> None:
    answer = parse_line("12 3/16")
    assert isinstance(answer, TypedLine)
    assert answer.sizes[0].mm == 12.1875
    assert answer.remarks == ("a fraction without a unit is read in mm, the unit of the instrument",)
    for typed, unit in (("12 3/16 mm", "mm"), ("12 3/16", "in"), ("12 3/16 in", "mm"), ("12.5", "mm")):
        answer = parse_line(typed, unit)
        assert isinstance(answer, TypedLine)
        assert answer.remarks == ()


# ------------------------------------------------------------------------------ what is asked
@pytest.mark.parametrize(
    "typed, choices",
    [
        ("1,234.5", [1.2345, 1234.5]),
        ("1.234,5", [1.2345, 1234.5]),
        ("12,345.67 um", [0.01234567, 12.34567]),
        ("123/16 in", [195.2625, 309.5625]),  # the blank of 12 3/16 lost
        ("19/16 in", [30.1625, 39.6875]),  # 1 3/16, or 1 9/16
    ],
)
def test_a_number_with_two_meanings_is_asked_not_guessed(typed: str, choices: list[float]) -> None:
    answer = parse_line(typed)
    assert isinstance(answer, Ambiguous)
    assert [size.mm for size in answer.choices] == pytest.approx(choices)
    assert {size.typed for size in answer.choices} == {typed}
    assert answer.text == typed
    assert " or " in answer.sentence


def test_the_question_names_both_readings() -> None:
    answer = parse_line("1,234.5")
    assert isinstance(answer, Ambiguous)
    assert answer.sentence == "1,234.5: 1.2345 or 1234.5?"


def test_a_number_with_two_meanings_among_others_or_beyond_belief_is_refused() -> None:
    assert "only one fits" in refusal("1,234.5 1,235.5")
    assert "only one fits" in refusal("1,234.5 m")


# ------------------------------------------------------------------------------ what is refused
@pytest.mark.parametrize(
    "typed, said",
    [
        ("abc", "abc is not a size: type a number such as 59.66 or 12 3/16 in"),
        ("", "nothing typed: type a number such as 59.66 or 12 3/16 in"),
        (" \u00a0\t ", "nothing typed"),
        (";", "nothing typed"),
        ("1/0 in", "a fraction with 0 below is no size"),
        ("12 3/", "only part of a fraction"),
        ("/16", "is not a size"),
        ("12 3/17 in", "12 3/17: 17ths are on no rule; type 3/16 or a decimal"),
        ("1/3", "3rds are on no rule"),
        ("2/1", "fractions with 1 below"),
        ("1/256 in", "256ths"),
        ("12 17/16 in", "17/16 is not below 1"),
        ("12.5 3/16 in", "mixes a decimal and a fraction"),
        ("3.5/16 in", "3.5/ is only part of a fraction"),
        ("nan", "nan is not a size"),
        ("inf", "inf is not a size"),
        ("-inf", "not a size"),
        ("1e999", "1e999 is not a size: type the number out"),
        ("5.966e123", "5.966e123 is not a size: type the number out"),
        ("59.66 kg", "kg is no length: type mm"),
        ("59.66 s", "s is no length"),
        ("59.66 %", "% is no length"),
        ("59.66 blorp", "blorp is no unit known here"),
        ("5 mm2", "mm2 is no length"),
        ("5 m/s", "m/s is no length"),
        ("60°", "° is no length"),
        ("20 C", "C is no length"),
        ("mm", "mm stands without a number"),
        ("59.66 mm in", "two units"),
        ("59.66 mm mm", "two units"),
        ('2" mm', "two units"),
        ("59.66 in 59.68", "59.68 has no unit where others have"),
        ("59.66 in 59.68 59.70 mm", "has no unit where others have"),
        ("59.", "ends in a decimal mark"),
        ("59.66, 59.68", "a blank between two readings"),
        ("59.66.1", "2 decimal marks"),
        ("1,234,567", "2 decimal marks"),
        ("1,23.4", "2 decimal marks"),
        ("12-3", "put a blank between two readings"),
        ("--5", "not a size"),
        ("59.66 - 5", "stands alone"),
        ("- 5", "stands alone"),
        ("12 - 3/16", "stands alone"),
        ("59.66 mm +", "ends in a sign"),
        ("1' - 2 5/8\"", "what is added behind + or - is in mm"),
        ("12 in + 0.10", "is in mm"),
        ("12 in +\n5 mm", "without its number"),
        ("12 in + -5 mm", "is in mm"),
        ("1' 14\"", "not below 12"),
        ("1.5' 3\"", "not whole"),
        ("12° 75'", "° is no length"),
        ("1' 2 3' 4\"", "2 has no unit where others have"),
        ("12³", "³ is no length"),
        ("½5", "not a size"),
        ("59.66 and 59.68", "and is no unit known here"),
        ("100000", "beyond 100 m"),
        ("101 m", "beyond 100 m"),
        ("0.06 km 200 m", "beyond 100 m"),
        ("9" * 65, "at most 64 characters for one reading"),
        ("9" * 10_000, "at most 64 characters for one reading"),
        ("59.66 " * 100, "100 readings in one line are too many: at most 99"),
        ("go", "for templates"),
        ("59.66=", "not a size"),
        ("<b>[red]5", "not a size"),
        ("=1+1", "not a size"),
    ],
)
def test_each_bad_input_gets_its_sentence(typed: str, said: str) -> None:
    assert said in refusal(typed)


def test_a_pasted_page_gets_one_short_sentence_and_its_text_is_kept() -> None:
    page = "Pattern shop\n\nThe sizes of stick 3 are as follows.\n" * 4
    sentence = refusal(page)
    assert sentence == "Pattern is not a size: type a number such as 59.66 or 12 3/16 in"
    assert "at most" in refusal(page * 20)


@pytest.mark.parametrize("quantity", ["length", "width", "diameter", "radius"])
def test_sizes_are_above_zero(quantity: str) -> None:
    assert f"a {quantity} is above 0" in refusal("-5", quantity=quantity)
    assert f"a {quantity} is above 0" in refusal("0.00", quantity=quantity)
    assert f"a {quantity} is above 0" in refusal("−12 3/16 in", quantity=quantity)


@pytest.mark.parametrize("quantity", ["wall", "depth", "step", "flatness"])
def test_depths_walls_and_steps_are_not_below_zero(quantity: str) -> None:
    assert "not below 0" in refusal("-5", quantity=quantity)
    assert mm("0", quantity=quantity) == 0.0


@pytest.mark.parametrize("typed", ["-5", "−5", "–5", "-5 mm", "－５"])
def test_a_position_may_lie_below_zero(typed: str) -> None:
    assert mm(typed, quantity="position") == -5.0


def test_no_reading_is_minus_zero() -> None:
    assert str(mm("-0.00", quantity="position")) == "0.0"


def test_an_instrument_that_measures_something_else_is_named() -> None:
    assert refusal("5", "deg") == "the instrument reads deg, which is no length: choose another instrument"
    assert "beyond a full turn" in refusal("400", "deg", "angle")
    assert "colder" in refusal("-300", "C", "temperature")


# ------------------------------------------------------------------------------ cost
@pytest.mark.parametrize(
    "text",
    ["1 " * 32, "1/" * 32, "9" * 64, "-" * 64, "1' " * 21, "½" * 64, "[" * 64, "1 \u2009" * 21, "1 3/16 " * 9, "x" * 9],
)
def test_64_characters_cost_a_few_calls_each(text: str) -> None:
    parse_line(text)
    assert calls(lambda: parse_line(text)) < 4000  # the dearest of these makes 2,100


@pytest.mark.parametrize("typed, celsius", [("-40", -40.0), ("200", 200.0), ("180 C", 180.0)])
def test_a_cold_store_and_a_warm_casting_are_measured(typed: str, celsius: float) -> None:
    assert parse_temperature(typed) == celsius
    answer = parse_temperature("500")
    assert isinstance(answer, Unreadable) and "500 degC" in answer.sentence and "up to 200" in answer.sentence
