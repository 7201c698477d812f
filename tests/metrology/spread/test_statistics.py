"""Summaries, tests and fits: merging, refusals, exactness, and agreement with scipy and statsmodels on random data."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from math import inf, isclose, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.least_squares import least_squares
from inspect_tui.metrology.spread.statistics import Summary, by_group, from_stream, from_values, lag1
from tests.operations import calls

sizes = st.floats(-1e5, 1e5, allow_nan=False, allow_infinity=False)
typed = st.integers(-10_000_000, 10_000_000).map(lambda i: i / 1000)  # three decimal places, as typed


def exact(values: list[float]) -> tuple[float, float]:
    """Mean and sum of squares in rational arithmetic."""
    parts = [Fraction(v) for v in values]
    mean = sum(parts) / len(parts)
    return float(mean), float(sum((p - mean) ** 2 for p in parts))


@given(st.lists(typed, min_size=1, max_size=60))
def test_typed_readings_give_the_correctly_rounded_mean_and_spread(values: list[float]) -> None:
    decimals = [Fraction(str(v)) for v in values]
    mean = sum(decimals) / len(decimals)
    summary = from_values(values)
    assert summary.mean == float(mean)
    if len(values) > 1:
        variance = sum((d - mean) ** 2 for d in decimals) / (len(values) - 1)
        assert summary.s is not None
        assert isclose(summary.s, sqrt(variance), rel_tol=1e-15)


@given(st.lists(sizes, min_size=2, max_size=60))
def test_any_readings_agree_with_rational_arithmetic(values: list[float]) -> None:
    summary = from_values(values)
    mean, m2 = exact(values)
    assert isclose(summary.mean, mean, rel_tol=1e-13, abs_tol=1e-9)
    assert isclose(summary.m2, m2, rel_tol=1e-9, abs_tol=1e-12 * max(abs(v) for v in values) ** 2 + 1e-290)


@given(st.lists(typed, max_size=40), st.lists(typed, max_size=40), st.lists(typed, max_size=40))
def test_merging_in_any_order_is_summarising_at_once(a: list[float], b: list[float], c: list[float]) -> None:
    whole = from_values(a + b + c)
    one = from_values(a).merge(from_values(b)).merge(from_values(c))
    two = from_values(a).merge(from_values(b).merge(from_values(c)))
    streamed = from_stream(a + b + c)
    for other in (one, two, streamed):
        assert (other.n, other.min, other.max) == (whole.n, whole.min, whole.max)
        assert isclose(other.mean, whole.mean, rel_tol=1e-12, abs_tol=1e-9)
        assert isclose(other.m2, whole.m2, rel_tol=1e-9, abs_tol=1e-7)


@given(st.lists(typed, min_size=3, max_size=40), st.data())
def test_a_voided_reading_comes_out_again_or_a_rescan_is_asked_for(values: list[float], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(values) - 1))
    rest = from_values(values[:at] + values[at + 1 :])
    got = from_values(values).remove(values[at])
    if got is None:
        whole = from_values(values)
        assert values[at] in (whole.min, whole.max)
    else:
        assert (got.n, got.min, got.max) == (rest.n, rest.min, rest.max)
        assert isclose(got.mean, rest.mean, rel_tol=1e-9, abs_tol=1e-9)
        assert isclose(got.m2, rest.m2, rel_tol=1e-6, abs_tol=1e-6)


def test_removing_a_reading_that_is_not_there_is_refused() -> None:
    with pytest.raises(DataError, match="not among the 3 readings"):
        from_values([1.0, 2.0, 3.0]).remove(9.0)
    assert from_values([5.0]).remove(5.0) == Summary()


def test_none_one_two_and_all_equal_say_what_they_cannot_tell() -> None:
    none, one, two = from_values([]), from_values([5.0]), from_values([5.0, 5.2])
    equal = from_values([5.0] * 12)
    assert none.shown() == {"n": 0, "mean": None, "s": None, "min": None, "max": None, "sentence": none.sentence}
    assert "no readings" in none.sentence
    assert one.s is None
    assert one.shown()["mean"] == 5.0
    assert "one reading" in one.sentence
    assert isclose(two.s or 0.0, 0.2 / sqrt(2))
    assert "two readings" in two.sentence
    assert equal.s == 0.0
    assert "all 12 readings are equal" in equal.sentence
    assert from_values([1.0, 2.0, 4.0]).sentence == ""
    assert lag1([]) is None
    assert lag1([1.0]) is None
    assert lag1([2.0, 2.0, 2.0]) is None


@pytest.mark.parametrize("bad", [nan, inf, -inf])
@pytest.mark.parametrize("n", [3, 1000])
def test_what_is_no_size_is_refused_by_its_place(bad: float, n: int) -> None:
    values = [1.0] * n
    values[1] = bad
    for call in (from_values, lag1):
        with pytest.raises(DataError, match="reading 2 is"):
            call(values)
    with pytest.raises(DataError, match="not a size"):
        Summary().add(bad)


@pytest.mark.parametrize("n", [3, 1000])
def test_a_missing_reading_is_refused_and_never_zero(n: int) -> None:
    values: list[float | None] = [1.0] * n
    values[2] = None
    with pytest.raises(DataError, match="reading"):
        from_values(values)  # type: ignore[arg-type]


@given(st.integers(0, 2**32 - 1), st.integers(301, 3000), st.integers(0, 4))
@settings(max_examples=30, deadline=None)
def test_long_lists_and_short_lists_are_summarised_alike(seed: int, n: int, places: int) -> None:
    values = np.round(np.random.default_rng(seed).normal(52, 0.3, n), places)
    whole, parts = from_values(values), from_values(values[:200])
    for start in range(200, n, 200):
        parts = parts.merge(from_values(values[start : start + 200]))
    assert isclose(whole.mean, parts.mean, rel_tol=1e-13)
    assert isclose(whole.m2, parts.m2, rel_tol=1e-9)
    assert (whole.n, whole.min, whole.max) == (n, float(values.min()), float(values.max()))


def test_readings_without_a_common_last_place_keep_their_digits() -> None:
    values = 1e7 + np.random.default_rng(1).normal(0, 1e-3, 5000)
    mean, m2 = exact(values.tolist())
    summary = from_values(values)
    assert isclose(summary.mean, mean, rel_tol=1e-15)
    assert isclose(summary.m2, m2, rel_tol=1e-12)


@given(st.integers(0, 2**32 - 1), st.integers(1, 400), st.integers(1, 9))
@settings(max_examples=40, deadline=None)
def test_groups_at_once_are_groups_one_by_one(seed: int, n: int, groups: int) -> None:
    rng = np.random.default_rng(seed)
    codes, values = rng.integers(0, groups, n), np.round(rng.normal(50, 1, n), 2)
    for order in (np.arange(n), np.argsort(codes, kind="stable")):
        got = by_group(codes[order], values[order], groups + 1)
        assert len(got) == groups + 1
        assert got[groups] == Summary()
        for g in range(groups):
            want = from_values(values[codes == g])
            assert (got[g].n, got[g].min, got[g].max) == (want.n, want.min, want.max)
            assert isclose(got[g].mean, want.mean, rel_tol=1e-12, abs_tol=1e-12)
            assert isclose(got[g].m2, want.m2, rel_tol=1e-9, abs_tol=1e-9)


def test_many_groups_span_several_blocks() -> None:
    rng = np.random.default_rng(2)
    codes = np.repeat(np.arange(50), 2000)
    values = rng.normal(0, 1, codes.size) + codes
    got = by_group(codes, values, 50)
    assert all(isclose(got[g].s or 0.0, float(np.std(values[codes == g], ddof=1)), rel_tol=1e-12) for g in range(50))


def test_groups_refuse_what_does_not_fit() -> None:
    with pytest.raises(DataError, match="each reading needs one"):
        by_group(np.array([0, 1]), np.array([1.0]), 2)
    with pytest.raises(DataError, match="outside 0 to 1"):
        by_group(np.array([0, 2]), np.array([1.0, 2.0]), 2)
    assert by_group(np.array([], dtype=np.int64), np.array([]), 2) == [Summary(), Summary()]


def test_lag1_is_the_definition() -> None:
    a = np.random.default_rng(4).normal(0, 1, 500)
    centred = a - a.mean()
    assert isclose(lag1(a) or 0.0, float((centred[1:] * centred[:-1]).sum() / (centred**2).sum()), rel_tol=1e-9)


# ------------------------------------------------------------------------------ tests of assumptions


def test_least_squares_agrees_with_statsmodels() -> None:
    import statsmodels.api as sm

    rng = np.random.default_rng(10)
    for _ in range(10):
        x = rng.normal(0, 1, (40, 3)) * [1, 100, 0.01] + [0, 1000, 5]
        y = x @ [1.0, 0.1, 30.0] + rng.normal(0, 1, 40)
        fit = least_squares(list(x.T), y)
        other = sm.OLS(y, sm.add_constant(x)).fit()
        assert np.allclose(fit.b, other.params, rtol=1e-7)
        assert np.allclose(fit.u, other.bse, rtol=1e-7)
        assert np.allclose(fit.covariance, other.cov_params(), rtol=1e-6)
        assert isclose(fit.r_squared, other.rsquared, rel_tol=1e-9)
        assert isclose(fit.f, other.fvalue, rel_tol=1e-7)
        value, u = fit.at((1.0, 0.5, 1010.0, 5.0))
        seen = other.get_prediction([[1.0, 0.5, 1010.0, 5.0]])
        assert isclose(value, seen.predicted_mean[0], rel_tol=1e-9)
        assert isclose(u, seen.se_mean[0], rel_tol=1e-6)


def test_least_squares_refuses_what_has_no_answer() -> None:
    with pytest.raises(DataError, match="more than 2"):
        least_squares([[1.0, 2.0]], [1.0, 2.0])
    with pytest.raises(DataError, match="cannot be told apart"):
        least_squares([[1.0, 2.0, 3.0, 4.0], [2.0, 4.0, 6.0, 8.0]], [1.0, 2.0, 3.0, 5.0])
    with pytest.raises(DataError, match="zero everywhere"):
        least_squares([[0.0] * 4], [1.0, 2.0, 3.0, 4.0], intercept=False)
    with pytest.raises(DataError, match="each reading needs one"):
        least_squares([[1.0, 2.0]], [1.0, 2.0, 3.0])


# ------------------------------------------------------------------------------ cost
MODULES = [
    f"spread.{m}"
    for m in (
        "statistics",
        "checks",
        "least_squares",
        "intervals",
        "capability",
        "outliers",
        "charts",
        "chart_rules",
        "chart_memory",
        "chart_counts",
        "chart_constants",
    )
] + [f"gauges.{m}" for m in ("study", "bias", "people", "everyday", "variance_components")]


def test_importing_these_rooms_brings_in_neither_numpy_nor_scipy() -> None:
    code = "import sys\n" + "\n".join(f"import inspect_tui.metrology.{m}" for m in MODULES)
    code += (
        "\nfrom inspect_tui.metrology.spread.statistics import from_values, Summary"
        "\nfrom_values([59.66, 59.68, 59.65]).add(59.7).merge(Summary()).shown()"
        "\nprint(sorted({m.split('.')[0] for m in sys.modules} & {'numpy', 'scipy', 'textual', 'sqlite3'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_hundred_thousand_readings_are_summarised_at_once() -> None:
    values = np.round(np.random.default_rng(3).normal(52, 0.1, 100_000), 2)
    from_values(values)
    assert calls(lambda: from_values(values)) < 1000  # never one a reading


@pytest.mark.parametrize("n", [3, 400])
def test_readings_too_large_to_be_squared_are_refused_in_words(n: int) -> None:
    with pytest.raises(DataError, match="no measured sizes"):
        from_values([(-1.0) ** i * 1.7e308 for i in range(n)])
    with pytest.raises(DataError, match="no measured sizes"):
        from_values([0.1 + (-1.0) ** i * 1e160 for i in range(n)])


@pytest.mark.parametrize("values", [[1e-300, 2e-300, 4e-300], [1e200, -1e200, 1e200, 1e190]])
def test_an_autocorrelation_that_cannot_be_summed_is_none(values: list[float]) -> None:
    assert lag1(values) is None
    assert lag1([0.123456789012 + v for v in (1, 2, 4)]) is not None
