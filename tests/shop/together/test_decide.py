"""What two benches said apart: the ways to decide it, what each writes, and that it is then decided at both."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.model.work import Item
from inspect_tui.record import kinds
from inspect_tui.record.merge.clashes import Clash
from inspect_tui.shop.common import find
from inspect_tui.shop.together import decide
from inspect_tui.shop.together.exchange import to_decide
from inspect_tui.shop.together.marks import marks
from tests.record.merge.conftest import Station, share, stations  # noqa: F401
from tests.record.merge.test_clashes import exchange, together

Make = Callable[[str], Station]


@pytest.fixture
def both(stations: Make, share: Path) -> tuple[Station, Station]:
    return together(stations, share)


def only(station: Station) -> Clash:
    (clash,) = to_decide(station.record)
    return clash


def words(station: Station) -> list[str]:
    return [way.word for way in decide.ways(station.record, only(station))]


def two_gauges(both: tuple[Station, Station], share: Path) -> Clash:
    a, b = both
    assert a.things is not None
    for station in both:
        station.record.add(replace(a.things.instrument, id=b"", of_id=b"", label="caliper 9"), a.things.person.id)
    exchange(a, b, share)
    return only(a)


def test_two_gauges_of_one_label_are_one_two_or_called_otherwise(both: tuple[Station, Station], share: Path) -> None:
    a, b = both
    clash, by = two_gauges(both, share), a.record.people()[0]
    assert words(a) == ["same", "apart", "rename 1", "rename 2"]
    assert {marks(a.record, [clash]).said(id_) for id_ in clash.ids} == {"≠ contested"}
    for bad, name in (("same", ""), ("rename 1", "x"), ("keep 1", "")):
        with pytest.raises(DataError):
            decide.decide(a.record, clash, bad, " " if bad != "keep 1" else "why", by, name)
    assert to_decide(a.record) == [clash]
    said = decide.decide(a.record, clash, "same", "entered at both", by)
    assert said == "caliper 9: they are one from now on."
    assert len([g for g in a.record.instruments() if g.label == "caliper 9"]) == 1
    with pytest.raises(DataError, match="decided meanwhile"):
        decide.decide(a.record, clash, "same", "again", by)
    exchange(a, b, share)
    assert to_decide(b.record) == [] and b.record.first_of(clash.ids[1]) == clash.ids[0]


def test_two_that_are_called_alike_on_purpose(both: tuple[Station, Station], share: Path) -> None:
    a, _ = both
    clash, by = two_gauges(both, share), a.record.people()[0]
    decide.decide(a.record, clash, "apart", "one in each room", by)
    assert to_decide(a.record) == [] and a.record.all_apart
    assert len([g for g in a.record.instruments() if g.label == "caliper 9"]) == 2


def test_one_is_called_otherwise(both: tuple[Station, Station], share: Path) -> None:
    a, _ = both
    clash, by = two_gauges(both, share), a.record.people()[0]
    decide.decide(a.record, clash, "rename 2", "the newer one", by, "caliper 10")
    assert to_decide(a.record) == []
    assert a.record.instrument(clash.ids[1]).label == "caliper 10"


def test_castings_of_one_serial(both: tuple[Station, Station], share: Path) -> None:
    a, b = both
    assert a.things is not None
    for station in both:
        station.record.add(Item(job_of_id=a.things.job.of_id, kind="casting", serial="C7"), a.things.person.id)
    exchange(a, b, share)
    assert words(a) == ["same", "apart", "rename 1", "rename 2"]
    decide.decide(a.record, only(a), "rename 1", "mixed up", a.record.people()[0], "C8")
    assert {"C7", "C8"} <= {item.serial for item in a.record.items(a.things.job.of_id)}


def test_a_balloon_of_both_is_withdrawn_at_one(both: tuple[Station, Station], share: Path) -> None:
    a, b = both
    assert a.things is not None
    new = replace(a.things.features[0], id=b"", balloon="F99", ends=())
    for station in both:
        station.record.add(new, a.things.person.id)
    exchange(a, b, share)
    assert words(a) == ["same", "apart", "withdraw 1", "withdraw 2"]
    decide.decide(a.record, only(a), "withdraw 2", "drawn twice", a.record.people()[0])
    assert to_decide(a.record) == []


def test_the_edition_that_is_kept_holds_also_where_the_other_is_later(
    both: tuple[Station, Station], share: Path
) -> None:
    a, b = both
    assert a.things is not None
    tool, by = a.things.tool, a.things.person
    a.record.revise(tool, by.id, label="stick one")
    b.record.revise(tool, by.id, label="stick 1b")
    exchange(a, b, share)
    clash = only(a)
    says = [way.says for way in decide.ways(a.record, clash)]
    assert f"label {tool.label} → stick one (" in says[0] and "stick 1b" in says[1] and "bench b" in says[1]
    assert marks(a.record, [clash]).said(tool.of_id) == "≠ edited twice"
    assert a.record.tools(tool.job_of_id)[0].label == "stick 1b"  # the later is shown meanwhile
    decide.decide(a.record, clash, "keep 1", "as it is stamped", by)
    exchange(a, b, share)
    for station in both:
        assert station.record.tools(tool.job_of_id)[0].label == "stick one" and to_decide(station.record) == []
    assert [n.text for n in a.record.notes(a.record.tools(tool.job_of_id)[0].id)] == ["as it is stamped"]


def test_of_two_answers_one_holds(both: tuple[Station, Station], share: Path) -> None:
    a, b = both
    assert a.things is not None and b.things is not None
    a.log(59.1)
    exchange(a, b, share)
    (logged,) = a.record.readings()
    by = a.things.person
    a.record.void(logged.id, "misread", "slipped", by.id)
    b.record.correct(logged.id, b.things.reading(59.3), "misread", "digits", by.id)
    exchange(a, b, share)
    clash = only(a)
    assert marks(a.record, [clash]).said(logged.id) == "≠ contested"
    says = [way.says for way in decide.ways(a.record, clash)]
    assert says[0].startswith("struck out: slipped (") and "in its place: digits (" in says[1]
    assert [r.value for r in a.record.readings(include_void=False)] == []
    decide.decide(a.record, clash, "take 2", "looked at it again", by)
    exchange(a, b, share)
    for station in both:
        assert [r.value for r in station.record.readings(include_void=False)] == [59.3]
        assert to_decide(station.record) == []


def test_a_name_of_two_benches_finds_the_one_that_they_are(both: tuple[Station, Station], share: Path) -> None:
    a, b = both
    person = a.record.people()[0]
    for station in both:
        station.record.add(replace(person, id=b"", of_id=b"", initials="KB"))
    exchange(a, b, share)
    decide.decide(b.record, only(b), "same", "one man", person)
    exchange(a, b, share)
    assert find.person(a.record, "KB") == find.person(b.record, "KB")
    assert kinds.PERSON.number in {row.about_kind for row in a.record.same_things()}
