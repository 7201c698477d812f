"""Walls of a kit: found from the fits or written, by worst case and root sum square, as drawn and as measured."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.kit import Stack, StackMember
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.walls import WallState, between
from tests.shop.kit.test_check import (
    checked,
    proven,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import begin, two_cores, with_patterns


# ------------------------------------------------------------------------------ walls
def test_a_wall_between_cores_is_found_with_its_worst_case_and_root_sum_square(record: Record) -> None:
    made = two_cores(record)
    for number in (1, 2):
        made.detail(number, tol_mm=0.1)
    wall = checked(made).walls[0]
    assert wall.path == ("core 1", "core 2")
    scale = 1 / 1.01
    # one-dimensional stack: two cores of 0.1 each and the play of K2, half of 0.5 in the mould, at casting scale
    assert wall.drawn.worst_low == pytest.approx(8 - 0.2 - 0.25 * scale)
    assert wall.drawn.worst_high == pytest.approx(8 + 0.2 + 0.25 * scale)
    assert wall.drawn.rss == pytest.approx((2 * 0.1**2 + (0.25 * scale) ** 2) ** 0.5)


def test_a_worn_seat_as_measured_widens_the_wall(record: Record) -> None:
    made = proven(record)
    before = next(w for w in checked(made).walls if w.label == "F1")
    made.read("box 1", {"K2-S": 42.5})
    after = next(w for w in checked(made).walls if w.label == "F1")
    assert after.now.u > 2 * before.now.u
    assert after.p_holds < before.p_holds
    assert after.drawn == before.drawn
    assert after.most == "K2"


def test_a_wall_whose_cores_no_fit_joins_says_what_is_missing(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in (1, 2):
        made.add_core(number)
    made.add_fit("K1", 1, "drag", axis="x")
    made.add_feature("F1", "x", 8.0, (1, -1, 0.0), (2, 1, 8.0), (), 7.0, 9.0, quantity="wall")
    check = checked(made)
    assert not check.walls
    assert "no fit places core 1 and core 2 to each other along x" in check.no_loop[0].sentence
    assert any("no loop" in text for text in check.missing)


def test_a_written_loop_stands_beside_the_found_one_and_what_it_leaves_out_is_said(record: Record) -> None:
    made = two_cores(record)
    stack = Stack(job_of_id=made.job.of_id, label="ST1", name="wall", feature_id=made.feature["F1"].id)
    members = [
        StackMember(stack_id=b"", ord=0, name="core 1", size_mm=8.0, plus_mm=0.1, minus_mm=0.1),
        StackMember(stack_id=b"", ord=0, name="core 2", plus_mm=0.1, minus_mm=0.1),
    ]
    edit.add_stack(record, stack, members)
    wall = next(w for w in checked(made).walls if w.label == "ST1")
    assert wall.drawn.worst_low == pytest.approx(7.8)
    assert wall.drawn.lower == 7.0
    assert wall.remarks == ("the loop found for F1 also runs over K2 (± 0.25)",)


def test_links_of_one_tool_count_together(record: Record) -> None:
    """Three links of +- 0.3, u 0.1 each: u sqrt(3) of that, two thirds of its square from the tool that makes two."""
    made = two_cores(record)
    members = [
        StackMember(stack_id=b"", ord=0, name=name, size_mm=4.0, plus_mm=0.3, minus_mm=0.3, tool=tool)
        for name, tool in (("a", "box 1"), ("b", "box 1"), ("c", "box 2"))
    ]
    edit.add_stack(record, Stack(job_of_id=made.job.of_id, label="ST2", name="rib", lower=11.0), members)
    wall = next(w for w in checked(made).walls if w.label == "ST2")
    assert (wall.most, wall.share) == ("box 1", pytest.approx(2 / 3)) and dict(wall.shares)["box 2"] == pytest.approx(
        1 / 3
    )
    assert wall.sentence.startswith("ST2 rib: 12.00 ± 0.35 mm, holds its limits")  # 2 u


def test_the_play_of_a_written_loop_is_that_of_its_fit_as_measured(record: Record) -> None:
    """Half the clearance of K2 either way, in the mould: 1 / 1.01 of it at the casting, even over it."""
    made = proven(record)
    play = StackMember(
        stack_id=b"", ord=0, name="K2", plus_mm=0.9, minus_mm=0.9, shape="uniform", fit_id=made.fit["K2"].id
    )
    edit.add_stack(record, Stack(job_of_id=made.job.of_id, label="ST2", name="rib"), [play])
    check = checked(made)
    (clear,) = (line.verdict.clearance.value for line in check.lines if line.fit.name == "K2")
    wall = next(w for w in check.walls if w.label == "ST2")
    assert wall.now.u == pytest.approx(clear / 2 / 1.01 / 3**0.5) and wall.drawn.worst_high == pytest.approx(0.9)


def test_a_wall_of_two_faces_is_the_same_from_either_of_them(record: Record) -> None:
    check = checked(two_cores(record))
    there, back = (
        between(check.facts, check.lines, *ends)
        for ends in (("core 1 x 20", "core 2 x 28"), ("core 2 x 28", "core 1 x 20"))
    )
    assert there.now.value == pytest.approx(8.0) and (there.now, there.name) == (back.now, back.name)
    assert there.name == "core 1 face x 20 to core 2 face x 28"


def test_assemblies_count_a_loop_of_its_own_and_a_wall_of_the_drawing_once(record: Record) -> None:
    made = two_cores(record)
    member = StackMember(stack_id=b"", ord=0, name="core 1", size_mm=8.0, plus_mm=0.1, minus_mm=0.1)
    again = Stack(job_of_id=made.job.of_id, label="ST1", name="wall", feature_id=made.feature["F1"].id)
    edit.add_stack(record, again, [member])
    edit.add_stack(record, Stack(job_of_id=made.job.of_id, label="ST2", name="rib", lower=9.0, upper=10.0), [member])
    every = kit.assemblies(checked(made), 1000, 3)
    assert every is not None and [wall.name for wall in every.walls] == ["F1", "ST2"]
    assert every.weakest == "ST2" and every.p_all == 0.0


def test_assemblies_drawn_at_random_agree_with_the_closed_form(record: Record) -> None:
    made = two_cores(record)
    check = checked(made)
    every = kit.assemblies(check, 200_000, 3)
    wall, counted = check.walls[0], every.walls[0]
    # sums of independent spreads: the standard deviation of a sample of n has itself sd/sqrt(2 n)
    assert counted.sd == pytest.approx(wall.now.u, abs=5 * wall.now.u / 200_000**0.5)
    assert counted.mean == pytest.approx(wall.now.value, abs=5 * wall.now.u / 200_000**0.5)


def test_what_a_missing_place_costs_a_wall_is_said(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.5, 20.5)
    made.read("box 1", {"W": 20.0 * 1.01 + 1.01})
    made.add_feature("F2", "x", 8.0, (1, -1, None), (2, 1, None), (), 7.0, 9.0, quantity="wall")
    walls = {wall.label: wall for wall in checked(made).walls}
    assert walls["F1"].now.value == pytest.approx(7.5) and walls["F1"].remarks == ()
    assert walls["F2"].now.value == pytest.approx(8.0)
    assert walls["F2"].remarks == (
        "what was read of its faces is not in it, and no sketch shows F2: say where its ends stand",
    )


def test_a_chance_to_hold_takes_play_as_even(record: Record) -> None:
    """Limits that the play of K2 alone cannot reach, however many standard deviations a normal of it would have."""
    made = two_cores(record)
    for number in (1, 2):
        made.detail(number, tol_mm=0.001)
    wall = next(w for w in checked(made).walls if w.label == "F1")
    half = 0.25 / 1.01
    sd = (2 * (0.001 / 3) ** 2 + (8 / 1.01 * 0.0015) ** 2) ** 0.5
    assert wall.now.u == pytest.approx((half**2 / 3 + sd**2) ** 0.5)
    lower = wall.now.value - 0.9 * half
    tight = replace(made.feature["F1"], id=record.new_id(), balloon="F3", lower=lower, ord=99)
    record.add(
        replace(tight, ends=tuple(made.end(e.which, n + 1, e.facing, e.coord_mm) for n, e in enumerate(tight.ends)))
    )
    (tight_wall,) = [w for w in checked(made).walls if w.label == "F3"]
    assert tight_wall.p_holds == pytest.approx(0.95, abs=0.002)  # a tenth of one half of the play is outside


@pytest.mark.parametrize(
    ("lower", "state"),
    [
        (7.7670, WallState.HOLDS),  # 2.330 standard deviations off: 99.01 %
        (7.7678, WallState.MAY_FAIL),  # 2.322: 98.99 %
        (7.9999, WallState.MAY_FAIL),
        (8.0001, WallState.FAILS),  # its middle is beyond the limit: less than 50 %
        (None, WallState.NO_LIMITS),
    ],
)
def test_what_is_said_of_a_wall_goes_by_its_chance_to_hold(
    record: Record, lower: float | None, state: WallState
) -> None:
    """One link of 8 +- 0.3, three standard deviations: 0.1; against its lower limit alone, as in a normal table."""
    made = two_cores(record)
    member = StackMember(stack_id=b"", ord=0, name="core 1", size_mm=8.0, plus_mm=0.3, minus_mm=0.3)
    edit.add_stack(record, Stack(job_of_id=made.job.of_id, label="ST2", name="rib", lower=lower), [member])
    wall = next(w for w in kit.check(record, made.job).walls if w.label == "ST2")
    assert wall.state == state and wall.now.u == pytest.approx(0.1)
