"""The list by urgency, what is kept of it, what is measured next; surprises over everything; work orders; the sheet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.metrology.wear.weeks import Making
from inspect_tui.record.ask import trend_cache
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.shop.trends import fleet, verdict, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from tests.worlds.trend_rows import kept_trend as kept
from tests.worlds.worn_box import START, WornBox

INCH = Style("in")


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    yield made
    made.record.close()


def listed_of(rows: list[KeptTrend], retired: dict[bytes, str] | None = None, **wishes: object) -> fleet.Fleet:
    """The list of tools that make the same every week."""
    steady = {row.tool_of_id: Making(100.0, 0.0, 0.0) for row in rows}
    return fleet.fleet(rows, retired or {}, makings=steady, **wishes)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------ the list
def test_risk_comes_first_then_the_earliest_date_then_fewest_cores() -> None:
    rows = [
        kept(1),
        kept(2, low=500.0),
        kept(3, risk=0.7),
        kept(4, kind="past", risk=1.0, cores_left=0.0, low=0.0),
        kept(5, per_week=None, risk=None, low=10.0),
        kept(6, per_week=165.0),
        kept(7, kind="none", cores_left=None, low=None, risk=None),
    ]
    listed = listed_of(rows, {})
    assert [line.kept.label for line in listed.lines] == ["box 4", "box 3", "box 6", "box 2", "box 1", "box 5"]
    assert [line.sign for line in listed.lines] == ["✗", "!", "·", "·", "·", "·"]
    assert listed.without == 1
    assert listed.sentence == (
        "1 at the limit or past it and 1 likely to reach it within 4 weeks, of 6 sizes that are watched; 1 have no forecast"
    )


def test_weeks_and_dates_follow_from_cores_a_week_counted_from_the_last_count() -> None:
    line = listed_of([kept(1)]).lines[0]
    assert (line.weeks, line.weeks_low, line.weeks_high) == (10.0, 7.0, 15.0)
    day = START.fromordinal(739000)
    assert line.due == (day + timedelta(weeks=10)).isoformat() and line.worst == (day + timedelta(weeks=7)).isoformat()
    assert line.timing == "1 000 left, 700 at worst"


def test_what_is_retired_stands_last_and_is_not_asked_to_be_measured() -> None:
    rows = [kept(1, risk=0.5, high=None), kept(2)]
    assert listed_of(rows, {}).next.label == "box 1 F1"
    listed = listed_of(rows, {rows[0].tool_of_id: "2025-01-01"})
    assert [line.retired for line in listed.lines] == [None, "2025-01-01"]
    assert listed.next.label != "box 1 F1" and "1 tool out of use" in listed.sentence


def test_one_line_a_tool_keeps_its_most_urgent_size_and_counts_the_others() -> None:
    rows = [kept(1), kept(1, feature_id=b"f" * 16, balloon="F2", low=100.0), kept(2)]
    listed = listed_of(rows, {}, one_a_tool=True)
    assert [(line.label, line.others) for line in listed.lines] == [("box 1 F2", 1), ("box 2 F1", 0)]


def test_castings_are_not_in_the_list_of_wear() -> None:
    assert not fleet.fleet([kept(1, source="casting")], {}, every=True).lines


def test_the_widest_interval_that_matters_is_measured_next() -> None:
    sure, open_, far = kept(1, risk=0.999), kept(2, risk=0.5, low=100.0, high=None), kept(3)
    assert listed_of([sure, open_, far]).next.label == "box 2 F1"
    assert listed_of([far]).next.label is None


def test_nothing_to_list_is_said() -> None:
    listed = fleet.fleet([], {})
    assert listed.sentence == "no wear line yet: it takes three readings of a size at different counts"


# ------------------------------------------------------------------------------ kept summaries


def labels(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Of which tools and jobs the summaries are made again, by name."""
    names = {worn.box.of_id: "box 1", worn.box2.of_id: "box 2", worn.drag.of_id: "drag", worn.job.of_id: "castings"}
    made: list[str] = []
    real = trend_cache.keep

    def spy(path: Path, *args: object, made_again: list[bytes] | None = None, **more: object) -> None:
        made.extend(["all"] if made_again is None else [names[one] for one in made_again])
        real(path, *args, made_again=made_again, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(trend_cache, "keep", spy)
    trend_kept.refresh(worn.record, worn.record.path)
    return made


# ------------------------------------------------------------------------------ surprises
def shop_of_castings(worn: WornBox, step: float = 0.0, at: int = 60, lots: int = 100, by_cd: bool = False) -> None:
    """Two lengths on castings, one lot every other day; `step` comes in at lot `at` on L, or is only what CD reads."""
    rng = np.random.default_rng(11)
    for n in range(lots):
        worn.go(START + timedelta(days=2 * n))
        worn.lot(f"L{n:03}", (START + timedelta(days=2 * n)).isoformat())
        who = worn.cd if by_cd and n >= at and n % 2 else worn.ab
        off = step if (who is worn.cd if by_cd else n >= at) else 0.0
        item = worn.item(400.0 + rng.normal(0, 0.05) + off, "L", "casting", f"L{n:03}") if who is worn.ab else None
        if item is None:
            worn.ab, worn.cd = worn.cd, worn.ab
            item = worn.item(400.0 + rng.normal(0, 0.05) + off, "L", "casting", f"L{n:03}")
            worn.ab, worn.cd = worn.cd, worn.ab
        worn.also(item, 70.0 + rng.normal(0, 0.05), "P")


# ------------------------------------------------------------------------------ tooling or foundry, and the scales
def side_by_side(worn: WornBox, wear: float = 0.0, contraction: float = 0.0, seat: float = 0.0) -> verdict.WhatMoved:
    """Box checks, cores and castings over 40 weeks in which one thing moves."""
    rng = np.random.default_rng(5)
    for n in range(40):
        share = n / 39
        day = worn.go(START + timedelta(weeks=n))
        worn.count(200 * n, day)
        worn.lot(f"L{n}", day)
        grown = wear * share
        worn.read(80.80 + grown + rng.normal(0, 0.02))
        worn.item(80.80 + grown + rng.normal(0, 0.04), "W", "core", f"L{n}")
        shrunk = 1 - contraction * (share > 0.5)
        casting = worn.item((80.80 + grown) / 1.01 * shrunk + rng.normal(0, 0.05), "W", "casting", f"L{n}")
        worn.also(casting, 400.0 * shrunk + rng.normal(0, 0.06), "L")
        worn.also(casting, 70.0 * shrunk + seat * (share > 0.5) + rng.normal(0, 0.06), "P")
    view = worn.view
    told = verdict.tell_apart(view, worn.trend("P", None) if seat else worn.trend())
    assert told is not None
    return told


# ------------------------------------------------------------------------------ work orders
def order_of(worn: WornBox) -> work_orders.WorkOrder:
    kept_ = trend_kept.compute(worn.record)[0]
    found = work_orders.orders(worn.record, fleet.fleet(kept_, {}).lines, within_weeks=1000)
    assert len(found) == 1
    return found[0]


# ------------------------------------------------------------------------------ the month's sheet


@pytest.mark.parametrize(
    ("changes", "inches"),
    [  # 0.01 mm per 1000 is 0.00039 in; 80.90 and 81.40 mm are 3.1850 and 3.2047 in
        ({}, "1 000 cores left (700 to 1 500), wearing 0.00039 in per 1000; about 10 weeks (7 to 15)"),
        ({"high": None}, "1 000 cores left (at least 700), wearing 0.00039 in per 1000; about 10 weeks (at least 7)"),
        (
            {"per_week": None},
            "1 000 cores left (700 to 1 500), wearing 0.00039 in per 1000; no cores per week, so no date",
        ),
        ({"unit": "deg"}, "1 000 cores left (700 to 1 500), wearing 0.010 deg per 1000; about 10 weeks (7 to 15)"),
        ({"kind": "past"}, "at its limit or past it, though not surely: 3.1850 of 3.2047 in"),
        ({"kind": "past", "unit": "deg"}, "at its limit or past it, though not surely: 80.90 of 81.40 deg"),
        (
            {"kind": "backward", "rate": -1e-5},
            "moves against wear (-0.00039 in per 1000): a repair not logged, or a build-up",
        ),
        ({"kind": "at least"}, "no wear seen in 500 cores, at least 700 left, 7 weeks"),
        ({"kind": "unknown"}, "said"),
    ],
)
def test_what_is_kept_in_mm_is_said_from_its_figures_in_another_style(changes: dict[str, object], inches: str) -> None:
    line = listed_of([kept(1, **changes)], every=True).lines[0]
    assert line.said() == line.kept.sentence and line.said(INCH) == inches


def test_the_list_is_as_of_today_and_an_old_count_is_carried_forward() -> None:
    counted = START.fromordinal(739000)
    today = (counted + timedelta(weeks=8)).isoformat()
    line = listed_of([kept(1)], today=today).lines[0]
    assert (line.kept.cores_left, line.kept.low, line.weeks) == pytest.approx((200, 0, 2))
    assert line.due == (counted + timedelta(weeks=10)).isoformat() and line.worst == today
    assert line.kept.sentence.endswith(f"; the last count is of {counted.isoformat()}, carried forward at 100 a week")
    fresh = listed_of([kept(1)], today=(counted + timedelta(weeks=5)).isoformat()).lines[0]
    assert "carried forward" not in fresh.kept.sentence


def test_a_due_day_that_is_past_is_passed_and_stands_first() -> None:
    counted = START.fromordinal(739000)
    today = (counted + timedelta(weeks=20)).isoformat()
    rows = [kept(2, cores_left=5000.0, low=100.0, high=None, risk=0.4), kept(1)]
    listed = listed_of(rows, today=today)
    first = listed.lines[0]
    assert first.label == "box 1 F1" and first.passed and first.urgent and first.sign == "✗"
    assert first.worst == first.due  # not later than it did pass
    assert first.due == (counted + timedelta(weeks=10)).isoformat() < today
    assert first.timing == "passed since the last count" and "limit passed about" in first.said()
    assert "1 at the limit or past it" in listed.sentence


def test_what_is_passed_stands_before_what_is_surer_to_come() -> None:
    today = (START.fromordinal(739000) + timedelta(weeks=20)).isoformat()
    rows = [kept(2, cores_left=2100.0, low=2000.0, high=2200.0), kept(1, cores_left=1990.0, low=1000.0, high=6000.0)]
    first, second = listed_of(rows, today=today).lines
    assert (first.label, second.label) == ("box 1 F1", "box 2 F1") and first.passed and not second.passed
    assert second.kept.risk > first.kept.risk  # type: ignore[operator]


def test_what_is_beyond_ten_years_has_no_date() -> None:
    far = listed_of([kept(1, cores_left=60_000.0, low=10_000.0, high=None)]).lines[0]
    assert far.due is None and far.worst is not None and "more than ten years (at least 100 weeks)" in far.said()
    least = listed_of([kept(1, kind="at least", cores_left=None, low=60_000.0, high=None)]).lines[0]
    assert least.worst is None and least.said().endswith(", more than ten years")


def test_the_scatter_of_production_is_in_the_weeks_and_in_the_risk() -> None:
    steady = listed_of([kept(1)]).lines[0]
    rough = fleet.fleet([kept(1)], {}, makings={bytes([1]) * 16: Making(100.0, 10.0, 80.0)}).lines[0]
    assert rough.weeks_low < steady.weeks_low and rough.weeks_high > steady.weeks_high  # type: ignore[operator]
    assert rough.kept.risk > steady.kept.risk  # type: ignore[operator]


def test_without_end_and_against_wear_every_figure_stays_a_figure() -> None:
    for changes in ({"kind": "backward", "low": None, "high": None}, {"kind": "at least", "low": None, "high": None}):
        line = listed_of([kept(1, cores_left=None, **changes)]).lines[0]
        figures = [line.kept.low, line.kept.high, line.weeks_low, line.weeks, line.kept.risk]
        assert all(f is None or f == f for f in figures) and "nan" not in line.said() and "inf" not in line.said()


def test_the_horizon_has_the_decimal_mark_of_the_style() -> None:
    within = listed_of([kept(1, risk=0.7)], horizon=2.5, style=Style(mark=","))
    assert "within 2,5 weeks" in within.sentence and "lasts 2,5 weeks" in within.next.sentence
