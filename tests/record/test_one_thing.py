"""What was said to be one thing is one to every question, also by way of a third, and two again when that is said."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.changes import SameThing
from inspect_tui.model.measuring import Calibration, Note, Person, Reading, Session, Setup
from inspect_tui.model.work import DrawingRevision, Item, Job, Lot, Tool
from inspect_tui.record import kinds
from inspect_tui.record.ask import series
from inspect_tui.record.chain import rights
from inspect_tui.record.frontier import reader_at
from inspect_tui.record.merge.clashes import clashes
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.evidence import Evidence
from tests.conftest import SmallShop

PERSON = kinds.PERSON.number


def say(record: Record, kind: int, this: bytes, that: bytes, state: str = "same") -> None:
    (person, *_) = record.people()
    record.add(SameThing(about_kind=kind, this_id=this, that_id=that, state=state, why="seen"), person.id)


def people(record: Record, *initials: str) -> list[Person]:
    return [record.add(Person(initials=name)) for name in initials]


@pytest.mark.parametrize("order", list(permutations(((0, 1), (1, 2), (2, 0), (2, 3)))))
def test_chains_and_circles_are_one_in_any_order(shop: SmallShop, order: tuple[tuple[int, int], ...]) -> None:
    record = shop.record
    some = people(record, "KA", "KB", "KC", "KD")
    for this, that in order:
        say(record, PERSON, some[this].of_id, some[that].of_id)
    assert {record.first_of(person.of_id) for person in some} == {some[0].of_id}
    assert record.ids_of([some[3].of_id]) == [person.of_id for person in some]
    assert [p.initials for p in record.people()] == ["AB", "IN", "KD"]  # as the last of them is called
    say(record, PERSON, some[2].of_id, some[0].of_id, "apart")  # still one by way of the second
    assert len(record.people()) == 3
    say(record, PERSON, some[1].of_id, some[2].of_id, "apart")
    assert [p.initials for p in record.people()] == ["AB", "IN", "KB", "KD"]
    say(record, PERSON, some[0].of_id, some[1].of_id, "apart")
    say(record, PERSON, some[2].of_id, some[3].of_id, "apart")
    assert record.all_apart and len(record.people()) == 6


def test_where_nobody_said_so_nothing_more_is_asked(shop: SmallShop) -> None:
    shop.bench("box 1")
    asked: list[str] = []
    shop.record._con.set_trace_callback(asked.append)
    bench = shop.bench("box 1")
    bench.goto("F1")
    bench.take("59.50")
    assert len(asked) > 20 and not any("same_thing" in sql or "one_of" in sql for sql in asked)
    assert len(shop.record.readings()) == 1
    say(shop.record, PERSON, *(person.of_id for person in shop.record.people()))
    asked.clear()
    shop.record.people()
    assert "one_of" in asked[0]


def test_two_names_and_both_find_the_one(shop: SmallShop) -> None:
    record = shop.record
    ab, _ = record.people()
    (other,) = people(record, "A.B")
    say(record, PERSON, ab.of_id, other.of_id)
    assert find.person(record, "AB") == find.person(record, "a.b")
    assert find.person(record, "AB").of_id == ab.of_id and find.person(record, "AB").initials == "A.B"
    setup = Setup(session_id=record.add(Session(kind="tool")).id, person_id=ab.id, instrument_id=shop.caliper.id)
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    assert [logged.by for logged in record.readings()] == ["A.B"] and setup.person_id == ab.id
    assert [logged.by for logged in record.each_apart().readings()] == ["AB"]
    changed = record.revise(find.person(record, "AB"), ab.id, name="Abel")
    assert changed.of_id == ab.of_id
    say(record, PERSON, ab.of_id, other.of_id, "apart")
    assert [(p.initials, p.name) for p in record.people()] == [("AB", None), ("IN", None), ("A.B", "Abel")]


def test_a_pin_of_either_is_asked_for(shop: SmallShop) -> None:
    record = shop.record
    ab, _ = record.people()
    record.revise(ab, ab.id, pin_hash=rights.pin_hash("4711"))
    (other,) = people(record, "A.B")
    record.ask_pin = lambda _: "4711"
    say(record, PERSON, ab.of_id, other.of_id)
    again = Record.open(shop.path)
    try:
        for version in (ab, other):
            person = again._person(version.id)
            assert person is not None and again.locked(person)
    finally:
        again.close()


def test_another_program_sees_it_when_it_looks(shop: SmallShop) -> None:
    ab, inspector = shop.record.people()
    other = Record.open(shop.path)
    try:
        other.written_elsewhere()
        say(shop.record, PERSON, ab.of_id, inspector.of_id)
        assert other.written_elsewhere()
        assert len(other.people()) == 1
        with shop.record.reader() as reader:
            assert len(reader.people()) == 1
            assert len(reader.each_apart().people()) == 2
    finally:
        other.close()


def test_a_paper_of_before_still_sees_two(shop: SmallShop) -> None:
    record = shop.record
    ab, inspector = record.people()
    before = record.frontier()
    say(record, PERSON, ab.of_id, inspector.of_id)
    after = record.frontier()
    say(record, PERSON, ab.of_id, inspector.of_id, "apart")
    for frontier, there in ((before, 2), (after, 1), (record.frontier(), 2)):
        with reader_at(shop.path, frontier) as then:
            assert len(then.people()) == there


# ------------------------------------------------------------------------------ gauges
def test_a_certificate_of_either_gauge_speaks_for_both(shop: SmallShop) -> None:
    record, caliper = shop.record, shop.caliper
    twin = record.add(replace(caliper, id=b"", of_id=b"", label="calliper one"))
    bare = replace(shop, caliper=twin)
    bench = bare.bench()
    bench.goto("F1")
    bench.take("59.60")
    (logged,) = record.readings()
    assert logged.setup.calibration_id is None
    say(record, kinds.INSTRUMENT.number, caliper.of_id, twin.of_id)
    (logged,) = record.readings()
    (certificate,) = record.calibrations(twin.of_id) or record.calibrations(caliper.of_id)
    assert logged.setup.calibration_id == certificate.id and logged.instrument == "calliper one"
    means = Evidence(record).gauges.means(logged.setup, "2026-03-10")
    assert means.calibration is not None and means.calibration.u95_mm == 0.04
    record.add(Calibration(instrument_of_id=twin.of_id, done_on="2100-01-01", u95_mm=0.1, k=2.0))
    (logged,) = record.readings()
    assert logged.setup.calibration_id == certificate.id  # a later one says nothing of that day


# ------------------------------------------------------------------------------ castings and what is said of them
def test_castings_and_samplings_are_listed_once_with_what_was_read_and_noted_of_both(shop: SmallShop) -> None:
    record = shop.record
    job = find.job(record, "SV-12")
    feature = record.features(record.revisions(job.of_id)[-1].id)[0]
    lots = [record.add(Lot(job_of_id=job.of_id, label=label)) for label in ("S1", "first")]
    items = [
        record.add(Item(job_of_id=job.of_id, kind="casting", serial=serial, lot_id=lot.id))
        for serial, lot in zip(("C1", "1"), lots, strict=True)
    ]
    setup = _setup(shop)
    for item, value in zip(items, (61.0, 62.0), strict=True):
        record.add(
            Reading(
                setup_id=setup.id,
                item_id=item.id,
                feature_id=feature.id,
                rep=1,
                value=value,
                typed="6",
                typed_unit="mm",
            )
        )
        record.add(Note(about_kind=kinds.ITEM.number, about_id=item.id, text=f"of {item.serial}"), shop.ab.id)
    say(record, kinds.ITEM.number, *(item.id for item in items))
    assert [item.serial for item in record.items(job.of_id)] == ["C1"]
    assert record.lots_measured(job.of_id) == {lot.id for lot in lots[:1]} | {lots[1].id}
    say(record, kinds.LOT.number, *(lot.id for lot in lots))
    assert [lot.label for lot in record.lots(job.of_id)] == ["S1"]
    assert record.lots_measured(job.of_id) == {lots[0].id}
    for asked in items:
        assert record.item(asked.id).serial == "C1"
        assert [logged.value for logged in record.readings(item_id=asked.id)] == [61.0, 62.0]
        assert [reading.item_id for reading in record.taken([asked.id])] == [items[0].id] * 2
        assert {logged.reading.item_id for logged in record.readings()} == {items[0].id}
        assert record.summaries(item_id=asked.id)[feature.id][:2] == (2, 61.5)
        assert [note.text for note in record.notes(asked.id)] == ["of C1", "of 1"]
        which = series.Which(job_of_id=job.of_id, feature_ids=(feature.id,), item_id=asked.id)
        assert list(series.values(record, which).value) == [61.0, 62.0]
        assert list(series.columns(record, which).item) == ["C1", "C1"]
        assert series.kept(record, which).n == 2
    assert [i.id for i in record.castings(job.of_id, lots[0].id)] == [items[0].id]
    assert record.depending(kinds.ITEM, items[0].id) == {"readings": 2}


def _setup(shop: SmallShop) -> Setup:
    session = shop.record.add(Session(kind="casting"))
    return shop.record.add(Setup(session_id=session.id, person_id=shop.ab.id, instrument_id=shop.caliper.id))


# ------------------------------------------------------------------------------ jobs
@pytest.fixture
def jobs(shop: SmallShop) -> tuple[Job, Job]:
    """A job, and the same one as another bench entered it: same drawing, cores, tools."""
    record = shop.record
    job = find.job(record, "SV-12")
    again = record.add(replace(job, id=b"", of_id=b""), shop.ab.id)
    cores = {c.of_id: record.add(replace(c, id=b"", of_id=b"", job_of_id=again.of_id)) for c in record.cores(job.of_id)}
    (drawing,) = record.revisions(job.of_id)
    revision = record.add(replace(drawing, id=b"", job_of_id=again.of_id))
    features: dict[bytes, Any] = {}
    for feature in record.features(drawing.id):
        ends = tuple(
            replace(end, id=b"", feature_id=b"", core_id=cores[end.core_id].id if end.core_id else None)
            for end in feature.ends
        )
        features[feature.id] = record.add(replace(feature, id=b"", revision_id=revision.id, ends=ends))
    for tool in record.tools(job.of_id):
        core = cores[record.core(tool.core_id).of_id].id if tool.core_id else None
        made: Tool = record.add(
            replace(tool, id=b"", of_id=b"", job_of_id=again.of_id, core_id=core, made_from_id=None)
        )
        for size in record.tool_features(tool.of_id):
            steps = tuple(replace(step, id=b"", tool_feature_id=b"") for step in size.steps)
            record.add(
                replace(size, id=b"", of_id=b"", tool_id=made.id, feature_id=features[size.feature_id].id, steps=steps)
            )
    return job, again


def test_a_job_that_was_entered_twice_is_one_job_with_one_drawing(shop: SmallShop, jobs: tuple[Job, Job]) -> None:
    record = shop.record
    job, again = jobs
    apart = {j.of_id: [f.balloon for f in record.features(record.revisions(j.of_id)[-1].id)] for j in jobs}
    say(record, kinds.JOB.number, job.of_id, again.of_id)
    (one,) = record.jobs()
    assert record.job("SV-12").of_id == record.job(again.of_id).of_id == one.of_id == job.of_id
    assert [core.number for core in record.cores(one.of_id)] == [1]
    first, last = record.revisions(one.of_id)
    now = record.features(last.id)
    assert [feature.balloon for feature in now] == apart[again.of_id]
    lines = lineage.of_job(record, one)
    before = {feature.balloon: feature.id for feature in record.features(first.id)}
    for feature in now:
        assert lines.line(feature.id) == (feature.id, before[feature.balloon]), feature.balloon
    assert sorted(tool.label for tool in record.tools(one.of_id)) == sorted(2 * ["box 1", "drag pattern", "stick 1"])
    for label in ("box 1", "drag pattern", "stick 1"):
        twice = [tool.of_id for tool in record.tools(one.of_id) if tool.label == label]
        say(record, kinds.TOOL.number, *twice)
    assert len(record.tools(one.of_id)) == 3
    for tool in record.tools(one.of_id):
        balloons = [record.feature(size.feature_id).balloon for size in record.tool_features(tool.of_id)]
        assert len(set(balloons)) == len(balloons) > 0
    say(record, kinds.JOB.number, job.of_id, again.of_id, "apart")
    assert len(record.jobs()) == 2


def test_what_was_read_under_either_job_stands_together_at_the_bench(shop: SmallShop, jobs: tuple[Job, Job]) -> None:
    record = shop.record
    values = iter(("59.50", "59.60"))
    for job in jobs:
        bench = _bench(shop, job)
        bench.goto("F1")
        bench.take(next(values))
    box_of = {j.of_id: next(t for t in record.tools(j.of_id) if t.label == "box 1") for j in jobs}
    say(record, kinds.JOB.number, *(job.of_id for job in jobs))
    say(record, kinds.TOOL.number, *(box.of_id for box in box_of.values()))
    (one,) = record.jobs()
    bench = _bench(shop, one)
    (task,) = [task for task in bench.tasks if task.feature.balloon == "F1"]
    assert task.sizes is not None
    line = lineage.of_job(record, one).line(task.feature.id)
    assert [logged.value for logged in record.readings(line, tool_of_id=box_of[jobs[0].of_id].of_id)] == [59.5, 59.6]


def _bench(shop: SmallShop, job: Job) -> Bench:
    on = find.subject(shop.record, job, "box 1")
    return Bench(shop.record, job, on, shop.ab, shop.caliper, today="2026-03-10")


def test_a_drawing_goes_on_from_both_editions(shop: SmallShop, jobs: tuple[Job, Job]) -> None:
    """Edition B was carried over from one of the two: what was read under the other counts on, too."""
    record = shop.record
    job, again = jobs
    (old,) = record.revisions(job.of_id)
    new = record.add(DrawingRevision(job_of_id=job.of_id, number=old.number, rev="B"))
    for feature in record.features(old.id):
        ends = tuple(replace(end, id=b"", feature_id=b"") for end in feature.ends)
        record.add(replace(feature, id=b"", revision_id=new.id, same_as_id=feature.id, ends=ends))
    say(record, kinds.JOB.number, job.of_id, again.of_id)
    (one,) = record.jobs()
    a, b, c = record.revisions(one.of_id)
    lines = lineage.of_job(record, one)
    by_balloon = [{f.balloon: f.id for f in record.features(revision.id)} for revision in (a, b, c)]
    for balloon, row in by_balloon[2].items():
        assert lines.line(row) == (row, by_balloon[1][balloon], by_balloon[0][balloon])


def test_things_of_one_name_in_a_job_entered_twice_are_to_be_decided(shop: SmallShop, jobs: tuple[Job, Job]) -> None:
    job, again = jobs
    assert clashes(shop.record.connection) == []  # all of it at one bench
    say(shop.record, kinds.JOB.number, job.of_id, again.of_id)
    assert clashes(shop.record.connection) == []
