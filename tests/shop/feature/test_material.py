"""Which readings of a feature there are to look at: of whom, on what, by which instrument, in which segments."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.trends import ToolRepair
from inspect_tui.record.ask.series_uses import State, Use
from inspect_tui.shop.common import find
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.feature.material import Only, changeovers, taking_over
from inspect_tui.shop.jobs import jobs
from tests.conftest import TODAY, SmallShop
from tests.shop.feature.test_view import (
    TWENTY,
    load,
    measured,  # noqa: F401  a fixture
)
from tests.worlds.measured import Measured


def test_castings_and_sand_cores_are_not_mixed(measured: Measured) -> None:
    measured.on_castings([59.0, 59.1])
    measured.on_castings([59.6], kind="core")
    assert list(load(measured, "castings").values) == [59.0, 59.1]
    assert list(load(measured, "sand cores").values) == [59.6]


def test_a_feature_that_another_tool_makes_is_named(measured: Measured) -> None:
    with pytest.raises(NotFound, match="F1 is not measured on drag pattern: another tool makes that surface"):
        load(measured, "drag pattern")


def test_a_name_that_is_nothing_here_says_what_there_is(measured: Measured) -> None:
    with pytest.raises(NotFound, match="castings means all of them"):
        measured.pick("stick 9")


@pytest.mark.parametrize("on", ["stick 1", "castings"])
def test_both_ways_of_reading_the_record_give_the_same(measured: Measured, on: str) -> None:
    write = measured.on_tool if on == "stick 1" else measured.on_castings
    logged = write(TWENTY[:8])
    measured.void(logged[3])
    feature = measured.pick(on).feature
    changed = replace(feature, upper=(feature.upper or 0.0) + 0.1)
    jobs.revise(measured.record, measured.job, "B", [changed], by=measured.shop.ab)
    write(TWENTY[8:14], instrument="caliper 2")
    measured.adjusted("caliper 2", "2026-02-01")
    write(TWENTY[14:], instrument="caliper 2")
    quick, thorough = load(measured, on), load(measured, on, with_labels=True)
    assert quick.labels is None and thorough.labels is not None
    assert replace(thorough, labels=None, ids=(), out=frozenset()) == quick
    assert len(thorough.ids) == 20 and thorough.out == {logged[3].id}
    assert [b.index for b in quick.breaks] == [7, 7, 13]
    assert [b.reason for b in quick.breaks] == ["drawing B", "caliper 2", "caliper 2, adjusted 2026-02-01"]


@pytest.mark.parametrize("with_labels", [False, True])
def test_the_same_size_on_a_new_drawing_goes_on(measured: Measured, with_labels: bool) -> None:
    measured.on_tool(TWENTY[:8])
    jobs.revise(measured.record, measured.job, "B", [], by=measured.shop.ab)
    measured.on_tool(TWENTY[8:])
    whole = load(measured, with_labels=with_labels)
    assert list(whole.values) == TWENTY and whole.breaks == ()


@pytest.mark.parametrize("with_labels", [False, True])
def test_readings_of_a_size_that_the_drawing_changed_are_left_out_and_that_is_said(
    measured: Measured, with_labels: bool
) -> None:
    measured.on_tool(TWENTY[:8])
    feature = measured.pick().feature
    assert load(measured, with_labels=with_labels).remarks == ()
    changed = replace(feature, nominal=63.0, lower=62.2, upper=63.8)
    jobs.revise(measured.record, measured.job, "B", [changed], by=measured.shop.ab)
    measured.on_tool([value + 1 for value in TWENTY[8:]])
    jobs.revise(measured.record, measured.job, "C", [], by=measured.shop.ab)
    whole = load(measured, with_labels=with_labels)
    assert list(whole.values) == [value + 1 for value in TWENTY[8:]] and whole.breaks == ()
    assert whole.remarks == ("drawing B asks for another size: what was read before is left out",)
    assert whole.kept is not None and whole.kept.n == 12


@pytest.mark.parametrize("with_labels", [False, True])
def test_a_typing_error_that_was_put_right_starts_no_segment(measured: Measured, with_labels: bool) -> None:
    measured.on_tool(TWENTY[:8])
    right = replace(measured.pick().feature, nominal=63.0, lower=62.2, upper=63.8, raw_lower=59.2, raw_upper=60.8)
    jobs.correct(measured.record, measured.job, [right], "63 read as 62", by=measured.shop.ab)
    measured.on_tool(TWENTY[8:])
    whole = load(measured, with_labels=with_labels)
    assert list(whole.values) == TWENTY and whole.breaks == () and whole.remarks == ()
    assert whole.target == pytest.approx(60.0 * 1.01)


def test_a_known_bias_is_taken_off_and_what_was_read_stays_beside_it(measured: Measured) -> None:
    measured.on_tool(TWENTY)
    assert load(measured).read is None
    gauge = next(i for i in measured.record.instruments() if i.label == "caliper 1")
    measured.record.add(
        InstrumentBias(
            instrument_of_id=gauge.of_id,
            from_on="2000-01-01",
            bias_mm=0.05,
            u_mm=0.01,
            why="seen",
            found_from="a check",
        ),
        by=measured.shop.ab.id,
    )
    right = load(measured)
    assert list(right.values) == pytest.approx([value - 0.05 for value in TWENTY])
    assert right.read is not None and list(right.read) == TWENTY
    assert right.kept is not None
    assert (right.kept.n, right.kept.mean) == (20, pytest.approx(sum(TWENTY) / 20 - 0.05))
    assert (right.kept.min, right.kept.max) == (pytest.approx(min(TWENTY) - 0.05), pytest.approx(max(TWENTY) - 0.05))
    assert right.kept.m2 == pytest.approx(sum((v - sum(TWENTY) / 20) ** 2 for v in TWENTY))


def test_readings_of_a_day_that_was_said_stand_among_those_of_that_day(shop: SmallShop) -> None:
    bench = shop.bench()
    for day, size in ((None, "59.60"), (None, "59.61"), ("2025-12-01", "59.50 59.52"), ("2025-11-30", "59.40")):
        bench.set_day(day, TODAY)
        bench.goto("F1")
        bench.take(size)
    job = find.job(shop.record, None)
    stick = shop.record.tools(job.of_id)[0]
    shop.record.add(ToolRepair(tool_of_id=stick.of_id, done_on="2025-12-01", action="line", what="lined"), shop.ab.id)
    chosen = feature_data.pick(shop.record, job, stick.label, "F1")
    for with_labels in (False, True):
        made = feature_data.material(shop.record, chosen, with_labels=with_labels)
        assert list(made.values) == [59.4, 59.5, 59.52, 59.6, 59.61]
        assert [b.index for b in made.breaks] == [1]
    shop.record.void(made.ids[1], "misread", "slip", shop.ab.id)
    assert list(feature_data.material(shop.record, chosen).values) == [59.4, 59.52, 59.6, 59.61]


def test_only_one_person_or_instrument(measured: Measured) -> None:
    lot = measured.lot("L7")
    measured.on_castings([59.1, 59.2], lot=lot)
    measured.on_castings([59.3, 59.4], person="IN", instrument="caliper 2")
    assert list(load(measured, "castings", only=Only(person="IN")).values) == [59.3, 59.4]
    assert list(load(measured, "castings", only=Only(instrument="caliper 1")).values) == [59.1, 59.2]
    assert list(load(measured, "castings", only=Only(lot="L7")).values) == [59.1, 59.2]
    one = load(measured, "castings", only=Only(casting="C4"))
    assert list(one.values) == [59.4] and one.kept is None and one.where == "castings, only casting C4"


def test_only_after_the_adjusting(measured: Measured) -> None:
    measured.on_tool(TWENTY[:6], instrument="caliper 2")
    measured.adjusted("caliper 2", "2026-02-01")
    measured.on_tool(TWENTY[6:12], instrument="caliper 2")
    after = load(measured, only=Only(instrument="caliper 2, adjusted 2026-02-01"))
    assert list(after.values) == TWENTY[6:12]
    assert list(load(measured, only=Only(instrument="caliper 2")).values) == TWENTY[:12]


# ------------------------------------------------------------------------------ segments
def test_two_instruments_in_turn_make_no_segment(measured: Measured) -> None:
    for i in range(0, 20, 2):
        measured.on_tool(TWENTY[i : i + 2], instrument=f"caliper {1 + i // 2 % 2}")
    assert load(measured).breaks == ()


@given(st.lists(st.integers(0, 4), max_size=40))
def test_a_changeover_is_where_nothing_from_before_comes_again(keys: list[int]) -> None:
    slow = [i for i in range(1, len(keys)) if not set(keys[:i]) & set(keys[i:])]
    assert changeovers(keys) == slow


@given(st.lists(st.integers(0, 4), max_size=40))
def test_from_first_and_last_uses_the_same_changeovers_follow(keys: list[int]) -> None:
    uses = [
        Use(State(b"", str(key), None), bytes([keys.index(key) + 1]), bytes([len(keys) - keys[::-1].index(key)]))
        for key in dict.fromkeys(keys)
    ]
    assert [use.first_id[0] - 1 for use in taking_over(uses)] == changeovers(keys)


def test_the_bench_of_a_casting_leads_to_all_castings(measured: Measured) -> None:
    measured.on_castings([59.1])
    on = measured.pick("casting C1").subject
    assert feature_data.of_bench(measured.job, measured.feature, on).subject.label == "castings"
    tool = measured.pick().subject
    assert feature_data.of_bench(measured.job, measured.feature, tool).subject is tool
    rows = feature_data.subjects(measured.record, measured.job)
    assert [s.label for s, _, _ in rows][:2] == ["castings", "stick 1"] and rows[-1][0].label == "casting C1"


def test_another_subject_keeps_the_feature_where_it_has_it(measured: Measured) -> None:
    before = measured.pick()
    box = measured.pick("box 1").subject
    assert feature_data.same_on(measured.record, measured.job, box, "casting", before).feature.balloon == "F1"
    pattern = next(s for s, _, _ in feature_data.subjects(measured.record, measured.job) if s.label == "drag pattern")
    assert feature_data.same_on(measured.record, measured.job, pattern, "casting", before).feature.balloon == "F4"


def test_a_part_of_the_readings_is_put_right_as_all_of_them_are(measured: Measured) -> None:
    logged = measured.on_tool(TWENTY[:3])
    other = measured.on_tool(TWENTY[3:6], person="IN", instrument="caliper 2")
    gauge = next(i for i in measured.record.instruments() if i.label == "caliper 1")
    known = {"from_on": "2000-01-01", "bias_mm": 0.05, "u_mm": 0.01, "why": "seen", "found_from": "a check"}
    measured.record.add(InstrumentBias(instrument_of_id=gauge.of_id, **known), by=measured.shop.ab.id)
    mine, theirs, whole = (load(measured, only=Only(person=person)) for person in ("AB", "IN", None))
    assert list(mine.values) == pytest.approx([value - 0.05 for value in TWENTY[:3]])
    assert mine.read is not None and list(mine.read) == TWENTY[:3]
    assert list(theirs.values) == TWENTY[3:6] and theirs.read is None
    assert list(whole.values) == pytest.approx([value - 0.05 for value in TWENTY[:3]] + TWENTY[3:6])
    assert whole.made is not None and set(whole.made) == {reading.id for reading in logged}
    assert all(whole.made[reading.id].of(reading.value) == pytest.approx(reading.value - 0.05) for reading in logged)
    assert other[0].id not in whole.made
