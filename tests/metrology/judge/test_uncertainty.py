"""Budgets, Student's t and simulated propagation: properties, edges, and what a person reads."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from math import fsum, inf, isnan, nan, sqrt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.metrology.judge.uncertainty import (
    Budget,
    BudgetLine,
    KnownSpread,
    Study,
    Temperature,
    combine,
    reading_budget,
    rows,
)

ROOT = Path(__file__).parents[3]

us = st.floats(0.0, 1.0).filter(lambda u: u == 0.0 or u > 1e-6)
dofs = st.one_of(st.just(inf), st.floats(1.0, 500.0))
budget_lines = st.lists(st.builds(lambda u, dof: BudgetLine(name="x", u=u, dof=dof), us, dofs), min_size=1, max_size=6)


# ------------------------------------------------------------------------------ distributions


# ------------------------------------------------------------------------------ combining
@given(budget_lines)
def test_independent_lines_add_as_squares_and_shares_as_one(lines):
    budget = combine(lines)
    assert budget.u**2 == pytest.approx(fsum(line.u**2 for line in lines), abs=1e-15)
    assert pytest.approx(budget.k * budget.u) == budget.U
    if budget.u:
        assert fsum(row.share for row in rows(budget)) == pytest.approx(1.0)
        assert budget.dof >= min(line.dof for line in lines) * (1 - 1e-12)  # Welch-Satterthwaite never goes below
        finite = [line.dof for line in lines if line.u and line.dof < inf]
        assert budget.dof <= (fsum(finite) * (1 + 1e-9) if len(finite) == len(lines) else inf)


@given(budget_lines, st.floats(0.5, 0.999), st.floats(0.5, 0.999))
def test_more_coverage_is_never_a_smaller_interval(lines, a, b):
    low, high = sorted((a, b))
    assert combine(lines, coverage=low).U <= combine(lines, coverage=high).U + 1e-15


@given(us, us, st.floats(-1.0, 1.0))
def test_two_correlated_lines_follow_the_law_of_the_cosine(a, b, r):
    budget = combine([BudgetLine(name="a", u=a), BudgetLine(name="b", u=b)], {(0, 1): r})
    assert budget.u**2 == pytest.approx(a * a + b * b + 2 * r * a * b, abs=1e-12)
    assert combine([BudgetLine(name="a", u=a), BudgetLine(name="b", u=-b)], {(1, 0): r}).u ** 2 == pytest.approx(
        a * a + b * b - 2 * r * a * b, abs=1e-12
    )


@given(us, st.floats(1.0, 50.0), st.floats(1.0, 50.0))
def test_two_halves_of_one_effect_are_that_effect(u, dof, other):
    """Fully correlated lines are one line, with the fewer degrees of freedom."""
    whole = combine([BudgetLine(name="both", u=2 * u, dof=min(dof, other)), BudgetLine(name="b", u=0.1)])
    split = combine(
        [BudgetLine(name="a1", u=u, dof=dof), BudgetLine(name="a2", u=u, dof=other), BudgetLine(name="b", u=0.1)],
        {("a1", "a2"): 1.0},
    )
    assert split.u == pytest.approx(whole.u)
    assert split.dof == pytest.approx(whole.dof)


def test_groups_of_correlated_lines_that_meet_become_one():
    lines = [
        BudgetLine(name="a", u=1.0, dof=5.0),
        BudgetLine(name="b", u=1.0, dof=50.0),
        BudgetLine(name="c", u=1.0, dof=50.0),
        BudgetLine(name="d", u=1.0, dof=50.0),
    ]
    chained = combine(lines, {("a", "b"): 0.1, ("c", "d"): 0.1, ("b", "c"): 0.1})
    assert chained.dof == pytest.approx(5.0)
    assert combine(lines, {("c", "d"): 0.1}).dof > 50.0


def test_a_row_says_what_correlation_takes_away():
    budget = combine([BudgetLine(name="a", u=3.0), BudgetLine(name="b", u=3.0)], {("a", "b"): -1.0})
    assert budget.u == 0.0
    table = rows(replace(budget, u=0.0))
    assert [row.share for row in table[:2]] == [0.0, 0.0]
    half = rows(combine([BudgetLine(name="a", u=3.0), BudgetLine(name="b", u=4.0)], {("a", "b"): -0.5}))[-1]
    assert half.name == "correlation"
    assert half.share == pytest.approx(-12.0 / 13.0)
    assert "takes from" in half.how


@pytest.mark.parametrize(
    "correlations, said",
    [
        ({(0, 5): 0.5}, "no such lines"),
        ({("a", "z"): 0.5}, "no such lines"),
        ({(0, 1): 1.5}, "cannot be 1.5"),
        ({(0, 1): nan}, "cannot be nan"),
        ({(0, 1): 0.5, (1, 0): 0.4}, "two different"),
        ([[1.0, 0.5], [0.5, 1.0]], "3 rows of 3"),
        ([[1.0, 0.5, 0.0], [0.4, 1.0, 0.0], [0.0, 0.0, 1.0]], "two different"),
        ({(0, 1): 0.9, (0, 2): 0.9, (1, 2): -0.9}, "cannot exist together"),
    ],
)
def test_correlations_that_make_no_sense_are_refused(correlations, said):
    lines = [BudgetLine(name="a", u=1.0), BudgetLine(name="b", u=2.0), BudgetLine(name="c", u=3.0)]
    with pytest.raises(DataError, match=said):
        combine(lines, correlations)


def test_a_budget_of_nothing_is_zero_and_not_a_failure():
    budget = combine([])
    assert (budget.u, budget.U, budget.dof) == (0.0, 0.0, inf)
    assert rows(budget) == []
    assert combine([BudgetLine(name="a", u=0.0, dof=3.0)]).dof == inf


@pytest.mark.parametrize("bad", [nan, inf, -inf])
def test_a_line_without_a_number_is_refused_by_name(bad):
    with pytest.raises(DataError, match="calibration"):
        BudgetLine(name="calibration", u=bad)


@pytest.mark.parametrize("coverage", [0.0, 1.0, 95.0, nan])
def test_a_coverage_outside_0_to_1_is_refused(coverage):
    with pytest.raises(DataError, match="coverage"):
        combine([BudgetLine(name="a", u=1.0)], coverage=coverage)


def test_degrees_of_freedom_are_cut_down_to_a_whole_number_for_k():
    """JCGM 100:2008, G.4.1; 16.9 counts as 16, and 3 that came out as 2.9999999999999996 as 3."""
    assert combine([BudgetLine(name="a", u=1.0, dof=16.9)]).k == t_quantile(0.975, 16.0)
    assert combine([BudgetLine(name="a", u=1.0, dof=3.0 * (1 - 1e-15))]).k == t_quantile(0.975, 3.0)
    assert combine([BudgetLine(name="a", u=1.0, dof=0.5)]).k == t_quantile(0.975, 0.5)


# ------------------------------------------------------------------------------ a reading
def by_name(budget: Budget) -> dict[str, BudgetLine]:
    return {line.name: line for line in budget.lines}


def test_a_single_reading_has_calibration_and_resolution_and_says_what_is_missing():
    budget = reading_budget(0.04, 2.0, 0.01)
    lines = by_name(budget)
    assert lines["calibration"].u == pytest.approx(0.02)
    assert lines["resolution"].u == pytest.approx(0.005 / sqrt(3.0))
    assert "no repeats, no gauge study" in lines["resolution"].how
    assert budget.u == pytest.approx(sqrt(0.02**2 + 0.005**2 / 3.0))
    assert budget.n == 1
    assert budget.u_random == 0.0
    assert budget.u_bias == pytest.approx(budget.u)


def test_resolution_is_not_counted_beside_repeats_that_scatter_more():
    budget = reading_budget(0.04, 2.0, 0.01, [59.66, 59.70, 59.62, 59.68])
    lines = by_name(budget)
    assert "resolution" not in lines
    s = sqrt(fsum((x - 59.665) ** 2 for x in (59.66, 59.70, 59.62, 59.68)) / 3)
    assert lines["repeatability"].u == pytest.approx(s / 2.0)
    assert lines["repeatability"].dof == 3
    assert lines["repeatability"].kind == "A"
    assert "already inside" in lines["repeatability"].how
    assert budget.n == 4
    assert budget.u_random == pytest.approx(s)
    assert budget.u**2 == pytest.approx(budget.u_bias**2 + budget.u_random**2 / 4)


def test_repeats_that_all_agree_leave_the_resolution():
    lines = by_name(reading_budget(0.04, 2.0, 0.1, [59.7, 59.7, 59.7]))
    assert "repeatability" not in lines
    assert lines["resolution"].u == pytest.approx(0.05 / sqrt(3.0))
    assert "lies inside it" in lines["resolution"].how


@given(st.lists(st.floats(59.0, 60.0), min_size=2, max_size=8), st.floats(0.001, 0.5))
def test_the_larger_of_resolution_and_scatter_counts_once(values, resolution):
    mean = fsum(values) / len(values)
    u_mean = sqrt(fsum((x - mean) ** 2 for x in values) / (len(values) - 1) / len(values))
    budget = reading_budget(0.0, 2.0, resolution, values)
    assert budget.u == pytest.approx(max(u_mean, resolution / sqrt(12.0)), rel=1e-6)


def test_the_gauge_study_speaks_where_there_are_no_repeats():
    budget = reading_budget(0.04, 2.0, 0.01, study=Study(0.03, 18.0, "gauge study of 3 March"))
    line = by_name(budget)["repeatability"]
    assert (line.u, line.dof) == (0.03, 18.0)
    assert "gauge study of 3 March" in line.how


def test_a_mean_of_three_single_readings_by_the_study():
    line = by_name(reading_budget(0.04, 2.0, 0.01, n=3, study=Study(0.03, 18.0)))["repeatability"]
    assert line.u == pytest.approx(0.03 / sqrt(3.0))


def test_repeats_and_study_are_pooled():
    line = by_name(reading_budget(0.0, 2.0, 0.01, KnownSpread(0.04, 2.0), n=3, study=Study(0.03, 18.0)))[
        "repeatability"
    ]
    assert line.u == pytest.approx(sqrt((2 * 0.04**2 + 18 * 0.03**2) / 20) / sqrt(3.0))
    assert line.dof == 20.0


def test_repeats_that_scatter_far_more_than_the_study_stand_alone():
    line = by_name(reading_budget(0.0, 2.0, 0.01, KnownSpread(0.30, 2.0), n=3, study=Study(0.03, 18.0)))[
        "repeatability"
    ]
    assert line.u == pytest.approx(0.30 / sqrt(3.0))
    assert line.dof == 2.0
    assert "scatter more than" in line.how
    rough = by_name(reading_budget(0.0, 2.0, 0.0, KnownSpread(0.30, 2.0), study=Study(0.0, 18.0)))["repeatability"]
    assert rough.u == 0.30


def test_temperature_adds_two_lines_that_grow_with_length():
    cold = reading_budget(0.04, 2.0, 0.01)
    warm = reading_budget(
        0.04,
        2.0,
        0.01,
        temperature=Temperature(alpha_work=50e-6, alpha_instrument=11.5e-6, delta_c=10.0, u_c=2.0, length_mm=500.0),
    )
    lines = by_name(warm)
    assert lines["temperature"].u == pytest.approx(500 * 38.5e-6 * 2.0)
    assert lines["expansion"].u > 0.0
    assert warm.u > cold.u
    apart = Temperature(
        alpha_work=50e-6, alpha_instrument=11.5e-6, delta_c=10.0, u_c=2.0, length_mm=500.0, u_difference_c=1.0
    )
    both = by_name(reading_budget(0.04, temperature=apart))
    assert both["temperature difference"].u == pytest.approx(500 * 11.5e-6)


def test_work_process_and_other_lines_come_in_as_they_are():
    budget = reading_budget(0.0, work_movement=0.3, process=0.4, others=[BudgetLine(name="coat", u=1.2)])
    assert budget.u == pytest.approx(1.3)
    assert {"work's own movement", "process", "coat"} < set(by_name(budget))


def test_every_line_of_a_reading_says_how_in_one_sentence():
    budget = reading_budget(
        0.04,
        2.0,
        0.01,
        [59.66, 59.70, 59.61],
        temperature=Temperature(alpha_work=11e-6, alpha_instrument=11.5e-6, delta_c=5.0, u_c=2.0, length_mm=60.0),
        process=0.1,
    )
    assert all(row.how and "\n" not in row.how for row in rows(budget))


@pytest.mark.parametrize(
    "arguments",
    [
        {"u95_cal": -0.1},
        {"u95_cal": nan},
        {"u95_cal": 0.1, "resolution": -1.0},
        {"u95_cal": 0.1, "k_cal": 0.0},
        {"u95_cal": 0.1, "repeats": [59.0, nan]},
        {"u95_cal": 0.1, "repeats": KnownSpread(0.1, 0.0)},
        {"u95_cal": 0.1, "study": Study(-0.1, 5.0)},
        {"u95_cal": 0.1, "work_movement": -1.0},
        {"u95_cal": 0.1, "process": nan},
        {"u95_cal": 0.1, "n": -1},
        {
            "u95_cal": 0.1,
            "temperature": Temperature(alpha_work=1e-5, alpha_instrument=1e-5, delta_c=nan, u_c=1.0, length_mm=50.0),
        },
    ],
)
def test_impossible_figures_are_refused(arguments):
    with pytest.raises(DataError):
        reading_budget(**arguments)


# ------------------------------------------------------------------------------ simulation


def test_nothing_beyond_the_standard_library_is_imported():
    code = (
        "import sys\n"
        "from inspect_tui.metrology.judge import uncertainty, verdict\nfrom inspect_tui.metrology.typed import slips\n"
        "from inspect_tui.model.words import Band\n"
        "b = uncertainty.reading_budget(0.04, 2.0, 0.01, [1.0, 1.1, 1.05])\n"
        "verdict.judge(1.0, b.u, Band(0.9, 1.1, 'x'), 'proof95', b.dof)\n"
        "print(sorted({m.partition('.')[0] for m in sys.modules} - set(sys.stdlib_module_names)"
        " - {'inspect_tui', '__main__'}))"
    )
    ran = subprocess.run([sys.executable, "-S", "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert ran.stdout.strip() == "[]", ran.stdout + ran.stderr


def test_not_a_number_never_comes_out():
    assert not isnan(reading_budget(0.0, 2.0, 0.0, [5.0, 5.0]).U)
