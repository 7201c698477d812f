"""Cuts taken over: targets that move, tools that have to be measured first, promises that the next sampling answers."""

from __future__ import annotations

from math import hypot
from pathlib import Path

import pytest

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.take_over import take_over, waiting
from inspect_tui.shop.first_article.taken_over import work
from tests.worlds.cut_desk import Desk, bench, desk_of, measure, target
from tests.worlds.sampled_shop import AFTER_S3, copy_of_shop


def test_a_contraction_taken_over_moves_the_plan_and_the_targets_of_that_tool(first: Desk) -> None:
    before = target(first, "box 3", "F09"), target(first, "stick 3", "F09"), target(first, "box 3", "F29")
    done = first.take(first.number("contraction x", "box 3"))
    assert find.job(first.record, None).a_x == pytest.approx(0.0080, abs=2e-4)
    assert before[0] == pytest.approx(424.20)
    assert target(first, "box 3", "F09") == pytest.approx(420 * 1.008, abs=0.09)
    assert target(first, "stick 3", "F09") == before[1]  # nobody touches the stick
    assert target(first, "box 3", "F29") == before[2]  # it runs along y
    assert {feature.steps[0].kind for feature in done.targets} == {"contraction"}
    # what is laid out is the casting times 1 + a, a share of the casting, as sure as the cause is
    cause = next(c for c in first.article.causes.found if c.name == "contraction x")
    job = find.job(first.record, None)
    assert job.ua_x == pytest.approx(cause.u) and job.a_x == pytest.approx(0.010 + cause.size, abs=5.1e-5)
    assert {(f.steps[0].scale, f.steps[0].u) for f in done.targets} == {(1.0 + job.a_x, cause.u)}


def test_a_size_is_not_taken_over_before_its_tool_was_measured_again(first: Desk) -> None:
    number = first.number("size F55")
    (needs,) = waiting(first.sampling, first.looked, first.article.causes, first.article.cuts, [number])
    assert (needs.tool, needs.balloon) == ("box 4", "F55")
    assert "older than the castings" in needs.sentence
    words = {face.word for face in next(cut for cut in first.article.cuts.cuts if cut.number == number).faces}
    done = {"cut": "cut", "add": "added"}.get(words.pop() if len(words) == 1 else "", "changed")
    assert f"What is to be {done} counts from what it measures now." in needs.sentence
    with pytest.raises(DataError, match="measure F55 on box 4 first"):
        first.take(number)
    assert first.record.cuts_accepted(first.sampling.job.of_id) == []


def test_a_box_that_turns_out_to_be_off_keeps_its_target(first: Desk) -> None:
    measure(first, "box 4", "F55", "68.10")  # dressed at the foundry: the log was out of date
    done = first.take(first.number("size F55"))
    assert done.targets == ()
    assert any("its target 70.70 stays right" in words for words in done.words)
    assert target(first, "box 4", "F55") == pytest.approx(70.70)


def test_a_box_that_measures_as_logged_gets_a_new_target_by_a_correction_step(first: Desk) -> None:
    measure(first, "box 4", "F55", "70.70")
    done = first.take(first.number("size F55"))
    assert any("new target" in words for words in done.words)
    now = target(first, "box 4", "F55")
    assert now == pytest.approx(70.70 + 2.57, abs=0.15)
    feature = first.sampling.feature("F55")
    step = next(one for one in done.targets if one.feature_id == feature.id).steps[-1]
    line = next(c for c in first.article.cuts.cuts if c.cause == "size F55")
    assert step.kind == "correction" and step.offset_mm == pytest.approx(line.change_mm)
    assert step.u == pytest.approx(abs(line.change_mm) * line.u_share)  # not that of its wider Student interval
    task = next(t for t in bench(first, "box 4").tasks if t.feature.balloon == "F55")
    assert task.state == "does not conform"  # it is work on the Bench now


@pytest.mark.parametrize(("beyond", "moves"), [(0.09, False), (0.20, True), (-0.20, True)])
def test_a_target_moves_from_a_tenth_or_two_uncertainties_of_the_reading(
    first: Desk, beyond: float, moves: bool
) -> None:
    """A caliper of U 0.04 to 0.06 reads the box: twice its u is less than 0.10, so a tenth decides."""
    line = next(c for c in first.article.cuts.cuts if c.cause == "size F55")
    measure(first, "box 4", "F55", f"{70.70 - line.change_mm + beyond:.2f}")
    assert bool(first.take(line.number).targets) == moves


@pytest.mark.parametrize(("poured", "waits"), [("2023-09-10", False), ("2023-09-11", True), ("2023-09-12", True)])
def test_a_tool_counts_as_measured_since_from_the_day_after_the_castings_were_poured(
    first: Desk, monkeypatch: pytest.MonkeyPatch, poured: str, waits: bool
) -> None:
    measure(first, "box 4", "F55", "70.70")  # on 11 September
    monkeypatch.setattr("inspect_tui.shop.first_article.take_over.pour_day", lambda sampling: poured)
    number = first.number("size F55")
    assert bool(waiting(first.sampling, first.looked, first.article.causes, first.article.cuts, [number])) == waits


