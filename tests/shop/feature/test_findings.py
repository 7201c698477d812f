"""Histogram, breakdown and findings: nothing is lost, nothing is claimed of too few, differences agree with Welch."""

from __future__ import annotations

from array import array
from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtri

from inspect_tui.model.words import Band
from inspect_tui.shop.feature.findings import breakdown, findings, histogram
from inspect_tui.shop.feature.material import Material

BAND = Band(9.5, 10.5, "drawing")
SIZES = st.floats(-500, 500, allow_nan=False)
STEPS = st.integers(900, 1100).map(lambda i: i / 100)


def plain(values: list[float], **more: object) -> Material:
    return Material(title="width", where="here", unit="mm", values=array("d", values), **more)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------ histogram
@given(st.lists(SIZES, max_size=200), st.integers(5, 30))
@settings(deadline=None)
def test_every_reading_is_in_one_bin_or_told_to_be_beyond(values: list[float], most: int) -> None:
    found = histogram(plain(values), most)
    assert sum(found.counts) + found.below + found.above == len(values)
    assert len(found.edges) == (len(found.counts) + 1 if values else 0)
    assert len(found.counts) <= 2 * most + 1


@given(st.lists(STEPS, min_size=2, max_size=100))
@settings(deadline=None)
def test_no_reading_of_a_stepped_instrument_falls_on_an_edge(values: list[float]) -> None:
    found = histogram(plain(values))
    assert min(abs(v - e) for v in values for e in found.edges) > 0.0049


@given(st.lists(STEPS, min_size=1, max_size=100))
@settings(deadline=None)
def test_what_is_outside_the_band_is_counted_exactly(values: list[float]) -> None:
    found = histogram(plain(values, band=BAND))
    assert found.out_low == sum(v < 9.5 for v in values) and found.out_high == sum(v > 10.5 for v in values)


def test_a_reading_on_the_limit_is_inside() -> None:
    assert histogram(plain([9.5, 10.5], band=BAND)).sentence == "all 2 inside the band"


def test_one_wild_reading_does_not_make_one_bin_of_all_others() -> None:
    values = [10.0 + 0.01 * (i % 20) for i in range(100)] + [101.0]
    found = histogram(plain(values))
    assert found.above == 1 and len([c for c in found.counts if c]) > 5


@pytest.mark.parametrize("values", [[], [10.0], [10.0] * 5])
def test_little_or_equal_readings_make_a_histogram_too(values: list[float]) -> None:
    found = histogram(plain(values))
    assert sum(found.counts) == len(values)
    assert ("nothing to count" in found.sentence) is (not values)


# ------------------------------------------------------------------------------ who and with what
@given(st.lists(st.tuples(st.sampled_from("abc"), STEPS), min_size=2, max_size=60))
@settings(deadline=None)
def test_a_difference_from_the_others_is_that_of_welch(rows: list[tuple[str, float]]) -> None:
    """scipy.stats.ttest_ind with unequal variances: its interval's half width is U of the difference at 95 %."""
    from scipy.stats import ttest_ind

    material = plain([v for _, v in rows], labels={"person": [p for p, _ in rows]})
    for group in breakdown(material, "person").groups:
        own = [v for p, v in rows if p == group.name]
        others = [v for p, v in rows if p != group.name]
        if not others:
            assert group.difference is None
            continue
        assert group.difference == pytest.approx(sum(own) / len(own) - sum(others) / len(others), abs=1e-9)
        if len(own) > 1 and len(others) > 1 and (len(set(own)) > 1 or len(set(others)) > 1):
            interval = ttest_ind(own, others, equal_var=False).confidence_interval(0.95)
            assert group.u95 == pytest.approx((interval.high - interval.low) / 2, rel=1e-6)


