"""Changes of a drawing from words: several features, empty texts, and what is not typed over stays."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError, NotFound
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs.drawing_changes import changed
from tests.conftest import SmallShop


def test_several_features_are_changed_and_the_rest_of_them_stays(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    there = {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}
    f1, f5 = changed(shop.record, job, ["f01", "nominal=63", "F5", "Limits=", "note=a = b", "F1", "at=5 68"])
    assert (f1.balloon, f1.nominal, f1.lower, f1.upper) == ("F1", 63.0, 62.2, 63.8)
    assert [end.coord_mm for end in f1.ends] == [5.0, 68.0]
    assert [end.stock_mm for end in f1.ends] == [end.stock_mm for end in there["F1"].ends]
    assert (f5.lower, f5.upper, f5.note, f5.nominal) == (None, None, "a = b", 8.0)
    assert changed(shop.record, job, []) == []


@pytest.mark.parametrize("words", [["nominal=5"], ["F1"], ["F1", "sise=5"], ["F1", "axis=q"], ["F1", "balloon=F2"]])
def test_words_that_are_no_change(shop: SmallShop, words: list[str]) -> None:
    with pytest.raises(JobFileError):
        changed(shop.record, find.job(shop.record, None), words)


def test_a_feature_that_reads_so_already_is_no_change(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    (f1,) = (f for f in shop.record.features(find.latest_revision(shop.record, job).id) if f.balloon == "F1")
    with pytest.raises(JobFileError, match="F1 reads so already"):
        changed(shop.record, job, ["F5", "nominal=9", "F1", f"nominal={f1.nominal}"])


def test_a_feature_that_is_not_there(shop: SmallShop) -> None:
    with pytest.raises(NotFound, match="F99 is not on revision A"):
        changed(shop.record, find.job(shop.record, None), ["F99", "nominal=5"])
