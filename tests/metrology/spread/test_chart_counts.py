"""Tests of: control charts of counts and fractions, for what is judged by eye: inclusions on a casting, cores scrapped of a lot"""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.chart_counts import counts_chart, fractions_chart


def test_counts_and_fractions_refuse_nonsense() -> None:
    with pytest.raises(DataError, match="negative"):
        counts_chart([1, -1])
    with pytest.raises(DataError, match="more bad ones"):
        fractions_chart([5], [4])
    with pytest.raises(DataError, match="each lot its size"):
        fractions_chart([1, 2], [10])
    assert counts_chart([0, 0, 0]).upper == (None,) * 3
    assert counts_chart([]).points == ()
    uneven = fractions_chart([1, 2, 3] * 8, [20, 50, 100] * 8)
    assert (uneven.upper[0] or 0) > (uneven.upper[1] or 0) > (uneven.upper[2] or 0)
    assert counts_chart([1, 2, 0, 3]).provisional
