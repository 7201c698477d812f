"""The sheet that comes back from the foundry: what it asks for."""

from __future__ import annotations

import pytest

from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.paper.come_back import come_back
from tests.shop.kit.paper.test_papers import made  # noqa: F401  a fixture
from tests.worlds.kit_jobs import Kit


def test_the_come_back_sheet_asks_for_core_sizes_checks_and_remarks(made: Kit) -> None:
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("stick 1", "box 1"), 19.0, 21.0)
    edit.set_core_detail(made.record, made.job, made.core[1], template="T-1", check_lower=1.0, check_upper=2.0)
    sheet = come_back(made.record, made.job)
    rows = [(r.kind, r.core, r.balloon) for r in sheet.rows]
    assert rows == [
        ("core size", 1, "K1-P"),
        ("core size", 1, "K2-S"),
        ("core size", 1, "W"),
        ("check", 1, None),
        ("remark", 1, None),
        ("core size", 2, "K2-P"),
        ("remark", 2, None),
    ]
    wanted = next(r for r in sheet.rows if r.balloon == "W")
    assert wanted.wanted_mm == pytest.approx(20.2)
