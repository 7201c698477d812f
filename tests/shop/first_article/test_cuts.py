"""The cut list of a sampling: what the planted faults ask for, and the trap that is not walked into."""

from __future__ import annotations

from math import sqrt

import pytest
from scipy.stats import norm

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.causes.cut_work import ToolCut
from inspect_tui.metrology.causes.cuts import CutPlan
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import sizes
from inspect_tui.shop.first_article.cuts import as_measured, cut_lines, ticked
from inspect_tui.shop.first_article.findings import CutLine, Cuts, PredictedLine
from tests.shop.first_article.test_article import contraction
from tests.worlds.cut_desk import Desk


def test_the_corrections_after_the_first_sampling_are_those_the_planted_faults_ask_for(articles) -> None:
    cuts = articles["S1"].cuts
    by_cause = {}
    for line in cuts.cuts:
        by_cause.setdefault(line.cause, []).append(line)
    relaid = by_cause["contraction x"]
    assert all("0.80 %" in line.words or "0.79 %" in line.words for line in relaid)
    ports = next(line for line in relaid if line.tool == "box 3")
    port_4 = next(face for face in ports.faces if abs(face.place_mm - 510.0) < 1e-6)
    assert abs(port_4.move_mm + 1.02) < 0.15  # 510 times 0.002 at the tool
    (seat,) = by_cause["core 4 y"]
    assert seat.tool == "box 2"
    assert "+Y side" in seat.words
    (box_4,) = by_cause["size F55"]
    assert abs(box_4.change_mm - 2.60) < 0.20
    assert box_4.casting_words == "metal off"
    assert len(box_4.faces) == 2
    (keys,) = by_cause["core 5 z"]
    assert "core 5 bears" in keys.words
    assert abs(keys.change_mm + 0.61) < 0.35
    assert any("weights, clamps and closing flash" in check for check in cuts.checks)
    assert not any(line.axis == "y" and line.tool == "box 4" for line in cuts.cuts)
    assert not any(line.tool == "box 7" and line.axis == "y" for line in cuts.cuts)
    chance = {line.balloon: (line.p_before, line.p_after) for line in cuts.predicted}
    for balloon in ("F55", "F07", "F38"):
        assert chance[balloon][0] < 0.5 and chance[balloon][1] > 0.95


def test_a_cut_is_as_sure_as_its_cause_though_its_interval_is_wider(articles) -> None:
    """The scatter was learned from three castings: the interval is Student's t, the forecast adds standard uncertainty."""
    causes = {one.name: one for one in articles["S1"].causes.found}
    for line in articles["S1"].cuts.cuts:
        if line.cause in causes:
            cause = causes[line.cause]
            assert line.u_share == pytest.approx(cause.u / abs(cause.size))
            assert line.high - line.low > 2 * 1.97 * line.u_share * abs(line.change_mm)


def test_the_trap_is_not_walked_into(articles) -> None:
    # a plain fit of contraction and shifts over z gives 2.2 % and two false shifts of more than 2 mm (scenario)
    assert abs(100 * contraction(articles["S1"], "z") - 1.0) < 0.25
    assert all(abs(one.size) < 1.0 for one in articles["S1"].causes.found if one.axis == "z" and one.kind != "size")


def line(number: int, cause: str, change: float, spread: float, **changes: float) -> CutLine:
    return CutLine(
        number=number,
        tool="box 1",
        part="core 1",
        cause=cause,
        axis="x",
        change_mm=change,
        low=change - spread,
        high=change + spread,
        words="",
        casting_words="",
        needed=number == 1,
        sure=True,
        faces=(),
        moves=tuple(changes),
        changes=tuple(changes.items()),
        u_share=spread / 1.96 / abs(change),
    )


def predicted(balloon: str, before: float, lower: float | None, upper: float | None) -> PredictedLine:
    return PredictedLine(
        balloon=balloon,
        before=before,
        after=before - 9.0,
        after_checks=before - 9.4,
        u=9.0,
        p_before=None,
        p_after=None,
        moves=True,
        u_before=0.03,
        scatter=0.04,
        lower=lower,
        upper=upper,
    )


LIST = Cuts(
    cuts=(
        line(1, "size P", -1.0, 0.196, P=-0.99, W=0.495),
        line(2, "core 1 x", 0.5, 0.049, W=0.50),
        line(3, "tool as measured", 0.2, 0.0392, P=0.20),
        line(4, "tool as measured", 0.2, 0.0392, P=0.20),
    ),
    checks=(),
    tools=("box 1",),
    leave_alone=(),
    predicted=(predicted("P", 41.0, 39.5, 40.5), predicted("W", 50.0, None, None)),
)


