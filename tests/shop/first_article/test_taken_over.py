"""Cuts that were taken over: open until the tool shows them done, on the tools where they are to be made."""

from __future__ import annotations

from inspect_tui.model.first_article import CutAccepted
from inspect_tui.model.trends import ToolRepair
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.taken_over import SEAT_OF, to_make, work
from tests.worlds.cut_desk import Desk, measure


def open_on(record: Record, label: str) -> list[str]:
    job = find.job(record, None)
    tool = find.subject(record, job, label).tool
    assert tool is not None
    return [one.cause for one in to_make(record, job, tool)]


def test_nothing_is_to_be_made_before_a_cut_was_taken_over(first: Desk) -> None:
    assert work(first.record, find.job(first.record, None)) == ()
    assert open_on(first.record, "box 2") == []


def test_a_worn_seat_is_to_do_on_its_box_until_the_seat_was_measured_again(first: Desk) -> None:
    first.take(first.number("core 4 y"))
    assert open_on(first.record, "box 2") == ["core 4 y"]
    assert open_on(first.record, "box 4") == []
    measure(first, "box 2", "K2-P", "79.9")  # something else on that box
    assert open_on(first.record, "box 2") == ["core 4 y"]
    measure(first, "box 2", "K4-S", "60.5")
    assert open_on(first.record, "box 2") == []
    (one,) = work(first.record, find.job(first.record, None))
    assert one.done == "measured since"


def test_a_contraction_is_to_do_until_every_size_with_a_new_target_was_measured(first: Desk) -> None:
    first.take(first.number("contraction x", "box 7"))
    job = find.job(first.record, None)
    tool = find.subject(first.record, job, "box 7").tool
    (cut,) = first.record.cuts_accepted(job.of_id)
    moved = [p.feature_id for p in cut[1] if p.tool_feature_id is not None]
    on_it = {f.id: f.balloon for f in first.record.features(find.latest_revision(first.record, job).id)}
    balloons = [on_it[f] for f in moved]
    assert balloons == ["F21"]
    assert open_on(first.record, "box 7") == ["contraction x"]
    assert tool is not None
    measure(first, "box 7", "F21", "39.9")
    assert open_on(first.record, "box 7") == []


def test_one_size_of_several_does_not_close_a_cut(first: Desk) -> None:
    first.take(first.number("contraction x", "box 3"))
    job = find.job(first.record, None)
    (cut,) = first.record.cuts_accepted(job.of_id)
    names = {f.id: f.balloon for f in first.record.features(find.latest_revision(first.record, job).id)}
    tool = find.subject(first.record, job, "box 3").tool
    assert tool is not None
    on = {names[one.feature_id] for one in first.record.tool_features(tool.of_id) if one.feature_id in names}
    moved = sorted({names[p.feature_id] for p in cut[1] if p.tool_feature_id is not None} & on)
    assert len(moved) > 1
    nominal = {f.balloon: f.nominal for f in first.record.features(find.latest_revision(first.record, job).id)}
    for balloon in moved:
        assert open_on(first.record, "box 3") == ["contraction x"]
        measure(first, "box 3", balloon, f"{nominal[balloon] * 1.008:.2f}")
    assert open_on(first.record, "box 3") == []


def test_keys_that_no_size_shows_are_to_do_on_both_sides_until_somebody_says_so(first: Desk) -> None:
    first.take(first.number("core 5 z"))
    assert open_on(first.record, "box 5") == open_on(first.record, "box 1") == ["core 5 z"]
    assert open_on(first.record, "box 3") == []
    job = find.job(first.record, None)
    (one,) = work(first.record, job)
    tool = find.subject(first.record, job, "box 5").tool
    assert tool is not None
    other = ToolRepair(tool_of_id=tool.of_id, action="recoat", done_on="2023-09-11", what="new lacquer")
    first.record.add(other)
    assert open_on(first.record, "box 5") == ["core 5 z"]  # a repair of another kind closes nothing
    first.record.add(ToolRepair(tool_of_id=tool.of_id, action="cut", done_on="2023-09-11", what=one.words))
    assert open_on(first.record, "box 5") == open_on(first.record, "box 1") == []
    assert work(first.record, job)[0].done == "done on 2023-09-11"


def test_a_repair_before_the_cut_was_taken_over_closes_nothing(first: Desk) -> None:
    job = find.job(first.record, None)
    tool = find.subject(first.record, job, "box 2").tool
    seat = next(f for f in first.record.features(find.latest_revision(first.record, job).id) if f.balloon == "K4-S")
    assert tool is not None
    repair = ToolRepair(tool_of_id=tool.of_id, feature_id=seat.id, action="line", done_on="2023-09-10", what="lined")
    first.record.add(repair)
    first.take(first.number("core 4 y"))
    assert open_on(first.record, "box 2") == ["core 4 y"]
    first.record.add(
        ToolRepair(tool_of_id=tool.of_id, feature_id=seat.id, action="line", done_on="2023-09-11", what="lined again")
    )
    assert open_on(first.record, "box 2") == []


def test_castings_of_the_next_sampling_close_what_came_before(first: Desk) -> None:
    first.take(first.number("core 5 z"))
    job = find.job(first.record, None)
    open_round(first.record, job, "S2", ["S2-1"])
    assert open_on(first.record, "box 5") == ["core 5 z"]  # poured, not measured
    from inspect_tui.shop.bench.line import Bench

    bench = Bench(
        first.record,
        job,
        find.subject(first.record, job, "casting S2-1"),
        find.person(first.record, "B1"),
        find.instrument(first.record, "caliper 1"),
    )
    bench.goto("F08")
    bench.take("140.2")
    bench.keep_pending()
    assert open_on(first.record, "box 5") == []
    assert work(first.record, job)[0].done == "S2 was measured after it"
    assert pick_round(first.record, job).label == "S2"


def test_a_cut_that_names_no_tool_and_no_core_shows_nowhere_and_breaks_nothing(first: Desk) -> None:
    job = find.job(first.record, None)
    first.record.add(
        CutAccepted(
            job_of_id=job.of_id,
            tool="a loose piece",
            cause="by hand",
            axis="x",
            change_mm=0.5,
            low_mm=0.4,
            high_mm=0.6,
            words="cut 0.50",
        )
    )
    (one,) = work(first.record, job)
    assert (one.round, one.tools, one.done) == ("no lot", (), "")


def test_the_core_whose_seat_is_put_right_is_read_from_the_cause() -> None:
    told = {"core 4 y": "4", "core 1 with core 2, core 3 x": "1", "core 12 turned z": "12"}
    assert {cause: match[1] for cause in told if (match := SEAT_OF.fullmatch(cause))} == told
    for other in ("core 4 face x 64", "core 4 growth", "all cores lifted z", "size F55", "core 4 y on casting S1-1"):
        assert SEAT_OF.fullmatch(other) is None
