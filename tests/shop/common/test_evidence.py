"""What was read and what it stands for: one value for every room, one visit a day, corrected on older drawings too."""

from __future__ import annotations

import time
from math import sqrt

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.common.evidence import Evidence, Visit
from inspect_tui.shop.common.sizes import sizes
from inspect_tui.shop.jobs.jobs import revise
from inspect_tui.tui.bench import text as bench_text
from inspect_tui.tui.feature import text as feature_text
from tests.conftest import TODAY, SmallShop


def bias(shop: SmallShop, **changes: object) -> InstrumentBias:
    plain = InstrumentBias(
        instrument_of_id=shop.caliper.of_id,
        from_on="2020-01-01",
        bias_mm=0.06,
        u_mm=0.01,
        why="seen",
        found_from="a check",
    )
    return shop.record.add(replace(plain, **changes), shop.ab.id)


def read(bench: Bench, balloon: str, *lines: str) -> None:
    for line in lines:
        bench.goto(balloon)
        assert isinstance(bench.take(line), Logged)


def visits(shop: SmallShop, balloon: str, on: str = "stick 1") -> list[Visit]:
    job = find.job(shop.record, "PB-12")
    subject = find.subject(shop.record, job, on)
    bench = shop.bench(on)
    bench.goto(balloon)
    assert bench.task
    taken = list(reversed(bench.readings_of(bench.task, limit=100, voided=False)))
    return Evidence(shop.record).visits(job, subject, bench.task.sizes, taken)


