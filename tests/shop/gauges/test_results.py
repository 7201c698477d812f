"""Tests of: what a gauge study says."""

from __future__ import annotations

from random import Random

import pytest

from inspect_tui.errors import DataError
from inspect_tui.model.gauges import GaugePart, GaugePerson, GaugeStudy, GaugeTrial
from inspect_tui.shop.gauges import instruments, results
from tests.conftest import SmallShop


def test_pieces_come_in_the_order_that_people_count_them() -> None:
    names = ["C-10", "10", "C-2", "2", "b", "A 3", "²"]
    assert sorted(names, key=results.natural) == ["2", "10", "A 3", "b", "C-2", "C-10", "²"]


def study_of(shop: SmallShop, gone: int, step: float = 0.01) -> GaugeStudy:
    """A crossed study of the caliper, 10 pieces x 2 people x 3, whose last `gone` readings nobody took."""
    people = (shop.ab, shop.record.people()[-1])
    study = GaugeStudy(
        id=shop.record.new_id(), instrument_of_id=shop.caliper.of_id, title="G1", quantity="length", trials=3, seed=1
    )
    parts = [GaugePart(id=shop.record.new_id(), study_id=study.id, number=n, label=str(n)) for n in range(1, 11)]
    who = [GaugePerson(study_id=study.id, number=n, person_of_id=p.of_id) for n, p in enumerate(people, 1)]
    shop.record.add_all([study, *parts, *who], shop.ab.id)
    draw = Random(5)
    trials = []
    for person in people:
        setup = instruments.gauge_setup(shop.record, person, shop.caliper, "study")
        for part in parts:
            for t in (1, 2, 3):
                value = step * round((52.0 + part.number / 10 + draw.gauss(0, 0.02)) / step)
                trials.append(
                    GaugeTrial(
                        study_id=study.id, setup_id=setup, part_id=part.id, trial=t, value=value, typed=f"{value:.2f}"
                    )
                )
    shop.record.add_all(trials[: len(trials) - gone], shop.ab.id)
    return study


def test_a_study_stays_blind_until_it_is_whole_or_asked_for_as_it_stands(shop: SmallShop) -> None:
    study = study_of(shop, 1)
    blind = results.evaluate(shop.record, study)
    assert blind.missing == "59 of 60 readings are there"
    assert blind.crossed is None
    told = results.evaluate(shop.record, study, as_it_stands=True)
    assert told.crossed is not None
    assert told.crossed.lacking == 1
    assert any("1 of 60 readings lacks" in say for say in told.crossed.sentences)


def test_the_step_is_that_of_the_instrument_of_the_study(shop: SmallShop) -> None:
    told = results.evaluate(shop.record, study_of(shop, 0, step=0.05)).crossed
    assert told is not None
    assert told.step == shop.caliper.resolution == 0.01  # stated on the instrument, whatever the readings show
    too_many = study_of(shop, 10)
    with pytest.raises(DataError, match="not balanced"):
        results.evaluate(shop.record, too_many, as_it_stands=True)
