"""The budget as a table: a line a source, nothing wider than its room, degrees of freedom without end as such."""

from __future__ import annotations

from math import inf

import pytest

from inspect_tui.metrology.judge import uncertainty
from inspect_tui.metrology.judge.uncertainty import BudgetLine
from inspect_tui.report.term.budget import budget_table
from inspect_tui.shop.feature.budget import BudgetView

LINES = [
    BudgetLine(name="repeats", u=0.012, dof=4, kind="A", how="standard deviation of the mean of 5 readings"),
    BudgetLine(name="calibration of the caliper", u=0.01, dof=inf, kind="B", how="certificate, U 0.02 with k 2"),
]


def shown(width: int) -> list[str]:
    budget = uncertainty.combine(LINES)
    of = BudgetView(
        title="W width",
        where="box 1",
        instrument="caliper 2",
        unit="mm",
        value=59.661,
        budget=budget,
        rows=tuple(uncertainty.rows(budget)),
        verdict=None,
        remarks=("the gauge was warmer than the casting",),
    )
    return budget_table(of, width).plain.splitlines()


@pytest.mark.parametrize("width", [66, 78, 120])
def test_each_source_has_a_line_that_fits(width: int) -> None:
    lines = shown(width)
    assert all(len(line) <= width for line in lines)
    text = "\n".join(lines)
    assert "repeats" in text and "calibration of the" in text and "certificate" in text
    assert "The gauge was warmer than the casting" in text


def test_the_figures_are_those_of_the_budget() -> None:
    text = "\n".join(shown(100))
    budget = uncertainty.combine(LINES)
    assert "W width on box 1 with caliper 2: 59.661 mm" in text
    assert f"U = {budget.U:.3g} mm at 95 %, k = {budget.k:.3f}" in text
    assert "∞" in text and "together" in text
