"""The faces of a sampling's castings are those of the one builder, with their size as cast and what they hang on."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.metrology.faces.network import Carry
from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings import geometry
from inspect_tui.shop.first_article.castings.evidence import evidence
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from tests.shop.first_article.castings.test_whole import record, ribs  # noqa: F401  a fixture
from tests.worlds.sampled_shop import AFTER_S3, copy_of_shop
from tests.worlds.stock_shop import measured


def test_sizes_of_a_sampling_are_as_cast_between_its_faces(record: Record) -> None:
    sampling = measured(record, ribs(record), {"C1": {"R1": 20.3, "R2": 50.1}})
    made = {size.name: size for size in geometry.sizes(sampling, sampling.features)}
    assert [face.name for face in made["R2"].faces] == ["drag face z 0", "drag face z 50"]
    assert made["R2"].mm == pytest.approx(sampling.sizes(sampling.feature("R2")).as_cast) == pytest.approx(50.0)
    assert made["H1"].mm > sampling.feature("H1").nominal  # with its stock
    assert geometry.reference(sampling) == "drag"
    laid = geometry.sizes(sampling, sampling.features, lambda feature: 0.013)
    assert {size.contraction for size in laid} == {0.013}


def test_what_explains_the_castings_hangs_on_the_same_faces(record: Record) -> None:
    sampling = measured(record, ribs(record), {"C1": {"R1": 20.3, "R2": 50.1}})
    made = {size.name: size for size in geometry.sizes(sampling, sampling.features)}
    for o in evidence(sampling).features:
        assert (o.a, o.b, o.cast_size_mm) == (made[o.balloon].a, made[o.balloon].b, made[o.balloon].mm)


def test_what_sits_in_what_is_told_by_the_numbers_of_the_cores(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    record = copy_of_shop(tmp_path_factory, tmp_path, AFTER_S3)
    sampling = Sampling(record, record.jobs()[0], pick_round(record, record.jobs()[0], "S1"))
    held = geometry.held(sampling)
    assert {Carry("core 4", "core 2", axes="yz"), Carry("core 4", "core 3", axes="xz"), Carry("core 6", "cope")} < {
        *held
    }
    assert set(geometry.numbers(sampling).values()) == {1, 2, 3, 4, 5, 6, 7}
    for end in (end for feature in sampling.features for end in feature.ends if end.core_id):
        assert f"core {geometry.numbers(sampling)[end.core_id]}" == sampling.part(end)
    record.close()