def test_an_instrument_that_reads_high_is_named() -> None:
    low, high = [10.00, 10.01, 9.99, 10.02, 9.98] * 4, [10.05, 10.06, 10.04, 10.07, 10.03] * 4
    names: list[str | None] = ["one"] * 20 + ["two"] * 20
    found = breakdown(plain(low + high, labels={"instrument": names}), "instrument")
    assert [g.name for g in found.groups] == ["one", "two"]
    assert found.groups[1].difference == pytest.approx(0.05)
    assert found.groups[1].u95 is not None and found.groups[1].u95 < 0.02
    assert "the means differ by instrument" in found.sentences[0] and "0.050" in found.sentences[0]
    assert "a gauge study tells them apart" in found.sentences[-1]


def test_a_person_who_spreads_more_is_named() -> None:
    calm = [10 + 0.01 * (-1) ** i for i in range(30)]
    wild = [10 + 0.09 * (-1) ** i * (1 + i % 3) / 2 for i in range(30)]
    names: list[str | None] = ["calm"] * 30 + ["wild"] * 30
    found = breakdown(plain(calm + wild, labels={"person": names}), "person")
    assert any("the spreads differ by person" in s and "widest: wild" in s for s in found.sentences)


def test_drift_does_not_widen_the_short_term_spread() -> None:
    values = [10 + 0.1 * i + 0.01 * (-1) ** i for i in range(40)]
    one = breakdown(plain(values, labels={"person": ["AB"] * 40}), "person").groups[0]
    assert one.s_short is not None and one.summary.s is not None and one.s_short < 0.12 < 1 < one.summary.s


@pytest.mark.parametrize(
    ("labels", "say"),
    [([None, None], "no person is known"), (["AB", "AB"], "only one person"), (["AB", None], "only one person")],
)
def test_nobody_to_compare_is_said(labels: list[str | None], say: str) -> None:
    found = breakdown(plain([1.0, 2.0], labels={"person": labels}), "person")
    assert say in found.sentences[0] and found.unnamed == labels.count(None)


def test_no_readings_have_nobody() -> None:
    assert breakdown(plain([]), "person").groups == ()


# ------------------------------------------------------------------------------ what they tell
@pytest.mark.parametrize(
    ("values", "say"),
    [
        ([], "no readings"),
        ([10.0], "one reading"),
        ([10.0, 10.1], "of 2 pieces no capability is claimed"),
        ([10.0] * 30, "all 30 readings are equal"),
    ],
    ids=["0", "1", "2", "all equal"],
)
def test_too_little_is_said_and_not_computed(values: list[float], say: str) -> None:
    found = findings(plain(values, band=BAND))
    said = [*found.why, found.normality.sentence, found.outliers.sentence]
    said += [found.capability.sentence] if found.capability else []
    assert any(say in s for s in said)
    assert found.normality.normal is None
    if len(values) < 2 or len(set(values)) == 1:
        assert found.mean is None and found.tolerance is None and (not values or found.capability is not None)
        assert found.capability is None or found.capability.c_pk.value is None


def test_without_limits_there_is_no_capability() -> None:
    found = findings(plain([10.0, 10.1, 9.9] * 10))
    assert found.capability is None and any("no limits are stated" in s for s in found.why)
    assert found.mean is not None and found.mean.lower < 10.0 < found.mean.upper


def test_an_outlier_is_flagged_and_still_counted() -> None:
    values = [10 + 0.01 * ((i * 7) % 11 - 5) for i in range(40)] + [12.0]
    found = findings(plain(values, band=BAND))
    assert found.outliers.index == (40,) and "still counted" in found.outliers.sentence
    assert found.mean is not None and found.mean.upper > 10.0
    assert found.capability is not None and found.capability.counted_out == 1


def test_an_open_band_has_a_one_sided_index() -> None:
    values = [10 + 0.01 * ((i * 7) % 11 - 5) for i in range(60)]
    found = findings(plain(values, band=Band(None, 10.5, "drawing")))
    assert found.capability is not None and found.capability.c_p.value is None
    assert found.capability.c_pk.value is not None and found.capability.c_pk.value < inf


# ------------------------------------------------------------------------------ order, heaps, risks
def like_neighbours(n: int = 120, rho: float = 0.8) -> list[float]:
    """Readings that resemble their neighbours: AR(1), fixed seed."""
    rng = np.random.default_rng(5)
    x = [0.0]
    for _ in range(n - 1):
        x.append(rho * x[-1] + float(rng.normal(0, 0.05)))
    return [round(10 + v, 3) for v in x]


