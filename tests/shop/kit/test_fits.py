"""Fits of a kit: as drawn and as measured, the cut that is asked for, and what a fit nobody read is worth."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.metrology.sizes import roughness
from inspect_tui.record.store import Record
from tests.shop.kit.test_check import (
    checked,
    proven,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import begin, two_cores, with_patterns


def faces(material: str) -> float:
    """Variance of a size between two faces of a tool."""
    found = roughness.of_material(material)
    assert found is not None
    return 2 * found.u_mm**2


# ------------------------------------------------------------------------------ fits
def test_a_fit_read_on_both_sides_inside_its_limits_conforms(record: Record) -> None:
    made = proven(record)
    line = next(x for x in checked(made).lines if x.name == "K1")
    assert line.verdict.answer == "conforms"
    assert line.verdict.measured == "both"
    assert line.verdict.clearance.value == pytest.approx(0.5)
    # two readings with a certificate of U 0.04 at k = 2 each, their resolution of 0.01 and two faces: GUM, root sum of
    # squares
    rough = faces("resin") + faces("mahogany")  # the print in its box, the seat on the pattern
    assert line.verdict.clearance.u == pytest.approx((2 * (0.02**2 + 0.01**2 / 12) + rough) ** 0.5, rel=1e-6)


def test_a_size_nobody_read_is_as_uncertain_as_its_limits_say(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.0})
    line = next(x for x in checked(made).lines if x.name == "K1")
    # the seat's limits of 0.2 either way taken as two standard uncertainties, beside the reading of the print
    assert line.verdict.clearance.u == pytest.approx((0.1**2 + 0.02**2 + 0.01**2 / 12 + faces("resin")) ** 0.5)
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


def test_a_print_larger_than_its_seat_is_named_with_the_cut(record: Record) -> None:
    made = proven(record)
    made.read("box 1", {"K2-S": 39.9})
    check = checked(made)
    assert not check.holds
    assert "does not go" in check.against[0]
    assert "K2, core 2 in core 1" in check.against[0]
    line = next(x for x in check.lines if x.name == "K2")
    # the seat is made by a projection in the box: larger means more material on it
    assert line.cut == "add 0.60 on box 1"


def test_a_tool_that_was_noted_as_changed_after_its_reading_is_to_be_read_again(record: Record) -> None:
    from inspect_tui.model.measuring import Note
    from inspect_tui.record.kinds import TOOL

    made = proven(record)
    assert checked(made).lines[0].changed is None
    record.add(Note(about_kind=TOOL.number, about_id=made.tool["drag pattern"].id, text="seat lined again"))
    check = checked(made)
    assert next(x for x in check.lines if x.name == "K1").changed == "drag pattern was noted since: seat lined again"
    assert (check.next[0].tool, check.next[0].balloon) == ("drag pattern", "K1-S")


@pytest.mark.parametrize(("seat", "words"), [(60.0, "no larger than"), (59.5, "smaller than")])
def test_a_clearance_as_drawn_of_nothing_or_less_is_said(record: Record, seat: float, words: str) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    made.add_tool("box 1", "core_box", 1)
    made.print_and_seat("K1", 1, "drag", 60.0, seat)
    against = checked(made).against
    assert any(words in text and "change one of the two sizes" in text for text in against)
