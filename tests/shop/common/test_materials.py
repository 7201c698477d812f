"""What a new tool or casting is made of: its expansion from the table, so that a warm reading is corrected."""

from __future__ import annotations

import pytest

from inspect_tui.shop.common import find, materials
from inspect_tui.shop.jobs import jobs
from tests.conftest import JOB, SmallShop


@pytest.mark.parametrize(
    ("material", "per_c"),
    [
        # ASM data sheets as shipped in materials.csv (found): 60-40-18 11.2, 80-55-06 10.6; the middle of both
        ("ductile iron", 10.9e-6),
        ("grey iron", 11.1e-6),  # 10.8 and 11.4
        ("aluminium 356.0", 21.5e-6),
        ("stainless 316", 15.9e-6),
    ],
)
def test_the_expansion_is_that_of_the_shipped_table(material: str, per_c: float) -> None:
    assert materials.expansion(material) == pytest.approx(per_c, rel=1e-9)


@pytest.mark.parametrize("material", [None, "", "not stated", "sand", "something new"])
def test_what_the_table_does_not_know_has_none(material: str | None) -> None:
    assert materials.expansion(material) is None


def test_a_tool_of_a_job_file_takes_the_table_unless_it_is_stated(shop: SmallShop) -> None:
    resin = 'label = "box 1"\nmaterial = "tooling resin"'
    text = JOB.replace('number = "SV-12"', 'number = "SV-14"').replace('label = "box 1"', resin)
    plan = jobs.plan_from_file(text)
    box = next(tool for tool in plan.tools if tool.label == "box 1")
    assert box.expansion_per_c == materials.expansion("tooling resin")
    assert box.expansion_per_c is not None
    stated = jobs.plan_from_file(text.replace(resin, resin + "\nexpansion_per_c = 3e-5"))
    assert next(tool for tool in stated.tools if tool.label == "box 1").expansion_per_c == 3e-5
    bare = next(tool for tool in plan.tools if tool.label == "stick 1")
    assert bare.expansion_per_c is None  # its material is not stated
    made = jobs.add_tool(shop.record, find.job(shop.record, "SV-12"), "box 9", "core_box", 1, "aluminium")
    assert made.expansion_per_c == materials.expansion("aluminium")
