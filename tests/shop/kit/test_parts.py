"""The place of each core as its faces and fits give it: what a reading moves, and which of two sizes counts."""

from __future__ import annotations

import pytest

from inspect_tui.model.measuring import Calibration
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import two_cores


@pytest.mark.parametrize("label", ["K2", "zz"])  # names that sort before and behind those of faces
@pytest.mark.parametrize("core", [1, 2])
def test_a_core_read_too_wide_moves_its_faces_by_half_each(record: Record, core: int, label: str) -> None:
    made = two_cores(record)
    edit.change_fit(record, made.job, made.fit["K2"], label=label)
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
