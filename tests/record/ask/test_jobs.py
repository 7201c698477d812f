"""Questions about jobs, drawings and tools: the version that counts, and what lies before it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.errors import NotFound, RecordError
from inspect_tui.model.work import DrawingRevision, Job
from inspect_tui.record.kinds import KINDS


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


def test_counts_name_every_table(bench):
    assert set(bench.record.counts()) == {k.table for k in KINDS}
