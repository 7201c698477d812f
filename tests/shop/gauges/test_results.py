"""Tests of: what a gauge study says."""

from __future__ import annotations

from inspect_tui.shop.gauges import results


def test_pieces_come_in_the_order_that_people_count_them() -> None:
    names = ["C-10", "10", "C-2", "2", "b", "A 3", "²"]
    assert sorted(names, key=results.natural) == ["2", "10", "A 3", "b", "C-2", "C-10", "²"]
