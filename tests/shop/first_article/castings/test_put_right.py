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
from tests.worlds.sampled_shop import AFTER_S3, shop_until


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made, _ = shop_until(tmp_path / "shop.db", AFTER_S3)
    yield made
    made.close()


def sampling(record: Record, label: str) -> Sampling:
    job = find.job(record, None)
    return Sampling(record, job, pick_round(record, job, label))


def test_a_unit_put_right_keeps_what_was_typed_struck_out(record: Record) -> None:
    before = sampling(record, "S3")
    article = assemble(before)
    question = next(one for one in article.questions if one.kind == "unit")
    done = desk.put_unit_right(record, before, question)
    assert done.readings == 21
    after = sampling(record, "S3")
    cell = after.cell(after.feature("F01"), after.casting("S3-5"))
    assert cell.answer == "conforms"
    assert cell.question is None
    assert cell.typed[0].startswith("24.")
    item = after.casting("S3-5")
    logged = record.readings(item_id=item.id, feature_id=after.feature("F01").id)
    assert [one.out for one in logged] == [True, False]
    assert logged[0].supersede.reason == "wrong_unit"
    assert not [one for one in assemble(after).questions if one.kind == "unit"]


def test_swapped_rows_get_each_others_readings_and_keep_their_own_as_struck_out(record: Record) -> None:
    before = sampling(record, "S3")
    question = next(one for one in assemble(before).questions if one.kind == "rows swapped")
    desk.swap_back(record, before, question)
    after = sampling(record, "S3")
    for balloon, near in (("F31", 14.0), ("F32", 7.0)):
        cell = after.cell(after.feature(balloon), after.casting("S3-2"))
        assert abs(cell.value - near) < 0.6
        assert cell.answer == "conforms"
    with pytest.raises(DataError, match="not about two rows"):
        desk.swap_back(record, after, next(one for one in assemble(after).questions if one.kind == "unit"))


def test_a_suggestion_is_taken_in_place_of_the_reading(record: Record) -> None:
    before = sampling(record, "S1")
    desk.take_suggestion(record, before, "F08", "S1-1")
    after = sampling(record, "S1")
    cell = after.cell(after.feature("F08"), after.casting("S1-1"))
    assert cell.value == pytest.approx(5.523 * 25.4)
    assert cell.typed == ("5.523",)
    assert cell.answer == "conforms"
    with pytest.raises(DataError, match="nothing is suggested"):
        desk.take_suggestion(record, after, "F09", "S1-1")


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
    job = find.job(shop.record, "PB-12")
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
    job = find.job(shop.record, "PB-12")
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
    job = find.job(shop.record, "PB-12")
    desk.open_round(shop.record, job, "S1", ["C1"])
    with pytest.raises(DataError, match=sentence):
        desk.open_round(shop.record, job, label, serials)
    assert [lot.label for lot in shop.record.lots(job.of_id)] == ["S1"]
