"""Budgets of logged readings, of readings to be taken, and of lines in a file."""

from __future__ import annotations

from math import inf, sqrt

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.judge.verdict import judge
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Instrument, Reading
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables import columns as table_columns
from inspect_tui.shop.feature import budget as feature_budget
from inspect_tui.shop.feature import material
from inspect_tui.shop.feature.material import sizes_of
from inspect_tui.shop.jobs import jobs
from tests.conftest import TODAY, SmallShop
from tests.shop.common.test_study_feed import measured as a_study
from tests.worlds.measured import Measured


@pytest.fixture
def measured(shop: SmallShop) -> Measured:
    return Measured(shop)


def lines(text: str) -> feature_budget.BudgetView:
    return feature_budget.of_lines(table_columns.parse(text, "lines.csv"))


def repeats(m: Measured, values: list[float]) -> list[Reading]:
    one = m.on_tool([values[0]])[0]
    again = {name: getattr(one, name) for name in one.__match_args__}
    return [
        one,
        *m.record.append_readings(
            Reading(**again | {"id": b"", "rep": rep, "value": v}) for rep, v in enumerate(values[1:], start=2)
        ),
    ]


# ------------------------------------------------------------------------------ of a logged reading
def test_a_logged_reading_has_the_budget_of_its_instrument(measured: Measured) -> None:
    """Certificate U 0.04 at k 2 and steps of 0.01: u = sqrt(0.02^2 + 0.01^2 / 12)."""
    reading = measured.on_tool([59.60])[0]
    logged = measured.record.reading(reading.id)
    assert logged
    seen = feature_budget.of_reading(measured.record, measured.pick(), logged)
    assert seen.budget.u == pytest.approx(sqrt(0.02**2 + 0.01**2 / 12))
    assert [row.name for row in seen.rows] == ["calibration", "resolution"] and seen.value == 59.60
    assert sum(row.share for row in seen.rows) == pytest.approx(1)
    assert seen.verdict is not None and seen.instrument == "caliper 1"


def test_a_reading_is_judged_by_its_size_as_that_was_put_right(shop: SmallShop) -> None:
    measured = Measured(shop, balloon="F4")
    reading = measured.on_tool([246.44], on="drag pattern")[0]
    logged = measured.record.reading(reading.id)
    chosen = measured.pick("drag pattern")
    assert logged and feature_budget.of_reading(shop.record, chosen, logged).verdict.answer == "does not conform"  # type: ignore[union-attr]
    ends = tuple(replace(end, stock_mm=end.stock_mm and end.stock_mm + 1.0) for end in chosen.feature.ends)
    jobs.correct(shop.record, measured.job, [replace(chosen.feature, ends=ends)], "4 mm of stock, not 3")
    seen = feature_budget.of_reading(shop.record, measured.pick("drag pattern"), logged)
    assert seen.verdict is not None and seen.verdict.answer == "conforms"
    assert seen.budget.n == 1 and seen.value == 246.44


def test_repeats_of_one_line_are_one_result(measured: Measured) -> None:
    logged = measured.record.reading(repeats(measured, [59.60, 59.64, 59.62])[1].id)
    assert logged
    seen = feature_budget.of_reading(measured.record, measured.pick(), logged)
    assert seen.value == pytest.approx(59.62) and seen.budget.n == 3
    scatter = next(row for row in seen.rows if row.name == "repeatability")
    assert scatter.u == pytest.approx(0.02 / sqrt(3)) and scatter.dof == 2 and scatter.kind == "A"
    assert "mean of 3 readings typed in one line" in seen.remarks


def test_a_voided_repeat_is_left_out_and_said_of_itself(measured: Measured) -> None:
    line = repeats(measured, [59.60, 95.64, 59.62])
    measured.void(line[1])
    kept, out = measured.record.reading(line[0].id), measured.record.reading(line[1].id)
    assert kept and out
    assert feature_budget.of_reading(measured.record, measured.pick(), kept).value == pytest.approx(59.61)
    seen = feature_budget.of_reading(measured.record, measured.pick(), out)
    assert any("does not count" in remark for remark in seen.remarks)


def test_a_casting_is_judged_as_cast_and_named(measured: Measured) -> None:
    reading = measured.on_castings([59.7])[0]
    logged = measured.record.reading(reading.id)
    assert logged
    seen = feature_budget.of_reading(measured.record, measured.pick("castings"), logged)
    assert seen.where == "casting C1" and seen.verdict is not None and seen.verdict.answer.value == "conforms"


# ------------------------------------------------------------------------------ of a reading to be taken
def test_without_a_study_more_readings_do_not_help_and_that_is_said(measured: Measured) -> None:
    one = feature_budget.planned(measured.record, measured.pick(), measured.shop.caliper, None, TODAY)
    five = feature_budget.planned(measured.record, measured.pick(), measured.shop.caliper, None, TODAY, n=5)
    assert five.budget.n == 5 and abs(five.budget.U - one.budget.U) < 1e-12
    assert any("more readings do not make U smaller" in remark for remark in five.remarks)


