"""Days of a file in the order that is said, or that they tell by themselves."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.day_order import day_in, may_be_two, order_of
from inspect_tui.metrology.typed.fields import Wrong

TODAY = "2026-03-01"


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("3/4/2025", "d/m/y", "2025-04-03"),
        ("3/4/2025", "m/d/y", "2025-03-04"),
        ("3.4.25", "d/m/y", "2025-04-03"),
        ("03-04-25", "d/m/y", "2025-04-03"),
        ("25/3/4", "y/m/d", "2025-03-04"),
        ("1/4/26", "d/m/y", "1926-04-01"),  # the last such year that is not to come
        ("1/3/26", "d/m/y", "2026-03-01"),
        ("5 Mar 2024", None, "2024-03-05"),
        ("05-Okt-24", "m/d/y", "2024-10-05"),
        ("2025-03-04", "d/m/y", "2025-03-04"),
        ("2025-03-04 07:30", None, "2025-03-04"),
        ("3/4/2025 7:30 am", "d/m/y", "2025-04-03"),
        ("31.3.2025", None, "2025-03-31"),
    ],
)
def test_a_day_is_read_in_its_order(text: str, order: str | None, day: str) -> None:
    assert day_in(text, order, TODAY) == day


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("3/4/2025", None),
        ("31/13/2025", "d/m/y"),
        ("30/2/2025", "d/m/y"),
        ("5 Foo 2024", None),
        ("today", "d/m/y"),
        ("3/4/025", "d/m/y"),
        ("", None),
    ],
)
def test_what_is_no_day_or_two_is_refused(text: str, order: str | None) -> None:
    assert isinstance(day_in(text, order, TODAY), Wrong)


def test_days_tell_their_order_unless_they_contradict_each_other() -> None:
    assert order_of(["3/4/2025", "13/4/2025"]) == ("d/m/y", "13/4/2025")
    assert order_of(["3/4/2025", "4/13/2025"]) == ("m/d/y", "4/13/2025")
    assert order_of(["13/4/2025", "4/13/2025"]) is None
    assert order_of(["3/4/2025", "x", "13.4.2025", "13/4/25"]) is None


def test_which_days_may_be_two() -> None:
    assert may_be_two("3/4/2025") and may_be_two("3/4/25")
    assert not may_be_two("4/4/2025") and not may_be_two("13/4/2025") and not may_be_two("3.4.2025")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("3. März 2025", "2025-03-03"),
        ("3 août 2025", "2025-08-03"),
        ("14 juin 2025", "2025-06-14"),
        ("14 juillet 2025", "2025-07-14"),
        ("1 septiembre 2025", "2025-09-01"),
        ("2-dic-2024", "2024-12-02"),
        ("9 gen 2025", "2025-01-09"),
        ("9 mrt 2025", "2025-03-09"),
    ],
)
def test_months_are_named_as_the_foundry_names_them(text: str, day: str) -> None:
    assert day_in(text, None, "2026-01-01") == day
