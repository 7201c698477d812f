"""Where it is seen that two benches said something apart: by thing, by size on a piece in every edition, by job."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Supersede
from inspect_tui.record import kinds
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.together.exchange import to_decide
from inspect_tui.shop.together.marks import CASTINGS, Marks, marks, nearest, on
from tests.worlds import said_apart


def found(record: Record) -> Marks:
    return marks(record, to_decide(record))


def test_everything_that_two_benches_said_apart_is_found_by_what_it_is_of(apart: Record) -> None:
    made, job = found(apart), find.job(apart, "SV-12")
    gauges = {gauge.label: gauge.of_id for gauge in apart.instruments()}
    (fit,), (core, *_), box = apart.fits(job.of_id), apart.cores(job.of_id), said_apart.box(apart)
    for thing in (job, fit, core, box):
        assert made.said(thing.of_id) == "≠ edited twice", thing
    assert made.said(gauges["caliper 1"]) == "≠ edited twice"
    assert made.said(gauges["caliper 9"]) == "≠ contested"
    stick = find.subject(apart, job, "stick 1")
    assert (made.said(stick.key), made.sign(stick.key), made.at(stick.key)) == ("", "", None)
    assert made.sign(b"", core.of_id) == "≠"


def test_a_contested_reading_marks_its_size_on_that_piece_alone(apart: Record) -> None:
    made, job = found(apart), find.job(apart, "SV-12")
    sizes = {feature.balloon: feature.id for feature in apart.features(find.latest_revision(apart, job).id)}
    box, castings = said_apart.box(apart).of_id, [item.id for item in apart.items(job.of_id) if item.kind == "casting"]
    assert made.said(on(box, sizes["F1"])) == "≠ contested"
    assert made.said(on(box, sizes["F2"])) == made.said(sizes["F1"]) == ""
    of_castings = [bool(made.at(on(item, sizes["F1"]))) for item in castings]
    assert of_castings[:2] == [True, True] and not any(of_castings[2:])
    assert made.at(on(CASTINGS, sizes["F1"])) is not None and made.at(on(CASTINGS, sizes["F2"])) is None


def test_a_contested_size_is_that_of_every_edition_of_the_drawing(apart: Record) -> None:
    job = find.job(apart, "SV-12")
    revision = find.latest_revision(apart, job)
    old = next(feature for feature in apart.features(revision.id) if feature.balloon == "F1")
    newer = apart.add(replace(revision, id=b"", rev="B"))
    ends = tuple(replace(end, id=b"", feature_id=b"") for end in old.ends)
    new = apart.add(replace(old, id=b"", revision_id=newer.id, same_as_id=old.id, ends=ends))
    made, box = found(apart), said_apart.box(apart).of_id
    assert made.said(on(box, new.id)) == made.said(on(box, old.id)) == "≠ contested"


def test_of_a_job_is_what_is_its_own_and_then_what_is_of_the_whole_shop(apart: Record) -> None:
    made, job = found(apart), find.job(apart, "SV-12")
    of_job = made.of_job(job.of_id)
    assert set(of_job) == set(made.of_job(None)) == set(made.marks)
    shop = [mark.job for mark in of_job]
    assert shop == [job.of_id] * (len(shop) - 3) + [None] * 3  # two gauges and a person
    assert [mark.words for mark in made.of_job(b"another job")] == [mark.words for mark in of_job[-3:]]
    last = of_job[-1]
    assert nearest(last, of_job)[0] is last and len(nearest(last, of_job)) == len(of_job)
    assert nearest(None, of_job) == of_job


def test_what_has_no_name_of_its_own_is_called_by_what_it_is_of(apart: Record) -> None:
    called = {clash.called for clash in to_decide(apart)}
    assert {
        "count of tool box 1",
        "reading 62.60 mm of F1 on tool box 1",
        "reading 62.3 mm of F1 on casting C1",
    } <= called
    words = [clash.words for clash in to_decide(apart) if clash.sort == "reading"]
    assert words[0].startswith("The reading 62.60 mm of F1 on tool box 1 was corrected twice (bench a and bench b)")


def test_a_size_at_a_tool_that_was_changed_twice_is_named_by_both(tmp_path: Path) -> None:
    with said_apart.two(tmp_path) as (record, other, exchange):
        for n, each in enumerate((record, other), start=1):
            box = said_apart.box(each)
            size = next(s for s in each.tool_features(box.id) if each.feature(s.feature_id).balloon == "F2")
            each.revise(size, None, upper=41.0 + n)
        exchange()
        (clash,) = to_decide(record)
        assert (clash.kind, clash.called) == (kinds.TOOL_FEATURE, "F2 on tool box 1")
        (mark,) = marks(record, [clash]).marks
        assert mark.job == find.job(record, "SV-12").of_id
        assert found(record).at(on(said_apart.box(record).of_id, size.feature_id)) == mark


def test_a_decided_reading_marks_nothing(apart: Record) -> None:
    clash = next(clash for clash in to_decide(apart) if clash.sort == "reading")
    answer: Supersede = apart.as_entered(kinds.SUPERSEDE, clash.ids[-1])
    apart.add(replace(answer, id=b"", settles_id=clash.ids[-1], why="looked again"))
    assert found(apart).at(answer.target_id) is None
