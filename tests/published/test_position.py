"""Position as a diameter, and the probability in a round zone, against printed figures (data/position_worked_examples.csv)."""

from __future__ import annotations

import csv
from math import sqrt
from pathlib import Path

import pytest

from inspect_tui.metrology.judge.position import inside, position

ROWS = list(csv.DictReader(Path(__file__).with_name("data").joinpath("position_worked_examples.csv").open()))
DIAMETERS = {"chance": 2.3548, "chance95": 2.0 * sqrt(5.991)}


@pytest.mark.parametrize("row", [row for row in ROWS if row["what"] == "diameter"], ids=lambda row: row["value"])
def test_the_diameter_about_true_position_is_as_printed(row: dict[str, str]) -> None:
    found = position([(float(row["dx"]), 0.0), (float(row["dy"]), 0.0)])
    assert found.diameter == pytest.approx(float(row["value"]), abs=0.00005)


@pytest.mark.parametrize("row", [row for row in ROWS if row["what"] != "diameter"], ids=lambda row: row["value"])
def test_the_probability_in_a_round_zone_is_as_printed(row: dict[str, str]) -> None:
    u = float(row["u"])
    assert inside([(0.0, u), (0.0, u)], DIAMETERS[row["what"]]) == pytest.approx(float(row["value"]), abs=0.0001)


def test_the_probability_in_a_ball_is_that_of_chi_square_with_three_degrees_of_freedom() -> None:
    """95 %: 7.815 (any table; from memory)."""
    assert inside([(0.0, 1.0)] * 3, 2.0 * sqrt(7.815)) == pytest.approx(0.95, abs=0.0001)
