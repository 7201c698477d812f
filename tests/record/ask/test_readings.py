"""Questions about readings: who, with what and when, page by page, and what still counts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.model.measuring import Reading, Session, Setup, Supersede
from inspect_tui.record.ask.readings import LastLine, LineReading, day_and_id


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


# ------------------------------------------------------------------ the newest lines
def test_the_newest_line_holds_its_repeats_and_the_walk_all_that_counts(bench):
    record, feature = bench.record, bench.features[0].id
    first = bench.log(59.0)
    struck = bench.log(95.0)
    repeats = [bench.log(59.1 + n / 100, rep=n + 1) for n in range(3)]
    record.void(struck.id, "misread", "figures swapped", bench.person.id)
    line = record.last_lines(bench.tool.of_id)[feature]
    assert [reading.id for reading in line.readings] == [reading.id for reading in repeats]
    assert [reading.id for reading in line.walked] == [reading.id for reading in [*repeats[::-1], first]]
    assert [reading.value for reading in line.walked] == pytest.approx([59.12, 59.11, 59.1, 59.0])


def test_a_feature_that_was_not_read_lately_is_looked_up_by_its_summary(bench):
    record, (seldom, often) = bench.record, bench.features[:2]
    old = bench.log(59.0)
    record.append_reading(bench.on_item(58.0))
    struck = bench.log(95.0)
    repeats = [bench.log(59.1 + n / 100, rep=n + 1) for n in range(2)]
    record.void(struck.id, "misread", "figures swapped", bench.person.id)
    for _ in range(6):
        bench.log(40.0, feature=1)
    lines = record.last_lines(bench.tool.of_id, most=5)
    assert len(lines[often.id].walked) == 5
    assert [reading.id for reading in lines[seldom.id].readings] == [reading.id for reading in repeats]
    assert [reading.id for reading in lines[seldom.id].walked] == [repeats[1].id, repeats[0].id, old.id]
    assert record.last_lines(bench.tool.of_id)[seldom.id].readings == lines[seldom.id].readings


def test_opening_a_list_asks_as_many_rows_of_many_readings_as_of_few(bench):
    """Counted in steps of the database's machine: what it walks over, not what it gives back."""
    record = bench.record

    def steps() -> int:
        count = [0]
        record._con.set_progress_handler(lambda: count.__setitem__(0, count[0] + 1), 10)
        record.last_lines(bench.tool.of_id, most=50)
        record.gauge_checks(bench.instrument.of_id)
        record.checks_read(bench.instrument.of_id)
        record.all_checks_read()
        record._con.set_progress_handler(None, 0)
        return count[0]

    def measure(setups: int) -> None:
        for _ in range(setups):
            setup = record.add(replace(bench.setup, id=b"", work_c=22.5))
            record.append_readings(bench.reading(59.0, setup_id=setup.id) for _ in range(20))

    measure(5)
    few = steps()
    measure(50)
    assert steps() <= 1.3 * few


def test_a_casting_has_lines_and_summaries_of_each_state(bench):
    record, item, feature = bench.record, bench.item, bench.features[0]
    done = record.add(
        Setup(
            session_id=bench.session.id, person_id=bench.person.id, instrument_id=bench.instrument.id, state="finished"
        )
    )

    def log(value, setup):
        return record.append_reading(
            Reading(setup_id=setup.id, feature_id=feature.id, item_id=item.id, value=value, typed=str(value))
        )

    log(59.0, bench.setup)
    assert not record.measured_finished(item.id)
    assert (
        record.summaries(item_id=item.id, state="finished")
        == record.last_lines(item_id=item.id, state="finished")
        == {}
    )
    log(62.0, done)
    gone = log(62.6, done)
    log(59.2, bench.setup)
    log(62.2, done)
    record.void(gone.id, "misread", "figures swapped", bench.person.id)
    assert record.measured_finished(item.id)
    raw = record.summaries(item_id=item.id)[feature.id]
    assert (raw.n, raw.mean, raw.min, raw.max, raw.last_value) == (2, pytest.approx(59.1), 59.0, 59.2, 59.2)
    assert raw.m2 == pytest.approx(0.02)
    finished = record.summaries(item_id=item.id, state="finished")[feature.id]
    assert (finished.n, finished.mean, finished.last_value) == (2, pytest.approx(62.1), 62.2)
    assert [r.value for r in record.last_lines(item_id=item.id)[feature.id].readings] == [59.2]
    assert [r.value for r in record.last_lines(item_id=item.id, state="finished")[feature.id].readings] == [62.2]
    assert [r.value for r in record.readings(item_id=item.id, state="raw")] == [59.0, 59.2]


def line_at(id_, at_us, tz_min):
    return LastLine((LineReading(id=id_, setup_id=b"s", value=59.0, slip="none", at_us=at_us, tz_min=tz_min),))


def test_of_two_lines_the_later_day_is_the_newer_and_within_a_day_the_later_written():
    hour, noon = 3_600_000_000, 1_709_208_000_000_000  # 2024-02-29 12:00 UTC
    said, before = line_at(b"2", noon, 0), line_at(b"1", noon, 0)
    assert day_and_id(line_at(b"3", noon - 4 * hour, 0)) > day_and_id(said)  # logged at eight of that day, but later
    assert day_and_id(line_at(b"1", noon + 24 * hour, 0)) > day_and_id(said) > day_and_id(before)
    # half past eleven at night in UTC is the next day by a clock an hour ahead
    assert day_and_id(line_at(b"1", noon - 12.5 * hour, 60)) < day_and_id(said)
    assert day_and_id(line_at(b"3", noon - 12.5 * hour, 60)) > day_and_id(said)


def test_the_walk_has_what_was_logged_and_what_was_said_to_be_of_another_day(bench):
    record, feature = bench.record, bench.features[0].id
    past = record.add(replace(bench.setup, id=b"", on_date="2024-02-29"))
    logged, said = bench.log(59.1), bench.log(59.2, setup_id=past.id)
    line = record.last_lines(bench.tool.of_id)[feature]
    assert [reading.id for reading in line.readings] == [logged.id]
    assert {reading.id for reading in line.walked} == {logged.id, said.id}


def test_of_several_versions_of_a_tool_the_newest_reading_counts(bench):
    record, feature = bench.record, bench.features[0].id
    second = record.revise(bench.tool, label="stick 3 reworked")
    first, newer = bench.log(59.1), bench.log(59.2, tool_id=second.id)
    walked = [reading.id for reading in record.last_lines(bench.tool.of_id)[feature].walked]
    assert walked == [newer.id, first.id]
    last = bench.log(59.3)
    line = record.last_lines(bench.tool.of_id, most=2)[feature]
    assert [reading.id for reading in line.walked] == [last.id, newer.id] and line.readings[0].id == last.id


def test_what_was_read_of_a_feature_elsewhere_is_in_no_line_that_is_looked_up(bench):
    record, seldom = bench.record, bench.features[0].id
    first = bench.log(59.0)
    record.append_reading(bench.on_item(58.0))
    last = bench.log(59.1)
    for _ in range(4):
        bench.log(40.0, feature=1)
    line = record.last_lines(bench.tool.of_id, most=3)[seldom]
    assert [reading.id for reading in line.walked] == [last.id, first.id]
