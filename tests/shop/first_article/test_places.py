"""Where the numbers of a sampling stand: beside sizes with a place, on photographs, or named as standing nowhere."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from inspect_tui.report.first_article.forms import make
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.places import GONE, NO_AXIS, NO_ENDS
from inspect_tui.shop.first_article.snapshot import Again, again, fix
from inspect_tui.shop.pictures import attach, listing
from tests.worlds import numbered


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    with numbered.made(tmp_path_factory.mktemp("numbered")) as made:
        yield made


@pytest.fixture(scope="module")
def given(record: Record) -> Again:
    return fix(record, find.job(record, None), "S1")


def test_each_number_stands_where_somebody_said_or_nowhere(given: Again) -> None:
    places = given.plain["places"]
    sizes = {size["balloon"]: size for size in places["sizes"]}
    assert list(sizes) == ["F1", "F2", "F3"]
    assert sizes["F1"] | {"beside": []} == {
        "balloon": "F1",
        "axis": "x",
        "ends": [0.0, 100.0],
        "at": [["y", 20.0]],
        "beside": [],
    }
    assert sizes["F2"]["beside"] == ["G1"]  # its first size, F4, has no place
    assert [(line["balloon"], line["why"]) for line in places["not_placed"]] == [("F4", NO_ENDS), ("D2", NO_AXIS)]
    (picture,) = places["pictures"]
    assert picture["marks"] == [["D1", 25.0, 40.0], ["G2", 75.0, 90.0]]


def test_printed_again_it_is_the_same_though_numbers_were_moved_since(record: Record, given: Again) -> None:
    (seen,) = listing.of_job(record, find.job(record, None))
    attach.numbered(record, seen.use, [])
    later = again(record, given.snapshot)
    assert later.same and later.text == given.text
    assert make(later.plain, "html", files=later.files) == make(given.plain, "html", files=given.files)
    assert fix(record, find.job(record, None), "S1").plain["places"]["pictures"] == []


def test_a_number_that_the_drawing_lost_is_named(tmp_path: Path) -> None:
    with numbered.made(tmp_path) as record:
        (seen,) = listing.of_job(record, find.job(record, None))
        attach.numbered(record, seen.use, numbered.marks("F99 1 2"))
        lost = fix(record, find.job(record, None), "S1").plain["places"]["not_placed"]
    assert {"balloon": "F99", "why": GONE.format("job.png")} in lost
