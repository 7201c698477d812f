"""Formulas over features: arithmetic and nothing else, units checked, uncertainty carried through."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.doubts import Doubt, Doubted
from inspect_tui.metrology.kit.passage import Formula, derive, monte_carlo, parse, value_of
from inspect_tui.model.words import Estimate

POWERS = {"F41": 1, "F55": 1, "F1": 1, "F2": 1, "angle": 0, "area": 2}


def formula(text: str) -> Formula:
    parsed = parse(text, POWERS)
    assert isinstance(parsed, Formula), parsed
    return parsed


@pytest.mark.parametrize(
    "text, unit",
    [
        ("pi / 4 * F41 * F55", "mm²"),
        ("F41 + F55 - 1.5", "mm"),
        ("sqrt(F41 * F55)", "mm"),
        ("sqrt(F1**2 + F2**2)", "mm"),
        ("F41 / F55", ""),
        ("F41**3", "mm³"),
        ("F41 ** (1/2)", "mm^1/2"),
        ("min(F41, F55, 70)", "mm"),
        ("series(area, F41 * F55)", "mm²"),
        ("parallel(area, 2 * area)", "mm²"),
        ("F41 * tan(angle)", "mm"),
        ("abs(-F41)", "mm"),
        ("2 * 3", ""),
    ],
)
def test_units_are_worked_out(text: str, unit: str) -> None:
    assert formula(text).unit == unit


@pytest.mark.parametrize(
    "text, words",
    [
        ("", "no formula"),
        ("   ", "no formula"),
        ("F41 * F55 + F41", "mm² and mm do not go together"),
        ("min(F41, area)", "mm and mm² do not go together"),
        ("F99 * 2", "F99 is no feature here"),
        ("sin(F41)", "takes an angle in degrees"),
        ("F41 ** F55", "must be a number"),
        ("2 ** angle", "must be a number"),
        ("F41 ** 99", "too high"),
        ("9 ** 9 ** 9", "too high"),
        ("F41 ^ 2", "write ** for a power"),
        ("F41 %% 2", "is not arithmetic"),
        ("F41 % 2", "only + - * /"),
        ("F41 // 2", "only + - * /"),
        ("F41 if F55 else 0", "is not arithmetic"),
        ("F41 > 3", "is not arithmetic"),
        ("lambda: 3", "is not arithmetic"),
        ("__import__('os').system('ls')", "no function here"),
        ("F41.real", "is not arithmetic"),
        ("[F41][0]", "is not arithmetic"),
        ("(F41).__class__", "is not arithmetic"),
        ("eval('1')", "no function here"),
        ("open('x')", "no function here"),
        ("'abc'", "is not a number"),
        ("True + F41", "is not a number"),
        ("1j * F41", "is not a number"),
        ("sqrt(F41, F55)", "takes 1 value"),
        ("min(F41)", "takes 2 to 20 values"),
        ("sqrt(*F41)", "takes 1 value"),
        ("sqrt(x=F41)", "takes 1 value"),
        ("sqrt", "sqrt is no feature here"),
        ("1e999 * F41", "too large"),
        ("9" * 400 + " * F41", "too large"),
        ("F41 +", "is not arithmetic"),
        ("F41; F55", "is not arithmetic"),
        ("x := F41", "is not arithmetic"),
        ("(" * 300 + "F41" + ")" * 300, "characters"),
        ("-" * 450 + "F41", "parts"),
        ("F41" + "+F41" * 110, "parts"),
        ("F41\x00", "character"),
        ("series()", "series of nothing: name the passages, such as series(T1, T2)"),
        ("parallel()", "parallel of nothing"),
        ("law()", "takes an area and then pairs"),
        ("law(area, 3500, 42)", "two points at least"),
        ("law(area, 3500, 42, 3600)", "takes an area and then pairs"),
        ("law(area, 3500, 42, 3600, 41)", "the law falls from 3500: 42 to 3600: 41"),
        ("law(area, 3500, 42, F41, 41)", "'F41' is no figure"),
        ("law(area, 3500, 42, True, 41)", "'True' is no figure"),
        ("law(area, 3500, 42, 3600, -43)", "not above 0"),
        ("law(area, 3500, 42, 1e999, 43)", "too large"),
        ("law(area, 1, 1, 2, 2, x=3)", "takes an area and then pairs"),
        ("law(F41, 3500, 42, 3600, 43)", "around an area in mm², not around mm"),
        ("2 * law(area, 3500, 42, 3600, 43)", "stands around the whole formula"),
        ("law", "law is no feature here"),
    ],
)
def test_what_is_not_understood_is_said_in_a_sentence(text: str, words: str) -> None:
    parsed = parse(text, POWERS)
    assert isinstance(parsed, str)
    assert words in parsed
    assert "\n" not in parsed and len(parsed) < 700


@settings(max_examples=300)
@given(
    st.text(max_size=60)
    | st.lists(
        st.sampled_from(
            [
                "F41",
                "F55",
                "(",
                ")",
                "+",
                "-",
                "*",
                "/",
                "**",
                "sqrt",
                "min",
                ",",
                "2",
                "0",
                ".5",
                "pi",
                "angle",
                " ",
                "^",
                ".",
            ]
        ),
        max_size=25,
    ).map("".join)
)
def test_any_text_gives_a_formula_or_a_sentence_and_nothing_else(text: str) -> None:
    parsed = parse(text, POWERS)
    assert isinstance(parsed, Formula | str)
    if isinstance(parsed, Formula):
        try:
            value = value_of(parsed, dict.fromkeys(POWERS, 3.0))
        except DataError:
            return
        assert math.isfinite(value)


def trees() -> st.SearchStrategy[str]:
    leaf = st.sampled_from(["F41", "F55", "2", "0.5", "pi"])
    return st.recursive(
        leaf,
        lambda inner: st.builds(lambda a, op, b: f"({a} {op} {b})", inner, st.sampled_from("+-*/"), inner),
        max_leaves=8,
    )


@given(trees(), st.floats(1, 100), st.floats(1, 100))
def test_a_formula_has_the_value_python_gives_it(text: str, a: float, b: float) -> None:
    parsed = parse(text, {"F41": 0, "F55": 0})
    assert isinstance(parsed, Formula)
    try:
        # the text is built above from numbers, two names and + - * / only
        want = eval(text, {"__builtins__": {}}, {"F41": a, "F55": b, "pi": math.pi})
    except ZeroDivisionError:
        with pytest.raises(DataError, match="division by 0"):
            value_of(parsed, {"F41": a, "F55": b})
        return
    assert value_of(parsed, {"F41": a, "F55": b}) == pytest.approx(want)


def test_a_missing_size_is_named() -> None:
    with pytest.raises(DataError, match="needs F55, not measured yet"):
        value_of(formula("F41 * F55"), {"F41": 70.0})
    with pytest.raises(DataError, match="root of a negative"):
        value_of(formula("sqrt(F41 - F55)"), {"F41": 1.0, "F55": 2.0})
    with pytest.raises(DataError, match="no value"):
        value_of(formula("(F41 - F55) ** (1/2)"), {"F41": 1.0, "F55": 2.0})
    with pytest.raises(DataError):
        derive(formula("F41 * F55"), {"F41": Estimate(70.0, 0.1)})


@given(st.floats(10, 200), st.floats(10, 200), st.floats(0.01, 0.5), st.floats(0.01, 0.5))
def test_the_relative_u_of_an_area_is_the_root_of_its_two_parts(w: float, h: float, uw: float, uh: float) -> None:
    got = derive(formula("pi / 4 * F41 * F55"), {"F41": Estimate(w, uw), "F55": Estimate(h, uh)})
    assert got.value == pytest.approx(math.pi / 4 * w * h)
    assert got.u / got.value == pytest.approx(math.hypot(uw / w, uh / h), rel=1e-6)
    assert sum(got.share.values()) == pytest.approx(1)


def test_correlated_sizes_add_or_cancel() -> None:
    size = Doubted(70.0, (Doubt("caliper", "gauge", 0.1, True),))
    sizes = {"F41": size, "F55": size}
    assert derive(formula("F41 - F55"), sizes).u == pytest.approx(0.0, abs=1e-6)
    assert derive(formula("F41 + F55"), sizes).u == pytest.approx(0.2)


@pytest.mark.parametrize(
    "text",
    [
        "pi / 4 * F41 * F55",
        "sqrt(F41**2 + F55**2)",
        "series(F41 * F41, F55 * F55)",
        "F41 / F55",
        "F41 * cos(angle)",
        "max(F41, F55 - 20)",
    ],
)
def test_drawing_agrees_with_linear_propagation_within_its_own_error(text: str) -> None:
    sizes = {"F41": Estimate(70.0, 0.2), "F55": Estimate(64.0, 0.3), "angle": Estimate(30.0, 0.1)}
    found, n = formula(text), 40_000
    linear, (mean, sd, low, high) = derive(found, sizes), monte_carlo(found, sizes, n)
    assert mean == pytest.approx(linear.value, abs=5 * linear.u / n**0.5 + 1e-4 * abs(linear.value))
    assert sd == pytest.approx(linear.u, rel=5 / (2 * n) ** 0.5 + 0.002)
    assert (high - low) / 2 == pytest.approx(1.96 * linear.u, rel=0.03)


def test_at_a_kink_the_drawing_shows_what_the_tangent_hides() -> None:
    sizes = {"F41": Estimate(70.0, 0.5), "F55": Estimate(70.0, 0.5)}
    mean, *_ = monte_carlo(formula("min(F41, F55)"), sizes)
    assert mean == pytest.approx(70.0 - 0.5 / math.pi**0.5, abs=0.02)  # mean of the smaller of two normals


def test_a_formula_that_often_has_no_value_is_told() -> None:
    with pytest.raises(DataError, match="often has no value"):
        monte_carlo(formula("sqrt(F41 - 70)"), {"F41": Estimate(70.0, 1.0)})


# ------------------------------------------------------------------------------ other passages, and a customer's points
OTHERS = {"T1": "pi / 4 * F41 * F55", "T2": "F1 * F2", "both": "series(T1, T2)", "F41": "F1 * 1000"}
SIZES = {"F41": 70.0, "F55": 64.0, "F1": 50.0, "F2": 40.0, "angle": 0.0, "area": 1.0}


def worth(text: str, others: dict[str, str] | None = None) -> float:
    parsed = parse(text, POWERS, OTHERS if others is None else others)
    assert isinstance(parsed, Formula), parsed
    return value_of(parsed, SIZES)


def test_passages_in_series_and_side_by_side_by_their_labels() -> None:
    one, two = math.pi / 4 * 70.0 * 64.0, 2000.0
    assert worth("series(T1, T2)") == pytest.approx(1 / math.sqrt(1 / one**2 + 1 / two**2))
    assert worth("parallel(T1, 2 * T2)") == pytest.approx(one + 2 * two)
    assert worth("parallel(both, T1)") == pytest.approx(1 / math.sqrt(1 / one**2 + 1 / two**2) + one)
    assert worth("F41") == 70.0  # a feature comes before a passage of the same name
    parsed = parse("series(T1, T2)", POWERS, OTHERS)
    assert isinstance(parsed, Formula) and parsed.names == ("F1", "F2", "F41", "F55") and parsed.unit == "mm²"


def test_a_size_in_two_passages_is_one_size() -> None:
    sizes = {name: Estimate(value, 0.1) for name, value in SIZES.items()}
    twice = parse("parallel(T2, T2)", POWERS, OTHERS)
    once = parse("2 * F1 * F2", POWERS)
    assert isinstance(twice, Formula) and isinstance(once, Formula)
    assert derive(twice, sizes).u == pytest.approx(derive(once, sizes).u)


@pytest.mark.parametrize(
    "text, others, words",
    [
        ("2 * A", {"A": "B + F1", "B": "A - F1"}, "passages in a ring: A needs B needs A"),
        ("A", {"A": "A"}, "passages in a ring: A needs A"),
        ("A + F41", {"A": "F41 * F55"}, "do not go together"),
        ("A", {"A": "F41 +"}, "A: 'F41 +' is not arithmetic"),
        ("A", {"A": "F99"}, "F99 is no feature here"),
        (
            "A",
            {"A": "B * B", **{chr(66 + n): f"{chr(67 + n)} * {chr(67 + n)}" for n in range(20)}},
            "more than 200 parts",
        ),
        ("A", {"A": "+".join(["F1"] * 101)}, "more than 200 parts"),
    ],
)
def test_what_other_passages_do_not_give_is_said(text: str, others: dict[str, str], words: str) -> None:
    said = parse(text, POWERS, others)
    assert isinstance(said, str) and words in said and "\n" not in said


def test_a_law_stands_around_an_area_and_another_passage_takes_that_area() -> None:
    parsed = parse("law(T1, 3000, 40, +3519, 46, 4000, 50)", POWERS, OTHERS)
    assert isinstance(parsed, Formula) and parsed.law is not None
    assert parsed.law.points == ((3000.0, 40.0), (3519.0, 46.0), (4000.0, 50.0))
    assert parsed.unit == "mm²" and value_of(parsed, SIZES) == pytest.approx(math.pi / 4 * 70.0 * 64.0)
    assert formula("F41 * F55").law is None
    assert worth("2 * L", {"L": "law(F1 * F2, 1000, 10, 3000, 20)"}) == pytest.approx(4000.0)
