"""Every other number that one slip makes of a reading: digits, marks, units and rules, written as the person wrote."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.parsed import TypedLine
from inspect_tui.metrology.typed.quantity import parse_line
from inspect_tui.metrology.typed.show import MM
from inspect_tui.metrology.typed.slip_kinds import WEIGHTS, Variant, meant_by_digits, meant_otherwise, spell, written


def typed(text: str, unit: str = "mm"):
    answer = parse_line(text, unit)
    assert isinstance(answer, TypedLine)
    return answer.sizes[0]


def by_digits(text: str, low: float, high: float, finest: float = 0.01) -> dict[str, list[Variant]]:
    size = typed(text)
    number = written(size)
    assert number is not None
    found: dict[str, list[Variant]] = {}
    for one in meant_by_digits(size, number, low, high, finest):
        found.setdefault(one.kind, []).append(one)
    return found


def test_the_shares_of_the_kinds_add_up_to_one() -> None:
    assert sum(WEIGHTS.values()) == pytest.approx(1.0)


def test_swaps_of_a_number_are_all_of_its_swaps() -> None:
    # 59.66: neighbours 95.66 and 56.96 (66 swapped is nothing); next but one 69.56 and 56.69 (9 with 6 over the mark)
    found = by_digits("59.66", 0.0, 1000.0)["swapped digits"]
    assert sorted(round(one.mm, 6) for one in found) == [56.69, 56.96, 69.56, 95.66]
    shares = {round(one.mm, 2): one.share for one in found}
    assert shares[95.66] == pytest.approx(0.25 * 0.9 / 3) and shares[69.56] == pytest.approx(0.25 * 0.1 / 2)


def test_only_what_lies_between_the_ends_is_offered() -> None:
    found = by_digits("59.66", 56.0, 57.0)
    assert {round(v.mm, 2) for v in found["swapped digits"]} == {56.69, 56.96}
    assert {round(v.mm, 2) for v in found["misread digit"]} == {56.66}
    assert all(56.0 <= v.mm <= 57.0 for some in found.values() for v in some)


def test_a_decimal_mark_moves_by_powers_of_ten() -> None:
    found = by_digits("5966", 0.0, 1000.0)["decimal point"]
    assert sorted(v.mm for v in found) == pytest.approx([5.966, 59.66, 596.6])
    assert {v.reason for v in found} == {"Decimal point lost?"}


@pytest.mark.parametrize(
    ("text", "digits", "point", "said"),
    [
        ("59,66", "5696", 2, "56,96"),  # the person's own mark
        ("59.66 mm", "5966", 3, "596.6 mm"),  # what stands behind stays
        ("59.66", "5966", 0, "0.5966"),
        ("59.66", "5966", -1, "0.05966"),
        ("59.66", "5966", 6, "596600"),
        ("59.66", "0966", 2, "9.66"),  # nobody writes 09.66
    ],
)
def test_a_number_is_spelled_as_the_person_spelled_theirs(text: str, digits: str, point: int, said: str) -> None:
    number = written(typed(text))
    assert number is not None
    assert spell(number, digits, point) == said


@pytest.mark.parametrize("text", ["3/4 in", "12 3/16 in", "0.00"])
def test_what_is_no_plain_decimal_has_no_digits_to_slip(text: str) -> None:
    size = parse_line(text, quantity="position")
    assert isinstance(size, TypedLine) and written(size.sizes[0]) is None


def test_units_jaws_rules_and_signs() -> None:
    size = typed("50")
    found = {v.kind: v for v in meant_otherwise(size, written(size), 10.0, 0.0, (), MM)}
    assert {kind: v.mm for kind, v in found.items()} == pytest.approx(
        {"inch or mm": 50 * 25.4, "inside jaws": 60.0, "sign": -50.0}
    )
    assert (found["inch or mm"].text, found["inside jaws"].text, found["sign"].text) == ("50 in", "60", "-50")
    # read on a 1 % rule it is 1.01 times as much; off a 1 % rule, 1/1.01 times
    there = [v for v in meant_otherwise(size, written(size), None, 0.0, (0.01,), MM) if v.kind == "contraction rule"]
    assert sorted(v.mm for v in there) == pytest.approx([50 / 1.01, 50.5])
    off = [v for v in meant_otherwise(size, written(size), None, 0.01, (), MM) if v.kind == "contraction rule"]
    assert [v.mm for v in off] == pytest.approx([50 / 1.01]) and "a plain rule" in off[0].reason
