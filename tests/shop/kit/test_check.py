"""The kit check on small invented kits: fits, order, look-alikes, lift, walls, what is missing, what to read next."""

from __future__ import annotations

import sys
from pathlib import Path
from subprocess import run

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.model.kit import Fit, Passage, Stack, StackMember
from inspect_tui.model.measuring import Calibration
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit as kit_edit
from inspect_tui.shop.kit.check import KitCheck
from tests.worlds.kit_jobs import Kit, begin, two_cores, with_patterns


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as opened:
        yield opened


def checked(made: Kit) -> KitCheck:
    return kit.check(made.record, made.job)


def proven(record: Record) -> Kit:
    """Two cores with every print, seat and size read and right."""
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.0, "K2-S": 40.5})
    made.read("box 2", {"K2-P": 40.0})
    made.read("drag pattern", {"K1-S": 60.5})
    for number in (1, 2):
        made.detail(number, in_metal_dm3=0.1)
    made.record.add(
        Fit(
            job_of_id=made.job.of_id,
            label="K3",
            inner_core_id=made.core[2].of_id,
            outer_half="cope",
            axis="y",
            way_in="z+",
            clear_min_mm=0.3,
            clear_max_mm=0.7,
            holds="y",
        )
    )
    return made


# ------------------------------------------------------------------------------ fits
def test_a_fit_read_on_both_sides_inside_its_limits_conforms(record: Record) -> None:
    made = proven(record)
    line = next(x for x in checked(made).lines if x.name == "K1")
    assert line.verdict.answer == "conforms"
    assert line.verdict.measured == "both"
    assert line.verdict.clearance.value == pytest.approx(0.5)
    # two readings with a certificate of U 0.04 at k = 2 each, and their resolution of 0.01: GUM, root sum of squares
    assert line.verdict.clearance.u == pytest.approx((2 * (0.02**2 + 0.01**2 / 12)) ** 0.5, rel=1e-6)


def test_a_size_nobody_read_is_as_uncertain_as_its_limits_say(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.0})
    line = next(x for x in checked(made).lines if x.name == "K1")
    # the seat's limits of 0.2 either way taken as two standard uncertainties, beside the reading of the print
    assert line.verdict.clearance.u == pytest.approx((0.1**2 + 0.02**2 + 0.01**2 / 12) ** 0.5)
    assert line.verdict.p_rubs == pytest.approx(0.025, abs=0.001)
    assert line.verdict.p_floats == pytest.approx(0.025, abs=0.001)


def test_the_clearance_is_never_contracted(tmp_path: Path) -> None:
    for n, a in enumerate((0.0, 0.02)):
        with Record.open(tmp_path / f"{n}.db", create=True) as record:
            made = two_cores(record, a=a)
            made.read("box 1", {"K1-P": 60.0})
            made.read("drag pattern", {"K1-S": 60.5})
            line = next(x for x in checked(made).lines if x.name == "K1")
            assert line.verdict.clearance.value == pytest.approx(0.5, abs=1e-12)


def test_the_box_speaks_before_the_stick_and_the_last_stay_before_earlier_ones(record: Record) -> None:
    made = two_cores(record)
    made.read("stick 1", {"K1-P": 60.2})
    assert next(x for x in checked(made).lines if x.name == "K1").print.measured.value == pytest.approx(60.2)
    made.read("box 1", {"K1-P": 60.4})
    made.read("box 1", {"K1-P": 60.1})
    line = next(x for x in checked(made).lines if x.name == "K1")
    assert line.print.measured.value == pytest.approx(60.1)
    assert line.print.tool.label == "box 1"


