"""Weights and the wall area as typed, with units; what a scale cannot be off by."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.first_article.castings import put_right
from inspect_tui.shop.trends.counts import weights
from tests.conftest import SmallShop


def test_what_is_typed_becomes_kilograms_and_square_metres(shop: SmallShop) -> None:
    record, job = shop.record, shop.record.job("SV-12")
    put_right.open_round(record, job, "S1", ["C1"], by=shop.ab.id)
    said = weights.read_weight(record, job, {"casting": "casting C1", "weight": "850 g", "u95": "20 g"})
    assert (said.weight_kg, said.u95_kg) == (pytest.approx(0.85), pytest.approx(0.02))
    assert weights.shown_wall(record, job) == {"density": "7100"}
    wall = weights.read_wall(record, job, {"area": "1.85 m2", "density": "", "why": ""})
    assert (wall.area_m2, wall.density, wall.why) == (pytest.approx(1.85), 7100.0, "entered")
    kept = record.add(wall, shop.ab.id)
    assert weights.shown_wall(record, job) == {"area": "1.85", "density": "7100", "why": "entered"}
    again = weights.read_wall(record, job, {"area": "2", "density": "7.2 g/cm3", "why": "the model"})
    assert (again.replaces_id, again.of_id, again.density) == (kept.id, kept.of_id, pytest.approx(7200))
    for values, why in (
        ({"casting": "box 1", "weight": "1"}, "weights are kept of castings"),
        ({"casting": "casting C1", "weight": "heavy"}, "weight: "),
        ({"casting": "casting C1", "weight": "1", "u95": "x"}, "U: "),
        ({"casting": "casting C1", "weight": "1", "u95": "1"}, "may be off by"),
    ):
        with pytest.raises(DataError, match=why):
            weights.read_weight(record, job, values)
    for values, why in (({"area": "x"}, "wall area: "), ({"area": "1", "density": "x"}, "density: ")):
        with pytest.raises(DataError, match=why):
            weights.read_wall(record, job, values)
