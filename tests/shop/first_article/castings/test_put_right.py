"""What a person decides at a sampling: slips put right, rows swapped back, alignment, what cannot be measured."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.errors import DataError, NotFound
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import assemble, first_article
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from tests.conftest import SmallShop
from tests.worlds.sampled_shop import AFTER_S3, copy_of_shop


@pytest.fixture
def record(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    with copy_of_shop(tmp_path_factory, tmp_path, AFTER_S3) as made:
        yield made


def sampling(record: Record, label: str) -> Sampling:
    job = find.job(record, None)
    return Sampling(record, job, pick_round(record, job, label))


def test_aligning_again_clears_the_tilt_and_shows_both_values(record: Record) -> None:
    before = sampling(record, "S3")
    causes = assemble(before).causes
    was = before.cell(before.feature("F54"), before.casting("S3-4"))
    desk.align(record, before, causes, "S3-4")
    after = sampling(record, "S3")
    article = assemble(after)
    cell = article.cell("F54", "S3-4")
    # planted: the pad at x 560 was ground 0.50 low, F54 at x 624 shows 0.56 of it
    assert abs((cell.value - was.value) - 0.56) < 0.2
    assert cell.raw == was.raw
    assert any("re-aligned" in words for words in cell.corrected)
    assert cell.u > was.u
    assert not [one for one in article.causes.found if one.kind == "tilt"]
    assert [one.serial for one in article.realigned] == ["S3-4"]
    desk.align_as_read(record, after, "S3-4", "the pad was measured: it is right")
    again = sampling(record, "S3")
    assert again.cell(again.feature("F54"), again.casting("S3-4")).value == was.value
    with pytest.raises(NotFound, match="not aligned again"):
        desk.align_as_read(record, again, "S3-4", "")
    with pytest.raises(NotFound, match="No tilt was found"):
        desk.align(record, again, causes, "S3-1")


def test_what_cannot_be_measured_is_not_missing_and_says_why(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    desk.open_round(shop.record, job, "S1", ["C1", "C2"], poured_on="2026-03-01")
    here = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    feature, item = here.feature("F3"), here.casting("C1")
    desk.cannot_measure(shop.record, [feature], item, "beyond the reach of the long caliper")
    desk.cannot_measure(shop.record, [here.feature("F2")], None, "core still in")
    here.reload()
    assert here.cell(feature, item).answer == "not measurable"
    assert here.cell(feature, item).reason == "beyond the reach of the long caliper"
    assert here.cell(feature, here.casting("C2")).answer == "to measure"
    assert here.cell(here.feature("F2"), here.casting("C2")).reason == "core still in"
    desk.can_measure(shop.record, feature, item)
    here.reload()
    assert here.cell(feature, item).answer == "to measure"
    with pytest.raises(DataError, match="few words"):
        desk.cannot_measure(shop.record, [feature], item, "  ")


def test_a_reading_counts_although_somebody_said_it_cannot_be_measured(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    desk.open_round(shop.record, job, "S1", ["C1"])
    here = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    desk.cannot_measure(shop.record, [here.feature("F3")], None, "out of reach")
    from inspect_tui.shop.bench.line import Bench

    bench = Bench(shop.record, job, find.subject(shop.record, job, "casting C1"), shop.ab, shop.caliper)
    bench.goto("F3")
    bench.take("210.1")
    here.reload()
    assert here.cell(here.feature("F3"), here.casting("C1")).answer == "conforms"
    assert first_article(shop.record, job, "S1").not_measured


@pytest.mark.parametrize(
    ("label", "serials", "sentence"),
    [
        ("", ["C1"], "Give the sampling a label"),
        ("S1", ["C1"], "S1 is there already"),
        ("S2", [], "at least one casting"),
        ("S2", ["C9", "C9"], "C9: named twice"),
        ("S2", ["C1"], "C1 is there already"),
        ("S2", [f"N{n}" for n in range(5001)], "too many"),
    ],
)
def test_a_sampling_that_cannot_be_opened_is_refused_whole(
    shop: SmallShop, label: str, serials: list[str], sentence: str
) -> None:
    job = find.job(shop.record, "SV-12")
    desk.open_round(shop.record, job, "S1", ["C1"])
    with pytest.raises(DataError, match=sentence):
        desk.open_round(shop.record, job, label, serials)
    assert [lot.label for lot in shop.record.lots(job.of_id)] == ["S1"]
