"""The things of one job that its trends need: limits by rule or agreed, counts by box, what begins a line anew."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.trends import ToolRepair, ToolState, WearLimit
from inspect_tui.shop.common import find
from inspect_tui.shop.common.sizes import Sizes
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.trends.job_view import RELAID
from inspect_tui.shop.trends.trend import trend
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


def test_the_rule_of_the_job_keeps_the_uncertainty_of_the_casting_free(tmp_path: Path) -> None:
    limits = {}
    for rule in ("plain", "proof95", "full_u"):
        worn = WornBox(tmp_path / f"{rule}.db", rule=rule)
        worn_trend = worn.trend()
        limits[rule] = worn_trend.limits.band.upper
        worn.record.close()
    u = 80.8 / 1.01 * 0.001 / 1.01  # the plan's contraction, 0.1 % on about 80
    assert limits["plain"] - limits["proof95"] == pytest.approx(1.645 * u * 1.01, rel=0.02)
    assert limits["plain"] - limits["full_u"] == pytest.approx(2.0 * u * 1.01, rel=0.02)


def test_an_agreed_limit_takes_the_place_of_the_chains(worn: WornBox) -> None:
    worn.wear(20)
    worn.record.add(
        WearLimit(tool_of_id=worn.box.of_id, feature_id=worn.features["W"].id, upper=81.0, why="foundry, May")
    )
    worn_trend = worn.trend()
    assert worn_trend.left is not None and worn_trend.left.limit == 81.0
    assert worn_trend.limits.words == "agreed: foundry, May"


def test_a_print_is_judged_by_its_own_limits_and_not_by_a_casting(worn: WornBox) -> None:
    for week in range(10):
        worn.count(100 * week, worn.go(START + timedelta(weeks=week)), tool=worn.box2)
        worn.read(40.0 + 0.001 * week, "S", worn.box2)
    worn_trend = worn.trend("S", worn.box2)
    assert (worn_trend.limits.band.lower, worn_trend.limits.band.upper) == (39.9, 40.1)


def test_a_tool_laid_out_anew_starts_its_line_again(worn: WornBox) -> None:
    worn.wear(12)
    worn.go(START + timedelta(weeks=12), hour=15)
    old = worn.on["box 1", "W"]
    job = worn.record.revise(worn.job, worn.ab.id, a_x=0.008)
    steps = chain.plan_steps(worn.features["W"], worn.box, job)
    worn.record.add(replace(old, id=b"", replaces_id=old.id, steps=steps), worn.ab.id)
    worn_trend = worn.trend()
    assert [mark.kind for mark in worn_trend.marks] == [RELAID]
    assert worn_trend.marks[0].words == "target changed from 80.80 to 80.64"
    castings = worn.trend("L", None)
    assert [mark.words for mark in castings.marks] == ["contraction in x planned at 0.8 instead of 1 %"]


def test_several_boxes_of_one_core_need_counts_of_their_own(worn: WornBox) -> None:
    twin = worn.record.add(replace(worn.box, id=b"", of_id=b"", label="box 1b"), worn.ab.id)
    worn.lot("L1", "2024-01-08")
    worn_trend = worn.trend()
    assert worn_trend.counter.now is None
    assert "several tools make the same cores: type or import how many each of them made" in worn_trend.remarks
    # with the twin out of use the lots tell again
    worn.record.add(ToolState(tool_of_id=twin.of_id, state="retired", since_on="2024-01-01"))
    assert worn.trend().counter.now == 40.0


def test_cores_of_a_named_cavity_go_to_that_box(worn: WornBox) -> None:
    worn.record.add(replace(worn.box, id=b"", of_id=b"", label="box 1b"), worn.ab.id)
    worn.lot("L1", "2024-01-08")
    worn.item(80.80, "W", "core", "L1", cavity="box 1")
    worn.item(80.90, "W", "core", "L1", cavity="box 1b")
    worn.item(80.70, "W", "core", "L1")  # of either: of neither
    assert worn.trend().main.value.tolist() == [80.80]


def drawn_again(worn: WornBox) -> None:
    """The rows of the newest drawing, for what is read from now on."""
    newest = worn.record.features(find.latest_revision(worn.record, worn.job).id)
    worn.features = {f.balloon: f for f in newest}
    names = {f.id: f.balloon for f in newest}
    for tool in worn.record.tools(worn.job.of_id):
        for on in worn.record.tool_features(tool.of_id):
            worn.on[tool.label, names[on.feature_id]] = on


@pytest.mark.parametrize(
    ("changes", "n"),
    [({"name": "another name"}, 12), ({"upper": 80.9}, 12), ({"nominal": 81.0, "lower": 80.4, "upper": 81.6}, 6)],
)
def test_a_line_of_wear_goes_on_while_the_size_is_the_same(worn: WornBox, changes: dict[str, object], n: int) -> None:
    worn.wear(6)
    repaired = ToolRepair(
        tool_of_id=worn.box.of_id, feature_id=worn.features["W"].id, done_on="2024-02-20", action="line", what="W"
    )
    worn.record.add(repaired, worn.ab.id)
    jobs.revise(worn.record, worn.job, "B", [replace(worn.features["W"], **changes)])
    drawn_again(worn)
    worn.wear(6, first_week=8)
    view = worn.view
    made = trend(view, view.feature("W"), view.kit.tool[worn.box.of_id])
    assert len(made.main) == n and len(view.line(view.root[view.feature("W").id])) == (2 if n == 12 else 1)
    assert [mark.words for mark in made.marks if "W" in mark.words]  # a repair of the feature is one of it still
    assert not [mark for mark in made.marks if mark.kind == RELAID]
    left_out = "drawing B asks for another size: what was read before is left out"
    assert (left_out in made.remarks) == (n == 6)


def test_a_typing_error_that_was_put_right_is_no_new_layout(worn: WornBox) -> None:
    worn.wear(6)
    right = replace(worn.features["W"], nominal=81.0, lower=80.4, upper=81.6)
    jobs.correct(worn.record, worn.job, [right], "81 read as 80")
    drawn_again(worn)
    worn.wear(6, first_week=8)
    view = worn.view
    made = trend(view, view.feature("W"), view.kit.tool[worn.box.of_id])
    assert len(made.main) == 12 and made.marks == ()
    assert made.sizes.target == pytest.approx(81.0 * 1.01)


def test_stock_that_was_typed_wrong_is_no_new_layout(worn: WornBox) -> None:
    worn.wear(6)
    old = worn.features["W"]
    ends = tuple(replace(end, stock_mm=1.0) for end in old.ends)
    jobs.correct(worn.record, worn.job, [replace(old, ends=ends, machined=True)], "1 mm on both ends")
    view = worn.view
    made = trend(view, view.feature("W"), view.kit.tool[worn.box.of_id])
    assert made.marks == () and len(made.main) == 6


def test_an_agreed_limit_of_wear_goes_with_its_size(worn: WornBox) -> None:
    worn.wear(6)
    worn.record.add(
        WearLimit(tool_of_id=worn.box.of_id, feature_id=worn.features["W"].id, lower=80.0, why="agreed"), worn.ab.id
    )
    jobs.revise(worn.record, worn.job, "B", [])
    agreed = [worn.view.wear_limits(worn.box, worn.view.feature("W"), size_of(worn)).agreed]
    jobs.revise(worn.record, worn.job, "C", [replace(worn.view.feature("W"), nominal=81.0, lower=80.4, upper=81.6)])
    agreed += [worn.view.wear_limits(worn.box, worn.view.feature("W"), size_of(worn)).agreed]
    assert agreed == [True, False]


def size_of(worn: WornBox) -> Sizes:
    view = worn.view
    return view.sizes(view.kit.tool[worn.box.of_id], view.feature("W"))


def test_what_all_readings_share_is_the_certificate_and_the_bias_of_the_newest(tmp_path: Path) -> None:
    worn = WornBox(tmp_path / "shared.db")
    worn.wear(8)
    trend = worn.trend()
    u = worn.view.u_shared(trend.main.ids[-1])
    assert u == pytest.approx(0.025)  # its setups name no certificate: U 0.05 over 2
    assert trend.fit is not None and trend.fit.line.level.u > u
    known = {"bias_mm": 0.05, "u_mm": 0.02, "from_on": "2000-01-01", "why": "w", "found_from": "check"}
    worn.record.add(InstrumentBias(instrument_of_id=worn.caliper.of_id, **known), worn.ab.id)
    assert worn.view.u_shared(trend.main.ids[-1]) == pytest.approx((0.025**2 + 0.02**2) ** 0.5)
    worn.record.close()
