"""Tests of: the forecast of a trend."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.trends import forecast
from inspect_tui.shop.trends.forecast import headline
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import WornBox


def test_the_forecast_begins_at_the_line_and_opens_toward_the_limit(worn: WornBox) -> None:
    worn.wear(30)
    worn_trend = worn.trend()
    fan = forecast.wear_ahead(worn_trend)
    assert fan is not None and worn_trend.fit is not None and worn_trend.left is not None
    assert fan.middle[0] == pytest.approx(worn_trend.fit.at(0.0).value)
    widths = [high - low for high, low in zip(fan.high, fan.low, strict=True)]
    assert widths[-1] > widths[len(widths) // 2] > 0
    assert fan.count[-1] == pytest.approx(2.5 * worn_trend.now)  # type: ignore[operator]  # no further, or nothing else is seen
    assert forecast.day_at(worn_trend, fan.count[-1]) > worn_trend.counter.day[-1]  # type: ignore[operator]


def test_the_headline_says_first_what_is_left_and_then_by_which_limit(worn: WornBox) -> None:
    worn.wear(30)
    said = headline(worn.trend())
    assert "cores left" in said[0] and said[1].startswith("limit 81.41 mm: until castings leave their band")
    assert said[2].startswith("5 800 cores since new (typed), 200 a week")


def test_the_headline_is_said_in_inches(worn: WornBox) -> None:
    worn.wear(30)
    said = headline(worn.trend(style=Style("in")))
    # the limit of 80.60 x 1.01 = 81.406 mm is 3.2050 in; the wear of 0.03 mm per 1000 is 0.0012 in
    assert " in per 1000" in said[0] and said[1].startswith("limit 3.2050 in: until castings leave their band")
    assert not any("mm" in words.split() for words in said)