def test_a_stick_larger_for_its_resin_gives_the_print_that_its_box_will_give(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    made.add_tool("stick 1", "core_stick", 1, resin_r=0.002, resin_u=0.0005)
    made.print_and_seat("K1", 1, "drag", 60.0, 60.5)
    made.read("stick 1", {"K1-P": 60.0 / 0.998})
    line = checked(made).lines[0]
    assert line.print.measured.value == pytest.approx(60.0)
    assert line.print.measured.u > 0.02  # the resin's own uncertainty joins the reading's


def test_a_print_larger_than_its_seat_is_named_with_the_cut(record: Record) -> None:
    made = proven(record)
    made.read("box 1", {"K2-S": 39.9})
    found = checked(made)
    assert not found.holds
    assert "does not go" in found.against[0]
    assert "K2, core 2 in core 1" in found.against[0]
    line = next(x for x in found.lines if x.name == "K2")
    # the seat is made by a projection in the box: larger means more material on it
    assert line.cut == "add 0.60 on box 1"


def test_a_tool_that_was_noted_as_changed_after_its_reading_is_to_be_read_again(record: Record) -> None:
    from inspect_tui.model.measuring import Note
    from inspect_tui.record.kinds import TOOL

    made = proven(record)
    assert checked(made).lines[0].changed is None
    record.add(Note(about_kind=TOOL.number, about_id=made.tool["drag pattern"].id, text="seat lined again"))
    found = checked(made)
    assert next(x for x in found.lines if x.name == "K1").changed == "drag pattern was noted since: seat lined again"
    assert (found.next[0].tool, found.next[0].balloon) == ("drag pattern", "K1-S")


def test_as_it_stood_on_a_day_only_what_was_read_by_then_counts(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.9})
    middle = record.tool_readings(made.job.of_id)[-1].at_us
    made.read("box 1", {"K1-P": 60.0})
    now, then = checked(made), kit.check(record, made.job, middle)
    assert next(x for x in now.lines if x.name == "K1").print.measured.value == pytest.approx(60.0)
    assert next(x for x in then.lines if x.name == "K1").print.measured.value == pytest.approx(60.9)


# ------------------------------------------------------------------------------ facts that contradict themselves
def test_a_core_that_sits_in_itself_is_said_and_the_rest_is_still_worked_out(record: Record) -> None:
    made = proven(record)
    made.add_fit("K9", 1, 1)
    found = checked(made)
    assert any("core 1 sits in itself" in text for text in found.against)
    assert len(found.lines) == 4


def test_two_cores_with_one_number_are_said(record: Record) -> None:
    made = proven(record)
    made.add_core(1, "another one")
    assert any("two cores have the number 1" in text for text in checked(made).against)


def test_a_print_without_a_seat_is_said(record: Record) -> None:
    made = proven(record)
    made.record.add(
        Fit(job_of_id=made.job.of_id, label="K9", inner_core_id=made.core[2].of_id, clear_min_mm=0.3, clear_max_mm=0.7)
    )
    assert any("a print of core 2 has no seat" in text for text in checked(made).against)


def test_a_seat_claimed_twice_is_said_with_both_claimants(record: Record) -> None:
    made = proven(record)
    made.add_fit("K9", 2, "drag", outer_feature_id=made.feature["K1-S"].id)
    assert any("seat K1-S of drag is claimed by core 1 and core 2" in text for text in checked(made).against)


@pytest.mark.parametrize(("seat", "words"), [(60.0, "no larger than"), (59.5, "smaller than")])
def test_a_clearance_as_drawn_of_nothing_or_less_is_said(record: Record, seat: float, words: str) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    made.add_tool("box 1", "core_box", 1)
    made.print_and_seat("K1", 1, "drag", 60.0, seat)
    against = checked(made).against
    assert any(words in text and "change one of the two sizes" in text for text in against)


def test_a_job_without_cores_says_so(record: Record) -> None:
    found = checked(begin(record))
    assert found.sentence == "job TK-1 has no cores"
    assert found.missing == ("this job has no cores",)


# ------------------------------------------------------------------------------ order
def test_the_order_that_people_gave_is_in_force_where_it_can_be_set(record: Record) -> None:
    made = proven(record)
    found = checked(made)
    assert found.sequence == ("1", "2")
    assert found.order_sentence == "set in the order 1, 2: there is no other"


def test_an_order_that_a_seat_forbids_is_said_and_the_computed_one_counts(record: Record) -> None:
    made = two_cores(record)
    for number, place in ((1, 2), (2, 1)):
        made.detail(number, set_order=place)
    found = checked(made)
    assert found.sequence == ("1", "2")
    assert "core 2 cannot be set" in found.order_sentence
    assert any("core 2 cannot be set" in text for text in found.against)


def test_a_ring_of_seats_is_named_core_by_core(record: Record) -> None:
    made = proven(record)
    made.add_fit("K9", 1, 2)
    found = checked(made)
    assert found.sequence == ()
    assert "no setting order: 1 -> 2 -> 1" in found.order_sentence


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_an_order_exists_exactly_when_no_core_waits_for_itself_and_respects_every_seat(data: st.DataObject) -> None:
    from tempfile import TemporaryDirectory

    size = data.draw(st.integers(2, 7))
    pairs = data.draw(st.lists(st.tuples(st.integers(1, size), st.integers(0, size)), max_size=12))
    with (
        TemporaryDirectory() as folder,
        Record.open(Path(folder) / "k.db", create=True, state_dir=Path(folder)) as record,
    ):
        made = with_patterns(begin(record))
        for number in range(1, size + 1):
            made.add_core(number)
        seats = {(i, o) for i, o in pairs if i != o}
        for n, (inner, outer) in enumerate(sorted(seats)):
            made.add_fit(f"K{n}", inner, outer or "drag")
        found = checked(made)
        under = {i: {o for a, o in seats if a == i and o} for i in range(1, size + 1)}
        ring = any(_reaches(under, n, n) for n in under)
        assert bool(found.sequence) != ring
        place = {int(number): at for at, number in enumerate(found.sequence)}
        assert all(place[outer] < place[inner] for inner, outer in seats if outer and found.sequence)


