"""A verdict takes in what the instrument, its certificate and the metal are known to."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.sizes.movement import sound_velocity
from inspect_tui.model.measuring import Calibration
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from tests.conftest import SmallShop
from tests.shop.common.test_sound import GAUGE


def test_a_wall_on_a_casting_carries_it_into_the_verdict(shop: SmallShop) -> None:
    record = shop.record
    gauge = record.add(GAUGE)
    record.add(Calibration(instrument_of_id=gauge.of_id, done_on="2026-01-05", u95_mm=0.1, reference="steel block"))
    job = find.job(record, "PB-12")  # grey iron, F5 a wall of 8 -0.8 +1.0
    desk.open_round(record, job, "S1", ["C1"])
    here = Filling(record, Sampling(record, job, pick_round(record, job, "S1")), shop.ab, gauge)
    feature, item = here.sampling.feature("F5"), here.sampling.casting("C1")
    here.take(feature, item, "7.35")
    cell = here.sampling.cell(feature, item)
    rel = sound_velocity("grey iron").u / sound_velocity("grey iron").value
    assert cell.u == pytest.approx((0.05**2 + (0.05 / 3**0.5) ** 2 + (7.35 * rel) ** 2) ** 0.5, rel=1e-6)
    assert any("grey iron is known to" in note for note in cell.notes)
    assert cell.answer == "undecided"  # 0.15 inside the limit, with what is known of the velocity
    done_on = "2026-06-01"
    record.add(Calibration(instrument_of_id=gauge.of_id, done_on=done_on, u95_mm=0.1, reference="grey iron step block"))
    again = Filling(record, Sampling(record, job, pick_round(record, job, "S1")), shop.ab, gauge)
    again.take(feature, item, "7.35")
    assert again.sampling.cell(feature, item).answer == "conforms"
