"""The shop's own book of contraction: handbook prior, what finished jobs showed, and what the next job is offered."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, isfinite, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.sizes.contraction import SINGLE_VALUE_U, Handbook
from inspect_tui.metrology.typed.show import MM, count
from inspect_tui.model.words import Estimate

_TAU_JOBS = 2.0  # the stated scatter counts as much as what two jobs would show; ours, no source


@frozen
class ContractionBelief:
    """What is believed of one alloy, construction and axis. Fractions of the casting.

    `a` and `u` are the shop's mean contraction and its standard uncertainty, `tau` the scatter from job to job.
    """

    a: float
    u: float
    tau: float
    n_jobs: int
    rests_on: str

    @property
    def u_next(self) -> float:
        """Standard uncertainty of the next job's own contraction: of the mean, and job to job.

        A share of the casting, a fraction.
        """
        return hypot(self.u, self.tau)


def prior(entry: Handbook) -> Estimate:
    """A handbook value as a prior on this shop's mean: never surer than SINGLE_VALUE_U, however narrow the print.

    Fractions of the casting.
    """
    return Estimate(entry.a, max(entry.u, SINGLE_VALUE_U))


def between_jobs(jobs: Sequence[Estimate]) -> float:
    """Scatter (standard deviation) between jobs beyond their own uncertainties; 0 for fewer than two jobs.

    Source: DerSimonian and Laird 1986, Controlled Clinical Trials 7, the moment estimator, cut off at zero.
    """
    _check(jobs)
    if len(jobs) < 2:
        return 0.0
    weights = [1.0 / (job.u * job.u) for job in jobs]
    total = sum(weights)
    mean = sum(w * job.value for w, job in zip(weights, jobs, strict=True)) / total
    q = sum(w * (job.value - mean) ** 2 for w, job in zip(weights, jobs, strict=True))
    spare = total - sum(w * w for w in weights) / total
    return sqrt(max(0.0, (q - (len(jobs) - 1)) / spare))


def pooled(jobs: Sequence[Estimate], tau: float = 0.0) -> Estimate:
    """Mean of the jobs weighted by 1/(u^2 + tau^2) and its standard uncertainty. Source: as `between_jobs`.

    Fractions of the casting. DataError without a job.
    """
    _check(jobs)
    if not jobs:
        raise DataError("no job has shown a contraction yet")
    weights = [1.0 / (job.u * job.u + tau * tau) for job in jobs]
    total = sum(weights)
    return Estimate(sum(w * job.value for w, job in zip(weights, jobs, strict=True)) / total, 1.0 / sqrt(total))


def posterior(
    start: Estimate,
    jobs: Sequence[Estimate],
    *,
    says: str = "handbook",
    tau: float = SINGLE_VALUE_U,
    tau_jobs: float = _TAU_JOBS,
) -> ContractionBelief:
    """The prior `start` updated by what finished `jobs` showed (normal prior, normal data, Gelman et al. ch. 2 and 5).

    Jobs scatter about the shop's mean. That scatter is the DerSimonian-Laird estimate pooled, as a variance, with the
    stated `tau` counted as `tau_jobs` jobs: from two or three jobs alone it comes out as nothing far too often, and
    the book would then be too sure of itself. `tau_jobs=0` gives the plain estimate. `says` names the prior.
    """
    _check([start, *jobs])
    scatter = tau
    if len(jobs) > 1:
        freedom = len(jobs) - 1
        scatter = sqrt((tau_jobs * tau * tau + freedom * between_jobs(jobs) ** 2) / (tau_jobs + freedom))
    if not jobs:
        return ContractionBelief(start.value, start.u, scatter, 0, f"{says} alone, no job yet")
    seen = pooled(jobs, scatter)
    w_prior, w_seen = 1.0 / (start.u * start.u), 1.0 / (seen.u * seen.u)
    a = (w_prior * start.value + w_seen * seen.value) / (w_prior + w_seen)
    share = MM.percent(w_seen / (w_prior + w_seen))
    return ContractionBelief(
        a,
        1.0 / sqrt(w_prior + w_seen),
        scatter,
        len(jobs),
        f"{count(len(jobs), 'job')} ({share} of the weight) and {says}",
    )


def _check(estimates: Sequence[Estimate]) -> None:
    for estimate in estimates:
        if not (isfinite(estimate.value) and isfinite(estimate.u) and estimate.u > 0.0):
            raise DataError(
                f"a contraction of {MM.percent(estimate.value, None)} with uncertainty {MM.percent(estimate.u, None)} "
                "cannot be weighed: the uncertainty must be above zero"
            )
