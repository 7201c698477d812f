"""What was read and what it stands for: one value for every room, one visit a day, corrected on older drawings too."""

from __future__ import annotations

import time
from math import sqrt

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.model.work import Feature, Item, Tool
from inspect_tui.record.ask.readings import KeptSummary, WalkedReading
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.common.evidence import Evidence, Visit
from inspect_tui.shop.common.sizes import sizes
from inspect_tui.shop.jobs.jobs import revise
from inspect_tui.tui.bench import text as bench_text
from inspect_tui.tui.feature import text as feature_text
from tests.conftest import TODAY, SmallShop
from tests.worlds.measured import Measured


def read(bench: Bench, balloon: str, *lines: str) -> None:
    for line in lines:
        bench.goto(balloon)
        assert isinstance(bench.take(line), Logged)


def visits(shop: SmallShop, balloon: str, on: str = "stick 1") -> list[Visit]:
    job = find.job(shop.record, "SV-12")
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
    job = find.job(shop.record, "SV-12")
    (logged,) = bench.readings_of(next(t for t in bench.tasks if t.feature.balloon == "F1"))
    task = next(t for t in bench.tasks if t.feature.balloon == "F1")
    (asked,) = Evidence(shop.record).visits(job, bench.subject, task.sizes, [logged], in_question={logged.id})
    (plain,) = Evidence(shop.record).visits(job, bench.subject, task.sizes, [logged])
    assert asked.in_question and not plain.in_question


