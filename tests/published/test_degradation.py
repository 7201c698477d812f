"""Lines through the origin and the time to a limit: the degradation example of the NIST/SEMATECH e-Handbook."""

from __future__ import annotations

from inspect_tui.metrology.wear.fleet import rate_from_new
from tests.published.stats_data import agrees, load


def test_slopes_and_times_to_a_30_percent_change() -> None:
    check = load("l_degradation")  # memory: section 8.4.2.3; slopes and times computed from the recalled data
    data, got = check["data"], {}
    for temperature, units in check["data"]["change"].items():
        for k, change in enumerate(units, start=1):
            slope, _, _ = rate_from_new(data["hours"], change)
            got[f"slope[{temperature},{k}]"] = slope
            got[f"time_to_30[{temperature},{k}]"] = data["threshold"] / slope
    agrees(check, got)