def test_likeness_of_neighbours_marks_every_line_that_it_spoils() -> None:
    spoilt = findings(plain(like_neighbours(), band=BAND), u=0.01)
    assert "resemble each other" in spoilt.spoiled
    for interval in (spoilt.mean, spoilt.sd, spoilt.following, spoilt.tolerance, spoilt.distribution_free):
        assert interval is not None
        assert interval.holds is False
        assert spoilt.spoiled in interval.sentence
    assert spoilt.capability is not None
    assert spoilt.capability.holds is False
    assert spoilt.risks is not None
    for told in (spoilt.normality, spoilt.outliers, spoilt.heaps, spoilt.risks):
        assert "resemble each other" in told.sentence
    mixed = like_neighbours()
    np.random.default_rng(1).shuffle(mixed)
    free = findings(plain(mixed, band=BAND), u=0.01)
    assert free.spoiled == ""
    assert free.mean is not None
    assert free.mean.holds is True
    assert free.distribution_free is not None
    assert free.distribution_free.holds is True
    assert not any("resemble" in told.sentence for told in (free.normality, free.outliers, free.heaps))


def test_two_heaps_are_said_beside_the_histogram_and_among_the_findings() -> None:
    rng = np.random.default_rng(2)
    values = [*rng.normal(9.8, 0.03, 40), *rng.normal(10.2, 0.03, 40)]
    rng.shuffle(values)
    two = findings(plain(values, band=BAND))
    assert two.heaps.two is True
    assert histogram(plain(values, band=BAND)).heaps == two.heaps.sentence
    assert histogram(plain(rng.normal(10, 0.1, 80).tolist())).heaps == ""


def test_risks_take_the_reading_off_the_spread() -> None:
    """JCGM 106:2012, 9.5; r1 of its check values: true spread 0.5, u 0.125, limits 1 from the middle."""
    z = np.array([ndtri((i + 0.5) / 4000) for i in range(4000)])
    values = (z / z.std(ddof=1) * (0.5**2 + 0.125**2) ** 0.5).tolist()
    told = findings(plain(values, band=Band(-1.0, 1.0, "drawing")), u=0.125).risks
    assert told is not None
    assert told.s_true == pytest.approx(0.5, rel=1e-6)
    assert told.at_limits.consumer == pytest.approx(0.00800608, abs=1e-6)
    assert told.at_limits.producer == pytest.approx(0.01485088, abs=1e-6)
    assert told.guarded.consumer == pytest.approx(0.00019461, abs=1e-6)
    assert told.guarded.producer == pytest.approx(0.10030445, abs=1e-6)
    assert "0.80 % of all pieces are accepted though outside and 1.49 % refused though inside" in told.sentence
    assert "U inside them, 0.02 % and 10.03 %" in told.sentence


def test_no_risk_is_claimed_where_none_can_be() -> None:
    few = findings(plain([10.0, 10.1, 9.9] * 3, band=BAND), u=0.01)
    assert few.risks is None
    assert any("no risk over all pieces is claimed" in why for why in few.why)
    coarse = findings(plain([10.0, 10.1, 9.9] * 20, band=BAND), u=0.2)
    assert coarse.risks is None
    assert any("spread no more than their uncertainty" in why for why in coarse.why)
    assert findings(plain([10.0, 10.1, 9.9] * 20), u=0.01).risks is None
    assert findings(plain([10.0, 10.1, 9.9] * 20, band=BAND)).risks is None


def test_capability_is_told_about_the_size_aimed_at() -> None:
    values = [10 + 0.01 * ((i * 7) % 11 - 5) for i in range(60)]
    off, mid = (findings(plain(values, band=BAND, target=t)).capability for t in (10.3, None))
    assert off is not None
    assert mid is not None
    assert (off.target, mid.target) == (10.3, 10.0)
    assert off.p_m is not None
    assert mid.p_m is not None
    assert off.p_m < mid.p_m
