"""Tools, cores and the mould's outline by their forms: all that the job file says of them, entered, changed, put back."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.model.kit import ToolDetail
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs.by_row import row_form
from inspect_tui.shop.jobs.file import heads, tooling
from tests.conftest import SmallShop

TOOL = {
    "kind": "loose piece",
    "core": "1",
    "material": "mahogany",
    "made_from": "box 1",
    "resin": "0.12 %",
    "second_contraction": "1.3 %",
    "grain": "X",
    "weight_kg": "850 g",
    "loose_pieces": "2",
    "dowels": "4",
    "mark": "red",
    "owner": "us",
    "lift": "by hand",
    "note": "soft",
}
CORE = {
    "name": "port core",
    "only_locates": "no",
    "set": "2",
    "volume_dm3": "2400 cm3",
    "in_metal_dm3": "2",
    "print_area_mm2": "900",
    "body": "0 40 0 20 5 60; -10 10.5 0 10 0 5",
    "ends": "x: inlet, outlet",
    "chaplets": "2",
    "chaplet_note": "outside",
    "vents": "one",
    "lift": "two hooks",
    "tolerance": "0.2",
    "template": "T-1",
    "check": "F1",
    "check_name": "wall",
    "check_limits": "5.9 to 7.9",
    "caution": "thin",
    "note": "new",
}


def entered(shop: SmallShop, table: str, texts: dict[str, str], name: str = "", why: str = "") -> str:
    job = find.job(shop.record, None)
    return row_form.save(shop.record, row_form.read(shop.record, job, table, texts, name), why, shop.ab.id)


def test_every_key_of_a_tool_and_a_core_has_its_field() -> None:
    left_out = {"expansion_per_c", "resin_u", "second_u", "picture"}  # by the material; by practice; by its own form
    assert {key for key, _ in row_form.FIELDS["tool"]} == {*tooling.TOOL} - left_out == {"label", *TOOL}
    assert (
        {key for key, _ in row_form.FIELDS["core"]}
        == {*tooling.CORE} - {"makes_surface", "picture"}
        == {"number", *CORE}
    )
    assert {key for key, _ in row_form.FIELDS["mould"]} == {*heads.MOULD}


def test_a_tool_is_entered_with_all_that_is_known_changed_and_emptied(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    assert entered(shop, "tool", {"label": "piece 7", **TOOL}) == "tool piece 7 added"
    made = next(tool for tool in shop.record.tools(job.of_id) if tool.label == "piece 7")
    box = next(tool for tool in shop.record.tools(job.of_id) if tool.label == "box 1")
    assert (made.kind, made.material, made.made_from_id) == ("loose_piece", "mahogany", box.id)
    assert (made.resin_r, made.second_a) == (pytest.approx(0.0012), pytest.approx(0.013))
    detail = shop.record.tool_details(job.of_id)[made.of_id]
    assert (detail.weight_kg, detail.loose_pieces, detail.dowels, detail.grain) == (0.85, 2, 4, "x")
    first = row_form.first(shop.record, job, "tool", "piece 7")
    assert first == {"label": "piece 7", **TOOL, "kind": "loose_piece", "grain": "x", "weight_kg": "0.85"}
    assert "as it was" in entered(shop, "tool", first, "piece 7")
    said = entered(shop, "tool", {**first, "mark": "", "owner": "the foundry"}, "piece 7")
    assert said == "tool piece 7 changed: mark red → nothing, owner us → the foundry"
    assert shop.record.tool_details(job.of_id)[made.of_id].mark is None
    assert row_form.all_first(shop.record, job, "tool")[0][0] == "piece 7"  # the newest first
    assert shop.record.verify().ok


def test_a_core_is_entered_with_its_body_and_a_box_names_a_core_that_nobody_named(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    assert entered(shop, "core", {"number": "core 7", **CORE}) == "core 7 added"
    first = row_form.first(shop.record, job, "core", "7")
    shown = {"number": "7", **CORE, "volume_dm3": "2.4"}
    del shown["only_locates"]
    assert first == shown
    core = next(core for core in shop.record.cores(job.of_id) if core.number == 7)
    boxes = [(b.x0, b.x1, b.z0, b.z1) for b in shop.record.core_bodies(job.of_id)[core.of_id]]
    assert boxes == [(0.0, 40.0, 5.0, 60.0), (-10.0, 10.5, 0.0, 5.0)]
    entered(shop, "core", {**first, "body": ""}, "7")
    assert core.of_id not in shop.record.core_bodies(job.of_id)
    assert (
        entered(shop, "tool", {"label": "box 9", "kind": "core_box", "core": "9"}) == "core 9 added; tool box 9 added"
    )


def test_what_is_not_typed_over_stays_exact(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    tool = next(tool for tool in shop.record.tools(job.of_id) if tool.label == "box 1")
    shop.record.add(ToolDetail(tool_of_id=tool.of_id, weight_kg=1 / 3), shop.ab.id)
    first = row_form.first(shop.record, job, "tool", "box 1")
    assert first["weight_kg"] == "0.333333333333"
    assert "as it was" in entered(shop, "tool", first, "box 1")
    entered(shop, "tool", {**first, "mark": "red"}, "box 1")
    assert shop.record.tool_details(job.of_id)[tool.of_id].weight_kg == 1 / 3


def test_the_outline_of_the_mould_is_given_changed_and_taken_back(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    assert row_form.first(shop.record, job, "mould") == {}
    assert entered(shop, "mould", {"x": "0 to 640", "y": "-10..200", "z": "0 190"}) == "mould added"
    assert row_form.first(shop.record, job, "mould") == {"x": "0 to 640", "y": "-10 to 200", "z": "0 to 190"}
    entered(shop, "mould", {"x": "0 to 650", "y": "-10 to 200", "z": "0 to 190"})
    outline = shop.record.mould_outline(job.of_id)
    assert outline is not None and outline.x1 == 650.0
    assert entered(shop, "mould", {"x": "", "y": "", "z": ""}) == "mould withdrawn"
    assert shop.record.mould_outline(job.of_id) is None


@pytest.mark.parametrize(
    ("table", "texts", "name", "why"),
    [
        ("tool", {"label": "BOX 1"}, "", "There is a tool BOX 1 already"),
        ("tool", {"label": "box 2"}, "box 1", "It is called box 1"),
        ("tool", {"label": "box 2"}, "box 9", "no tool box 9"),
        ("tool", {"label": ""}, "", "needs a label"),
        ("tool", {"label": "x", "kind": "bx"}, "", "tool 'x' kind: "),
        ("tool", {"label": "x", "made_from": "y"}, "", "names 'y'"),
        ("tool", {"label": "x", "weight_kg": "heavy", "dowels": "some"}, "", "dowels: "),
        ("core", {"number": "1"}, "", "There is a core 1 already"),
        ("core", {"number": "x"}, "", "number: x is no whole number"),
        ("core", {"number": "8", "body": "1 2 3"}, "", "is no box"),
        ("core", {"number": "8", "body": "0 0 0 1 0 1"}, "", "no extent along x"),
        ("core", {"number": "8", "ends": "inlet"}, "", "its ends are written"),
        ("core", {"number": "8", "check": "F99"}, "", "no feature F99"),
        ("mould", {"x": "0 to 10"}, "", "y"),
    ],
)
def test_what_is_wrong_is_said_without_a_line_and_nothing_written(
    shop: SmallShop, table: str, texts: dict[str, str], name: str, why: str
) -> None:
    before = shop.record.heads()
    with pytest.raises(JobFileError) as told:
        entered(shop, table, texts, name)
    assert why in str(told.value) and "line" not in str(told.value)
    assert shop.record.heads() == before