def test_a_warm_piece_of_unknown_material_is_said(measured: Measured) -> None:
    seen = feature_budget.planned(
        measured.record, measured.pick("castings"), measured.shop.caliper, None, TODAY, work_c=60
    )
    assert any("temperature is not in this budget" in remark for remark in seen.remarks)


def test_an_instrument_that_is_too_short_is_said(measured: Measured) -> None:
    short = measured.record.add(Instrument(label="short", range_hi=25.0))
    seen = feature_budget.planned(measured.record, measured.pick(), short, None, TODAY)
    assert any("outside the range of short" in remark for remark in seen.remarks)
    assert any("no calibration on record" in remark for remark in seen.remarks)


def test_an_overdue_certificate_is_said(measured: Measured) -> None:
    seen = feature_budget.planned(measured.record, measured.pick(), measured.shop.caliper, None, "2028-01-01")
    assert any("past its calibration date" in remark for remark in seen.remarks)


@pytest.mark.parametrize("n", [0, -1, 1000])
def test_a_mean_of_none_is_refused(measured: Measured, n: int) -> None:
    with pytest.raises(DataError, match="cannot be planned"):
        feature_budget.planned(measured.record, measured.pick(), measured.shop.caliper, None, TODAY, n=n)


def test_several_instruments_have_to_be_chosen_from(measured: Measured) -> None:
    with pytest.raises(DataError, match="several instruments: caliper 1"):
        feature_budget.instrument_for(measured.record, None)
    assert feature_budget.instrument_for(measured.record, "caliper 1") == find.instrument(measured.record, "caliper 1")


# ------------------------------------------------------------------------------ of a file
def test_lines_of_every_kind_become_standard_uncertainties() -> None:
    """Divisors as JCGM 100:2008, 4.3.7 (rectangular: root 3), 4.3.9 (triangular: root 6); JCGM 101 (arcsine)."""
    seen = lines(
        "name,u,half_width,distribution,expanded,k,sensitivity,dof,kind,how\n"
        "a,0.01,,,,,,9,A,ten readings\nb,,0.03,,,,,,,\nc,,0.06,triangular,,,,,,\nd,,0.02,arcsine,,,,,,\n"
        "e,,,,0.04,2,,,,\nf,,,,0.06,3,-2,inf,B,\n"
    )
    u = [0.01, 0.03 / sqrt(3), 0.06 / sqrt(6), 0.02 / sqrt(2), 0.02, 0.04]
    assert [row.u for row in seen.rows] == pytest.approx(u)
    assert [row.kind for row in seen.rows] == ["A", "B", "B", "B", "B", "B"]
    assert [row.dof for row in seen.rows] == [9, inf, inf, inf, inf, inf]
    assert seen.budget.u == pytest.approx(sqrt(sum(x * x for x in u)))


@pytest.mark.parametrize(
    ("text", "say"),
    [
        ("name,u\n", "no lines under its headings"),
        ("source,u\na,1\n", "There is no column name in lines.csv"),
        ("name,u\na,\n", "none is given"),
        ("name,u,expanded\na,1,2\n", "u and expanded are given"),
        ("name,u\na,x\n", "line 2 of lines.csv, under u: x is no figure"),
        ("name,u\na,nan\n", "under u: nan is no figure"),
        ("name,u\na,-1\n", "is below 0; signs belong to the sensitivity"),
        (
            "name,half_width,distribution\na,1,pear\n",
            "'pear' is not among them: the distribution of a half-width is one of rectangular, triangular, arcsine",
        ),
        ("name,expanded,k\na,1,0\n", "A coverage factor of 0 cannot be used".replace("A c", "a c")),
        ("name,u,dof\na,1,0\n", "0 degrees of freedom"),
        ("name,u,kind\na,1,C\n", "The kind of a line is A".replace("The", "the")),
    ],
)
def test_what_is_wrong_with_a_line_is_said(text: str, say: str) -> None:
    with pytest.raises(DataError) as wrong:
        lines(text)
    assert say in str(wrong.value)


def test_repeats_of_a_column() -> None:
    column = table_columns.column(table_columns.parse("width [mm]\n10.00\n10.04\n10.02\n", "r.csv"), "width")
    seen = feature_budget.of_repeats(column, "r.csv", u95=0.04, k=2.0, resolution=0.01)
    assert seen.value == pytest.approx(10.02)
    assert seen.budget.u == pytest.approx(sqrt(0.02**2 + (0.02**2) / 3))
    bare = feature_budget.of_repeats(column, "r.csv", u95=0.0, k=2.0, resolution=0.0)
    assert "no certificate was given: calibration is not in this budget" in bare.remarks
    none = table_columns.column(table_columns.parse("width\n\n", "r.csv"), "width")
    with pytest.raises(DataError, match="has no readings"):
        feature_budget.of_repeats(none, "r.csv", u95=0.04, k=2.0, resolution=0.01)


