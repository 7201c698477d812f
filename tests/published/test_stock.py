"""The set-up of a casting against linear programs with a known optimum (Boyd and Vandenberghe, 8.5; hand values)."""

from __future__ import annotations

from math import hypot

import pytest

from inspect_tui.metrology.faces.stock import SetUpLimits, StockPoint, best_set_up
from tests.published.stats_data import agrees, load

CHECK = load("k_lp_centre")
NO_TURN = SetUpLimits(turn=((0.0, 0.0),) * 3)


def pad(v) -> tuple[float, float, float]:
    return (*(float(c) for c in v), *(0.0,) * (3 - len(v)))


def only(dimensions: int) -> SetUpLimits:
    """Shifts along the first axes only."""
    return SetUpLimits(shift=(*(None,) * dimensions, *((0.0, 0.0),) * (3 - dimensions)), turn=NO_TURN.turn)


def polygon(case) -> list[StockPoint]:
    """The distance from the origin to each side is its stock; the largest inscribed circle leaves most on the least."""
    return [
        StockPoint(name=f"side {k}", at=(0.0, 0.0, 0.0), normal=(-a[0], -a[1], 0.0), stock_mm=b / hypot(*a))
        for k, (a, b) in enumerate(zip(case["A"], case["b"], strict=True))
    ]


def cleanup(case) -> list[StockPoint]:
    return [
        StockPoint(name=f"face {k}", at=(0.0, 0.0, 0.0), normal=pad(n), stock_mm=s)
        for k, (n, s) in enumerate(zip(case["normals"], case["stock"], strict=True))
    ]


def test_inscribed_circles_and_shifts_have_their_known_optima():
    got: dict[str, object] = {}
    for case in CHECK["data"]["polygons"]:
        answer = best_set_up(polygon(case), only(2))
        got[f"r_{case['id']}"] = answer.spare_mm
        if case.get("unique"):
            got[f"centre_{case['id']}"] = list(answer.shift_mm[:2])
    for case in CHECK["data"]["cleanup"]:
        answer = best_set_up(cleanup(case), only(len(case["normals"][0])))
        got[f"min_stock_{case['id']}"] = answer.spare_mm
        if case.get("unique"):
            got[f"shift_{case['id']}"] = [answer.shift_mm[0]]
    agrees(CHECK, got, besides=["centre_rect"])


def test_the_dual_names_the_sides_that_hold_the_circle_with_weights_that_balance():
    """At the optimum shares sum to one and forces (share x normal) cancel: the Karush-Kuhn-Tucker conditions."""
    case = CHECK["data"]["polygons"][0]
    points = polygon(case)
    answer = best_set_up(points, only(2))
    shares = [f.share for f in answer.faces]
    assert sum(shares) == pytest.approx(1.0)
    for axis in (0, 1):
        length = [hypot(*p.normal) for p in points]
        assert sum(s * p.normal[axis] / n for s, p, n in zip(shares, points, length, strict=True)) == pytest.approx(0.0)
    assert set(answer.binding) == {"side 0", "side 1", "side 2"}
