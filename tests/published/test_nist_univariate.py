"""Mean, standard deviation and lag-1 autocorrelation against the reference values of the NIST StRD univariate sets."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from inspect_tui.metrology.spread.statistics import Summary, from_stream, from_values, lag1
from tests.published.stats_data import agrees, load, log_relative_error

# level of difficulty as the StRD pages give it
SETS = {
    "a_lottery": "lower",
    "a_michelso": "average",
    "a_numacc1": "average",
    "a_numacc2": "average",
    "a_numacc3": "average",
    "a_numacc4": "higher",
}
DIGITS = {"lower": 13, "average": 13, "higher": 9}


def values(data: dict[str, Any]) -> list[float]:
    if "y" in data:
        return [float(v) for v in data["y"]]
    rule = data["rule"]
    return [float(rule["first"])] + [float(rule["low"]), float(rule["high"])] * rule["pairs"]


@pytest.mark.parametrize("name", SETS)
def test_the_published_digits_are_reached(name: str) -> None:
    check = load(name)
    y = values(check["data"])
    expected, digits = check["expected"], DIGITS[SETS[name]]
    for given in (y, np.array(y)):
        summary = from_values(given)
        assert summary.n == expected["n"]
        assert log_relative_error(summary.mean, expected["mean"]) >= digits
        assert log_relative_error(summary.s or 0.0, expected["sd"]) >= digits
        assert log_relative_error(lag1(given) or 0.0, expected["lag1_autocorrelation"]) >= digits


@pytest.mark.parametrize("name", SETS)
def test_merged_and_streamed_summaries_hold_the_stated_tolerance(name: str) -> None:
    check = load(name)
    y = values(check["data"])
    merged = Summary()
    for start in range(0, len(y), 37):
        merged = merged.merge(from_values(y[start : start + 37]))
    agrees(check, {"n": merged.n, "mean": merged.mean, "sd": merged.s}, besides=["lag1_autocorrelation"])
    streamed = from_stream(y)
    # one reading at a time keeps fewer digits of a spread a hundred million times smaller than the readings
    assert log_relative_error(streamed.mean, check["expected"]["mean"]) >= 12
    assert log_relative_error(streamed.s or 0.0, check["expected"]["sd"]) >= (7 if name == "a_numacc4" else 8)
