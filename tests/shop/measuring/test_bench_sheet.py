"""What stands on the sheet of a tool, in the unit of who measures."""

from __future__ import annotations

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.common import find
from inspect_tui.shop.measuring.bench_sheet import BenchSheet, sheet
from tests.conftest import SmallShop


def of(shop: SmallShop, on: str = "stick 1", style: Style = MM, blind: bool = False) -> BenchSheet:
    job = find.job(shop.record, "SV-12")
    return sheet(shop.record, job, find.subject(shop.record, job, on), style, blind=blind)


def test_every_size_of_the_tool_with_target_and_limits(shop: SmallShop) -> None:
    made = of(shop)
    tasks = shop.bench().tasks
    assert [row.balloon for row in made.rows] == [task.feature.balloon for task in tasks]
    row, task = made.rows[1], tasks[1]
    assert row.wanted == f"{task.sizes.target:.2f}" and row.unit == "mm"
    assert row.limits == f"{task.sizes.band.lower:.2f} to {task.sizes.band.upper:.2f}"
    assert (made.subject, made.kind, made.revision, made.hand) == ("stick 1", "tool", "A", "1")


def test_in_inches_and_blind(shop: SmallShop) -> None:
    row = of(shop, style=Style("in")).rows[1]
    assert row.unit == "in" and row.wanted == f"{shop.bench().tasks[1].sizes.target / 25.4:.4f}"
    assert of(shop, style=Style("fraction")).rows[1].unit == "in"
    hidden = of(shop, blind=True).rows[1]
    assert hidden.wanted == hidden.limits == ""