def test_each_cut_promises_the_sizes_of_the_next_casting(first: Desk) -> None:
    first.take(first.number("core 4 y"), first.number("core 5 z"))
    (seat, seat_promises), (_, keys) = first.record.cuts_accepted(first.sampling.job.of_id)
    assert seat.tool == "box 2"
    by_balloon = {first.record.feature(p.feature_id).balloon: p for p in (*seat_promises, *keys)}
    assert set(by_balloon) == {"F38", "F39", "F40", "F48", "F50"}
    assert by_balloon["F38"].promised_mm == pytest.approx(88.0, abs=0.15)
    assert by_balloon["F39"].promised_mm < by_balloon["F39"].before_mm
    assert by_balloon["F40"].promised_mm > by_balloon["F40"].before_mm
    assert by_balloon["F48"].promised_mm == pytest.approx(7.0, abs=0.3)
    # each promise is the size before with the change of its cut, and the u of both added in quadrature
    line = next(c for c in first.article.cuts.cuts if c.cause == "core 4 y")
    for balloon, change in line.changes:
        before = next(p for p in first.article.cuts.predicted if p.balloon == balloon)
        promise = next(p for p in seat_promises if first.record.feature(p.feature_id).balloon == balloon)
        assert promise.before_mm == pytest.approx(before.before)
        assert promise.promised_mm == pytest.approx(before.before + change)
        assert promise.u_mm == pytest.approx(hypot(before.u_before, line.u_share * change))


def test_promises_of_cuts_on_one_feature_add_up(first: Desk) -> None:
    first.take(first.number("contraction x", "drag pattern"), first.number("contraction x", "box 7"))
    accepted = first.record.cuts_accepted(first.sampling.job.of_id)
    flange = [p for _, all_ in accepted for p in all_ if first.record.feature(p.feature_id).balloon == "F03"]
    assert abs(flange[0].promised_mm - flange[0].before_mm) > 1.0  # one end alone moves it
    assert abs(flange[1].promised_mm - flange[1].before_mm) < 0.1  # both ends hardly


def test_a_cut_taken_over_later_adds_to_what_was_promised_before(first: Desk) -> None:
    numbers = [first.number("contraction x", "drag pattern"), first.number("contraction x", "box 7")]
    for number in numbers:
        first.take(number)
    one, other = (
        next(p for p in all_ if first.record.feature(p.feature_id).balloon == "F03")
        for _, all_ in first.record.cuts_accepted(first.sampling.job.of_id)
    )
    line = next(c for c in first.article.cuts.cuts if c.number == numbers[1])
    change = dict(line.changes)["F03"]
    assert other.promised_mm == pytest.approx(one.promised_mm + change)
    assert other.u_mm == pytest.approx(hypot(one.u_mm, change * line.u_share))


def test_the_interval_of_a_cut_is_kept(first: Desk) -> None:
    lines = {c.number: c for c in first.article.cuts.cuts if c.cause in ("core 4 y", "core 5 z")}
    first.take(*lines)
    for (cut, _), line in zip(first.record.cuts_accepted(first.sampling.job.of_id), lines.values(), strict=True):
        assert (cut.low_mm, cut.high_mm) == (line.low, line.high) and cut.low_mm < cut.change_mm < cut.high_mm


def test_a_cut_is_taken_over_once_and_shows_as_taken(first: Desk) -> None:
    number = first.number("core 4 y")
    first.take(number)
    again = desk_of(first.record, "S1")
    assert next(c for c in again.article.cuts.cuts if c.number == number).accepted
    with pytest.raises(DataError, match="taken over already"):
        again.take(number)
    (line,) = work(first.record, find.job(first.record, None))
    assert (line.round, line.tool, line.day) == ("S1", "box 2", "2023-09-11")


@pytest.mark.parametrize(("numbers", "sentence"), [((), "Say which cuts"), ((99,), "no cut 99")])
def test_numbers_that_are_not_on_the_list_are_refused(first: Desk, numbers: tuple[int, ...], sentence: str) -> None:
    with pytest.raises((DataError, NotFound), match=sentence):
        first.take(*numbers)


def test_nothing_is_written_when_one_of_the_cuts_cannot_be_taken(first: Desk) -> None:
    with pytest.raises(DataError):
        first.take(first.number("core 4 y"), first.number("size F55"))
    assert first.record.cuts_accepted(first.sampling.job.of_id) == []
    assert find.job(first.record, None).a_x == pytest.approx(0.010)


def test_the_cut_list_of_a_sampling_that_a_later_one_followed_is_history(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    with copy_of_shop(tmp_path_factory, tmp_path, AFTER_S3) as record:
        old = desk_of(record, "S1")
        with pytest.raises(DataError, match="S1 is history: S3 was measured after it"):
            old.take(old.number("core 5 z"))


def test_a_tool_that_was_measured_off_its_target_is_cut_back_and_keeps_it(first: Desk) -> None:
    """Such a cut follows from the tool's own readings: no cause of the castings stands behind it."""
    cuts = first.article.cuts
    line = next(c for c in cuts.cuts if c.faces and c.tool == "box 3")
    own = replace(line, number=len(cuts.cuts) + 1, cause="tool as measured", accepted=False)
    cuts = replace(cuts, cuts=(*cuts.cuts, own))
    assert not waiting(first.sampling, first.looked, first.article.causes, cuts, [own.number])
    done = take_over(first.record, first.sampling, first.looked, first.article.causes, cuts, [own.number])
    assert [c.cause for c in done.cuts] == ["tool as measured"] and not done.targets
    assert "goes back to its target" in " ".join(done.words)
