"""What is added comes back as it was added; what is corrected stays visible and stops counting."""

from __future__ import annotations

import math
import statistics
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_tui.errors import NotFound, RecordError
from inspect_tui.model.measuring import Calibration, Note, Person, Session, Setup, Supersede
from inspect_tui.model.work import DrawingRevision, End, Feature, Job, JobState, Lot
from inspect_tui.record.kinds import KINDS
from inspect_tui.record.store import Record
from tests.record.conftest import furnish


# ------------------------------------------------------------------ adding and reading back
def test_everything_added_is_read_back_equal(bench):
    record, job = bench.record, bench.job.of_id
    assert record.jobs() == [bench.job]
    assert record.job("4711") == record.job(bench.job.id) == bench.job
    assert record.revisions(job) == [bench.revision]
    assert record.revision(bench.revision.id) == bench.revision
    assert record.features(bench.revision.id) == bench.features
    assert record.feature(bench.features[1].id) == bench.features[1]
    assert record.cores(job) == [bench.core] == [record.core(bench.core.id)]
    assert record.tools(job) == [bench.tool] == [record.tool(bench.tool.id)]
    assert record.tool_features(bench.tool.of_id) == bench.tool_features
    assert record.tool_feature(bench.tool_features[0].id) == bench.tool_features[0]
    assert record.items(job) == [bench.item] == [record.item(bench.item.id)]
    assert record.people() == [bench.person]
    assert record.instruments() == [bench.instrument]
    assert record.sessions() == record.sessions(job) == [bench.session]
    assert record.setups(bench.session.id) == [bench.setup]
    lot = record.add(Lot(job_of_id=job, label="melt 7", poured_on="2025-04-01", quantity=12))
    assert record.lots(job) == [lot]
    old = record.add(Calibration(instrument_of_id=bench.instrument.of_id, done_on="2024-01-02", u95_mm=0.02))
    new = record.add(Calibration(instrument_of_id=bench.instrument.of_id, done_on="2025-01-02", u95_mm=0.02))
    assert record.calibrations(bench.instrument.of_id) == [old, new]
    record.add(JobState(job_id=bench.job.id, state="waiting", why="resin"))
    state = record.add(JobState(job_id=bench.job.id, state="reopened"))
    assert record.job_states() == {job: state}
    assert record.verify().ok


def test_nested_ends_and_steps_carry_the_ids_of_what_holds_them(bench):
    assert [e.feature_id for f in bench.features for e in f.ends] == [f.id for f in bench.features for _ in f.ends]
    assert all(s.tool_feature_id == t.id and len(s.id) == 16 for t in bench.tool_features for s in t.steps)


def test_who_wrote_it_stands_in_the_chain_and_readings_leave_it_to_the_setup(bench):
    reading = bench.log()
    rows = dict(bench.record._rows_of("SELECT id, by_id FROM entry"))
    assert rows[bench.person.id] == bench.person.id  # the first person signs their own row
    assert rows[bench.job.id] == rows[bench.features[0].ends[0].id] == bench.person.id
    assert rows[reading.id] is None


def test_all_or_nothing_is_written(bench):
    before, counts = bench.record.verify(), bench.record.counts()
    good, bad = bench.reading(59.5), bench.reading(59.6, rep=1000)
    with pytest.raises(RecordError, match="refuses this reading"):
        bench.record.append_readings([good, bad])
    missing = Feature(
        revision_id=bench.revision.id,
        balloon="F9",
        name="n",
        nominal=1.0,
        ends=(End(which="A", half="cope"), End(which="B", core_id=b"c" * 16)),
    )
    with pytest.raises(RecordError, match="not in the record"):
        bench.record.add(missing)
    assert bench.record.counts() == counts
    assert bench.record.verify() == before
    assert bench.record.summaries(bench.tool.of_id) == {}
    bench.record.append_reading(good)
    assert bench.record.verify().ok


