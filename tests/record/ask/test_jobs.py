"""Questions about jobs, drawings and tools: the version that counts, and what lies before it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.errors import NotFound, RecordError
from inspect_tui.model.work import DrawingRevision, Job
from inspect_tui.record.kinds import KINDS
from inspect_tui.record.store import Record


def test_a_new_version_is_current_and_the_old_one_stays(bench):
    record = bench.record
    better = record.revise(bench.job, bench.person.id, name="exhaust manifold", a_x=0.012)
    assert (better.of_id, better.replaces_id) == (bench.job.id, bench.job.id)
    assert record.jobs() == [better]
    assert record.job("4711") == record.job(bench.job.id) == record.job(better.id) == better
    assert record.job_history(bench.job.of_id) == [bench.job, better]
    with pytest.raises(RecordError, match=r"this job was changed at \d\d:\d\d by JM; look at that and change it again"):
        record.revise(bench.job, name="other")
    record.revise(better, number="4712")
    with pytest.raises(NotFound, match="There is no job 4711"):
        record.job("4711")


def test_two_jobs_of_one_number_are_told_apart(bench):
    bench.record.add(Job(number="4711", name="another"))
    with pytest.raises(NotFound, match="2 jobs carry the number 4711"):
        bench.record.job("4711")
    assert len(bench.record.jobs()) == 2


def test_a_feature_is_followed_through_the_revisions(bench):
    record, line = bench.record, [bench.features[0]]
    for rev in "BC":
        revision = record.add(DrawingRevision(job_of_id=bench.job.of_id, number="D-100", rev=rev))
        line.append(record.add(replace(line[-1], id=b"", revision_id=revision.id, same_as_id=line[-1].id)))
    ids = [f.id for f in line]
    assert [record.feature_lineage(i) for i in ids] == [ids] * 3
    assert record.feature_lineage(bench.features[1].id) == [bench.features[1].id]
    assert [r.rev for r in record.revisions(bench.job.of_id)] == ["A", "B", "C"]


def test_a_feature_that_another_program_added_is_there_at_once(bench, tmp_path):
    record, seen = bench.record, bench.features[0]
    before = record.features(seen.revision_id)
    with Record.open(record.path, state_dir=tmp_path / "other") as other:
        added = other.add(replace(seen, id=b"", balloon="F99", ord=99))
    assert record.features(seen.revision_id) == [*before, added]
    assert record.job_features(bench.job.of_id)[-1] == added


def test_a_feature_that_was_never_committed_is_not_taken_for_the_one_that_came_after_it(bench):
    record, seen = bench.record, bench.features[0]

    def fails(tx):
        tx.put(replace(seen, id=b"", balloon="F98", ord=99), None)
        assert [f.balloon for f in record.features(seen.revision_id)][-1] == "F98"
        raise ValueError

    with pytest.raises(ValueError):
        record.in_one_transaction(fails)
    record.add(replace(seen, id=b"", balloon="F99", ord=99))
    assert [f.balloon for f in record.features(seen.revision_id)][-1] == "F99"


def test_a_list_of_features_is_the_callers_own(bench):
    record, seen = bench.record, bench.features[0]
    record.features(seen.revision_id).clear()
    assert seen in record.features(seen.revision_id)


def test_counts_name_every_table(bench):
    assert set(bench.record.counts()) == {k.table for k in KINDS}
