"""Minimum-zone straightness, flatness and roundness against closed forms."""

from __future__ import annotations

from inspect_tui.metrology.form.form import flatness, roundness, straightness
from tests.published.stats_data import agrees, load


def test_minimum_zones() -> None:
    """Zones as ISO 1101, ISO 12780-1, 12781-1, 12181-1; triangle, saddle and oval have closed forms."""
    check = load("k_min_zone")
    got: dict[str, float] = {}
    for case in check["data"]["straightness"]:
        line = straightness([(x, y) for x, y in case["points"]])
        name = case["id"]
        got |= {
            f"zone_vertical_{name}": line.upright,
            f"zone_normal_{name}": line.zone,
            f"lsq_width_{name}": line.least_squares,
        }
    for case in check["data"]["flatness"]:
        plane = flatness([(x, y, z) for x, y, z in case["points"]])
        name = case["id"]
        got |= {
            f"flat_vertical_{name}": plane.upright,
            f"flat_normal_{name}": plane.zone,
            f"flat_lsq_{name}": plane.least_squares,
            f"flat_lsq_normal_{name}": plane.least_squares_across,
        }
    for case in check["data"]["roundness"]:
        circle = roundness([(x, y) for x, y in case["points"]])
        name = case["id"]
        got |= {f"round_zone_{name}": circle.zone, f"min_circumscribed_r_{name}": circle.circumscribed}
    agrees(check, got)