# ------------------------------------------------------------------------------ a bias
def test_a_bias_recorded_later_moves_what_was_read_before(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    shop.bias()
    (visit,) = visits(shop, "F1")
    assert visit.read == (59.60,)
    assert visit.value == pytest.approx(59.54)  # it reads 0.06 high: 59.60 - 0.06
    steps = 0.005 / sqrt(3)  # half a step of the display: one reading cannot show how it repeats
    assert visit.u_shared == pytest.approx(sqrt((shop_u95(shop) / 2) ** 2 + 0.01**2 + steps**2))
    assert visit.said == ("caliper 1 reads 0.06 high: -0.060",)


def test_a_bias_and_a_temperature_are_both_taken_off(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    stick = find.subject(shop.record, job, "stick 1").tool
    assert stick
    warm = replace(stick, id=b"", replaces_id=stick.id, expansion_per_c=50e-6)
    shop.record.add(warm)
    shop.bias()
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
    shop.bias(to_on="2020-02-01")
    assert visits(shop, "F1")[0].value == 59.60
    shop.bias()
    assert visits(shop, "F1")[0].value == pytest.approx(59.54)
    for done, result in (("2020-03-01", "adjusted"), ("2020-04-01", "pass")):  # the newest names no adjustment
        shop.record.add(
            Calibration(instrument_of_id=shop.caliper.of_id, done_on=done, result=result, u95_mm=0.04), shop.ab.id
        )
    assert visits(shop, "F1")[0].value == 59.60


def test_the_list_of_the_bench_takes_a_bias_off_what_was_logged(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60", "59.62")
    shop.bias()
    task = next(t for t in shop.bench().tasks if t.feature.balloon == "F1")
    assert task.last == pytest.approx(59.56)
    assert task.mean == pytest.approx(59.55)
    assert task.n == 2
    assert task.s == pytest.approx(0.01 * sqrt(2))


def test_earlier_readings_are_shown_put_right_with_what_was_read(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    read(shop.bench(), "F2", "40.40")
    shop.bias()
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
    shop.bias()
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
    job = find.job(shop.record, "SV-12")
    features = shop.record.features(find.latest_revision(shop.record, job).id)
    f2 = next(f for f in features if f.balloon == "F2")
    revise(shop.record, job, "Z", [replace(f2, **changes)] if changes else [])


def test_a_feature_that_did_not_change_keeps_state_and_readings_on_a_new_drawing(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.60 59.62")
    read(bench, "F2", "40.40")
    before = {t.feature.balloon: t for t in shop.bench().tasks}
    job = find.job(shop.record, "SV-12")
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
    shop.bias(from_on="2025-02-01")
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


def test_of_two_drawings_the_later_day_is_the_state_whichever_was_logged_last(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    revised(shop)
    past = shop.bench()
    past.set_day("2025-01-10", past.today)
    read(past, "F1", "59.70")
    task = next(t for t in shop.bench().tasks if t.feature.balloon == "F1")
    assert (task.n, task.last) == (2, 59.60)


def test_nothing_was_measured_on_a_day_to_come(shop: SmallShop) -> None:
    with pytest.raises(DataError, match="2031-01-01 is still to come"):
        shop.bench().set_day("2031-01-01", "2026-03-02")


# ------------------------------------------------------------------------------ what decides about a correction
def feature_of(shop: SmallShop, balloon: str) -> Feature:
    job = find.job(shop.record, "SV-12")
    return find.feature(shop.record.features(find.latest_revision(shop.record, job).id), balloon)


def tool_of(shop: SmallShop, label: str, **changes: object) -> Tool:
    tool = find.subject(shop.record, find.job(shop.record, "SV-12"), label).tool
    assert tool
    return shop.record.revise(tool, **changes) if changes else tool


def test_a_setup_is_put_right_by_day_tool_and_feature(shop: SmallShop) -> None:
    stick, box = tool_of(shop, "stick 1", expansion_per_c=50e-6), tool_of(shop, "box 1", expansion_per_c=11.5e-6)
    shop.bias(from_on="2026-02-01")
    setup, f1, evidence = Measured(shop).setup(work_c=30.0), feature_of(shop, "F1"), Evidence(shop.record)
    # the gauge is steel, 11.5e-6, and as warm as the work
    on_stick = (1 + 11.5e-6 * 10) / (1 + 50e-6 * 10)
    for _ in range(2):
        assert evidence.correction(setup, "2026-01-20", f1, stick).of(60.0) == pytest.approx(60.0 * on_stick)
        assert evidence.correction(setup, "2026-02-20", f1, stick).of(60.0) == pytest.approx(59.94 * on_stick)
        assert evidence.correction(setup, "2026-02-20", f1, box).of(60.0) == pytest.approx(59.94)
        lean = replace(f1, id=b"l" * 16, quantity="angle")
        assert evidence.correction(setup, "2026-02-20", lean, stick).of(60.0) == 60.0


def test_a_material_that_was_put_right_holds_for_what_was_read_before(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.set_conditions(30.0, None, 20.0)
    read(bench, "F1", "59.60")
    f1 = feature_of(shop, "F1")
    assert Evidence(shop.record).corrections([f1.id]) == {}
    tool_of(shop, "stick 1", expansion_per_c=50e-6)
    (made,) = Evidence(shop.record).corrections([f1.id]).values()
    assert made.of(59.60) == pytest.approx(59.60 / 1.0005)
    assert next(t for t in shop.bench().tasks if t.feature.id == f1.id).mean == pytest.approx(59.60 / 1.0005)


def test_a_bias_of_other_days_moves_nothing(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    shop.bias(to_on="2020-02-01")
    assert Evidence(shop.record).corrections([feature_of(shop, "F1").id]) == {}


def test_readings_of_a_tool_carry_what_putting_them_right_adds(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    read(shop.bench(), "F2", "40.40")
    shop.bias()
    there = shop.record.tool_readings(find.job(shop.record, "SV-12").of_id)
    right = Evidence(shop.record).right(there)
    assert [r.value for r in right] == pytest.approx([59.54, 40.34])
    assert [(r.u_right, before.u_right) for r, before in zip(right, there, strict=True)] == [(0.01, 0.0)] * 2


def test_a_person_and_a_gauge_are_the_same_in_every_version(shop: SmallShop) -> None:
    read(shop.bench(), "F1", "59.60")
    named = shop.record.revise(shop.ab, name="A. B.")
    renamed = shop.record.revise(shop.caliper, label="caliper 1a")
    again = shop.bench()
    again.set_person(named)
    again.set_instrument(renamed)
    read(again, "F1", "59.62")
    (visit,) = visits(shop, "F1")
    assert visit.read == (59.60, 59.62)


def test_people_and_gauges_that_came_meanwhile_are_read_too(shop: SmallShop) -> None:
    evidence, f1 = Evidence(shop.record), feature_of(shop, "F1")
    other = shop.bench()
    other.set_person(shop.record.add(Person(initials="CD")))
    other.set_instrument(shop.record.add(Instrument(label="caliper 9", kind="caliper", unit="mm", resolution=0.01)))
    read(other, "F1", "59.70")
    task = next(t for t in shop.bench().tasks if t.feature.id == f1.id)
    (visit,) = evidence.visits(
        other.job,
        other.subject,
        task.sizes,
        other.readings_of(task),
        count_at=lambda day: 7.0 if day else None,
        lot="L1",
    )
    assert (visit.person, visit.instrument, visit.count, visit.lot) == ("CD", "caliper 9", 7.0, "L1")


def test_a_bias_that_came_with_a_new_gauge_is_known_of_the_setups_before(shop: SmallShop) -> None:
    evidence, f1, stick = Evidence(shop.record), feature_of(shop, "F1"), tool_of(shop, "stick 1")
    setup = Measured(shop).setup()
    assert evidence.correction(setup, TODAY, f1, stick).nothing
    shop.bias()
    shop.record.add(Instrument(label="caliper 9", kind="caliper", unit="mm", resolution=0.01))
    evidence.setups([Measured(shop).setup(instrument="caliper 9").id])
    assert evidence.correction(setup, TODAY, f1, stick).of(60.0) == pytest.approx(59.94)


def test_the_mean_of_a_line_is_judged_by_the_gauge_and_the_answer_of_its_last(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.60")
    bench.set_instrument(find.instrument(shop.record, "caliper 2"))  # no certificate: U 0.05, common practice
    read(bench, "F1", "59.60")
    task = next(t for t in bench.tasks if t.feature.balloon == "F1")
    taken = bench.readings_of(task)[::-1]
    judged, _ = Evidence(shop.record).judged(bench.job, bench.subject, task.sizes, taken)
    assert [line.u for line in judged.budget.lines if line.name == "calibration"] == [0.025]
    bench.goto("F3")
    bench.take("212.10 212.35")
    assert isinstance(bench.take(""), Logged)  # kept as typed
    asked = next(t for t in shop.bench().tasks if t.feature.balloon == "F3")
    assert asked.state != "in question"


def test_how_a_size_stands_is_what_it_is_judged_to_be(shop: SmallShop) -> None:
    for size in ("59.60", "59.60 59.62", "59.60 59.90", "61.0"):
        bench = shop.bench()
        bench.goto("F1")
        bench.take(size)
        bench.keep_pending()
        task = next(task for task in bench.tasks if task.feature.balloon == "F1")
        taken = bench.readings_of(task, len(size.split()))[::-1]
        on = (bench.job, bench.subject, task.sizes, taken)
        stands, (judged, _) = Evidence(shop.record).stands(*on), Evidence(shop.record).judged(*on)
        assert (stands.standing, stands.corrected, stands.budget) == (judged.standing, judged.corrected, judged.budget)


# ------------------------------------------------------------------------------ a casting that was re-aligned
def realigned(shop: SmallShop) -> tuple[Item, Feature]:
    """Casting C1, which sat tilted: 0.002 for each mm along z, about z = 100; F3 is taken at z = 300: 0.4 less."""
    job = find.job(shop.record, "SV-12")
    revise(shop.record, job, "B", [replace(feature_of(shop, "F3"), note="at z = 300")])
    item = shop.record.add(Item(job_of_id=job.of_id, serial="C1"), shop.ab.id)
    return item, feature_of(shop, "F3")


def turn(shop: SmallShop, item: Item, **changes: object) -> None:
    plain = {"axis": "x", "along": "z", "pivot_mm": 100.0, "slope": 0.002, "u_slope": 1e-4, "why": "sat on a burr"}
    shop.record.add(Realigned(item_id=item.id, **(plain | changes)), shop.ab.id)


def test_the_tilt_of_a_casting_is_taken_off_at_the_bench_and_in_columns(shop: SmallShop) -> None:
    item, f3 = realigned(shop)
    read(shop.bench("casting C1"), "F3", "210.40 210.42")
    turn(shop, item)
    bench = shop.bench("casting C1")
    task = next(t for t in bench.tasks if t.feature.id == f3.id)
    assert (task.last, task.mean) == (pytest.approx(210.02), pytest.approx(210.01))
    assert task.s == pytest.approx(0.01 * sqrt(2))
    taken = bench.readings_of(task)
    made = Evidence(shop.record).corrections([f3.id])
    assert sorted(made[r.id].of(r.value) for r in taken) == pytest.approx([210.00, 210.02])
    (visit,) = Evidence(shop.record).visits(bench.job, bench.subject, task.sizes, taken[::-1], bench.turns)
    assert visit.value == pytest.approx(210.01) and visit.said == ("re-aligned -0.400 mm",)
    # what is logged now is judged alike, and what is only looked at
    bench.goto("F3")
    done = bench.take("210.44")
    assert isinstance(done, Logged) and done.judged.value == pytest.approx(210.04)
    assert bench.judge_values(task, [210.44]).value == pytest.approx(210.04)
    # put back: it stands as it was read
    turn(shop, item, holds=False)
    assert Evidence(shop.record).corrections([f3.id]) == {}
    assert next(t for t in shop.bench("casting C1").tasks if t.feature.id == f3.id).last == 210.44


def test_the_tilt_of_one_casting_moves_no_other_and_is_known_when_it_was_said(shop: SmallShop) -> None:
    item, f3 = realigned(shop)
    evidence = Evidence(shop.record)
    setup = Measured(shop).setup()
    turned = [Realigned(item_id=item.id, axis="x", along="z", pivot_mm=100.0, slope=0.002, why="w")]
    for turns, value in (((), 210.4), (turned, 210.0), ((), 210.4)):
        assert evidence.correction(setup, TODAY, f3, item, turns).of(210.4) == pytest.approx(value)
    read(shop.bench("casting C1"), "F3", "210.40")
    before = time.time_ns() // 1000
    time.sleep(0.003)  # ids tell the moment to the millisecond
    turn(shop, item)
    shop.bias()
    assert Evidence(shop.record, until_us=before).corrections([f3.id]) == {}
    (now,) = Evidence(shop.record).corrections([f3.id]).values()
    assert now.of(210.4) == pytest.approx(209.94)


def test_a_casting_re_aligned_twice_stood_as_it_was_turned_first(shop: SmallShop) -> None:
    item, f3 = realigned(shop)
    read(shop.bench("casting C1"), "F3", "210.40")
    turn(shop, item)
    time.sleep(0.003)
    between = time.time_ns() // 1000
    time.sleep(0.003)
    turn(shop, item, slope=0.001)

    def value(until_us: int | None) -> float:
        (made,) = Evidence(shop.record, until_us=until_us).corrections([f3.id]).values()
        return made.of(210.4)

    assert value(between) == pytest.approx(210.0) and value(None) == pytest.approx(210.2)


def test_a_casting_that_was_machined_stands_on_its_machined_faces(shop: SmallShop) -> None:
    item, _ = realigned(shop)
    revise(shop.record, find.job(shop.record, "SV-12"), "C", [replace(feature_of(shop, "F4"), note="at z = 300")])
    f4 = feature_of(shop, "F4")
    read(shop.bench("casting C1"), "F4", "243.40")
    done = shop.bench("casting C1")
    done.set_state("finished")
    read(done, "F4", "240.10 240.12")
    turn(shop, item)
    raw = shop.bench("casting C1")
    assert next(t for t in raw.tasks if t.feature.id == f4.id).last == pytest.approx(243.00)
    done = shop.bench("casting C1")
    done.set_state("finished")
    task = next(t for t in done.tasks if t.feature.id == f4.id)
    assert (task.last, task.mean) == (240.12, pytest.approx(240.11))
    done.goto("F4")
    logged = done.take("240.14")
    assert isinstance(logged, Logged) and logged.judged.value == 240.14
    made = Evidence(shop.record).corrections([f4.id])
    assert [how.tilt_mm for how in made.values()] == [pytest.approx(0.4)]  # of the raw reading alone


# ------------------------------------------------------------------------------ summaries
def test_a_summary_of_more_than_was_walked_has_the_scatter_of_the_newest(shop: SmallShop) -> None:
    f1, stick = feature_of(shop, "F1"), tool_of(shop, "stick 1")
    logged = Measured(shop).on_tool([59.60, 59.64, 59.62])
    walked = [WalkedReading(r.id, r.setup_id, r.value) for r in logged[::-1]]
    kept = KeptSummary(n=11, mean=59.5, m2=0.01, min=59.0, max=60.0, last_value=59.62, last_at_us=1)
    assert Evidence(shop.record).summary(kept, walked, f1, stick) is kept
    shop.bias()
    made = Evidence(shop.record).summary(kept, walked, f1, stick)
    assert (made.n, made.mean) == (11, pytest.approx(59.56))
    # 0.0008 is the sum of squares of three; of eleven at the same scatter ten halves of it
    assert made.m2 == pytest.approx(0.0008 * 10 / 2)
    assert (made.min, made.max, made.last_value) == pytest.approx((59.54, 59.58, 59.56))


def test_the_list_of_the_bench_takes_a_temperature_off_what_was_logged(shop: SmallShop) -> None:
    stick = shop.bench().subject.tool
    assert stick
    shop.record.add(replace(stick, id=b"", replaces_id=stick.id, expansion_per_c=50e-6))
    bench = shop.bench()
    bench.set_conditions(30.0, None, 20.0)
    read(bench, "F1", "59.60")
    task = next(task for task in shop.bench().tasks if task.feature.balloon == "F1")
    assert task.last == pytest.approx(59.60 / 1.0005) == task.mean


def test_of_a_size_read_very_often_the_newest_readings_tell_mean_and_scatter(shop: SmallShop) -> None:
    bench = shop.bench()
    read(bench, "F1", "59.50", "59.60", "59.62", "59.64")
    shop.bias()
    task = next(task for task in bench.tasks if task.feature.balloon == "F1")
    kept = shop.record.summaries(*bench.subject_ids)[task.feature.id]
    line = shop.record.last_lines(*bench.subject_ids)[task.feature.id]
    evidence = Evidence(shop.record)
    newest = evidence.summary(kept, line.walked[:3], task.feature, bench.subject.tool)
    assert newest.n == kept.n == 4 and newest.mean == pytest.approx(59.56)
    assert newest.m2 / 3 == pytest.approx(0.0004)  # the variance of 59.60, 59.62, 59.64
    whole = evidence.summary(kept, line.walked, task.feature, bench.subject.tool)
    assert whole.mean == pytest.approx(59.53) and whole.m2 == pytest.approx(kept.m2)
    assert (whole.min, whole.last_value) == pytest.approx((59.44, 59.58))
