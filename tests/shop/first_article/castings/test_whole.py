"""Sizes that nobody measured follow from those that were: by hand on the invented bracket, and what is left out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings.geometry import sizes
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.whole import between, lengths, read_on, whole
from tests.worlds.sampled_shop import AFTER_S3, copy_of_shop
from tests.worlds.stock_shop import bracket, feature, measured


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = Record.open(tmp_path / "shop.db", create=True)
    yield made
    made.close()


def ribs(record: Record):
    """A rib at 20 and one at 50 from the datum, and the top at 63: nobody measures from rib to rib."""
    rows = [
        feature(f"R{place}", "", at=(0.0, place), stock="[0, 0]").replace('b = "cope"', 'b = "drag"')
        for place in (20.0, 50.0)
    ]
    return bracket(record, {"H1": ""}, more="\n".join(rows).replace("R20.0", "R1").replace("R50.0", "R2"))


def test_a_wall_that_nobody_measured_follows_from_two_that_were(record: Record) -> None:
    sampling = measured(record, ribs(record), {"C1": {"R1": 20.3, "R2": 50.1}, "C2": {"R1": 20.0}, "C3": {}})
    first, second = between(sampling, "drag face z 20", "drag face z 50")
    assert (first.serial, second.serial) == ("C1", "C2")  # nothing was read on C3
    assert first.wall.follows_from == ("R1", "R2")
    assert not first.wall.read
    assert first.wall.mm == pytest.approx(29.8, abs=0.1)  # what is usual of tools and sand has its small say
    assert 0.02 < first.wall.u < 0.1 < second.wall.u
    assert second.wall.follows_from == ()
    assert first.wall.said(sampling.style).startswith("follows from R1 and R2: 29.8")
    (read, _) = between(sampling, "drag face z 0", "drag face z 20")
    assert read.wall.read and read.wall.said(sampling.style).startswith("read as R1: 20.")


def test_what_is_in_question_takes_no_part(record: Record) -> None:
    sampling = measured(record, ribs(record), {"C1": {"R1": 20.3, "R2": 5.01}})
    item = sampling.casting("C1")
    assert sampling.cell(sampling.feature("R2"), item).question
    read, shared = read_on(sampling, lengths(sampling), item)
    assert list(read) == list(shared) == ["R1"]
    assert read["R1"].value == pytest.approx(20.3)
    assert shared["R1"][0] == "height gauge S1"
    assert 0.0 < shared["R1"][1] < read["R1"].u


def test_a_face_that_no_size_ends_on_is_said(record: Record) -> None:
    sampling = measured(record, ribs(record), {"C1": {"R1": 20.3}})
    with pytest.raises(DataError, match="no size ends on drag face z 21"):
        between(sampling, "drag face z 20", "drag face z 21")


def test_tools_that_were_measured_say_where_their_faces_are(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """The throat's height in box 4, which was read: known better than two faces that nobody measured, 0.15 each."""
    record = copy_of_shop(tmp_path_factory, tmp_path, AFTER_S3)
    sampling = Sampling(record, record.jobs()[0], pick_round(record, record.jobs()[0], "S1"))
    made = sizes(sampling, lengths(sampling).values())
    network = whole(sampling, made, lengths(sampling))
    throat = network.between("core 4 face z 55", "core 4 face z 125")
    assert throat.u < 0.1
    on_tools = {r.size for r in network.residuals if r.casting == ""}
    assert {"F55", "F29"} <= on_tools
    assert "F48" not in on_tools  # between core 3 and core 5: no tool shows it
    record.close()


def test_tools_tell_what_no_casting_does(record: Record) -> None:
    """Sizes that are no distance of two faces have no part in it."""
    job = ribs(record)
    sampling = measured(record, job, {"C1": {"R1": 20.3}})
    assert sorted(lengths(sampling)) == ["H1", "R1", "R2"]
    sampling.features[0] = type(sampling.features[0])(balloon="A", name="angle", nominal=3.0, quantity="angle")
    assert "A" not in lengths(sampling)