def test_what_is_named_must_be_there(bench):
    with pytest.raises(RecordError, match="the setup that this reading names is not in the record"):
        bench.log(setup_id=b"s" * 16)
    with pytest.raises(RecordError, match="the tool that this reading names is not in the record"):
        bench.log(tool_id=b"t" * 16)
    with pytest.raises(RecordError, match="the job that this lot names is not in the record"):
        bench.record.add(Lot(job_of_id=b"j" * 16, label="1"))
    with pytest.raises(NotFound):
        bench.record.job("nope")
    with pytest.raises(NotFound):
        bench.record.feature(b"f" * 16)
    with pytest.raises(NotFound):
        bench.record.tool(b"t" * 16)


def test_a_reading_is_of_one_thing(bench):
    with pytest.raises(RecordError, match="say what was measured"):
        bench.log(item_id=bench.item.id)
    with pytest.raises(RecordError, match="say what was measured"):
        bench.log(tool_id=None, tool_feature_id=None)
    with pytest.raises(RecordError, match="the tool's own target"):
        bench.log(tool_feature_id=None)
    for wrong in (math.nan, math.inf, 1e5):
        with pytest.raises(RecordError):
            bench.log(wrong, typed="1")
    assert bench.record.counts()["reading"] == 0


def test_a_thing_is_added_once(bench):
    with pytest.raises(RecordError, match=r"this job is already in the record. To change it, add a new version"):
        bench.record.add(bench.job)
    with pytest.raises(RecordError, match="already in the record"):
        bench.record.add(Feature(revision_id=bench.revision.id, balloon="F1", name="again", nominal=1.0))


def test_text_is_cleaned_and_minus_zero_is_zero(bench):
    person = bench.record.add(Person(initials="<b>[red]", name="Zoe\u0308\x1b[31m \u202eevil"))
    assert (person.initials, person.name) == ("<b>[red]", "Zoë[31m evil")
    reading = bench.log(-0.0, typed=" 0.00\x07")
    assert (str(reading.value), reading.typed) == ("0.0", " 0.00")
    note = bench.record.add(Note(about_kind=18, about_id=reading.id, text="one\r\ntwo\x1b"))
    assert note.text == "one\ntwo"
    assert bench.record.notes(reading.id) == [note]
    assert bench.record.readings()[0].notes == (note,)
    assert bench.record.verify().ok


def test_serials_that_look_like_paths_are_only_text(bench):
    item = bench.record.add(replace(bench.item, id=b"", serial="../../etc/x"))
    assert bench.record.item(item.id).serial == "../../etc/x"


def test_several_things_that_name_each_other_go_in_together(bench):
    session = bench.record.new_id()
    stored = bench.record.add_all(
        [
            Session(id=session, job_of_id=bench.job.of_id),
            Setup(session_id=session, person_id=bench.person.id, instrument_id=bench.instrument.id),
        ]
    )
    assert stored[0].id == stored[1].session_id == session


# ------------------------------------------------------------------ versions
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


def test_a_new_contraction_is_a_new_version_with_its_own_steps(bench):
    old = bench.tool_features[0]
    steps = (old.steps[0], replace(old.steps[1], scale=1.012))
    new = bench.record.revise(old, bench.person.id, steps=steps)
    assert bench.record.tool_features(bench.tool.of_id) == [new, bench.tool_features[1]]
    assert bench.record.tool_features(bench.tool.of_id, old=True) == [old, new, bench.tool_features[1]]
    assert {s.id for s in new.steps} & {s.id for s in old.steps} == set()
    assert bench.record.tool_feature(old.id).steps[1].scale == 1.01
    tool = bench.record.revise(bench.tool, label="stick 3a")
    assert bench.record.tools(bench.job.of_id) == [tool]
    assert len(bench.record.tool_features(tool.of_id)) == 2  # also those made on the older version of the tool


def test_a_version_must_say_what_it_replaces(bench):
    with pytest.raises(RecordError, match="say which version this one replaces"):
        bench.record.add(replace(bench.job, id=b""))
    with pytest.raises(NotFound, match="the version it replaces is not in the record"):
        bench.record.add(replace(bench.job, id=b"", replaces_id=b"x" * 16))
    with pytest.raises(RecordError, match="a reading is not changed"):
        bench.record.revise(bench.log(), value=1.0)


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