def _reaches(under: dict[int, set[int]], start: int, wanted: int) -> bool:
    seen: set[int] = set()
    front = set(under[start])
    while front:
        if wanted in front:
            return True
        seen |= front
        front = {x for n in front for x in under[n]} - seen
    return False


def test_a_core_that_could_be_blocked_comes_before_its_blocker(record: Record) -> None:
    made = proven(record)
    made.add_core(3, set_order=0)
    made.add_fit("K9", 3, "drag", way_in="x-", holds="x,y,z,rx,ry,rz")
    kit_edit.change_fit(record, made.job, made.fit["K2"], blocked_by="3")
    found = checked(made)
    assert found.sequence.index("3") > found.sequence.index("2")


# ------------------------------------------------------------------------------ look-alikes, held, lift
def test_cores_that_go_into_each_others_seats_are_named_with_what_would_stop_it(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in (1, 2):
        made.add_core(number)
        made.add_tool(f"box {number}", "core_box", number)
        place = 100.0 * number
        made.print_and_seat(f"K{number}", number, "drag", 40.0, 40.5, at_x=place, at_y=0.0, at_z=0.0)
        made.read(f"box {number}", {f"K{number}-P": 40.0})
        made.read("drag pattern", {f"K{number}-S": 40.5})
    found = checked(made)
    assert {(a.core, a.seats_of) for a in found.look_alikes} >= {("1", "2"), ("2", "1")}
    assert any("core 1 goes into the seats of core 2" in t and "give core 1 a key" in t for t in found.against)


def test_a_core_with_equal_prints_at_its_ends_goes_in_turned_until_one_of_them_is_changed(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    for place, at in (("1", -100.0), ("2", 100.0)):
        made.print_and_seat(f"K{place}", 1, "drag", 40.0, 40.5, at_x=at, at_y=0.0, at_z=0.0)
    found = checked(made)
    assert "turned end for end" in found.look_alikes[0].sentence
    assert found.look_alikes[0].sentence in found.against
    other = with_patterns(begin(record, "TK-2"))
    other.add_core(1)
    for place, at, size in (("1", -100.0, 40.0), ("2", 100.0, 46.0)):
        other.print_and_seat(f"K{place}", 1, "drag", size, size + 0.5, at_x=at, at_y=0.0, at_z=0.0)
    assert checked(other).look_alikes == ()


def test_a_core_with_a_single_print_that_may_be_turned_is_a_doubt_not_an_answer(record: Record) -> None:
    found = checked(proven(record))
    assert {a.core for a in found.look_alikes} == {"1", "2"}
    assert all(a.sentence in found.doubts and a.sentence not in found.against for a in found.look_alikes)


def test_a_print_clearly_smaller_than_another_seat_is_no_look_alike(record: Record) -> None:
    made = with_patterns(begin(record))
    for number, size in ((1, 40.0), (2, 52.0)):
        made.add_core(number)
        made.print_and_seat(f"K{number}", number, "drag", size, size + 0.5, at_x=100.0 * number, at_y=0.0, at_z=0.0)
    assert all(a.core == a.seats_of for a in checked(made).look_alikes)


def test_a_core_that_nothing_holds_in_a_direction_is_named(record: Record) -> None:
    made = two_cores(record)
    made.add_core(3)
    made.add_fit("K9", 3, "drag", axis="x", holds="x")
    found = checked(made)
    assert any(text.startswith("core 3: ") and "free along y" in text for text in found.against)


def test_the_lift_goes_through_cores_that_stand_on_each_other_up_to_the_cope(record: Record) -> None:
    made = with_patterns(begin(record))
    for number, outer in ((1, "drag"), (2, 1)):
        made.add_core(number, set_order=number, volume_dm3=2.0)
        made.detail(number, in_metal_dm3=1.5)
        made.add_fit(f"K{number}", number, outer, holds="x,y,rx,ry,rz")
    loose = checked(made)
    assert any("core 2 lifts" in t and "nothing holds it down" in t for t in loose.against)
    made.add_fit("K3", 2, "cope", way_in="z+", holds="x,y")
    found = checked(made)
    # Archimedes: 7.0 kg/dm3 times 1.5 dm3 less 1.6 times 2.0 is 7.3 kgf a core; the upper one carries both
    assert found.held["1"].lift.kgf == pytest.approx(7.3)
    assert found.held["2"].up / 9.80665 == pytest.approx(14.6)
    assert found.held["2"].sentence == "core 2 lifts 14.6 kgf, 7.3 of it from cores below: held by the cope"


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


@pytest.mark.parametrize("label", ["K2", "zz"])  # names that sort before and behind those of faces
@pytest.mark.parametrize("core", [1, 2])
def test_a_core_read_too_wide_moves_its_faces_by_half_each(record: Record, core: int, label: str) -> None:
    made = two_cores(record)
    kit_edit.change_fit(record, made.job, made.fit["K2"], label=label)
    low, high = (0.0, 20.0) if core == 1 else (28.0, 48.0)
    made.add_feature("W", "x", 20.0, (core, 1, low), (core, -1, high), (f"box {core}",), 19.5, 20.5)
    made.read(f"box {core}", {"W": 20.0 * 1.01 + 1.01})  # one millimetre of the casting too wide
    wall = next(w for w in checked(made).walls if w.label == "F1")
    assert wall.now.value == pytest.approx(8.0 - 0.5)


def test_of_two_sizes_that_share_a_face_the_surer_one_says_where_it_is(record: Record) -> None:
    made = two_cores(record)
    for balloon, low in (("W", 0.0), ("V", 10.0)):
        made.add_feature(balloon, "x", 20.0 - low, (1, 1, low), (1, -1, 20.0), ("box 1",), 9.0, 21.0)
    fine = made.calibration
    made.calibration = record.add(Calibration(instrument_of_id=made.caliper.of_id, done_on="2026-02-01", u95_mm=1.0))
    made.read("box 1", {"W": 20.0 * 1.01 + 1.01})  # 1.0 of the casting too wide, but coarsely read
    made.calibration = fine
    made.read("box 1", {"V": 10.0 * 1.01 + 0.404})  # 0.4 too wide
    wall = next(w for w in checked(made).walls if w.label == "F1")
    assert wall.now.value == pytest.approx(8.0 - 0.2)


def test_a_core_that_sits_in_two_is_placed_by_the_closer_fit(record: Record) -> None:
    made = two_cores(record)
    made.add_fit("K8", 2, "drag", axis="x", holds="x", clear_min_mm=0.05, clear_max_mm=0.10)
    wall = next(w for w in checked(made).walls if w.label == "F1")
    # K8 leaves 0.075 in all and the drag 0.5 by K1; K2 leaves 0.5 and shares core 1 with the other face
    assert wall.path == ("core 1", "drag", "core 2")
    made.add_fit("K7", 2, "drag", axis="y", holds="y", clear_min_mm=0.05, clear_max_mm=0.10)
    assert next(w for w in checked(made).walls if w.label == "F1").path == ("core 1", "drag", "core 2")


def test_a_wall_whose_cores_no_fit_joins_says_what_is_missing(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in (1, 2):
        made.add_core(number)
    made.add_fit("K1", 1, "drag", axis="x")
    made.add_feature("F1", "x", 8.0, (1, -1, 0.0), (2, 1, 8.0), (), 7.0, 9.0, quantity="wall")
    found = checked(made)
    assert not found.walls
    assert "no fit places core 1 and core 2 to each other along x" in found.no_loop[0].sentence
    assert any("no loop" in text for text in found.missing)


def test_a_written_loop_stands_beside_the_found_one_and_what_it_leaves_out_is_said(record: Record) -> None:
    made = two_cores(record)
    stack = Stack(job_of_id=made.job.of_id, label="ST1", name="wall", feature_id=made.feature["F1"].id)
    members = [
        StackMember(stack_id=b"", ord=0, name="core 1", size_mm=8.0, plus_mm=0.1, minus_mm=0.1),
        StackMember(stack_id=b"", ord=0, name="core 2", plus_mm=0.1, minus_mm=0.1),
    ]
    kit_edit.add_stack(record, stack, members)
    wall = next(w for w in checked(made).walls if w.label == "ST1")
    assert wall.drawn.worst_low == pytest.approx(7.8)
    assert wall.drawn.lower == 7.0
    assert wall.remarks == ("the loop found for F1 also runs over K2 (± 0.25)",)


def test_assemblies_drawn_at_random_agree_with_the_closed_form(record: Record) -> None:
    made = two_cores(record)
    found = checked(made)
    every = kit.assemblies(found, 200_000, 3)
    wall, counted = found.walls[0], every.walls[0]
    # sums of independent spreads: the standard deviation of a sample of n has itself sd/sqrt(2 n)
    assert counted.sd == pytest.approx(wall.now.u, abs=5 * wall.now.u / 200_000**0.5)
    assert counted.mean == pytest.approx(wall.now.value, abs=5 * wall.now.u / 200_000**0.5)


# ------------------------------------------------------------------------------ passages
def test_a_passage_that_misses_its_rating_by_a_few_percent_stands_out(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    made.add_feature("H1", "y", 10.0, (1, 1, 0.0), (1, -1, 10.0), ("box 1",), 9.0, 11.0)
    kit_edit.add_passage(
        record,
        made.job,
        Passage(job_of_id=made.job.of_id, label="P1", name="port", formula="W1 * H1", unit="l/s", rated=100.0),
    )
    made.read("box 1", {"W1": 20.0 * 1.01, "H1": 10.0 * 1.01 * (1 - 0.077)})
    found = checked(made)
    line = found.passages[0]
    assert line.now.value == pytest.approx(200.0 * (1 - 0.077))
    assert line.capacity.short == pytest.approx(0.077)
    assert line.misses
    assert any("7.7 % under: 92.3 of 100.0 rated l/s" in text for text in found.against)
    assert line.buys[0].feature == "H1"
    assert line.buys[0].alone_mm == pytest.approx(10.0 * 0.077, abs=1e-6)


def test_sizes_of_a_passage_that_nobody_read_count_as_drawn_and_are_named(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    kit_edit.add_passage(
        record, made.job, Passage(job_of_id=made.job.of_id, label="P1", name="port", formula="W1 * W1")
    )
    found = checked(made)
    assert found.passages[0].not_read == ("W1",)
    assert any("as drawn, not read: W1" in text for text in found.doubts)


# ------------------------------------------------------------------------------ states, missing, next


def test_the_next_reading_is_the_one_that_takes_away_most_doubt(record: Record) -> None:
    made = two_cores(record)
    made.read("drag pattern", {"K1-S": 60.32})  # hardly any room left for the print
    made.read("box 1", {"K2-S": 40.5})
    first = checked(made).next[0]
    assert first.balloon == "K1-P"
    assert "K1 rubs or floats" in first.sentence
    made.read("box 1", {"K1-P": 59.9})
    assert checked(made).next[0].balloon == "K2-P"


def test_a_weak_wall_asks_for_the_size_on_the_box_that_makes_its_face(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("F2", "x", 8.0, (1, -1, 40.0), (2, 1, 48.0), (), 7.9, 8.1, quantity="wall")
    made.add_feature("W1", "x", 40.0, (1, 1, 0.0), (1, -1, 40.0), ("box 1",), 39.0, 41.0)
    made.read("box 1", {"K1-P": 60.0, "K2-S": 40.31})
    made.read("box 2", {"K2-P": 40.0})
    made.read("drag pattern", {"K1-S": 60.5})
    asked = {n.balloon: n for n in checked(made).next}
    assert asked["W1"].sentence == "read W1 on box 1: it makes a face of wall F2"
    made.read("box 1", {"W1": 40.4})
    assert "W1" not in {n.balloon for n in checked(made).next}


def test_an_undecided_fit_read_on_both_sides_asks_for_a_finer_instrument(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.0, "K2-S": 40.5})
    made.read("box 2", {"K2-P": 40.0})
    made.read("drag pattern", {"K1-S": 60.31})  # 0.31 of room where 0.30 is the least
    found = checked(made)
    assert {n.balloon for n in found.next} == {"K1-P", "K1-S"}
    assert found.next[0].sentence.endswith("K1 is undecided: again, with a finer instrument")


def test_what_is_missing_is_listed_and_gets_shorter(record: Record) -> None:
    before = checked(two_cores(record)).missing
    assert any("2 fits are not read on both sides: K1, K2" in text for text in before)
    assert any("cores have no picture" in text for text in before)


def test_a_kit_with_everything_read_has_nothing_against_it(record: Record) -> None:
    found = checked(proven(record))
    assert found.against == ()
    assert found.holds


def test_reading_and_checking_a_kit_needs_no_numpy_until_assemblies_are_drawn() -> None:
    code = (
        "import sys; from inspect_tui.shop.kit import check, papers, edit, cores, life_story, shipping; "
        "from inspect_tui.shop.jobs import sample_casting, contraction_book; print('numpy' in sys.modules, 'scipy' in sys.modules, 'textual' in sys.modules)"
    )
    got = run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert got.stdout.split() == ["False", "False", "False"]
