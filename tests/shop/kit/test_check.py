"""The kit check on small invented kits: fits, order, look-alikes, lift, walls, what is missing, what to read next."""

from __future__ import annotations

import sys
from pathlib import Path
from subprocess import run

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.model.kit import Fit, Passage
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.check import KitCheck
from tests.worlds.kit_jobs import Kit, begin, two_cores


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


# ------------------------------------------------------------------------------ facts that contradict themselves
def test_a_core_that_sits_in_itself_is_said_and_the_rest_is_still_worked_out(record: Record) -> None:
    made = proven(record)
    made.add_fit("K9", 1, 1)
    check = checked(made)
    assert any("core 1 sits in itself" in text for text in check.against)
    assert len(check.lines) == 4


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


def test_a_job_without_cores_says_so(record: Record) -> None:
    check = checked(begin(record))
    assert check.sentence == "job TK-1 has no cores"
    assert check.missing == ("this job has no cores",)


# ------------------------------------------------------------------------------ passages
def test_a_passage_that_misses_its_rating_by_a_few_percent_stands_out(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    made.add_feature("H1", "y", 10.0, (1, 1, 0.0), (1, -1, 10.0), ("box 1",), 9.0, 11.0)
    edit.add_passage(
        record,
        made.job,
        Passage(job_of_id=made.job.of_id, label="P1", name="port", formula="W1 * H1", unit="l/s", rated=100.0),
    )
    made.read("box 1", {"W1": 20.0 * 1.01, "H1": 10.0 * 1.01 * (1 - 0.077)})
    check = checked(made)
    line = check.passages[0]
    assert line.now.value == pytest.approx(200.0 * (1 - 0.077))
    assert line.capacity.short == pytest.approx(0.077)
    assert line.misses
    assert any("7.7 % under: 92.3 of 100.0 rated l/s" in text for text in check.against)
    assert line.buys[0].feature == "H1"
    assert line.buys[0].alone_mm == pytest.approx(10.0 * 0.077, abs=1e-6)


def test_sizes_of_a_passage_that_nobody_read_count_as_drawn_and_are_named(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("W1", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    edit.add_passage(record, made.job, Passage(job_of_id=made.job.of_id, label="P1", name="port", formula="W1 * W1"))
    check = checked(made)
    assert check.passages[0].not_read == ("W1",)
    assert any("as drawn, not read: W1" in text for text in check.doubts)


# ------------------------------------------------------------------------------ states, missing, next


def test_a_kit_with_everything_read_has_nothing_against_it(record: Record) -> None:
    check = checked(proven(record))
    assert check.against == ()
    assert check.holds


def test_reading_and_checking_a_kit_needs_no_numpy_until_assemblies_are_drawn() -> None:
    code = (
        "import sys; from inspect_tui.shop.kit import check, edit, cores, life_story, shipping; from inspect_tui.shop.kit.paper import setting_sheet, kit_list, come_back; "
        "from inspect_tui.shop.jobs import sample_casting, contraction_book; print('numpy' in sys.modules, 'scipy' in sys.modules, 'textual' in sys.modules)"
    )
    got = run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert got.stdout.split() == ["False", "False", "False"]


def test_a_core_laid_in_from_above_may_rise_by_what_was_said_and_no_lower(record: Record) -> None:
    """0.8 said of K1: from 0 to 0.8 along z; along the way in its clearance of 0.5 is no play."""
    made = begin(record)
    made.add_core(1)
    made.add_fit("K1", 1, "drag", axis="x", holds="x z", way_in="z-", lift_mm=0.8)
    check = checked(made)
    rise = check.floats["1", "z"]
    assert (rise.low.value, rise.high.value) == (pytest.approx(0.0), pytest.approx(0.8))


def test_along_its_way_in_a_print_has_no_play_across(record: Record) -> None:
    """A core slid in along x is held in z alone: what it is slid along says nothing of where it stands."""
    made = begin(record)
    made.add_core(1)
    made.add_fit("K1", 1, "drag", axis="z", holds="x z", way_in="x+")
    assert set(checked(made).floats) == {("1", "z")}


def test_what_is_said_of_a_tool_is_of_that_tool_alone(record: Record) -> None:
    made = two_cores(record)
    found = checked(made)
    mine, theirs = (
        Trouble(kind, ("1",), text, fit=label)
        for kind, text, label in (("size", "F1 is out", "box 1"), ("rule", "1.3 % rule?", "box 2"))
    )
    both = replace(found, found=(mine,), open=(theirs,))
    assert both.said_of_tool("box 1") == ((True, "F1 is out"),)
    assert both.said_of_tool("box 2") == ((False, "1.3 % rule?"),)


def test_what_the_setter_proves_is_asked_in_the_mould(record: Record) -> None:
    """Limits of 7 to 9 on the casting are 7.07 to 9.09 in the mould, at 1 % of the casting."""
    made = two_cores(record)
    made.detail(1, check_feature_id=made.feature["F1"].id)
    what, template, lower, upper = checked(made).mould_check(made.core[1])
    assert (what, template) == ("wall between the cores (F1)", None)
    assert (lower, upper) == (pytest.approx(7.07), pytest.approx(9.09))
