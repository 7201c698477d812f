"""Tests of: the shop's own book of contraction: handbook prior, what finished jobs showed, and what the next job is offered"""

from __future__ import annotations

import random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.sizes.contraction import SINGLE_VALUE_U, handbook
from inspect_tui.metrology.sizes.contraction_book import between_jobs, pooled, posterior, prior
from inspect_tui.model.words import Estimate
from tests.metrology.sizes.test_contraction import jobs


@given(jobs, st.floats(0.0, 0.02), st.floats(0.0002, 0.003))
def test_the_book_lies_between_what_it_rests_on_and_is_surer_than_either(seen, a, u):
    book = posterior(Estimate(a, u), seen)
    values = [a, *(job.value for job in seen)]
    assert min(values) - 1e-12 <= book.a <= max(values) + 1e-12
    assert 0.0 < book.u <= u + 1e-15
    assert book.u_next >= max(book.u, book.tau)
    assert book.n_jobs == len(seen)
    if not seen:
        assert (book.a, book.u, book.tau) == (a, u, SINGLE_VALUE_U)


@given(jobs)
@settings(max_examples=60, deadline=None)
def test_scatter_and_mean_agree_with_an_independent_meta_analysis(seen):
    import numpy as np
    from statsmodels.stats.meta_analysis import combine_effects

    assume(len(seen) >= 2)
    values, variances = np.array([j.value for j in seen]), np.array([j.u**2 for j in seen])
    with np.errstate(all="ignore"):  # a negative moment estimate is cut off by us, a warning there
        theirs = combine_effects(values, variances, method_re="chi2")
    tau = between_jobs(seen)
    assert tau**2 == pytest.approx(max(0.0, theirs.tau2), rel=1e-6, abs=1e-12)
    if theirs.tau2 > 0:
        ours = pooled(seen, tau)
        assert ours.value == pytest.approx(theirs.mean_effect_re, rel=1e-8)
        assert ours.u == pytest.approx(theirs.sd_eff_w_re, rel=1e-6)


def test_the_offer_covers_the_next_job_as_often_as_it_says():
    """600 invented shops with their own mean and 0.12 % from job to job: u_next covers job 4 in 95 +/- 3 %."""
    chance = random.Random(11)
    hits = 0
    for _ in range(600):
        mean = chance.gauss(0.0100, 0.0015)
        true = [chance.gauss(mean, 0.0012) for _ in range(4)]
        seen = [Estimate(chance.gauss(a, 0.0003), 0.0003) for a in true[:3]]
        book = posterior(Estimate(0.0100, 0.0015), seen)
        hits += abs(true[3] - book.a) <= 1.96 * book.u_next
    assert 0.92 <= hits / 600 <= 0.985


def test_two_jobs_that_happen_to_agree_do_not_make_the_book_certain():
    seen = [Estimate(0.0080, 0.0003)] * 2
    assert between_jobs(seen) == between_jobs(seen[:1]) == between_jobs([]) == 0.0
    assert posterior(Estimate(0.0100, 0.0015), seen).tau > 0.001


def test_the_book_says_what_it_rests_on():
    start = Estimate(0.0100, 0.0015)
    assert posterior(start, [], says="8.3 to 10.4 mm/m").rests_on == "8.3 to 10.4 mm/m alone, no job yet"
    assert posterior(start, [Estimate(0.008, 0.0003)]).rests_on == "1 job (49 % of the weight) and handbook"
    assert posterior(start, [Estimate(0.008, 0.0003)] * 5).rests_on.startswith("5 jobs (")


def test_a_narrow_print_is_not_taken_for_certainty_about_this_shop():
    entry = next(e for e in handbook("ductile iron", 59.0) if e.text == "8.3 to 10.4 mm/m")
    assert entry.u < SINGLE_VALUE_U
    assert prior(entry) == Estimate(entry.a, SINGLE_VALUE_U)


def test_a_job_without_uncertainty_cannot_be_weighed():
    for bad in (Estimate(0.01, 0.0), Estimate(0.01, -1.0), Estimate(float("nan"), 0.001), Estimate(0.01, float("inf"))):
        with pytest.raises(DataError, match="cannot be weighed"):
            posterior(Estimate(0.01, 0.0015), [bad])
    with pytest.raises(DataError, match="no job"):
        pooled([])
