"""Columns of one feature's readings: the quick way says the same as the thorough one, whatever else was measured."""

from __future__ import annotations

import random
from math import sqrt

import pytest

from inspect_tui.model.measuring import Supersede
from inspect_tui.record.ask import series, series_uses, trends
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.feature import budget as feature_budget
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.jobs import jobs
from tests.conftest import SmallShop
from tests.worlds.measured import Measured


@pytest.fixture
def measured(shop: SmallShop) -> Measured:
    return Measured(shop)


def which(m: Measured, on: str = "stick 1") -> series.Which:
    return feature_data.which(m.record, m.pick(on))


def counted(m: Measured, on: str) -> list[float]:
    """By the long way: every row, and what does not count taken out."""
    columns = series.columns(m.record, which(m, on))
    return [v for v, out in zip(columns.value, columns.out, strict=True) if not out]


def test_the_values_come_in_the_order_they_were_made(measured: Measured) -> None:
    values = [59.66, 59.60, 59.71, 59.58]
    measured.on_tool(values)
    found = series.values(measured.record, which(measured))
    assert list(found.value) == values and found.n_out == 0


def test_nothing_measured_gives_nothing(measured: Measured) -> None:
    found = series.values(measured.record, which(measured))
    assert list(found.value) == [] and len(series.columns(measured.record, which(measured))) == 0
    assert series.kept(measured.record, which(measured)) is None
    assert series_uses.uses(measured.record, which(measured)) == []


def test_voided_and_corrected_readings_do_not_count_but_are_shown(measured: Measured) -> None:
    first = measured.on_tool([59.60, 95.60, 59.62, 59.64])
    measured.void(first[1])
    setup = measured.record.setups(measured.record.sessions()[0].id)[0]
    new = first[3].__class__(
        setup_id=setup.id,
        feature_id=first[3].feature_id,
        tool_id=first[3].tool_id,
        tool_feature_id=first[3].tool_feature_id,
        value=59.70,
        typed="59.70",
    )
    measured.record.correct(first[3].id, new, "misread", "looked again", by=measured.shop.ab.id)
    found = series.values(measured.record, which(measured))
    assert list(found.value) == [59.60, 59.62, 59.70] and found.n_out == 2
    columns = series.columns(measured.record, which(measured))
    assert list(columns.value) == [59.60, 95.60, 59.62, 59.64, 59.70]
    assert columns.out == [False, True, False, True, False]


def test_two_answers_to_one_reading_count_for_none_until_settled(measured: Measured) -> None:
    """As after a merge of two benches; written here by hand, for one bench refuses the second answer."""
    first = measured.on_tool([59.60, 59.62])
    others = measured.on_tool([59.70, 59.80])
    con = measured.record._con
    con.execute("PRAGMA foreign_keys=OFF")
    for i, other in enumerate(others):
        con.execute(
            "INSERT INTO supersede (id, target_id, replacement_id, settles_id, reason, why) VALUES (?,?,?,NULL,?,?)",
            (bytes([i + 1]) * 16, first[0].id, other.id, "misread", "two benches"),
        )
    found = series.values(measured.record, which(measured))
    assert list(found.value) == [59.62] and found.n_out == 3
    assert counted(measured, "stick 1") == [59.62]
    assert series.out_of_count(measured.record, which(measured)) == {first[0].id, others[0].id, others[1].id}


@pytest.mark.parametrize("seed", range(6))
def test_the_quick_way_and_the_thorough_way_agree_on_any_mixture(measured: Measured, seed: int) -> None:
    draw = random.Random(seed)
    logged = []
    for _ in range(draw.randint(3, 9)):
        values = [round(draw.gauss(59.6, 0.1), 2) for _ in range(draw.randint(1, 8))]
        where = draw.choice(["stick 1", "box 1", "casting", "core"])
        if where in ("stick 1", "box 1"):
            logged += measured.on_tool(values, on=where)
        else:
            logged += measured.on_castings(values, kind=where)
        if draw.random() < 0.5 and logged:
            measured.void(logged.pop(draw.randrange(len(logged))))
    for on in ("stick 1", "box 1", "castings", "sand cores"):
        found = series.values(measured.record, which(measured, on))
        assert list(found.value) == counted(measured, on), on
        kept = series.kept(measured.record, which(measured, on))
        if found.value:
            assert kept is not None and kept.n == len(found.value)
            assert kept.mean == pytest.approx(sum(found.value) / len(found.value))
            assert (kept.min, kept.max) == (min(found.value), max(found.value))


