"""One change of gauge that moves twelve sizes is one line: no surprise of each, no knock, no work order, no new rate."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.record.ask.trend_rows import KeptRecent, KeptTrend
from inspect_tui.shop.gauges import pooled, reads_off
from inspect_tui.shop.gauges.pooled import Pooled
from inspect_tui.shop.trends import fleet, surprises, verdict, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends import trend as trends
from inspect_tui.shop.trends.forecast import headline
from inspect_tui.shop.trends.job_view import JobView
from tests.worlds.many_hands import START, ManyHands, by_turns, changed_for_good, shop

OFF = 0.08  # mm that the new caliper reads more
HALF_TIME = (START + timedelta(days=30)).isoformat()


@pytest.fixture
def changed(tmp_path: Path) -> ManyHands:
    many = shop(tmp_path / "changed.db", boxes=2, of_each=6, of_castings=0)
    many.read(changed_for_good(12, 1, OFF))
    many.count(60)
    return many


def summaries(many: ManyHands, found: Pooled | None = None) -> tuple[list[KeptTrend], list[KeptRecent]]:
    made = trend_kept.series(JobView(many.record, many.job, pooled=found))
    rows = [trend_kept.kept(trend) for _, of_tool in made for trend in of_tool]
    return [summary for summary, _ in rows], [recent for _, recent in rows]


# ------------------------------------------------------------------------------ what changed
def test_one_change_of_gauge_is_one_line_of_what_changed(changed: ManyHands) -> None:
    report = surprises.surprises(changed.record, *summaries(changed))
    (line,) = report.off
    assert report.lines == ()
    assert line.found.offset.estimate.value == pytest.approx(-OFF, abs=0.015)  # of the one before, equally often used
    assert line.found.changed_on == HALF_TIME
    assert line.sentence == (
        f"the gauge changed on {HALF_TIME}: caliper G0 reads 0.08 lower than caliper G1, over 12 sizes; one was in use "
        "when the other was not, so either may be the one that is off; taken out of the sizes"
    )
    assert report.sentence.startswith("beside this nothing changed in 12 sizes")
    assert (
        surprises.surprises(changed.record, *summaries(changed), style=Style("in")).off[0].sentence.count("0.003") == 1
    )


def test_without_the_pooling_there_would_be_surprises_and_knocks(changed: ManyHands) -> None:
    kept, recent = summaries(changed, pooled.NOTHING)
    assert len(surprises.surprises(changed.record, kept, recent).lines) >= 3
    assert any("knock" in row.remarks for row in kept)


def test_a_box_that_was_knocked_beside_the_change_is_still_a_surprise(tmp_path: Path) -> None:
    many = shop(tmp_path / "knocked.db", boxes=2, of_each=6, of_castings=0)
    many.read([(s, d, g, p, v + 0.25 * (s == 4 and d > 40)) for s, d, g, p, v in changed_for_good(12, 1, OFF)])
    many.count(60)
    report = surprises.surprises(many.record, *summaries(many))
    assert len(report.off) == 1
    assert [line.kept.balloon for line in report.lines] == ["B104"]
    assert report.sentence.startswith("1 of 12 sizes changed")


def test_what_reads_off_and_is_long_past_is_no_change_lately(changed: ManyHands) -> None:
    changed.read([(size, 300 + day, 1, 0, 40.0) for size in range(2) for day in range(2)])
    report = surprises.surprises(changed.record, *summaries(changed))
    assert report.off == () and pooled.current(changed.record).named


@pytest.mark.parametrize("seed", range(3, 9))
def test_nothing_changed_where_both_read_alike(tmp_path: Path, seed: int) -> None:
    many = shop(tmp_path / "alike.db", boxes=2, of_each=6, of_castings=0)
    many.read(changed_for_good(12, seed, 0.0))
    many.count(60)
    kept, recent = summaries(many)
    assert surprises.surprises(many.record, kept, recent).off == ()
    assert not any("reads" in row.remarks for row in kept)


# ------------------------------------------------------------------------------ the wear page
def test_the_wear_page_has_neither_knocks_nor_jumps_and_says_once_what_was_taken_out(changed: ManyHands) -> None:
    kept, _ = summaries(changed)
    assert len(kept) == 12
    for row in kept:
        assert "jumped" not in row.remarks and "jump of" not in row.remarks
        assert "caliper" not in row.remarks
    listed = fleet.fleet(kept, {}, off=reads_off.reads_off(pooled.in_force(changed.record), kept, Style("mm")))
    (off,) = listed.off
    assert off.sentence.startswith(f"the gauge changed on {HALF_TIME}: caliper G0 reads 0.08 lower than caliper G1")
    assert "caliper" not in " ".join([listed.sentence, *(line.kept.sentence for line in listed.lines)])
    own = next(trend for _, made in trend_kept.series(JobView(changed.record, changed.job)) for trend in made)
    assert [*own.read_off] == headline(own)[-1:]  # the chart of one size says it of that size
    assert own.read_off[0].endswith(
        "over 12 sizes; one was in use when the other was not, so either may be the one that "
        "is off: taken out of the wear line, not of the chart"
    )


def test_wear_orders_and_rates_are_those_of_gauges_that_read_alike(changed: ManyHands, tmp_path: Path) -> None:
    same = shop(tmp_path / "same.db", boxes=2, of_each=6, of_castings=0)
    same.read(changed_for_good(12, 1, 0.0))
    same.count(60)
    level = -pooled.current(changed.record).named[0].offset.estimate.value - OFF
    for ours, theirs in zip(summaries(changed)[0], summaries(same)[0], strict=True):
        assert ours.rate is not None and theirs.rate is not None and theirs.u_rate is not None
        assert ours.rate == pytest.approx(theirs.rate, abs=2 * theirs.u_rate + abs(level) / 900)
        assert ours.kind == theirs.kind
    ordered = [
        [order.line.label for order in work_orders.orders(many.record, fleet.fleet(summaries(many)[0], {}).lines)]
        for many in (changed, same)
    ]
    assert ordered[0] == ordered[1]


def test_the_chart_shows_what_was_read_and_the_line_is_made_from_what_is_even(changed: ManyHands) -> None:
    view = JobView(changed.record, changed.job)
    tool, feature, _ = changed.on_tool[0]
    main = trends.trend(view, feature, tool).main
    assert main.level is not None and list(main.off) == list(view.pooled.named)
    (off,) = {round(level, 9) for level in main.level.tolist() if level}
    assert off == round(view.pooled.named[0].offset.estimate.value, 9)
    assert [bool(level) for level in main.level] == [d < HALF_TIME for d in _days(main)]
    assert main.even.tolist() == pytest.approx((main.value - main.level).tolist())
    half = main.take(main.level != 0)
    assert half.level is not None and half.level.tolist() == [pytest.approx(off)] * 15


def _days(track: trends.Track) -> list[str]:
    from datetime import date

    return [date.fromordinal(int(day)).isoformat() for day in track.day]


def test_a_recorded_bias_takes_the_place_of_what_was_found(changed: ManyHands) -> None:
    new = changed.gauges[1]
    changed.record.add(
        InstrumentBias(
            instrument_of_id=new.of_id,
            from_on="2025-01-01",
            to_on=None,
            bias_mm=OFF,
            u_mm=0.004,
            why="read against the others",
            found_from="everyday readings",
        ),
        by=changed.by,
    )
    kept, recent = summaries(changed)
    report = surprises.surprises(changed.record, kept, recent)
    assert (report.off, report.lines) == ((), ())
    assert not any("taken out" in row.remarks for row in kept)


def test_castings_are_made_even_too(tmp_path: Path) -> None:
    many = shop(tmp_path / "castings.db", boxes=0, of_castings=20)
    many.read(by_turns(20, 2, 0.10, visits=30))
    view = JobView(many.record, many.job)
    trend = trends.trend(view, many.cast[0], None)
    assert trend.main.level is not None and "taken out of the steps and alarms" in trend.read_off[-1]
    assert trend.main.even.std() < trend.main.value.std()
    recent = trend_kept.kept(trend)[1]
    assert list(recent.value) == pytest.approx(trend.main.even.tolist())


def test_a_change_of_gauge_raises_no_alarm_on_castings_and_tells_of_no_mover(tmp_path: Path) -> None:
    many = shop(tmp_path / "alarms.db", boxes=0, of_castings=12)
    rng = np.random.default_rng(2)
    many.read(
        [
            (n, day, int(day >= 40), 0, 30.0 + 9 * n + 0.12 * (day >= 40) + float(rng.normal(0, 0.02)))
            for n in range(12)
            for day in range(80)
        ]
    )
    for found, alarmed in ((pooled.look(many.record), False), (pooled.NOTHING, True)):
        view = JobView(many.record, many.job, pooled=found)
        trend = trends.trend(view, many.cast[3], None)
        assert bool(trend.alarms) is alarmed
        told = verdict.tell_apart(view, trend, (START + timedelta(days=40)).toordinal())
        assert told is not None
        assert all(moved.change.value == pytest.approx(0.12 if alarmed else 0.0, abs=0.025) for moved in told.moved)


# ------------------------------------------------------------------------------ kept
def test_what_was_found_is_kept_beside_the_summaries_and_found_again(changed: ManyHands) -> None:
    record = changed.record
    kept, _ = trend_kept.current(record)
    known = pooled.in_sight(record)
    assert len(kept) == 12 and len(known.named) == 1
    assert pooled.current(record) == known == pooled.in_force(record)
    assert not trend_kept.refresh(record, record.path)  # nothing is new
    report = surprises.surprises(record)
    assert len(report.off) == 1 and report.lines == ()


def test_a_gauge_that_comes_to_read_off_makes_every_summary_again(tmp_path: Path) -> None:
    many = shop(tmp_path / "later.db", boxes=2, of_each=6, of_castings=0)
    visits = changed_for_good(12, 1, OFF)
    early = [v for v in visits if v[1] < 30 and (v[0] > 5 or v[1] % 4 == 0)]
    many.read(early)
    many.count(60)
    assert pooled.in_sight(many.record) is pooled.NOTHING
    trend_kept.current(many.record)
    assert pooled.in_sight(many.record).named == ()
    many.read(2 * [v for v in visits if v[1] >= 30 and v[0] < 6])  # the second box is not read again
    kept, _ = trend_kept.current(many.record)
    assert len(pooled.in_sight(many.record).named) == 1
    fresh = {(row.tool_of_id, row.feature_id): row.rate for row in trend_kept.compute(many.record)[0]}
    assert {(row.tool_of_id, row.feature_id): row.rate for row in kept} == fresh and len(fresh) == 12


def test_summaries_made_by_other_rules_are_made_again(changed: ManyHands) -> None:
    trend_kept.current(changed.record)
    assert trend_kept.stale(changed.record) is not None
    frontier, rules = changed.record.trend_mark() or ({}, "")
    assert rules.startswith(f"{trend_kept.RULES} {{")
    for other in (trend_kept.RULES, f"0 {rules.partition(' ')[2]}"):
        trend_kept.trend_cache.keep(changed.record.path, [], [], frontier, other, made_again=[])
        assert trend_kept.stale(changed.record) is None


def test_an_offset_that_is_not_all_of_one_hand_is_said_since_when(tmp_path: Path) -> None:
    many = shop(tmp_path / "many.db", boxes=2, of_each=10, of_castings=10)
    many.read(by_turns(30, 1, 0.08, visits=14))
    many.count(60)
    report = surprises.surprises(many.record, *summaries(many))
    (line,) = report.off
    assert line.found.changed_on is None
    assert line.sentence.endswith(f"sizes; seen since {line.found.first_day}, taken out of the sizes")
    assert replace(line.found, changed_on="2025-02-01").said() == line.found.said()
