"""Which rows of older drawings ask for the same size."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.work import End, Feature
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.jobs.jobs import revise
from tests.conftest import SmallShop

ENDS = (End(which="A", half="drag", facing=-1, coord_mm=0.0), End(which="B", half="drag", facing=1, coord_mm=62.0))
PLAIN = Feature(revision_id=b"r", balloon="F1", name="bore", nominal=62.0, lower=61.2, upper=62.8, ends=ENDS)


@pytest.mark.parametrize(
    "changes",
    [
        {"nominal": 62.5},
        {"lower": 61.0},
        {"upper": None},
        {"axis": "y"},
        {"quantity": "width"},
        {"machined": True},
        {"draft_deg": 1.0},
        {"a": 0.01},
        {"ends": (ENDS[0], replace(ENDS[1], stock_mm=1.5))},
        {"ends": (ENDS[0], replace(ENDS[1], coord_mm=63.0))},
        {"ends": (ENDS[0], replace(ENDS[1], half="cope"))},
        {"ends": ENDS[:1]},
    ],
)
def test_what_changes_a_size(changes: dict[str, object]) -> None:
    assert not lineage.same_size(replace(PLAIN, **changes), PLAIN)


@pytest.mark.parametrize(
    "changes", [{"name": "bore of the inlet"}, {"balloon": "F10"}, {"note": "at x = 5"}, {"ord": 9}]
)
def test_what_leaves_a_size_as_it_is(changes: dict[str, object]) -> None:
    assert lineage.same_size(replace(PLAIN, **changes), PLAIN)


def test_another_version_of_the_same_core_is_the_same_end() -> None:
    core = replace(PLAIN, ends=(replace(ENDS[0], half=None, core_id=b"1"), ENDS[1]))
    later = replace(PLAIN, ends=(replace(ENDS[0], half=None, core_id=b"2"), ENDS[1]))
    assert not lineage.same_size(later, core)
    assert lineage.same_size(later, core, core_of=lambda core_id: b"1")


def test_a_line_ends_where_the_size_changed_even_if_it_was_changed_back(shop: SmallShop) -> None:
    job = find.job(shop.record, "PB-12")
    first = {f.balloon: f for f in shop.record.features(find.latest_revision(shop.record, job).id)}
    f2 = first["F2"]
    revise(shop.record, job, "Y", [replace(f2, nominal=f2.nominal + 0.5)])
    revise(shop.record, job, "Z", [f2])
    now = shop.record.features(find.latest_revision(shop.record, job).id)
    lines = {f.balloon: lineage.same_rows(shop.record, job, now)[f.id] for f in now}
    assert len(lines["F1"]) == 3 and lines["F1"][-1] == first["F1"].id
    assert len(lines["F2"]) == 1
