"""After two benches came together, what somebody has to decide is listed until it is decided."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from inspect_tui.errors import Several
from inspect_tui.frozen import replace
from inspect_tui.model.changes import SameThing
from inspect_tui.record import kinds
from inspect_tui.record.merge.clashes import clashes
from inspect_tui.shop.common import find
from tests.record.merge.conftest import Station

Make = Callable[[str], Station]


def together(stations: Make, share: Path) -> tuple[Station, Station]:
    """Two benches of one shop that know the same."""
    a, b = stations("bench a"), stations("bench b")
    a.furnish()
    a.sync(share)
    b.sync(share)
    b.things = a.things
    return a, b


def exchange(a: Station, b: Station, share: Path) -> None:
    for bench in (a, b, a):
        bench.sync(share)


def test_nothing_is_to_be_decided_at_one_bench(bench) -> None:
    bench.log(59.1)
    assert clashes(bench.record.connection) == []


def test_one_name_for_two_people_until_they_are_one_or_called_otherwise(stations: Make, share: Path) -> None:
    a, b = together(stations, share)
    (person,) = a.record.people()
    at_a = a.record.add(replace(person, id=b"", of_id=b"", initials="KB", name="K. at a"))
    at_b = b.record.add(replace(person, id=b"", of_id=b"", initials="kb", name="K. at b"))
    exchange(a, b, share)
    for station in (a, b):
        (clash,) = clashes(station.record.connection)
        assert (clash.sort, clash.kind, set(clash.ids)) == ("name", kinds.PERSON, {at_a.of_id, at_b.of_id})
        assert clash.words.startswith("There are 2 people called KB (entered at bench a and bench b)")
    assert find.person(a.record, "KB").of_id == at_a.of_id  # each bench means its own
    assert find.person(b.record, "KB").of_id == at_b.of_id
    assert find.person(a.record, "KB bench b").of_id == at_b.of_id
    assert find.person(a.record, person.initials) == person
    c = stations("bench c")
    c.sync(share)
    try:
        find.person(c.record, "KB")
    except Several as several:
        assert "KB bench a, kb bench b" in str(several)
    else:
        raise AssertionError("neither is of this bench")
    said = SameThing(about_kind=kinds.PERSON.number, this_id=at_a.of_id, that_id=at_b.of_id, why="one man")
    a.record.add(said, person.id)
    assert clashes(a.record.connection) == []
    assert len(clashes(b.record.connection)) == 1
    b.record.revise(at_b, person.id, initials="KB2")
    assert clashes(b.record.connection) == []


def test_a_version_edited_twice_until_one_is_saved_also_as_it_is(stations: Make, share: Path) -> None:
    a, b = together(stations, share)
    tool, by = a.things.tool, a.things.person.id
    a.record.revise(tool, by, label="stick one")
    b.record.revise(tool, by, label="stick 1b")
    exchange(a, b, share)
    (clash,) = clashes(a.record.connection)
    assert clash.sort == "version" and clash.kind is kinds.TOOL and len(clash.ids) == 2
    assert "was edited twice (bench a and bench b)" in clash.words
    (shown,) = a.record.tools(a.things.job.of_id)
    kept = a.record.revise(shown, by)
    assert kept.id != shown.id and kept.label == shown.label
    assert clashes(a.record.connection) == []
    assert a.record.revise(kept, by) is kept  # where nothing is to be decided nothing is written
    exchange(a, b, share)
    assert clashes(b.record.connection) == [] and a.content() == b.content()


def test_a_reading_that_two_benches_answered(stations: Make, share: Path) -> None:
    a, b = together(stations, share)
    a.log(59.1)
    exchange(a, b, share)
    (logged,) = a.record.readings()
    by = a.things.person.id
    a.record.void(logged.reading.id, "misread", "slipped", by)
    b.record.correct(logged.reading.id, b.things.reading(59.3), "misread", "digits", by)
    exchange(a, b, share)
    (clash,) = clashes(a.record.connection)
    assert clash.sort == "reading" and "59.1 mm was corrected twice" in clash.words
    a.record.void(logged.reading.id, "misread", "it slipped indeed", by)
    assert clashes(a.record.connection) == []


def test_one_balloon_of_two_benches(stations: Make, share: Path) -> None:
    a, b = together(stations, share)
    new = replace(a.things.features[0], id=b"", balloon="F99", ends=())
    for station in (a, b):
        station.record.add(new, a.things.person.id)
    exchange(a, b, share)
    (clash,) = clashes(b.record.connection)
    assert clash.kind is kinds.FEATURE and clash.name == "F99"