# ------------------------------------------------------------------------------ visits
def test_repeats_and_lines_of_one_person_gauge_and_day_are_one_visit(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.60 59.62", "59.64")
    (visit,) = visits(shop, "F1")
    assert visit.read == visit.values == (59.60, 59.62, 59.64)
    assert visit.value == pytest.approx(59.62)
    # s = 0.02 over the root of 3; the certificate's U over k = 2 is shared by all repeats
    assert visit.u_repeats == pytest.approx(0.02 / sqrt(3))
    assert visit.u_shared == pytest.approx(shop_u95(shop) / 2)
    assert (visit.person, visit.instrument) == ("AB", "caliper 1")


def shop_u95(shop: SmallShop) -> float:
    return max(shop.record.calibrations(shop.caliper.of_id), key=lambda c: c.done_on).u95_mm


def test_another_person_or_gauge_is_another_visit(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    cd = shop.record.add(Person(initials="CD", name="C. D."))
    other = shop.bench()
    other.set_person(cd)
    read(other, "F1", "59.70")
    gauge = shop.record.add(Instrument(label="caliper 2", kind="caliper", unit="mm", resolution=0.01))
    third = shop.bench()
    third.set_instrument(gauge)
    read(third, "F1", "59.80")
    assert [(v.person, v.instrument, v.value) for v in visits(shop, "F1")] == [
        ("AB", "caliper 1", 59.60),
        ("CD", "caliper 1", 59.70),
        ("AB", "caliper 2", 59.80),
    ]


def test_what_is_in_question_is_marked(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.60")
    job = find.job(shop.record, "PB-12")
    (logged,) = bench.readings_of(next(t for t in bench.tasks if t.feature.balloon == "F1"))
    task = next(t for t in bench.tasks if t.feature.balloon == "F1")
    (asked,) = Evidence(shop.record).visits(job, bench.subject, task.sizes, [logged], in_question={logged.id})
    (plain,) = Evidence(shop.record).visits(job, bench.subject, task.sizes, [logged])
    assert asked.in_question and not plain.in_question


# ------------------------------------------------------------------------------ a bias
def test_a_bias_recorded_later_moves_what_was_read_before(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    bias(shop)
    (visit,) = visits(shop, "F1")
    assert visit.read == (59.60,)
    assert visit.value == pytest.approx(59.54)  # it reads 0.06 high: 59.60 - 0.06
    steps = 0.005 / sqrt(3)  # half a step of the display: one reading cannot show how it repeats
    assert visit.u_shared == pytest.approx(sqrt((shop_u95(shop) / 2) ** 2 + 0.01**2 + steps**2))
    assert visit.said == ("caliper 1 reads 0.06 high: -0.060",)


def test_a_bias_and_a_temperature_are_both_taken_off(shop: SmallShop) -> None:
    job = find.job(shop.record, "PB-12")
    stick = find.subject(shop.record, job, "stick 1").tool
    assert stick
    warm = replace(stick, id=b"", replaces_id=stick.id, expansion_per_c=50e-6)
    shop.record.add(warm)
    bias(shop)
    bench = shop.bench()
    bench.set_conditions(30.0, None, 20.0)
    read(bench, "F1", "59.60")
    (visit,) = visits(shop, "F1")
    # 59.60 - 0.06 = 59.54 at 30 degC; 50e-6 per degC, 10 degC: 59.54 / 1.0005
    assert visit.value == pytest.approx(59.54 / 1.0005, abs=1e-9)
    assert visit.said == ("caliper 1 reads 0.06 high: -0.060", "read at 30 °C: -0.030 to 20 °C")
    # the Bench judges the same
    task = next(t for t in shop.bench().tasks if t.feature.balloon == "F1")
    assert task.last == task.mean == pytest.approx(visit.value, abs=1e-12)


def test_a_bias_holds_for_its_days_and_till_the_gauge_is_adjusted(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    bias(shop, to_on="2020-02-01")
    assert visits(shop, "F1")[0].value == 59.60
    bias(shop)
    assert visits(shop, "F1")[0].value == pytest.approx(59.54)
    for done, result in (("2020-03-01", "adjusted"), ("2020-04-01", "pass")):  # the newest names no adjustment
        shop.record.add(
            Calibration(instrument_of_id=shop.caliper.of_id, done_on=done, result=result, u95_mm=0.04), shop.ab.id
        )
    assert visits(shop, "F1")[0].value == 59.60


def test_the_list_of_the_bench_takes_a_bias_off_what_was_logged(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60", "59.62")
    bias(shop)
    task = next(t for t in shop.bench().tasks if t.feature.balloon == "F1")
    assert task.last == pytest.approx(59.56)
    assert task.mean == pytest.approx(59.55)
    assert task.n == 2
    assert task.s == pytest.approx(0.01 * sqrt(2))


def test_earlier_readings_are_shown_put_right_with_what_was_read(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    read(shop.bench(), "F2", "40.40")
    bias(shop)
    bench = shop.bench()
    task = next(t for t in bench.tasks if t.feature.balloon == "F1")
    readings = bench.readings_of(task)
    said = bench_text.recent(readings, task, 100, 8, TODAY, made=bench.corrections_of(task, readings)).plain
    assert said.startswith("    59.54  AB")
    assert "read 59.60; caliper 1 reads 0.06 high: -0.060" in said
    rows = feature_text.reading_rows(readings, None, {}, 120, TODAY, made=bench.corrections_of(task, readings)).plain
    assert "59.54" in rows and "read 59.60; caliper 1 reads 0.06 high: -0.060" in rows


def test_columns_are_put_right_as_single_readings_are(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.60 59.62")
    bench.set_conditions(28.0)
    read(bench, "F1", "59.70")
    read(bench, "F2", "40.40")
    bias(shop)
    task = next(t for t in bench.tasks if t.feature.balloon == "F1")
    evidence = Evidence(shop.record)
    made = evidence.corrections([task.feature.id])
    taken = bench.readings_of(task, limit=10)
    assert set(made) == {r.id for r in taken}
    one_by_one = {r.id: evidence.put_right([r], task.feature, bench.subject.tool).values[0] for r in taken}
    assert {r.id: made[r.id].of(r.value) for r in taken} == pytest.approx(one_by_one)


def test_readings_that_stand_as_they_were_read_have_no_correction(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.60")
    task = next(t for t in bench.tasks if t.feature.balloon == "F1")
    assert Evidence(shop.record).corrections([task.feature.id]) == {}


# ------------------------------------------------------------------------------ across revisions
def revised(shop: SmallShop, **changes: float) -> None:
    job = find.job(shop.record, "PB-12")
    features = shop.record.features(find.latest_revision(shop.record, job).id)
    f2 = next(f for f in features if f.balloon == "F2")
    revise(shop.record, job, "Z", [replace(f2, **changes)] if changes else [])


def test_a_feature_that_did_not_change_keeps_state_and_readings_on_a_new_drawing(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.60 59.62")
    read(bench, "F2", "40.40")
    before = {t.feature.balloon: t for t in shop.bench().tasks}
    job = find.job(shop.record, "PB-12")
    f2 = before["F2"].feature
    revised(shop, nominal=f2.nominal + 1.0, lower=(f2.lower or 0) + 1.0, upper=(f2.upper or 0) + 1.0)
    after = {t.feature.balloon: t for t in shop.bench().tasks}
    assert after["F1"].feature.id != before["F1"].feature.id
    for name in ("state", "n", "mean", "s", "last"):
        assert getattr(after["F1"], name) == getattr(before["F1"], name), name
    assert (after["F2"].state, after["F2"].n) == ("to measure", 0)
    # further readings go on from there
    more = shop.bench()
    read(more, "F1", "59.64")
    task = next(t for t in shop.bench().tasks if t.feature.balloon == "F1")
    assert (task.n, task.mean) == (3, pytest.approx(59.62))
    assert sizes(job, task.feature, more.subject, task.sizes.tool_feature).target == task.sizes.target


# ------------------------------------------------------------------------------ a day in the past
def test_a_day_that_somebody_said_is_the_day_of_the_visit_and_of_the_bias(shop: SmallShop) -> None:
    bias(shop, from_on="2025-02-01")
    read(shop.bench(), "F1", "59.60")
    past = shop.bench()
    past.set_day("2025-01-10", past.today)
    read(past, "F1", "59.70")
    assert [(v.day, v.value) for v in visits(shop, "F1")] == [
        (time.strftime("%Y-%m-%d"), pytest.approx(59.54)),
        ("2025-01-10", 59.70),  # before the bias
    ]
    # what was logged later was measured earlier: the state of the list is that of today's reading
    task = next(t for t in shop.bench().tasks if t.feature.balloon == "F1")
    assert (task.n, task.last) == (2, pytest.approx(59.54))


def test_nothing_was_measured_on_a_day_to_come(shop: SmallShop) -> None:
    with pytest.raises(DataError, match="2031-01-01 is still to come"):
        shop.bench().set_day("2031-01-01", "2026-03-02")
