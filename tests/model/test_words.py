"""Bands: limits that contradict each other are refused, and the width is upper minus lower."""

from __future__ import annotations

import pytest

from inspect_tui.errors import LimitsError
from inspect_tui.model.words import Band


def test_the_width_is_upper_minus_lower_and_open_where_a_side_is() -> None:
    assert Band(58.2, 59.8, "drawing").width == pytest.approx(1.6)
    assert Band(None, 59.8, "drawing").width is None
    assert Band(58.2, None, "drawing").width is None
    assert Band(5.0, 5.0, "drawing").width == 0.0


def test_limits_that_contradict_each_other_are_refused_with_both() -> None:
    with pytest.raises(LimitsError, match=r"lower 5\.1 is above upper 5"):
        Band(5.1, 5.0, "drawing")
