"""A wear line and what it rests on: its uncertainty away from the centre, and the chance of being at the limit."""

from __future__ import annotations

from math import sqrt

import pytest
from scipy import stats

from inspect_tui.frozen import replace
from inspect_tui.metrology.wear.clock import Clock
from inspect_tui.metrology.wear.line import WearFit, WearLine
from inspect_tui.model.words import Estimate

# 40.000 at 1000 cores, 0.05 more per 1000; the two errors go together a little
LINE = WearLine(level=Estimate(40.0, 0.01), rate=Estimate(5e-5, 1e-5), cov=2e-8, centre=1000.0, dof=8.0)


def fit(*lines: WearLine, direction: int = 1) -> WearFit:
    return WearFit(
        line=lines[0],
        lines=lines,
        reach=2000.0,
        sd=0.02,
        dof=8.0,
        n=10,
        shared=True,
        p_shared=1.0,
        rates=(5e-5,),
        afters=(None,),
        flagged=(),
        direction=direction,
    )


def test_the_size_after_so_many_cores_has_the_propagated_uncertainty() -> None:
    # JCGM 100:2008, equation (16): u2 = u2(level) + d2 u2(rate) + 2 d cov, d = 3000 - 1000
    there = LINE.at(3000.0)
    assert there.value == pytest.approx(40.1)
    assert there.u == pytest.approx(sqrt(1e-4 + 2000.0**2 * 1e-10 + 2 * 2000.0 * 2e-8))
    assert LINE.at(1000.0) == (40.0, 0.01)
    assert LINE.at(0.0).u < LINE.at(2000.0).u  # the covariance has a sign


@pytest.mark.parametrize(("cores", "limit", "direction"), [(3000.0, 40.12, 1), (3000.0, 40.08, 1), (0.0, 39.93, -1)])
def test_the_chance_of_being_beyond_is_that_of_students_t(cores: float, limit: float, direction: int) -> None:
    there = LINE.at(cores)
    expected = stats.t.cdf(direction * (there.value - limit) / there.u, 8)
    assert LINE.p_beyond(cores, limit, direction) == pytest.approx(expected, abs=1e-9)
    assert LINE.p_moves(1) == pytest.approx(stats.t.cdf(5.0, 8), abs=1e-9)
    assert LINE.p_moves(1) + LINE.p_moves(-1) == pytest.approx(1.0)


def test_a_line_without_any_doubt_is_beyond_or_not() -> None:
    sure = WearLine(level=Estimate(40.0, 0.0), rate=Estimate(5e-5, 0.0), cov=0.0, centre=0.0, dof=8.0)
    assert [sure.p_beyond(2000.0, limit, 1) for limit in (40.09, 40.1, 40.11)] == [1.0, 1.0, 0.0]
    assert (sure.p_moves(1), sure.p_moves(-1)) == (1.0, 0.0)


def test_what_the_readings_leave_open_is_weighed() -> None:
    other = WearLine(level=Estimate(40.0, 0.01), rate=Estimate(0.0, 1e-5), cov=0.0, centre=1000.0, dof=8.0, weight=0.25)
    mixed = fit(_weighed(0.75), other)
    expected = 0.75 * LINE.p_beyond(3000.0, 40.05, 1) + 0.25 * other.p_beyond(3000.0, 40.05, 1)
    assert mixed.p_beyond(3000.0, 40.05) == pytest.approx(expected)
    assert fit(LINE).seen and not fit(LINE).backward
    assert not mixed.seen  # a quarter says that nothing moves
    assert fit(LINE, direction=-1).backward and fit(LINE, direction=-1).toward == -1
    assert fit(LINE, direction=0).toward == 1 and not fit(LINE, direction=0).backward


def test_the_rate_is_as_unsure_as_all_that_is_left_open_makes_it() -> None:
    other = replace(LINE, rate=Estimate(2e-5, 2e-5), weight=0.25)
    rate = fit(_weighed(0.75), other).rate
    assert rate.value == 5e-5
    assert rate.u == pytest.approx(sqrt(0.75 * 1e-10 + 0.25 * (4e-10 + 9e-10)))
    bent = replace(other, clock=Clock(kind="curve", gain=0.7, at=1000.0, span=2000.0))
    assert fit(_weighed(0.75), bent).rate.u == pytest.approx(1e-5)  # the rate of another way to wear is no rate of this


def _weighed(weight: float) -> WearLine:
    return WearLine(level=LINE.level, rate=LINE.rate, cov=LINE.cov, centre=LINE.centre, dof=LINE.dof, weight=weight)


@pytest.mark.parametrize(("bends", "said"), [(0.995, ""), (0.9998, ""), (0.99995, "speeds up")])
def test_it_is_said_to_bend_where_there_is_no_doubt(bends: float, said: str) -> None:
    faster = replace(_weighed(bends), clock=Clock(kind="curve", gain=0.7, at=1000.0, span=2000.0))
    mixed = fit(faster, _weighed(1 - bends))
    assert mixed.bent == said and [one.weight for one in mixed.straight] == ([] if said else [1.0])
