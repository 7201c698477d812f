"""The customer's capacity page: what stands on it of a small kit whose port is 7.7 % too small, worked out by hand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.model.kit import Passage
from inspect_tui.model.work import Item
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.paper.capacity_page import CAUTIONS, capacity_page
from tests.worlds.kit_jobs import Kit, two_cores


def add(kit: Kit, label: str, formula: str, **more: object) -> None:
    passage = Passage(job_of_id=kit.job.of_id, label=label, name=f"port {label}", formula=formula, **more)
    edit.add_passage(kit.record, kit.job, passage)


def port(record: Record) -> Kit:
    """W1 x H1 in core 1, drawn 20 x 10 and read 7.7 % low in H1; W2 in core 2 was not read; contraction is 1 %."""
    kit = two_cores(record)
    for balloon, axis, size, core in (("W1", "x", 20.0, 1), ("H1", "y", 10.0, 1), ("W2", "x", 40.0, 2)):
        kit.add_feature(
            balloon, axis, size, (core, 1, 0.0), (core, -1, size), (f"box {core}",), size - 1, size + 1, name="width"
        )
    kit.read("box 1", {"W1": 20.0 * 1.01, "H1": 10.0 * 1.01 * (1 - 0.077)})
    add(kit, "P1", "W1 * H1", rated=100.0, unit="l/s", minimum=95.0)
    return kit


@pytest.fixture
def kit(tmp_path: Path) -> Iterator[Kit]:
    with Record.open(tmp_path / "port.db", create=True) as opened:
        yield port(opened)


def test_a_passage_stands_with_the_sizes_that_make_it_and_their_core(kit: Kit) -> None:
    page = capacity_page(kit.record, kit.job)
    (passage,) = page.passages
    assert passage.line.now is not None and passage.line.now.value == pytest.approx(200.0 * (1 - 0.077))
    assert passage.hand == "1" and page.source == "the tools as measured" and page.cautions == CAUTIONS
    sizes = {size.balloon: size for size in passage.sizes}
    assert {name: (s.drawn, s.unit, s.was_read) for name, s in sizes.items()} == {
        "W1": (20.0, "mm", True),
        "H1": (10.0, "mm", True),
    }
    # the area is W1 times H1: a mm of H1 is W1 = 20 mm2, a mm of W1 is H1 = 9.23 mm2
    assert sizes["H1"].effect == pytest.approx(20.0) and sizes["W1"].effect == pytest.approx(9.23)
    assert page.scene is not None and list(page.heads) == kit.record.heads()


def test_a_size_nobody_read_is_said_and_two_cores_have_no_one_hand(kit: Kit) -> None:
    add(kit, "P2", "W1 * W2")
    passage = capacity_page(kit.record, kit.job).passages[1]
    assert [(size.balloon, size.was_read) for size in passage.sizes] == [("W1", True), ("W2", False)]
    assert passage.hand == ""


def test_a_casting_without_a_reading_and_a_job_without_a_passage_are_sentences(kit: Kit, tmp_path: Path) -> None:
    item = kit.record.add(Item(job_of_id=kit.job.of_id, kind="casting", serial="C1"))
    with pytest.raises(DataError, match="casting C1 has no reading"):
        capacity_page(kit.record, kit.job, item)
    with Record.open(tmp_path / "none.db", create=True) as opened, pytest.raises(DataError, match="has no passage"):
        capacity_page(opened, two_cores(opened).job)
