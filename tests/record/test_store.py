"""What is added comes back as it was added; what is corrected stays visible and stops counting."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from inspect_tui.errors import NotFound, RecordError
from inspect_tui.model.measuring import Calibration, Note, Person, Session, Setup
from inspect_tui.model.work import End, Feature, JobState, Lot
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


# ------------------------------------------------------------------ readings


def test_a_correction_names_the_old_reading_and_both_stay(bench):
    old = bench.log(95.66, typed="95.66")
    new, answer = bench.record.correct(old.id, bench.reading(59.66), "misread", "figures swapped", bench.person.id)
    assert (answer.target_id, answer.replacement_id) == (old.id, new.id)
    was, now = bench.record.readings()
    assert (was.reading, was.out, was.supersede, now.reading, now.out) == (old, True, answer, new, False)
    assert (was.replaces_id, now.replaces_id) == (None, old.id)
    assert bench.record.summaries(bench.tool.of_id)[old.feature_id].mean == 59.66


# ------------------------------------------------------------------ the file


def test_a_checkpoint_folds_the_log_in(bench):
    bench.log()
    assert bench.record.checkpoint()
    assert bench.reading().typed.encode() in bench.record.path.read_bytes()


def test_a_clock_that_ran_back_is_noticed_and_order_is_kept(tmp_path):
    clock = [1_750_000_000_000_000]
    with Record.open(tmp_path / "b.db", create=True, clock=lambda: (clock[0], 0)) as record:
        bench = furnish(record)
        first = bench.log(59.1)
        assert record.clock_doubt() is None
        clock[0] -= 365 * 86_400_000_000
        doubt = record.clock_doubt()
        assert doubt is not None and doubt.back
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


def test_a_version_that_says_nothing_new_is_not_written(bench) -> None:
    """Of a tool, a core, a person and a gauge: the thing as it is comes back, and no row is added."""
    record, job = bench.record, bench.job
    things = [*record.tools(job.of_id), *record.cores(job.of_id), *record.people(), *record.instruments(), job]
    before = record.frontier()
    assert {type(thing).__name__ for thing in things} >= {"Tool", "Person", "Instrument", "Job"}
    for thing in things:
        assert record.revise(thing) is thing
        first = next(name for name in type(thing).__match_args__ if isinstance(getattr(thing, name), str))
        assert record.revise(thing, **{first: getattr(thing, first)}) is thing
    assert record.frontier() == before
    assert record.revise(bench.tool, label="stick 3b").id != bench.tool.id


def test_what_another_connection_wrote_is_noticed_once_and_our_own_never(tmp_path: Path) -> None:
    with Record.open(tmp_path / "r.db", create=True) as record, Record.open(tmp_path / "r.db") as other:
        assert not record.written_elsewhere()
        record.add(Person(initials="AB"))
        assert not record.written_elsewhere()
        other.add(Person(initials="CD"))
        assert record.written_elsewhere()
        assert not record.written_elsewhere()


def test_a_file_that_a_disk_error_closed_is_opened_again_by_the_next_reading_too(tmp_path: Path) -> None:
    with Record.open(tmp_path / "r.db", create=True) as record:
        record.add(Person(initials="AB"))
        record._con.close()  # as after an error whose reopening failed
        assert [person.initials for person in record.people()] == ["AB"]
        record.add(Person(initials="CD"))
        assert len(record.people()) == 2