def test_the_budget_of_a_reading_is_that_of_its_value_put_right(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60 59.62")
    chosen = material.pick(shop.record, find.job(shop.record, "SV-12"), "stick 1", "F1")
    known = {"bias_mm": 0.06, "u_mm": 0.01, "from_on": "2000-01-01", "why": "seen", "found_from": "a check"}
    shop.record.add(InstrumentBias(instrument_of_id=shop.caliper.of_id, **known), by=shop.ab.id)
    logged = shop.record.readings()[-1]
    seen = feature_budget.of_reading(shop.record, chosen, logged)
    assert seen.value == pytest.approx(59.55)  # the mean 59.61 less 0.06
    assert [line.u for line in seen.budget.lines if line.name == "known bias"] == [0.01]
    planned = feature_budget.planned(shop.record, chosen, shop.caliper, shop.ab, TODAY, n=4)
    assert {line.name for line in planned.budget.lines} >= {"known bias", "calibration"}


# ------------------------------------------------------------------------------ rough faces, what it is not stated for
def test_rough_faces_stay_however_many_readings_are_planned(measured: Measured) -> None:
    names = []
    for n in (1, 5):
        seen = feature_budget.planned(
            measured.record, measured.pick("castings"), measured.shop.caliper, None, TODAY, n=n
        )
        names.append([row.name for row in seen.rows])
        assert seen.budget.U > 0.08
        assert seen.budget.k == pytest.approx(2.0)
    assert names[0] == names[1] == ["calibration", "resolution", "roughness"]


def test_a_tool_of_unknown_material_says_that_its_roughness_is_not_in_u(measured: Measured) -> None:
    seen = feature_budget.planned(measured.record, measured.pick(), measured.shop.caliper, None, TODAY)
    said = "what stick 1 is made of is not stated, or not known here: its roughness is not in U"
    assert said in seen.remarks and "roughness" not in [row.name for row in seen.rows]
    on_casting = feature_budget.planned(measured.record, measured.pick("castings"), measured.shop.caliper, None, TODAY)
    assert not any("its roughness" in remark for remark in on_casting.remarks)


# ------------------------------------------------------------------------------ what decides about it
def test_a_reading_that_does_not_count_has_the_budget_of_itself_beside_its_line(measured: Measured) -> None:
    line = repeats(measured, [59.60, 59.66, 59.62])
    measured.void(line[1])
    out = measured.record.reading(line[1].id)
    assert out
    seen = feature_budget.of_reading(measured.record, measured.pick(), out)
    assert seen.value == pytest.approx(sum((59.60, 59.66, 59.62)) / 3) and seen.budget.n == 3


def test_a_reading_is_judged_by_the_limits_that_its_tool_had(measured: Measured) -> None:
    logged = measured.record.reading(measured.on_tool([59.60])[0].id)
    assert logged
    chosen = measured.pick()
    there = sizes_of(measured.record, chosen)
    seen = feature_budget.of_reading(measured.record, chosen, logged)
    assert seen.verdict is not None and there.band.lower is not None and there.band.upper is not None
    assert seen.verdict == judge(59.60, seen.budget.u, there.band, chosen.job.rule, seen.budget.dof)


def test_a_casting_that_was_re_aligned_has_its_tilt_in_value_and_budget(measured: Measured) -> None:
    at = replace(measured.feature, note="at z = 300")
    jobs.revise(measured.record, measured.job, "B", [at], by=measured.shop.ab)
    reading = measured.on_castings([62.40])[0]
    turn = {"axis": "y", "along": "z", "pivot_mm": 100.0, "slope": 0.002, "u_slope": 1e-4, "why": "sat on a burr"}
    assert reading.item_id
    measured.record.add(Realigned(item_id=reading.item_id, **turn), measured.shop.ab.id)
    logged = measured.record.reading(reading.id)
    assert logged
    seen = feature_budget.of_reading(measured.record, measured.pick("castings"), logged)
    assert seen.value == pytest.approx(62.0)  # 0.002 for each of 200 mm less
    assert [row.u for row in seen.rows if row.name == "re-alignment"] == [pytest.approx(0.02)]


def test_a_plan_has_the_warmth_of_the_piece_and_the_hands_that_are_to_read(measured: Measured) -> None:
    stick = measured.pick().subject.tool
    assert stick
    measured.record.revise(stick, expansion_per_c=50e-6)
    warm = feature_budget.planned(
        measured.record, measured.pick(), measured.shop.caliper, measured.shop.ab, TODAY, work_c=30.0
    )
    u = [row.u for row in warm.rows if row.name == "temperature"]
    # a thermometer good to 1 degC, for both: (50e-6 - 11.5e-6) * 1 * the size wanted
    assert u == [pytest.approx(38.5e-6 * sizes_of(measured.record, measured.pick()).target, rel=1e-3)]
    a_study(measured.shop, None)  # AB repeats well, IN does not
    ab, other = (
        feature_budget.planned(measured.record, measured.pick(), measured.shop.caliper, measured.person(who), TODAY)
        for who in ("AB", "IN")
    )
    assert other.budget.u > ab.budget.u + 0.01