def test_one_casting_is_looked_up_by_itself(measured: Measured) -> None:
    measured.on_castings([59.1, 59.2, 59.3])
    assert list(series.values(measured.record, which(measured, "casting C2")).value) == [59.2]


def test_summaries_that_were_dropped_do_not_mix_subjects(measured: Measured) -> None:
    measured.on_tool([59.60])
    measured.on_castings([59.1])
    measured.record._con.execute("DELETE FROM cache_summary")
    assert list(series.values(measured.record, which(measured, "castings")).value) == [59.1]
    assert list(series.values(measured.record, which(measured)).value) == [59.60]


def test_a_feature_goes_through_the_revisions_of_its_drawing(measured: Measured) -> None:
    measured.on_tool([59.60, 59.61])
    jobs.revise(measured.record, measured.job, "B", [], by=measured.shop.ab)
    measured.on_tool([59.70])
    found = series.values(measured.record, which(measured))
    assert list(found.value) == [59.60, 59.61, 59.70]
    assert [at for _, at in found.revisions] == [0, 2]
    only_new = feature_data.which(measured.record, measured.pick(), revisions=False)
    assert list(series.values(measured.record, only_new).value) == [59.70]


def test_revisions_measured_side_by_side_come_in_order_of_time(measured: Measured) -> None:
    old = measured.feature
    measured.on_tool([59.60])
    jobs.revise(measured.record, measured.job, "B", [], by=measured.shop.ab)
    measured.on_tool([59.70])
    tool = find.subject(measured.record, measured.job, "stick 1").tool
    assert tool
    made = next(t for t in measured.record.tool_features(tool.of_id, old=True) if t.feature_id == old.id)
    last = measured.record.last_reading(measured.record.sessions()[0].id)
    assert last
    measured.record.append_reading(
        last.reading.__class__(
            setup_id=last.reading.setup_id,
            feature_id=old.id,
            tool_id=tool.id,
            tool_feature_id=made.id,
            value=59.65,
            typed="59.65",
        )
    )
    found = series.values(measured.record, which(measured))
    assert list(found.value) == [59.60, 59.70, 59.65] and len(found.revisions) == 1


def test_merged_summaries_are_those_of_all_readings(measured: Measured) -> None:
    a, b, c = [59.6, 59.7, 59.65], [59.9, 59.95], [59.1, 59.2]
    measured.on_tool(a)
    measured.on_tool(b, on="box 1")
    measured.on_castings(c)
    kept = series.kept_by_feature(measured.record)[measured.feature.id]
    every = a + b + c
    mean = sum(every) / len(every)
    assert kept.n == 7 and kept.mean == pytest.approx(mean)
    assert sqrt(kept.m2 / 6) == pytest.approx(sqrt(sum((x - mean) ** 2 for x in every) / 6))
    assert kept.last_value == 59.2
    assert series.kept_by_feature(measured.record, [b"\0" * 16]) == {}


def test_the_repeats_of_one_line_belong_together(measured: Measured) -> None:
    one = measured.on_tool([59.60])[0]
    line = [
        one.__class__(**{n: getattr(one, n) for n in one.__match_args__} | {"id": b"", "rep": rep, "value": 59.6 + rep})
        for rep in (1, 2, 3, 1)
    ]
    logged = measured.record.append_readings(line)
    assert [r.rep for r in series.line_of(measured.record, logged[1])] == [1, 2, 3]
    assert series.line_of(measured.record, logged[3]) == [logged[3]]
    assert series.line_of(measured.record, one) == [one]


def test_columns_name_people_instruments_lots_and_castings(measured: Measured) -> None:
    measured.on_castings([59.1], lot=measured.lot("L1"))
    measured.on_castings([59.2], person="IN", instrument="caliper 2")
    columns = series.columns(measured.record, which(measured, "castings"))
    assert columns.person == ["AB", "IN"] and columns.instrument == ["caliper 1", "caliper 2"]
    assert columns.lot == ["L1", None] and columns.item == ["C1", "C2"]
    logged = series.page(measured.record, columns.id[::-1])
    assert [x.reading.id for x in logged] == columns.id
    assert [abs(x.at_us - at) < 10_000 for x, at in zip(logged, columns.at_us, strict=True)] == [True, True]


