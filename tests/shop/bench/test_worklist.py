"""The list at the bench: its order, what can be measured on which tool, what comes next, what is marked again."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.model.gauges import InstrumentState
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.bench.worklist import odd_among, without
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from tests.conftest import TODAY, SmallShop
from tests.shop.bench.test_line import logged


def test_the_list_goes_by_axis_and_has_what_the_tool_makes(shop: SmallShop) -> None:
    assert [t.feature.balloon for t in shop.bench().tasks] == ["F3", "F1", "F2", "P1"]
    assert [t.feature.balloon for t in shop.bench("drag pattern").tasks] == ["F4"]


def test_a_wall_between_mould_and_core_can_be_measured_on_no_tool(shop: SmallShop) -> None:
    for tool in ("stick 1", "box 1", "drag pattern"):
        assert "F5" not in [t.feature.balloon for t in shop.bench(tool).tasks]


def test_after_a_reading_the_next_open_feature_is_offered(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.take("212.10")
    assert bench.task and bench.task.feature.balloon == "F1"
    assert bench.to_do == 3


def test_skipping_leaves_it_on_the_list(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.skip()
    assert bench.task and bench.task.feature.balloon == "F1"
    assert bench.to_do == 4


def test_what_is_marked_to_measure_again_comes_round_again(shop: SmallShop) -> None:
    bench = shop.bench()
    for text in ("212.10", "59.60", "40.40", "39.90"):
        logged(bench.take(text))
    bench.goto("F1")
    assert bench.mark_again()
    bench.goto("F2")
    assert bench.to_do == 1
    logged(bench.take("40.41"))
    assert bench.task and bench.task.feature.balloon == "F1"


# ------------------------------------------------------------------------------ coming back
def test_coming_back_finds_everything_as_it_was_left(shop: SmallShop) -> None:
    first = shop.bench()
    first.goto("F1")
    first.take("59.60")
    first.goto("F2")
    first.take("40.70")
    again = shop.bench()
    states = {t.feature.balloon: t.state for t in again.tasks}
    assert states == {"F3": "to measure", "F1": "conforms", "F2": "does not conform", "P1": "to measure"}
    assert again.task and again.task.feature.balloon == "F3"


def test_the_summary_on_screen_is_the_summary_in_the_record(shop: SmallShop) -> None:
    bench = shop.bench()
    for text in ("59.60 59.62", "59.58"):
        bench.goto("F1")
        bench.take(text)
    bench.goto("F1")
    assert bench.task
    kept = shop.record.summaries(tool_of_id=bench.subject.key)[bench.task.feature.id]
    assert bench.task.n == kept.n == 3
    assert bench.task.mean == pytest.approx(kept.mean)
    assert bench.task.s**2 * 2 == pytest.approx(kept.m2)


def test_coming_back_judges_a_line_with_what_it_was_read_with(shop: SmallShop) -> None:
    """Three repeats settle what one reading with a doubtful instrument would leave undecided."""
    bench = shop.bench()
    bench.goto("F2")
    outcome = logged(bench.take("40.565 40.565 40.565"))
    assert outcome.judged.verdict.answer is Answer.CONFORMS
    doubtful = next(i for i in shop.record.instruments() if i.label == "caliper 2")
    later = Bench(shop.record, bench.job, bench.subject, shop.ab, doubtful)
    assert next(t for t in later.tasks if t.feature.balloon == "F2").state == "conforms"
    later.goto("F2")
    assert logged(later.take("40.565")).judged.verdict.answer is Answer.UNDECIDED
    again = shop.bench()
    assert next(t for t in again.tasks if t.feature.balloon == "F2").state == "undecided"


def test_a_gauge_that_failed_settles_no_doubt(shop: SmallShop) -> None:
    record = shop.record
    fine = record.add(Instrument(label="micrometer 1", kind="micrometer", resolution=0.001, range_hi=50.0))
    record.add(Calibration(instrument_of_id=fine.of_id, done_on="2026-01-05", u95_mm=0.004))
    bench = shop.bench()
    bench.goto("F2")
    advice = logged(bench.take("40.58")).judged.advice
    assert advice is not None and "micrometer 1 would settle it" in advice
    record.add(InstrumentState(instrument_of_id=fine.of_id, state="out_of_use", since_on=TODAY, why="dropped"))
    bench = shop.bench()
    bench.goto("F2")
    advice = logged(bench.take("40.58")).judged.advice
    assert advice is not None and "micrometer 1" not in advice


# ------------------------------------------------------------------------------ raw and finished
def on_casting(shop: SmallShop) -> Bench:
    """F1 is 62 finished, 59 as cast; F4 240 and 243; nothing else is machined."""
    job = find.job(shop.record, "SV-12")
    if not shop.record.items(job.of_id):
        jobs.add_casting(shop.record, job, "C1")
    return shop.bench("casting C1")


def read(bench: Bench, balloon: str, text: str) -> str:
    bench.goto(balloon)
    return logged(bench.take(text)).judged.standing.value


def test_a_machined_casting_is_judged_by_the_drawing_and_a_raw_one_by_its_own_limits(shop: SmallShop) -> None:
    bench = on_casting(shop)
    assert (bench.state, len(bench.tasks)) == ("raw", 5)
    assert read(bench, "F1", "59.05") == "conforms"
    bench.goto("F1")
    bench.set_state("finished")
    assert [t.feature.balloon for t in bench.tasks] == ["F4", "F1"]
    assert bench.task and (bench.task.feature.balloon, bench.task.state) == ("F1", "to measure")
    assert read(bench, "F1", "62.05") == "conforms"
    assert read(bench, "F4", "243") == "does not conform"  # nobody took its stock off
    with pytest.raises(DataError, match="F2 is not machined: it has no stock"):
        bench.goto("F2")
    with pytest.raises(NotFound):
        bench.goto("F77")
    bench.set_state("raw")
    assert len(bench.tasks) == 5 and bench.to_do == 4
    assert [r.setup.state for r in shop.record.readings()] == ["raw", "finished", "finished"]


def test_the_two_states_have_a_history_each(shop: SmallShop) -> None:
    bench = on_casting(shop)
    read(bench, "F1", "59.00")
    read(bench, "F1", "59.10")
    bench.set_state("finished")
    read(bench, "F1", "62.02")
    again = on_casting(shop)

    def f1() -> tuple[int, float | None, float, str, list[float]]:
        task = next(task for task in again.tasks if task.feature.balloon == "F1")
        return task.n, task.last, task.mean, task.state, [r.value for r in again.readings_of(task)]

    assert f1() == (2, 59.10, pytest.approx(59.05), "conforms", [59.10, 59.00])
    again.set_state("finished")
    assert f1() == (1, 62.02, 62.02, "conforms", [62.02])
    assert next(t for t in again.tasks if t.feature.balloon == "F4").n == 0


def test_a_finished_size_is_not_taken_for_a_slip_of_the_raw_one(shop: SmallShop) -> None:
    bench = on_casting(shop)
    for text in ("59.00", "59.02", "59.01"):
        read(bench, "F1", text)
    bench.goto("F1")
    assert not isinstance(bench.take("62.00"), Logged)  # asked: three lie at 59
    bench.keep_pending()
    bench.set_state("finished")
    assert read(bench, "F1", "62.00") == "conforms"


def test_what_is_taken_back_is_the_last_line_in_whichever_state_it_was_read(shop: SmallShop) -> None:
    bench = on_casting(shop)
    read(bench, "F1", "59.00")
    bench.set_state("finished")
    read(bench, "F1", "62.00")
    bench.set_state("raw")
    taken = bench.void_last()
    assert taken and taken[1][0].value == 62.0 and bench.state == "finished"
    assert (taken[0].n, taken[0].state) == (0, "to measure")
    second = bench.void_last()
    assert second and second[1][0].value == 59.0 and bench.state == "raw"
    assert second[0].feature.balloon == "F1" and bench.task == second[0]


def test_only_castings_of_a_drawing_with_stock_are_measured_finished(shop: SmallShop) -> None:
    with pytest.raises(DataError, match="stick 1 is no casting"):
        shop.bench().set_state("finished")
    job = find.job(shop.record, "SV-12")
    bare = [
        replace(f, machined=False, ends=tuple(replace(e, stock_mm=0.0) for e in f.ends))
        for f in shop.bench().record.features(shop.bench().revision.id)
    ]
    jobs.revise(shop.record, job, "B", [replace(f, raw_lower=None, raw_upper=None) for f in bare])
    bench = on_casting(shop)
    with pytest.raises(DataError, match="Nothing on drawing SV-12-01 is machined"):
        bench.set_state("finished")
    assert bench.state == "raw" and bench.tasks


def test_the_list_costs_the_same_few_questions_however_many_sizes_were_read_warm(shop: SmallShop) -> None:
    asked: list[str] = []
    counts = []
    for balloon, size in (("F1", "59.60"), ("F2", "40.40"), ("F3", "212.10")):
        bench = shop.bench()
        bench.set_conditions(24.0)
        bench.goto(balloon)
        logged(bench.take(size))
        shop.record._con.set_trace_callback(asked.append)
        shop.bench()
        shop.record._con.set_trace_callback(None)
        counts.append(len(asked))
        asked.clear()
    assert counts[0] == counts[1] == counts[2] < 40


# ------------------------------------------------------------------------------ rounds
def all_read(shop: SmallShop) -> Bench:
    bench = shop.bench()
    for text in ("212.11", "59.61", "40.41", "39.91"):
        bench.take(text)
    assert bench.to_do == 0
    return bench


def test_a_round_asks_for_every_size_anew_and_keeps_its_place(shop: SmallShop) -> None:
    bench = all_read(shop)
    name = bench.begin_round()
    assert name == bench.today and bench.left_in_round == ["F3", "F1", "F2", "P1"] and bench.index == 0
    bench.take("212.12")
    bench.goto("F1")
    bench.take("59.62")
    again = shop.bench()
    assert again.to_do == 0 and again.round is None
    again.begin_round(name)
    assert again.left_in_round == ["F2", "P1"] and again.task and again.task.feature.balloon == "F2"
    assert again.task.last == 40.41  # last time's value
    again.refresh()
    assert again.left_in_round == ["F2", "P1"]
    bench.goto("P1")
    bench.take("39.92")
    bench.goto("F2")
    bench.mark_again()
    later = shop.bench()
    later.begin_round(name)
    assert later.left_in_round == ["F2"] and later.task and later.task.feature.balloon == "F2"
    again.end_round()
    assert again.left_in_round == [] and again.to_do == 0


def test_a_second_round_of_a_day_has_a_number_and_taking_back_opens_it_again(shop: SmallShop) -> None:
    bench = all_read(shop)
    first = bench.begin_round()
    bench.take("212.12")
    bench.void_last()
    assert bench.left_in_round == ["F3", "F1", "F2", "P1"]
    bench.take("212.12")
    bench.end_round()
    assert bench.begin_round() == f"{first} (2)"
    assert bench.left_in_round == ["F3", "F1", "F2", "P1"]


def test_what_bears_nobody_out_is_taken_out_of_what_is_expected(shop: SmallShop) -> None:
    task = replace(shop.bench().tasks[0], n=4, mean=238.25, s=52.5)  # 212.0, 212.0, 212.0, 317.0
    left = without(task, [317.0])
    assert (left.n, left.odd) == (3, (317.0,))
    assert left.mean == pytest.approx(212.0) and left.s == pytest.approx(0.0, abs=1e-6)
    assert odd_among(task, [317.0, 212.0, 212.1]) == [317.0]
    assert odd_among(task, [214.0, 216.0]) == [214.0, 216.0]  # they do not bear each other out
    assert odd_among(task, [317.0, task.sizes.target + 0.01]) == [317.0]  # what lies at the target is not odd


def test_a_round_goes_on_behind_what_was_read_last_not_at_what_was_passed_over(shop: SmallShop) -> None:
    bench = all_read(shop)
    name = bench.begin_round()
    bench.goto("F1")
    bench.take("59.62")
    again = shop.bench()
    again.begin_round(name)
    assert again.left_in_round == ["F3", "F2", "P1"] and again.task and again.task.feature.balloon == "F2"
