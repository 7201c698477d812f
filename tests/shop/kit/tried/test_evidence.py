"""What a trial says of fits and walls counts with its uncertainty, until it was changed or somebody tried it again."""

from __future__ import annotations

from math import sqrt

import pytest

from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Note
from inspect_tui.record.kinds import TOOL
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs.file.plan import tool_feature
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.tried import evidence
from tests.shop.kit.test_check import checked, proven, record  # noqa: F401  a fixture
from tests.shop.kit.tried.test_trials import repair
from tests.worlds.kit_jobs import Kit, two_cores
from tests.worlds.trials import mould, tried


@pytest.fixture
def made(record: Record) -> Kit:
    return proven(record)


def seen(made: Kit, fit: str) -> evidence.Seen | None:
    return evidence.of_fit(KitFacts(made.record, made.job), made.fit[fit].of_id)


def test_the_newest_word_of_a_fit_holds(made: Kit) -> None:
    assert seen(made, "K2") is None
    tried(made, {"K2": "rubs 0.1"}, day="2026-03-01")
    tried(made, {"K1": "goes"}, day="2026-03-02")
    tried(made, {"K2": "goes 0.4 feeler"}, day="2026-03-03")
    last = seen(made, "K2")
    assert last is not None and last.size == (0.4, 0.05)
    assert last.sentence(MM) == "trying in of 2026-03-03: goes, 0.40 mm by feeler"


def test_a_newer_word_without_a_size_takes_an_older_size_away(made: Kit) -> None:
    tried(made, {"K2": "goes 0.4 feeler"}, day="2026-03-01")
    tried(made, {"K2": "tight"}, day="2026-03-02")
    last = seen(made, "K2")
    assert last is not None and last.size is None and last.line.result == "tight"


def test_what_was_changed_since_is_no_evidence_and_neither_is_what_was_said_before_it(made: Kit) -> None:
    tried(made, {"K2": "goes 0.4 feeler"})
    repair(made, "stick 2")
    assert seen(made, "K2") is None


def test_the_uncertainty_is_the_ways_the_gauges_and_the_sands(made: Kit) -> None:
    # clay 0.3, caliper U 0.04 at k = 2 with steps of 0.01, sand core 0.2: by hand
    # sqrt(0.09 + 0.0004 + 0.0001/12 + 0.04) = 0.36113
    trial = tried(made, {"F1": "8.1 clay"}, inside="cores", gauge="caliper of TK-1")
    feature = KitFacts(made.record, made.job).balloon["F1"]
    wall = evidence.of_wall(KitFacts(made.record, made.job), feature)
    assert wall is not None and wall.size is not None
    assert wall.size.u == pytest.approx(0.36113, abs=1e-5) and wall.size.value == 8.1
    assert trial.lines[-1].instrument_of_id == made.caliper.of_id


def test_an_uncertainty_that_was_said_is_taken_in_place_of_the_ways(made: Kit) -> None:
    tried(made, {"K2": "0.4 ±0.06"})
    last = seen(made, "K2")
    assert (
        last is not None and last.size is not None and last.size.u == pytest.approx(0.03)
    )  # half of what stood behind ±


# ------------------------------------------------------------------------------ in the check of the kit
def test_a_gap_is_one_more_reading_of_a_fit(made: Kit) -> None:
    before = next(x for x in checked(made).lines if x.name == "K2").verdict.clearance
    tried(made, {"K2": "0.44 feeler"})
    line = next(x for x in checked(made).lines if x.name == "K2")
    # by hand: weights 1/u2 of the sizes' 0.5 and of 1/0.05^2 = 400 of the gap
    weight = 1 / before.u**2
    assert before.value == pytest.approx(0.5)
    assert line.verdict.clearance.value == pytest.approx((0.5 * weight + 0.44 * 400) / (weight + 400))
    apart = 0.06 / sqrt(before.u**2 + 0.05**2)
    assert line.verdict.clearance.u == pytest.approx(max(1.0, apart) / sqrt(weight + 400))
    assert "0.44 mm in the trying in of" in line.verdict.sentence


def test_a_fit_that_nobody_read_is_known_by_its_gap(record: Record) -> None:
    made = two_cores(record)
    assert next(x for x in checked(made).lines if x.name == "K2").verdict.state == "as drawn"
    tried(made, {"K2": "goes 0.5 ±0.04"})
    line = next(x for x in checked(made).lines if x.name == "K2")
    assert line.verdict.measured == "both" and line.verdict.state == "fits" and not line.open