# ------------------------------------------------------------------ readings
def test_a_logged_reading_tells_who_with_what_and_when(bench):
    reading = bench.log(59.66, typed="59.66")
    (logged,) = bench.record.readings()
    assert (logged.reading, logged.by, logged.instrument, logged.setup) == (reading, "JM", "caliper 2", bench.setup)
    assert (logged.supersede, logged.contested, logged.out, logged.notes) == (None, False, False, ())
    assert bench.record.reading(reading.id) == logged
    assert bench.record.reading(b"x" * 16) is None


def test_readings_are_found_by_feature_tool_item_and_session_and_paged_by_key(bench):
    record = bench.record
    on_tool = [bench.log(59.0 + n / 100, feature=n % 2) for n in range(7)]
    on_item = [record.append_reading(bench.on_item(58.0 + n / 100)) for n in range(3)]
    second = record.revise(bench.tool, label="stick 3 reworked")
    on_tool.append(bench.log(59.9, tool_id=second.id))
    session = record.add(Session(kind="casting"))
    setup = record.add(replace(bench.setup, id=b"", session_id=session.id))
    on_item.append(record.append_reading(bench.on_item(58.9, setup_id=setup.id)))

    def found(**asked):
        return [logged.reading for logged in record.readings(**asked)]

    assert found(tool_of_id=bench.tool.of_id) == on_tool  # over all versions of the tool
    assert found(item_id=bench.item.id) == on_item
    assert found(session_id=session.id) == on_item[-1:]
    everything = sorted(on_tool + on_item, key=lambda r: r.id)
    first = [r for r in everything if r.feature_id == bench.features[0].id]
    assert found(feature_id=bench.features[0].id) == first
    assert found(feature_id=bench.features[0].id, tool_of_id=bench.tool.of_id) == [r for r in first if r.tool_id]
    assert found() == everything
    assert found(newest_first=True) == everything[::-1]
    for newest_first in (False, True):
        pages, after = [], None
        while page := found(limit=4, newest_first=newest_first, after_id=after):
            pages += page
            after = page[-1].id
        assert pages == sorted(everything, key=lambda r: r.id, reverse=newest_first)


def test_a_void_reading_stays_visible_and_stops_counting(bench):
    record = bench.record
    kept, gone = bench.log(59.5), bench.log(95.5)
    void = record.void(gone.id, "misread", "figures swapped", bench.person.id)
    assert void == Supersede(id=void.id, target_id=gone.id, reason="misread", why="figures swapped")
    seen = {logged.reading.id: logged for logged in record.readings()}
    assert (seen[gone.id].supersede, seen[gone.id].superseded_by, seen[gone.id].out) == (void, "JM", True)
    assert seen[gone.id].superseded_at_us >= seen[gone.id].at_us
    assert [r.reading for r in record.readings(include_void=False)] == [kept]
    assert record.last_reading(bench.session.id).reading == kept
    assert record.last_reading(bench.session.id, include_void=True).reading == gone
    assert record.summaries(bench.tool.of_id)[kept.feature_id].n == 1


def test_a_correction_names_the_old_reading_and_both_stay(bench):
    old = bench.log(95.66, typed="95.66")
    new, answer = bench.record.correct(old.id, bench.reading(59.66), "misread", "figures swapped", bench.person.id)
    assert (answer.target_id, answer.replacement_id) == (old.id, new.id)
    was, now = bench.record.readings()
    assert (was.reading, was.out, was.supersede, now.reading, now.out) == (old, True, answer, new, False)
    assert (was.replaces_id, now.replaces_id) == (None, old.id)
    assert bench.record.summaries(bench.tool.of_id)[old.feature_id].mean == 59.66


