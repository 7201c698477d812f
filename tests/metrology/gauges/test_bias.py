"""Tests of: bias of a gauge against references: at one size, along its range (linearity), over time (stability), over runs"""

from __future__ import annotations

from itertools import pairwise
from math import isclose, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.gauges.bias import bias_study, linearity_study, nested_study, stability_study, steps
from inspect_tui.metrology.spread.charts import Break
from inspect_tui.metrology.spread.statistics import from_values
from tests.metrology.gauges.test_study import check_piece


def test_bias_is_the_t_interval_with_the_reference_added() -> None:
    y = [25.012, 25.010, 25.013, 25.011, 25.012]
    plain = bias_study(y, 25.0)
    t = stats.ttest_1samp(np.array(y) - 25.0, 0.0)
    low, high = t.confidence_interval(0.95)
    assert isclose(plain.lower, low, rel_tol=1e-6)
    assert isclose(plain.upper, high, rel_tol=1e-6)
    assert isclose(plain.p, t.pvalue, rel_tol=1e-5)
    assert plain.differs
    assert "high" in plain.sentence
    unsure = bias_study(y, 25.0, 0.01)
    assert unsure.u == pytest.approx(sqrt(plain.u**2 + 0.0001))
    assert not unsure.differs
    assert "no bias shown" in unsure.sentence
    assert unsure.upper - unsure.bias == pytest.approx(1.96 * unsure.u, rel=0.01)


def test_bias_of_few_or_equal_readings() -> None:
    with pytest.raises(DataError, match="at least 2"):
        bias_study([25.0], 25.0)
    with pytest.raises(DataError, match="reference"):
        bias_study([25.0, 25.1], nan)
    with pytest.raises(DataError, match="reference"):
        bias_study([25.0, 25.1], 25.0, -1.0)
    equal = bias_study([25.02, 25.02, 25.02], 25.0, 0.001)
    assert equal.differs
    assert "equal" in equal.sentence
    assert bias_study([25.0, 25.0], 25.0).p == 1.0


def test_bias_intervals_hold_as_stated() -> None:
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(2000):
        reference_error = rng.normal(0, 0.02)  # of the certificate
        b = bias_study(10.05 + reference_error + rng.normal(0, 0.03, 6), 10.0, 0.02)
        held += b.lower <= 0.05 <= b.upper
    assert abs(held / 2000 - 0.95) < 0.025


def test_linearity_finds_a_slope_and_a_bend() -> None:
    rng = np.random.default_rng(12)
    sizes = [10.0, 50.0, 100.0, 150.0, 200.0]
    sloped = linearity_study(sizes, [list(x * 1.0005 + rng.normal(0, 0.01, 8)) for x in sizes])
    assert sloped.slope == pytest.approx(0.0005, rel=0.2)
    assert sloped.differs
    assert "slope is significant" in sloped.sentence
    value, low, high = sloped.at(100.0)
    assert low < 0.05 < high
    assert low < value < high
    flat = linearity_study(sizes, [list(x + rng.normal(0, 0.01, 8)) for x in sizes])
    assert not flat.differs
    bent = linearity_study(sizes, [list(x + 5e-6 * (x - 100) ** 2 + rng.normal(0, 0.005, 8)) for x in sizes])
    assert (bent.p_lack_of_fit or 1) < 0.01
    assert "does not describe" in bent.sentence
    once = linearity_study(sizes, [[x + 0.01] for x in sizes])
    assert once.p_lack_of_fit is None
    assert "one reading" in once.biases[0].sentence
    with pytest.raises(DataError, match="two different"):
        linearity_study([10.0, 10.0], [[10.0, 10.1], [10.0, 10.2]])
    with pytest.raises(DataError, match="one set to each"):
        linearity_study([10.0, 20.0], [[10.0]])


def test_the_planted_bias_and_its_last_week_are_found() -> None:
    for seed in range(40):
        stability = stability_study(check_piece(seed), 50.0)
        assert [s.index for s in stability.steps][:1] in ([44], [45], [46])
        first = stability.biases[0]
        assert first[2].bias == pytest.approx(0.05, abs=0.01)
        assert first[2].differs
        assert not stability.stable
        assert stability.sentence.startswith("changed")


def test_a_known_adjustment_splits_the_stretches() -> None:
    stability = stability_study(check_piece(1), 50.0, breaks=[Break(45, "adjusted")])
    assert [(i, j) for i, j, _ in stability.biases] == [(0, 45), (45, 100)]
    assert not stability.steps
    assert stability.chart.segments[1].reason == "adjusted"
    quiet = stability_study([50.0, 50.01] * 20, 50.0)
    assert quiet.steps == ()
    with pytest.raises(DataError, match="at least 1"):
        stability_study([], 50.0)


def test_steps_are_seldom_seen_where_there_are_none() -> None:
    false = sum(bool(steps(np.random.default_rng(s).normal(0, 1, 80))) for s in range(1000))
    assert false <= 22  # risk 1 %, four standard errors


@given(st.integers(0, 2**32 - 1), st.lists(st.integers(12, 30), min_size=1, max_size=4))  # of 8, one in 200 hides it
@settings(max_examples=30, deadline=None)
def test_clear_steps_are_found_at_their_places(seed: int, lengths: list[int]) -> None:
    rng = np.random.default_rng(seed)
    x = np.concatenate([rng.normal(20.0 * (i % 2) + 3 * i, 1, n) for i, n in enumerate(lengths)])
    lasting = steps(x, alpha=1e-5)
    assert [int(v) for v in np.cumsum(lengths)[:-1]] == [s.index for s in lasting]
    for a, b in pairwise(lasting):
        assert isclose(a.after, b.before, rel_tol=1e-9)


def test_steps_of_short_and_equal_series() -> None:
    assert steps([]) == ()
    assert steps([1.0, 2.0, 9.0]) == ()
    assert steps([5.0] * 30) == ()
    assert [s.index for s in steps([5.0] * 10 + [6.0] * 10)] == [10]
    assert steps([1.0] * 10 + [50.0] + [1.0] * 10) == ()  # one wild reading is no step


def test_nested_study_refuses_uneven_runs() -> None:
    day = from_values([1.0, 1.1, 1.2])
    with pytest.raises(DataError, match="every run"):
        nested_study([[day, day], [day]])
    one = nested_study([[day, from_values([1.3, 1.2, 1.1])]])
    assert one.between_runs is None
    assert one.added_by_runs is None
