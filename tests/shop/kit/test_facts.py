"""The facts of a kit: which tool speaks for a size, and what was known on a day."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import chain
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.life_story import tool_story
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, begin, two_cores, with_patterns


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


def fit_k1(made: Kit):  # type: ignore[no-untyped-def]
    return next(line for line in checked(made).lines if line.name == "K1")


@pytest.mark.parametrize("changes", [{}, {"lower": 59.9}, {"name": "print, longer side"}])
def test_what_was_measured_on_a_tool_outlives_a_new_drawing_of_the_same_size(
    record: Record, changes: dict[str, object]
) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.1})
    jobs.revise(record, made.job, "B", [replace(made.feature["K1-P"], **changes)] if changes else [])
    line = fit_k1(made)
    assert line.print.measured.value == pytest.approx(60.1) and line.print.tool.label == "box 1"


def test_a_size_that_changed_is_not_measured_and_its_fit_still_knows_it(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.1})
    jobs.revise(record, made.job, "B", [replace(made.feature["K1-P"], nominal=61.0, lower=60.8, upper=61.2)])
    line = fit_k1(made)
    assert line.print.measured is None and line.print.drawn == pytest.approx(61.0)
    facts = KitFacts(record, made.job)
    box = next(tool for tool in facts.tools if tool.label == "box 1")
    assert "1 size read by TK (K1-P)" in " ".join(event.what for event in tool_story(facts, box))


def test_a_size_that_was_typed_wrong_is_judged_by_what_it_should_have_been(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 61.05})
    jobs.correct(record, made.job, [replace(made.feature["K1-P"], nominal=61.0, lower=60.8, upper=61.2)], "61, not 60")
    assert fit_k1(made).print.measured.value == pytest.approx(61.05)
    facts = KitFacts(record, made.job)
    ((_, root), (state,)) = next(iter(facts.states.items()))
    assert facts.feature[root].nominal == 61.0
    assert facts.target_of(state, root).value == pytest.approx(61.0)


def test_stock_that_was_typed_wrong_moves_the_target_that_a_reading_had(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("F9", "x", 50.0, (1, -1, None), (1, 1, None), ("box 1",), 49.5, 50.5)
    made.read("box 1", {"F9": 53.0})
    old = made.feature["F9"]
    ends = tuple(replace(end, stock_mm=1.0) for end in old.ends)
    jobs.correct(record, made.job, [replace(old, ends=ends, machined=True)], "1 mm of stock on both ends")
    facts = KitFacts(record, made.job)
    root = facts.root[facts.balloon["F9"].id]
    (state,) = next(states for (_, r), states in facts.states.items() if r == root)
    box = next(tool for tool in facts.tools if tool.label == "box 1")
    planned = facts.sizes_on(box, root)
    assert planned is not None
    before = chain.forward(chain.wanted(old), made.on["box 1", "F9"].steps).value
    assert facts.target_of(state, root).value == pytest.approx(planned.target)
    assert abs(planned.target - before) == pytest.approx(2.0 * 1.01)


@pytest.mark.parametrize("how", ["changed", "put right"])
def test_as_it_stood_on_a_day_the_drawing_of_that_day_counts(record: Record, how: str) -> None:
    made = two_cores(record)
    made.read("box 1", {"K1-P": 60.1})
    then = record.tool_readings(made.job.of_id)[-1].at_us
    before = kit.check(record, made.job, then)
    right = replace(made.feature["K1-P"], nominal=61.0, lower=60.8, upper=61.2)
    if how == "changed":
        jobs.revise(record, made.job, "B", [right])
    else:
        jobs.correct(record, made.job, [right], "61, not 60")
    again, now = kit.check(record, made.job, then), checked(made)
    drawn = [next(x for x in one.lines if x.name == "K1").print.drawn for one in (before, again, now)]
    assert drawn == [60.0, 60.0, 61.0]
    assert next(x for x in again.lines if x.name == "K1").print.measured.value == pytest.approx(60.1)


def test_papers_say_that_a_drawing_was_put_right(record: Record) -> None:
    made = two_cores(record)
    assert KitFacts(record, made.job).rev == made.revision.rev
    record._clock = lambda: (1_790_000_000_000_000, 0)
    jobs.correct(record, made.job, [replace(made.feature["K1-P"], nominal=60.1)], "60.1, not 60")
    assert KitFacts(record, made.job).rev == f"{made.revision.rev}, corrected 2026-09-21"
    jobs.revise(record, made.job, "Q", [])
    assert KitFacts(record, made.job).rev == "Q"