def test_taking_out_needs_a_reason_and_happens_once(bench):
    record, reading = bench.record, bench.log()
    for empty in ("", "  ", "\x1b"):
        with pytest.raises(RecordError, match=r"say why in a few words|why is empty"):
            record.void(reading.id, "misread", empty)
    with pytest.raises(RecordError, match="'mistake' is none of misread"):
        record.void(reading.id, "mistake", "x")
    with pytest.raises(NotFound, match="That reading is not in the record"):
        record.void(b"r" * 16, "misread", "x")
    new, _ = record.correct(reading.id, bench.reading(59.5), "misread", "slipped", bench.person.id)
    with pytest.raises(RecordError, match=r"^already corrected at \d\d:\d\d by JM; correct that one$"):
        record.void(reading.id, "misread", "again")
    record.void(new.id, "test", "only a trial", bench.person.id)
    with pytest.raises(RecordError, match=r"^already voided at \d\d:\d\d by JM"):
        record.void(new.id, "misread", "again")
    assert record.counts()["supersede"] == 2
    assert record.verify().ok


def test_the_hour_of_an_earlier_correction_is_the_benchs_own(tmp_path):
    clock = [1_750_000_000_000_000, 120]  # 2025-06-15 15:06:40 UTC, two hours ahead
    with Record.open(tmp_path / "b.db", create=True, clock=lambda: (clock[0], clock[1])) as record:
        bench = furnish(record)
        reading = bench.log()
        record.void(reading.id, "misread", "x", bench.person.id)
        with pytest.raises(RecordError, match="already voided at 17:06 by JM"):
            record.void(reading.id, "misread", "x")
        clock[0] += 86_400_000_000
        with pytest.raises(RecordError, match="already voided at 2025-06-15 17:06 by JM"):
            record.void(reading.id, "misread", "x")


def merged(bench, target, replacement):
    """A supersede as it comes in from another bench, which did not know of ours."""

    def put(tx):
        tx._settled = lambda supersede: None
        answer = Supersede(target_id=target.id, replacement_id=replacement.id, reason="misread", why="theirs")
        return tx.put(answer, bench.person.id)

    return bench.record._write(put, ())


def contest(bench):
    """What a merge of two benches leaves: one reading, two answers, each with its own replacement."""
    old = bench.log(95.66)
    mine, _ = bench.record.correct(old.id, bench.reading(59.66), "misread", "mine", bench.person.id)
    theirs = bench.log(59.69)
    return old, mine, theirs, merged(bench, old, theirs)


def test_a_contested_reading_counts_nowhere_until_it_is_settled(bench):
    record = bench.record
    old, mine, theirs, later = contest(bench)
    other = bench.log(59.6)
    by_id = {logged.reading.id: logged for logged in record.readings()}
    assert by_id[old.id].contested
    assert {i for i, logged in by_id.items() if logged.out} == {old.id, mine.id, theirs.id}
    assert record.summaries(bench.tool.of_id)[other.feature_id].n == 1
    answer = record.supersede(old.id, "other", "looked at the casting", theirs.id, bench.person.id)
    assert answer.settles_id == later.id
    by_id = {logged.reading.id: logged for logged in record.readings()}
    assert not by_id[old.id].contested
    assert by_id[old.id].supersede == answer
    assert {i for i, logged in by_id.items() if logged.out} == {old.id, mine.id}
    assert record.summaries(bench.tool.of_id)[other.feature_id].n == 2
    with pytest.raises(RecordError, match="already corrected"):
        record.void(old.id, "misread", "again")
    late = bench.log(59.7)
    merged(bench, old, late)  # a third answer, from a bench that was away: what was settled stays
    seen = {logged.reading.id: logged for logged in record.readings()}
    assert (seen[old.id].supersede, seen[old.id].contested, seen[late.id].out) == (answer, False, True)
    before = record.summaries(bench.tool.of_id)
    record.rebuild_summaries()
    assert record.summaries(bench.tool.of_id) == before


# ------------------------------------------------------------------ summaries
def same(a, b):
    assert a.keys() == b.keys()
    for key, one in a.items():
        two = b[key]
        assert (one.n, one.min, one.max, one.last_value, one.last_at_us) == (
            two.n,
            two.min,
            two.max,
            two.last_value,
            two.last_at_us,
        )
        assert one.mean == pytest.approx(two.mean, rel=1e-12)
        assert one.m2 == pytest.approx(two.m2, rel=1e-6, abs=1e-9)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(values=st.lists(st.floats(-9e4, 9e4), min_size=1, max_size=12), voids=st.sets(st.integers(0, 11)))
