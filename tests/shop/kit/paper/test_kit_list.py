"""What belongs to a kit: counted, weighed, and every tool with a label of its own."""

from __future__ import annotations

from inspect_tui.shop.kit import edit, shipping
from inspect_tui.shop.kit.paper.kit_list import kit_list, labels
from inspect_tui.shop.kit.shipping import Parcel
from tests.shop.kit.paper.test_papers import made  # noqa: F401  a fixture
from tests.shop.kit.test_check_demo import record as demo  # noqa: F401  a fixture
from tests.shop.kit.test_life_story import (
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit


def test_the_kit_list_counts_and_weighs_what_travels(made: Kit) -> None:
    edit.set_tool_detail(made.record, made.job, made.tool["box 1"], loose_pieces=4, weight_kg=12.5, owner="customer")
    edit.set_tool_detail(made.record, made.job, made.tool["box 2"], loose_pieces=1)
    listed = kit_list(made.record, made.job)
    assert [line.label for line in listed.lines] == ["drag pattern", "cope pattern", "box 1", "box 2"]
    assert (listed.loose_pieces, listed.weight_kg) == (5, 12.5)
    assert listed.not_weighed == ("drag pattern", "cope pattern", "box 2")
    assert listed.not_counted == ()
    shipping.ship(made.record, made.job, "a foundry", "2026-03-01", [Parcel("box 1")])
    assert kit_list(made.record, made.job).lines[2].where == "at a foundry since 2026-03-01"


def test_every_tool_gets_a_label_with_a_code_of_its_own(made: Kit) -> None:
    written = labels(made.record, made.job)
    assert {one.label for one in written} == set(made.tool)
    assert len({one.code for one in written}) == len(written)
    one = next(x for x in written if x.label == "box 1")
    assert one.code.startswith("TK-1 | box 1 | ")
    assert (one.core, one.core_name, one.kind) == (1, "core 1", "box")
