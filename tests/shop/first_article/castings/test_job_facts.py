"""What is asked of a job more than once is asked of the record once, and is what the record says."""

from __future__ import annotations

from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings.job_facts import JobFacts
from inspect_tui.shop.first_article.castings.rounds import pick_round, rounds
from inspect_tui.shop.first_article.castings.sampling import Sampling
from tests.operations import questions


def test_facts_are_what_the_record_says_and_asked_for_once(sampled: Record) -> None:
    job = sampled.jobs()[0]
    facts = JobFacts(sampled, job)
    assert facts.lots == sampled.lots(job.of_id)
    assert facts.rounds == rounds(sampled, job)
    assert facts.fits == sampled.fits(job.of_id)
    assert facts.datum_targets == sampled.datum_targets(job.of_id)
    assert facts.cuts_accepted == sampled.cuts_accepted(job.of_id)
    assert questions(sampled, lambda: (facts.lots, facts.rounds, facts.fits, facts.cuts_accepted)) == 0


def test_a_sampling_beside_another_shares_what_is_of_the_job_and_reads_its_own_castings(sampled: Record) -> None:
    job = sampled.jobs()[0]
    first = Sampling(sampled, job, pick_round(sampled, job, "S1"))
    alone = Sampling(sampled, job, pick_round(sampled, job, "S2"))
    beside = Sampling(sampled, job, pick_round(sampled, job, "S2"), beside=first)
    assert beside.evidence is first.evidence and beside.facts is first.facts
    assert beside.revision == alone.revision and beside.requirements == alone.requirements
    for feature in alone.features:
        for item in alone.castings:
            assert beside.cell(feature, item) == alone.cell(feature, item)
    few = questions(sampled, lambda: Sampling(sampled, job, pick_round(sampled, job, "S3"), beside=first))
    assert few < questions(sampled, lambda: Sampling(sampled, job, pick_round(sampled, job, "S3")))


def test_read_again_a_sampling_knows_what_came_meanwhile(sampled: Record) -> None:
    job = sampled.jobs()[0]
    sampling = Sampling(sampled, job, pick_round(sampled, job, "S1"))
    facts, evidence = sampling.facts, sampling.evidence
    sampling.reload()
    assert sampling.facts is not facts and sampling.evidence is not evidence