def test_a_fit_without_sizes_has_the_play_that_was_taken(record: Record) -> None:
    made = two_cores(record)
    made.add_fit("K9", 2, "drag", axis="y", holds="y")
    tried(made, {"K9": "0.36 feeler ±0.02"})
    line = next(x for x in checked(made).lines if x.name == "K9")
    assert line.verdict.clearance.value == pytest.approx(0.36, abs=0.01)  # drawn: 0.3 to 0.7


def test_a_thickness_moves_the_wall_and_makes_it_surer(made: Kit) -> None:
    before = next(w for w in checked(made).walls if w.label == "F1")
    tried(made, {"F1": "8.2 ±0.1"})
    wall = next(w for w in checked(made).walls if w.label == "F1")
    assert wall.seen is not None and wall.apart > 0.0
    assert before.now.value < wall.now.value < 8.2 / 1.01 + 1e-9
    # its play stays, what was known of the sizes becomes surer: far below the mould's scale of 1 %
    assert any(term.link.kind == "trial" for term in wall.links) and wall.now.u < before.now.u
    assert any("8.20 ± 0.10 mm by clay" in remark for remark in wall.remarks)


def test_a_wall_that_no_loop_closes_is_known_by_its_thickness(record: Record) -> None:
    made = two_cores(record)
    made.add_core(3, set_order=3)
    made.add_tool("stick 3", "core_stick", 3)
    made.add_feature("F9", "y", 6.0, (3, -1, 20.0), (2, 1, 26.0), (), 5.0, 7.0, quantity="wall")
    assert "F9" in [open_.label for open_ in checked(made).no_loop]
    tried(made, {"F9": "6.06 plug"})
    check = checked(made)
    wall = next(w for w in check.walls if w.label == "F9")
    # by hand: 6.06 mm in the mould at 1 % is 6.00 of metal; plug 0.1, at casting scale 0.099
    assert wall.now == (pytest.approx(6.0), pytest.approx(0.1 / 1.01, rel=1e-4))
    assert "F9" not in [open_.label for open_ in check.no_loop] and wall.state == "holds"


def test_a_thickness_goes_when_a_core_of_the_wall_was_changed(made: Kit) -> None:
    tried(made, {"F1": "8.2 ±0.1"})
    repair(made, "stick 1")
    assert next(w for w in checked(made).walls if w.label == "F1").seen is None


def test_a_seat_read_in_the_mould_counts_where_its_pattern_was_not(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.0})
    tool = mould(made, resin_r=-0.0025, resin_u=0.0)
    on = made.record.add(tool_feature(made.job, made.feature["K1-S"], tool))
    made.on["mould 1", "K1-S"] = on
    assert on.sense == "space"  # the impression of what is metal on the pattern
    made.read("mould 1", {"K1-S": 60.65})
    line = next(x for x in checked(made).lines if x.name == "K1")
    # by hand: plaster that grew by 0.25 %: 60.65 / 1.0025 = 60.49875 on the pattern, less the print of 60.00
    assert line.verdict.measured == "both" and line.seat.tool is not None and line.seat.tool.label == "mould 1"
    assert line.verdict.clearance.value == pytest.approx(0.49875, abs=1e-4)


def test_two_walls_with_their_thicknesses_are_drawn_together(made: Kit) -> None:
    from inspect_tui.shop.kit.check import assemblies

    made.add_feature("F2", "x", 9.0, (1, -1, 20.0), (2, 1, 29.0), (), 8.0, 10.0, quantity="wall")
    tried(made, {"F1": "8.2 ±0.1", "F2": "9.1 ±0.1"})
    every = assemblies(checked(made), 2000)
    assert every is not None and 0.0 <= every.p_all <= 1.0


def test_a_gap_that_was_taken_after_a_change_holds_alone(made: Kit) -> None:
    note = Note(about_kind=TOOL.number, about_id=made.tool["box 1"].id, text="seat lined")
    made.record.add(note)
    tried(made, {"K2": "0.44 feeler"}, inside="cores")
    line = next(x for x in checked(made).lines if x.name == "K2")
    # sizes say 0.5 as they were before the lining; feeler 0.05 and sand 0.2
    assert line.changed is not None and line.verdict.clearance == (0.44, pytest.approx(sqrt(0.05**2 + 0.2**2)))
    tried(made, {"K2": "0.44 feeler"})  # of sticks: it says nothing of the box
    line = next(x for x in checked(made).lines if x.name == "K2")
    assert 0.44 < line.verdict.clearance.value < 0.5
