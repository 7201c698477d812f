"""The facts of a kit: which tool speaks for a size, and what was known on a day."""

from __future__ import annotations

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import begin, two_cores, with_patterns


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


def test_as_it_stood_on_a_day_only_what_was_read_by_then_counts(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.9})
    middle = record.tool_readings(made.job.of_id)[-1].at_us
    made.read("box 1", {"K1-P": 60.0})
    now, then = checked(made), kit.check(record, made.job, middle)
    assert next(x for x in now.lines if x.name == "K1").print.measured.value == pytest.approx(60.0)
    assert next(x for x in then.lines if x.name == "K1").print.measured.value == pytest.approx(60.9)