def test_the_forecast_is_for_what_is_ticked():
    """A tenth of the first cut is its u, a twentieth of the second; P 41.00 of u 0.03."""
    first, wall = ticked(LIST, [1]).predicted
    assert first.after == pytest.approx(40.01)
    assert first.u == pytest.approx(sqrt(0.03**2 + 0.099**2))
    # 0.49 to the limit of sqrt(0.03^2 + 0.099^2 + 0.04^2) = 0.1109 on one side, 0.51 on the other
    sd = sqrt(0.03**2 + 0.099**2 + 0.04**2)
    assert first.p_after == pytest.approx(norm.cdf(0.49 / sd) - norm.cdf(-0.51 / sd), abs=1e-12)
    assert first.after_checks == pytest.approx(40.01 - 0.4) and first.moves
    assert wall.after == pytest.approx(50.495) and wall.p_after is None
    both = ticked(LIST, [2, 1, 2])
    assert both.ticked == (1, 2)
    assert both.predicted[1].after == pytest.approx(50.995)
    assert both.predicted[1].u == pytest.approx(sqrt(0.03**2 + 0.0495**2 + 0.025**2))
    none = ticked(LIST, [])
    assert none.ticked == () and none.predicted[0].after == pytest.approx(41.0) and not none.predicted[0].moves
    assert none.predicted[0].p_after < 1e-6
    again = ticked(both, [1]).predicted[0]  # ticking again begins anew
    assert (again.after, again.u) == (pytest.approx(first.after), pytest.approx(first.u))
    assert again.after_checks == pytest.approx(first.after_checks)


def test_readings_of_two_tools_are_wrong_each_in_its_own_way():
    two = ticked(LIST, [3, 4]).predicted[0]
    assert two.u == pytest.approx(sqrt(0.03**2 + 2 * 0.02**2))


def test_a_number_that_is_not_on_the_list_is_said():
    with pytest.raises(NotFound, match="no cut 7 on the list; it has 4"):
        ticked(LIST, [1, 7])


def test_the_list_of_the_invented_shop_forecasts_its_needed_cuts(articles) -> None:
    cuts = articles["S1"].cuts
    assert cuts.ticked == tuple(c.number for c in cuts.cuts if c.needed)
    box = next(c for c in cuts.cuts if c.cause == "size F55")
    assert dict(box.changes)["F55"] == pytest.approx(
        -next(c.size for c in articles["S1"].causes.found if c.name == "size F55")
    )
    assert {face.face for face in box.faces} == {"core 4 face z 55", "core 4 face z 125"}
    keys = next(c for c in cuts.cuts if c.cause == "core 5 z")
    assert keys.rides == ("core 6",)
    alone = {p.balloon: p for p in ticked(cuts, [box.number]).predicted}
    assert alone["F55"].p_after > 0.9 and alone["F38"].after == pytest.approx(alone["F38"].before)


@pytest.mark.parametrize(("side", "way"), [("upper", 1.0), ("lower", -1.0)])
def test_a_tool_is_said_to_be_off_from_two_uncertainties_beyond_its_limit(first: Desk, side: str, way: float) -> None:
    """The mean of its last readings against either limit, U = 2 u allowed; the sign is that of the tool's own error."""
    (key, now) = next((k, v) for k, v in first.looked.log.on_tools.items() if v.tool.label == "box 4" and v.values)
    feature = first.sampling.own_feature(now.feature.feature_id)
    size = sizes(first.sampling.job, feature, Subject("box 4", tool=now.tool), now.feature)
    limit = getattr(size.band, side)
    assert limit is not None
    for beyond, off in ((0.07, False), (0.09, True)):
        value = limit + way * beyond
        first.looked.log.on_tools = {key: replace(now, values=(value - 0.5, value + 0.5), u=0.04)}
        said = as_measured(first.sampling, first.looked)
        assert len(said) == off
    ((label, words),) = said
    assert label == "box 4"
    assert f"{value:.2f} as measured on {now.day}, {value - size.target:+.2f} from its target" in words
    plan = CutPlan(cuts=(), checks=(), features=(), leave_alone=("box 3", "box 4"))
    made = cut_lines(first.sampling, first.looked, plan)
    assert made.checks == (words,) and made.leave_alone == ("box 3",)  # a tool that is off is not to be left alone


def test_a_cut_stands_on_the_list_as_it_was_planned(first: Desk) -> None:
    """A tool that comes up from below its size: its interval goes the way its faces do; needed is what the plan says."""
    needed, spare = (
        ToolCut(
            tool="box 4",
            part="core 4",
            cause=cause,
            axis="z",
            change_mm=-0.40,
            low=-0.52,
            high=-0.28,
            faces=(),
            words="cut",
            casting_words="metal off",
            needed=cause == "size F55",
            sure=False,
            changes={"F55": -0.39, "F57": 0.195, "F56": 0.0},
            u_share=0.15,
            rides=("core 7",),
        )
        for cause in ("size F55", "core 4 z")
    )
    plan = CutPlan(cuts=(needed, spare), checks=(), features=(), leave_alone=("box 3",))
    made = cut_lines(first.sampling, first.looked, plan)
    assert [(line.number, line.needed, line.sure) for line in made.cuts] == [(1, True, False), (2, False, False)]
    assert made.ticked == (1,) and made.tools == ("box 4",) and made.leave_alone == ("box 3",)
    line = made.cuts[0]
    assert (line.change_mm, line.low, line.high, line.u_share, line.rides) == (-0.40, -0.52, -0.28, 0.15, ("core 7",))
    assert dict(line.changes) == {"F55": -0.39, "F57": 0.195} and set(line.moves) == {"F55", "F57"}
