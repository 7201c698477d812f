"""The list by urgency, what is kept of it, what is measured next; surprises over everything; work orders; the sheet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.model.trends import ItemWeight, ToolState, WallArea, WearLimit
from inspect_tui.record.ask import trend_cache
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.shop.trends import fleet, surprises, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends import month_sheet as trend_sheet
from inspect_tui.shop.trends import verdict as trend_verdict
from inspect_tui.shop.trends.job import JobView
from tests.worlds.worn_box import START, WornBox


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    yield made
    made.record.close()


def kept(n: int, **changes: object) -> KeptTrend:
    """A row of the list; 1000 left of a limit, 100 a week, unless told otherwise."""
    plain = KeptTrend(
        tool_of_id=bytes([n]) * 16,
        feature_id=bytes([n]) * 16,
        source="tool",
        job_of_id=b"j" * 16,
        label=f"box {n}",
        balloon="F1",
        name="width",
        unit="mm",
        n=40,
        last_day=739000,
        count_day=739000,
        kind="left",
        value_mm=80.9,
        target_mm=80.8,
        limit_mm=81.4,
        rate=1e-5,
        u_rate=1e-6,
        now=500.0,
        total=900.0,
        per_week=100.0,
        cores_left=1000.0,
        low=700.0,
        high=1500.0,
        risk=0.0,
        sentence="said",
        remarks="",
    )
    return plain._replace(**changes)


# ------------------------------------------------------------------------------ the list
def test_risk_comes_first_then_the_earliest_date_then_fewest_cores() -> None:
    rows = [
        kept(1),
        kept(2, low=300.0),
        kept(3, risk=0.7),
        kept(4, kind="past", risk=1.0, cores_left=0.0, low=0.0),
        kept(5, per_week=None, risk=None, low=10.0),
        kept(6, per_week=500.0),
        kept(7, kind="none", cores_left=None, low=None, risk=None),
    ]
    listed = fleet.fleet(rows, {})
    assert [line.kept.label for line in listed.lines] == ["box 4", "box 3", "box 6", "box 2", "box 1", "box 5"]
    assert [line.sign for line in listed.lines] == ["✗", "!", "·", "·", "·", "·"]
    assert listed.without == 1
    assert listed.sentence == (
        "1 at the limit or past it and 1 likely to reach it within 4 weeks, of 6 sizes that are watched; 1 have no forecast"
    )


def test_weeks_and_dates_follow_from_cores_a_week_counted_from_the_last_count() -> None:
    line = fleet.fleet([kept(1)], {}).lines[0]
    assert (line.weeks, line.weeks_low, line.weeks_high) == (10.0, 7.0, 15.0)
    day = START.fromordinal(739000)
    assert line.due == (day + timedelta(weeks=10)).isoformat() and line.worst == (day + timedelta(weeks=7)).isoformat()
    assert line.timing == "1 000 left, 700 at worst"


def test_what_is_retired_stands_last_and_is_not_asked_to_be_measured() -> None:
    rows = [kept(1, risk=0.5, high=None), kept(2)]
    assert fleet.fleet(rows, {}).next.label == "box 1 F1"
    listed = fleet.fleet(rows, {rows[0].tool_of_id: "2025-01-01"})
    assert [line.retired for line in listed.lines] == [None, "2025-01-01"]
    assert listed.next.label != "box 1 F1" and "1 tool out of use" in listed.sentence


def test_one_line_a_tool_keeps_its_most_urgent_size_and_counts_the_others() -> None:
    rows = [kept(1), kept(1, feature_id=b"f" * 16, balloon="F2", low=100.0), kept(2)]
    listed = fleet.fleet(rows, {}, one_a_tool=True)
    assert [(line.label, line.others) for line in listed.lines] == [("box 1 F2", 1), ("box 2 F1", 0)]


def test_castings_are_not_in_the_list_of_wear() -> None:
    assert not fleet.fleet([kept(1, source="casting")], {}, every=True).lines


def test_the_widest_interval_that_matters_is_measured_next() -> None:
    sure, open_, far = kept(1, risk=0.999), kept(2, risk=0.5, low=100.0, high=None), kept(3)
    assert fleet.fleet([sure, open_, far], {}).next.label == "box 2 F1"
    assert fleet.fleet([far], {}).next.label is None


def test_nothing_to_list_is_said() -> None:
    listed = fleet.fleet([], {})
    assert listed.sentence == "no wear line yet: it takes three readings of a size at different counts"


# ------------------------------------------------------------------------------ kept summaries
def test_the_kept_list_says_what_the_chart_says(worn: WornBox) -> None:
    worn.wear(30)
    trend_kept.refresh(worn.record, worn.record.path)
    line = fleet.read(worn.record).lines[0]
    one = worn.trend()
    assert one.left is not None
    assert line.kept.sentence == one.sentence and line.kept.cores_left == one.left.left
    assert (line.due, line.kept.risk) == (one.due, one.risk)


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


def test_only_what_is_new_is_worked_out_again(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    worn.wear(6)
    worn.go("2024-06-01")
    assert labels(worn, monkeypatch) == ["all"]
    assert labels(worn, monkeypatch) == []
    worn.read(80.9)
    assert labels(worn, monkeypatch) == ["box 1"]
    worn.count(99, "2024-05-05", tool=worn.drag)
    assert labels(worn, monkeypatch) == ["drag"]
    worn.item(400.0, "L", "casting")
    assert labels(worn, monkeypatch) == ["castings"]
    worn.item(80.8, "W", "core")
    assert labels(worn, monkeypatch) == ["box 1", "castings"]
    wrong = worn.read(99.0)
    trend_kept.refresh(worn.record, worn.record.path)
    worn.record.void(wrong.id, "misread", "slip", worn.ab.id)
    assert labels(worn, monkeypatch) == ["box 1"]
    worn.record.add(WearLimit(tool_of_id=worn.box.of_id, feature_id=worn.features["W"].id, upper=81.0, why="x"))
    assert labels(worn, monkeypatch) == ["box 1"]
    assert labels(worn, monkeypatch) == []
    worn.lot("L1", "2024-06-01")  # its castings are counted by every tool of the job
    assert set(labels(worn, monkeypatch)) >= {"box 1", "castings"}
    worn.repair("2024-06-01", tool=worn.box2, name="S")  # moves what sits in it
    assert "castings" in labels(worn, monkeypatch)


def test_bringing_up_to_date_gives_what_making_everything_gives(worn: WornBox) -> None:
    worn.wear(10)
    trend_kept.refresh(worn.record, worn.record.path)
    worn.wear(10, first_week=10, seed=4)
    worn.item(400.0, "L", "casting")
    worn.repair(worn.go(START + timedelta(weeks=20)), at=3900)
    trend_kept.refresh(worn.record, worn.record.path)
    assert sorted(worn.record.kept_trends()) == sorted(trend_kept.compute(worn.record)[0])


def test_other_rules_make_everything_again(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    worn.wear(5)
    trend_kept.refresh(worn.record, worn.record.path)
    monkeypatch.setattr(trend_kept, "RULES", "another")
    assert trend_kept.stale(worn.record) is None


def test_a_record_that_cannot_keep_them_has_them_computed(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    from inspect_tui.errors import ReadOnly

    worn.wear(6)

    def refuse(*_: object, **__: object) -> None:
        raise ReadOnly("read only")

    monkeypatch.setattr(trend_cache, "keep", refuse)
    found, recent = trend_kept.current(worn.record)
    assert [k.label for k in found] == ["box 1"] and len(recent) == 1
    assert not worn.record.kept_trends()


def test_a_size_that_left_the_drawing_leaves_the_list(worn: WornBox) -> None:
    worn.wear(6)
    worn.wear(6, name="H", first_week=6, start=60.6)
    assert {k.balloon for k in trend_kept.compute(worn.record)[0]} == {"W", "H"}
    from inspect_tui.model.work import DrawingRevision

    b = worn.record.add(DrawingRevision(job_of_id=worn.job.of_id, number="W-1", rev="B"), worn.ab.id)
    old = worn.features["W"]
    ends = tuple(replace(end, id=b"", feature_id=b"") for end in old.ends)
    new = worn.record.add(replace(old, id=b"", revision_id=b.id, same_as_id=old.id, ends=ends), worn.ab.id)
    there = worn.on["box 1", "W"]
    worn.record.add(replace(there, id=b"", of_id=b"", feature_id=new.id), worn.ab.id)
    found = trend_kept.compute(worn.record)[0]
    assert [(k.balloon, k.n) for k in found] == [("W", 6)]  # readings on the older drawing still count


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


def test_nothing_to_say_is_said_with_the_rate_of_false_alarms(worn: WornBox) -> None:
    shop_of_castings(worn)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert not report.lines and report.tested == 2
    assert report.sentence == "nothing to say: nothing changed in 2 sizes beyond chance (false alarms held at 5 %)"


def test_a_step_of_the_foundry_is_one_line_with_its_lot_and_its_side(worn: WornBox) -> None:
    shop_of_castings(worn, step=-0.40)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert [line.kept.balloon for line in report.lines] == ["L"]
    line = report.lines[0]
    assert line.since in ("lot L059", "lot L060", "lot L061")
    assert line.found.change.value == pytest.approx(-0.40, abs=0.05)
    assert line.sentence.startswith("L overall length on castings: stepped -0.4")
    assert "of 2 sizes changed; in the long run at most 5 %" in report.sentence


def test_what_only_one_person_reads_goes_with_that_person(worn: WornBox) -> None:
    shop_of_castings(worn, step=0.30, by_cd=True, at=40)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert [line.kept.balloon for line in report.lines] == ["L"]
    assert "person CD" in report.lines[0].sentence


def test_wear_and_entered_repairs_are_no_surprise_but_a_knock_is(worn: WornBox) -> None:
    worn.wear(60, rate=0.05e-3)
    worn.repair(worn.go(START + timedelta(weeks=59), hour=15), at=11_800)
    worn.wear(60, rate=0.05e-3, first_week=60, base=11_800, seed=3)
    assert not surprises.surprises(worn.record, *trend_kept.compute(worn.record)).lines
    worn.wear(25, rate=0.05e-3, first_week=120, base=11_800, start=80.98, seed=9)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert [(line.kept.balloon, line.found.kind) for line in report.lines] == [("W", "step")]
    assert report.lines[0].found.change.value == pytest.approx(0.18, abs=0.04)


def test_a_repair_that_was_entered_begins_the_castings_anew(worn: WornBox) -> None:
    shop_of_castings(worn, step=-0.40)
    worn.repair((START + timedelta(days=119)).isoformat(), tool=worn.drag)
    assert not surprises.surprises(worn.record, *trend_kept.compute(worn.record)).lines


def test_too_few_readings_are_counted_and_not_searched(worn: WornBox) -> None:
    worn.wear(6)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert (report.tested, report.too_short) == (0, 1)
    assert report.sentence == "nothing to search yet: it takes twelve readings of a size"


# ------------------------------------------------------------------------------ tooling or foundry, and the scales
def side_by_side(worn: WornBox, wear: float = 0.0, contraction: float = 0.0, seat: float = 0.0) -> trend_verdict.Told:
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
    told = trend_verdict.tell_apart(view, worn.trend("P", None) if seat else worn.trend())
    assert told is not None
    return told


def test_box_core_and_casting_grow_together_wear(worn: WornBox) -> None:
    told = side_by_side(worn, wear=0.45)
    assert told.who.verdict == "wear"
    assert told.who.amount is not None and told.who.amount.value == pytest.approx(
        0.30, abs=0.04
    )  # of 0.45, thirds apart
    assert {m.of for m in told.moved} == {"box", "core", "casting"}


def test_castings_step_and_cores_do_not_the_foundry(worn: WornBox) -> None:
    told = side_by_side(worn, contraction=0.001)
    assert told.who.verdict == "foundry"
    assert told.who.amount is not None and told.who.amount.value == pytest.approx(0.001, abs=0.0002)


def test_only_a_position_moves_print_or_seat(worn: WornBox) -> None:
    told = side_by_side(worn, seat=0.30)
    assert told.who.verdict == "print, seat or dowel"
    assert told.who.amount is not None and told.who.amount.value == pytest.approx(0.30, abs=0.05)


def test_a_step_stands_alone_when_the_wear_that_is_known_is_taken_out(worn: WornBox) -> None:
    side_by_side(worn, wear=0.45, contraction=0.001)
    view = worn.view
    day = float((START + timedelta(weeks=20)).toordinal())
    told = trend_verdict.tell_apart(view, worn.trend("L", None), day)
    assert told is not None and told.who.verdict == "foundry"
    moved = {m.name: m.change for m in told.moved}
    assert moved["L on castings"].value == pytest.approx(-0.40, abs=0.08)
    assert moved["W on box 1"].value == pytest.approx(0.0, abs=0.03)
    # over these twenty weeks on either side the box grew by 0.23 more: of that nothing is left in the castings
    assert moved["W on castings"].value == pytest.approx(-0.08, abs=0.06)


def test_nothing_moved_is_said(worn: WornBox) -> None:
    assert side_by_side(worn).who.sentence == "nothing moved beyond what the readings allow"


def test_the_weight_of_castings_cross_checks_all_walls(worn: WornBox) -> None:
    rng = np.random.default_rng(2)
    for n in range(24):
        day = worn.go(START + timedelta(weeks=n))
        worn.count(200 * n, day)
        worn.lot(f"L{n}", day)
        worn.read(80.80 + 0.02 * n + rng.normal(0, 0.02))
        casting = worn.item(80.0 + 0.02 * n, "W", "casting", f"L{n}")
        worn.record.add(
            ItemWeight(item_id=casting.id, weight_kg=float(round(50.0 - 0.06 * n + rng.normal(0, 0.05), 2)))
        )
    told = trend_verdict.tell_apart(worn.view, worn.trend())
    assert told is not None and "lighter: enter their wall area" in told.weight
    worn.record.add(WallArea(job_of_id=worn.job.of_id, area_m2=0.5, density=7100.0, why="drawing"))
    told = trend_verdict.tell_apart(worn.view, worn.trend())
    # from the first to the last third 16 weeks of 0.06 kg: 0.96 kg over 0.5 m2 at 7.1 kg for each mm and m2
    assert told is not None
    wall, u = (
        float(x) for x in told.weight.partition("walls ")[2].partition(" mm thinner in the mean")[0].split(" ± ")
    )
    assert wall == pytest.approx(0.96 / (0.5 * 7.1), abs=u) and u < 0.06
    assert told.sentence.endswith(told.weight)


# ------------------------------------------------------------------------------ work orders
def order_of(worn: WornBox) -> work_orders.Order:
    kept_ = trend_kept.compute(worn.record)[0]
    found = work_orders.orders(worn.record, fleet.fleet(kept_, {}).lines, within_weeks=1000)
    assert len(found) == 1
    return found[0]


def test_an_order_says_tool_amount_and_how_long_it_can_wait(worn: WornBox) -> None:
    worn.wear(40)
    one = order_of(worn)
    grown = 0.03e-3 * 200 * 39
    assert one.change.word == "add" and one.change.change_mm == pytest.approx(-grown, abs=0.03)
    assert one.change.casting_words.startswith("metal on")
    assert one.sentence.startswith("box 1: add 0.2") and "cores left" in one.sentence and "at worst" in one.sentence


def test_a_tool_past_its_limit_is_not_to_blow_more(worn: WornBox) -> None:
    worn.wear(30, start=81.45)
    assert order_of(worn).sentence.endswith("at its limit or past it: do not blow more before it is done")


def test_the_worn_face_is_told_by_the_walls_beside_it(worn: WornBox) -> None:
    rng = np.random.default_rng(8)
    for n in range(40):
        day = worn.go(START + timedelta(weeks=n))
        worn.count(200 * n, day)
        worn.lot(f"L{n}", day)
        grown = 0.01 * n
        worn.read(80.80 + grown + rng.normal(0, 0.02))
        if n % 4 == 0:
            casting = worn.item(6.0 + rng.normal(0, 0.03), "TA", "casting", f"L{n}")
            worn.also(casting, 6.0 - grown / 1.01 + rng.normal(0, 0.03), "TB")
    assert order_of(worn).faces == "face B"
    assert "on face B (W width)" in order_of(worn).sentence


def test_without_walls_the_bench_is_asked_which_face_it_is(worn: WornBox) -> None:
    worn.wear(40)
    assert order_of(worn).faces == "the face that has worn (measure from the joint which it is)"


def test_only_what_comes_within_the_time_is_ordered_and_nothing_retired(worn: WornBox) -> None:
    worn.wear(40)
    lines = fleet.fleet(trend_kept.compute(worn.record)[0], {}).lines
    assert not work_orders.orders(worn.record, lines, within_weeks=4)
    assert len(work_orders.orders(worn.record, lines, tool="box 1")) == 1
    worn.record.add(ToolState(tool_of_id=worn.box.of_id, state="retired", since_on="2024-11-01"))
    kept_ = trend_kept.compute(worn.record)[0]
    lines = fleet.fleet(kept_, {worn.box.of_id: "2024-11-01"}).lines
    assert not work_orders.orders(worn.record, lines, within_weeks=1000)


# ------------------------------------------------------------------------------ the month's sheet
def test_the_sheet_has_the_months_repairs_with_sizes_before_and_after(worn: WornBox) -> None:
    worn.wear(20)
    worn.repair(worn.go(START + timedelta(weeks=19), hour=15), at=3800)
    worn.wear(20, first_week=20, base=3800, seed=2)
    sheet = trend_sheet.sheet(worn.record, "2024-05")
    assert [(r.tool, r.done_on) for r in sheet.repaired] == [("box 1", "2024-05-13")]
    before, after = (float(x) for x in sheet.repaired[0].effect.removeprefix("W ").split(" to "))
    assert before == pytest.approx(80.80 + 0.03e-3 * 3800, abs=0.03) and after == pytest.approx(80.80, abs=0.03)
    assert sheet.until == (START + timedelta(weeks=39)).isoformat()
    assert [chart.feature.balloon for chart in sheet.charts] == ["W"]
    assert trend_sheet.sheet(worn.record).month == "2024-09" and not trend_sheet.sheet(worn.record).repaired


def test_a_month_that_is_none_is_refused_with_a_sentence(worn: WornBox) -> None:
    with pytest.raises(DataError, match="May is no month: type it such as 2025-11"):
        trend_sheet.sheet(worn.record, "May")


def test_effects_name_every_size_that_a_repair_touched(worn: WornBox) -> None:
    worn.wear(12)
    worn.wear(12, name="H", start=60.6, first_week=12)
    repair = worn.repair(worn.go(START + timedelta(weeks=23), hour=15), at=4600)
    worn.wear(6, first_week=24, base=4600)
    worn.wear(6, name="H", start=60.6, first_week=30, base=4600)
    said = trend_sheet.effects(JobView(worn.record, worn.job), repair)
    assert [words.split()[0] for words in said] == ["W", "H"]
