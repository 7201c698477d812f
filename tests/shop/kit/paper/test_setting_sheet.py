"""The sheet that cores are set by: one step a core, in order, with the check that is made in the mould."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.paper.setting_sheet import for_foundry, setting_sheet
from tests.shop.kit.paper.test_papers import made  # noqa: F401  a fixture
from tests.worlds.kit_jobs import Kit


def test_the_sheet_has_one_step_a_core_in_setting_order_with_do_not_force(made: Kit) -> None:
    made.read("box 2", {"K2-P": 40.0})
    made.read("box 1", {"K2-S": 40.5})
    edit.change_fit(made.record, made.job, made.fit["K2"], mark="red")
    sheet = setting_sheet(made.record, made.job)
    assert [(s.step, s.number, s.box, s.stick) for s in sheet.steps] == [
        (1, 1, "box 1", "stick 1"),
        (2, 2, "box 2", "stick 2"),
    ]
    (fit,) = sheet.steps[1].fits
    assert (fit.into, fit.clearance_mm, fit.measured, fit.state) == ("core 1", pytest.approx(0.5), True, "fits")
    assert fit.sentence == "print K2 into core 1, marked red: do not force, 0.50 mm clearance (0.30 to 0.70)"
    assert sheet.colour_key == (("red", "K2 (core 2 into core 1)"),)
    assert sheet.order_sentence == "set in the order 1, 2: there is no other"
    assert sheet.scene is not None and [core.step for core in sheet.scene.cores] == [1, 2]
    assert any("silica" in text.casefold() for text in sheet.cautions)
    assert any("not a pressure test" in text for text in sheet.cautions)


def test_what_is_not_known_is_none_and_never_nought(made: Kit) -> None:
    step = setting_sheet(made.record, made.job).steps[0]
    assert (step.check, step.chaplets, step.vents, step.lift_kgf, step.lift_points, step.caution) == (None,) * 6
    assert step.weight_kg == pytest.approx(3.2)  # 2.0 dm3 of core sand at 1.6 kg/dm3


def test_the_check_of_a_step_is_in_the_mould_not_in_the_casting(made: Kit) -> None:
    edit.set_core_detail(made.record, made.job, made.core[2], template="T-1", check_feature_id=made.feature["F1"].id)
    check = setting_sheet(made.record, made.job).steps[1].check
    # wall 7 to 9 of the casting, contraction 1.0 % of the casting: 7.07 to 9.09 between the cores
    assert (check.template, check.lower_mm, check.upper_mm) == ("T-1", pytest.approx(7.07), pytest.approx(9.09))
    edit.set_core_detail(made.record, made.job, made.core[2], check_lower=7.5, check_upper=8.5)
    check = setting_sheet(made.record, made.job).steps[1].check
    assert (check.lower_mm, check.upper_mm) == (7.5, 8.5)


def test_a_sheet_asked_for_in_inches_is_in_inches_throughout(made: Kit) -> None:
    made.read("box 2", {"K2-P": 40.0})
    made.read("box 1", {"K2-S": 39.9})
    edit.set_core_detail(made.record, made.job, made.core[2], template="T-1", check_lower=7.07, check_upper=9.09)
    inches = Style("in")
    sheet = setting_sheet(made.record, made.job, style=inches)
    (fit,) = sheet.steps[1].fits
    # by 25.4 mm to the inch: 0.10 mm, 0.30 mm, 0.70 mm; 7.07 mm and 9.09 mm to 0.001 in
    assert fit.sentence == "print K2 into core 1: do not force, -0.0039 in clearance (0.0118 to 0.0276)"
    assert sheet.steps[1].check.sentence.endswith("with template T-1: goes at 0.278 to 0.358 in")
    assert sheet.not_proven
    said = [*sheet.not_proven, *sheet.steps[1].remarks, fit.sentence, sheet.steps[1].check.sentence]
    assert not any(" mm" in text for text in said)
    assert any(" in " in text for text in sheet.not_proven)
    checked = kit.check(made.record, made.job, style=inches)
    assert setting_sheet(made.record, made.job, checked) == sheet  # a check that is there keeps its style


def test_what_speaks_against_the_kit_stands_on_its_sheet(made: Kit) -> None:
    made.read("box 1", {"K2-S": 39.0})
    made.read("box 2", {"K2-P": 40.0})
    assert any("does not go" in text for text in setting_sheet(made.record, made.job).not_proven)


def test_the_foundrys_copy_keeps_what_is_to_be_done_and_leaves_out_what_is_doubted(made: Kit) -> None:
    made.read("box 2", {"K2-P": 40.0})
    made.read("box 1", {"K2-S": 39.9})
    edit.set_core_detail(made.record, made.job, made.core[2], caution="thin", in_metal_dm3=2.0, template="T-1")
    sheet = setting_sheet(made.record, made.job)
    out = for_foundry(sheet)
    assert (sheet.edition, out.edition) == ("shop", "foundry")
    assert sheet.not_proven and not out.not_proven
    (fit,) = out.steps[1].fits
    assert fit.state is None and fit.sentence.startswith("print K2 into core 1: do not force; snug")
    step, kept = out.steps[1], sheet.steps[1]
    assert step.remarks == () and (step.caution, step.check) == (kept.caution, kept.check)
    assert kept.lift_words and step.lift_sentence == f"about {kept.lift_words} once the metal is in"
    # 2 dm3 in iron of 7.0 kg/dm3 less 2 dm3 of sand of 1.6 kg/dm3: 10.8 kgf
    assert kept.lift_words == "10.8 kgf"