def test_a_supersede_elsewhere_does_not_count_here(measured: Measured) -> None:
    measured.on_tool([59.60, 59.61])
    other = measured.on_castings([59.1, 95.1])
    measured.record.add(Supersede(target_id=other[1].id, reason="misread", why="swapped"), by=measured.shop.ab.id)
    assert series.values(measured.record, which(measured)).n_out == 0
    assert series.values(measured.record, which(measured, "castings")).n_out == 1


def machined(measured: Measured, sizes: list[float]) -> None:
    """As many castings measured raw at 59, and machined to these sizes of F1."""
    measured.on_castings([59.0 + n / 100 for n, _ in enumerate(sizes)])
    for n, size in enumerate(sizes, start=1):
        on = find.subject(measured.record, measured.job, f"casting C{n}")
        bench = Bench(measured.record, measured.job, on, measured.shop.ab, measured.shop.caliper)
        bench.set_state("finished")
        bench.goto("F1")
        assert bench.take(f"{size}") and (bench.pending is None or bench.keep_pending())


def test_what_was_machined_is_no_reading_of_the_raw_castings(measured: Measured) -> None:
    machined(measured, [62.0, 62.1, 62.2])
    for on in ("all castings", "casting C1"):
        wanted = which(measured, on)
        raw = [59.0, 59.01, 59.02] if on == "all castings" else [59.0]
        assert list(series.values(measured.record, wanted).value) == raw == counted(measured, on)
        assert series.kept(measured.record, wanted) is None  # what is kept is of both states
    feature, job = measured.feature.id, measured.job.of_id
    assert list(trends.on_items(measured.record, job, "casting", [feature]).value) == [59.0, 59.01, 59.02]
    assert list(trends.all_on_items(measured.record, job, "casting")[feature].value) == [59.0, 59.01, 59.02]
    items = measured.record.items(job)
    assert [r.value for r in measured.record.item_readings(i.id for i in items)] == [59.0, 59.01, 59.02]


def test_a_size_that_was_only_read_when_it_was_machined_is_no_trend(measured: Measured) -> None:
    machined(measured, [62.0])
    f4 = next(f for f in measured.record.job_features(measured.job.of_id) if f.balloon == "F4")
    on = find.subject(measured.record, measured.job, "casting C1")
    bench = Bench(measured.record, measured.job, on, measured.shop.ab, measured.shop.caliper)
    bench.set_state("finished")
    bench.goto("F4")
    bench.take("240")
    assert measured.record.features_on(measured.job.of_id, "casting") == {measured.feature.id}
    assert f4.id not in measured.record.features_on(measured.job.of_id, "casting")


def test_machined_castings_are_looked_at_where_they_are_asked_for(measured: Measured) -> None:
    asked = feature_data.pick(measured.record, measured.job, "castings", "F1", "finished")
    measured.on_castings([59.0])
    assert list(feature_data.material(measured.record, asked).values) == []
    measured.serials = 0
    machined_too = measured.record.items(measured.job.of_id)
    on = find.subject(measured.record, measured.job, f"casting {machined_too[0].serial}")
    bench = Bench(measured.record, measured.job, on, measured.shop.ab, measured.shop.caliper)
    bench.set_state("finished")
    for size in ("62.0", "62.1"):
        bench.goto("F1")
        bench.take(size)
    found = feature_data.material(measured.record, asked)
    assert (list(found.values), found.target, found.where) == ([62.0, 62.1], 62.0, "castings, finished")
    assert found.band and (found.band.lower, found.band.upper) == (61.2, 62.8)
    labelled = feature_data.material(measured.record, asked, with_labels=True)
    assert list(labelled.values) == [62.0, 62.1]
    one = feature_data.pick(measured.record, measured.job, on.label, "F1")
    assert list(feature_data.material(measured.record, one).values) == [59.0]
    last = measured.record.readings(item_id=machined_too[0].id, newest_first=True, limit=1)[0]
    told = feature_budget.of_reading(measured.record, asked, last)
    assert told.value == 62.1 and told.verdict and told.verdict.answer == "conforms"