def test_summaries_move_by_merging_and_agree_with_all_readings(bench, values, voids):
    item = bench.record.add(replace(bench.item, id=b""))
    logged = [bench.record.append_reading(bench.on_item(v, item_id=item.id)) for v in values]
    for n in voids:
        if n < len(logged):
            bench.record.void(logged[n].id, "test", "drawn", bench.person.id)
    left = [r.value for n, r in enumerate(logged) if n not in voids]
    moved = bench.record.summaries(item_id=item.id)
    if not left:
        assert moved == {}
        return
    one = moved[bench.features[0].id]
    assert (one.n, one.min, one.max, one.last_value) == (len(left), min(left), max(left), left[-1])
    assert one.mean == pytest.approx(statistics.fmean(left), rel=1e-9, abs=1e-9)
    assert one.m2 == pytest.approx(statistics.pvariance(left) * len(left), rel=1e-6, abs=1e-6)
    bench.record.rebuild_summaries()
    same(moved, bench.record.summaries(item_id=item.id))


def test_a_summary_does_not_lose_its_spread_on_a_large_mean(bench):
    # the textbook case against sum-of-squares: offset 1e4 mm, spread of microns
    values = [10_000.0 + n * 1e-3 for n in (4, 7, 13, 16)]
    for value in values:
        bench.record.append_reading(bench.on_item(value))
    one = bench.record.summaries(item_id=bench.item.id)[bench.features[0].id]
    assert one.m2 / 3 == pytest.approx(30e-6, rel=1e-6)  # sample variance of 4, 7, 13, 16 is 30


def test_a_summary_gathers_all_versions_of_a_tool(bench):
    bench.log(59.5)
    second = bench.record.revise(bench.tool, label="stick 3 reworked")
    bench.log(59.7, tool_id=second.id)
    one = bench.record.summaries(bench.tool.of_id)[bench.features[0].id]
    assert (one.n, one.last_value) == (2, 59.7)


# ------------------------------------------------------------------ the file
def test_counts_name_every_table(bench):
    assert set(bench.record.counts()) == {k.table for k in KINDS}


def test_a_backup_is_one_verified_file_that_opens_as_a_record(bench, tmp_path):
    reading = bench.log()
    where = bench.record.backup(tmp_path / "stick", label="end of day!")
    again = bench.record.backup(tmp_path / "stick", label="end of day!")
    assert where != again
    assert where.name.startswith("bench-")
    assert "end-of-day" in where.name
    assert sorted(p.name for p in where.parent.iterdir()) == sorted([where.name, again.name])
    assert where.read_bytes()[18:20] == b"\1\1"  # rollback journal: complete without a log beside it
    with Record.open(where, read_only=True) as copy:
        assert copy.readings()[0].reading == reading
        assert copy.verify() == bench.record.verify()
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="No backup"):
        bench.record.backup(tmp_path / "file")


def test_a_checkpoint_folds_the_log_in(bench):
    bench.log()
    assert bench.record.checkpoint()
    assert bench.reading().typed.encode() in bench.record.path.read_bytes()


def test_a_clock_that_ran_back_is_noticed_and_order_is_kept(tmp_path):
    clock = [1_750_000_000_000_000]
    with Record.open(tmp_path / "b.db", create=True, clock=lambda: (clock[0], 0)) as record:
        bench = furnish(record)
        first = bench.log(59.1)
        assert not record.clock_ran_back()
        clock[0] -= 365 * 86_400_000_000
        assert record.clock_ran_back()
        second = bench.log(59.2)
        assert second.id > first.id
    with Record.open(tmp_path / "b.db", clock=lambda: (clock[0], 0)) as record:
        third = record.append_reading(bench.reading(59.3))
        assert third.id > second.id
        assert [r.reading.value for r in record.readings()] == [59.1, 59.2, 59.3]
        assert record.verify().ok


def test_closing_twice_is_harmless_and_a_closed_record_writes_nothing(bench):
    bench.record.close()
    bench.record.close()
    with pytest.raises(RecordError, match="The record is closed"):
        bench.log()
