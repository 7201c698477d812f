"""What the papers for the foundry say: setting sheet, kit list, labels, come-back sheet."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.demo.pictures import drawn
from inspect_tui.record.kinds import CORE
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit as kit_edit
from inspect_tui.shop.kit import papers as kit_sheet
from tests.worlds.kit_jobs import Kit, two_cores


@pytest.fixture
def made(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield two_cores(record)


def test_the_sheet_has_one_step_a_core_in_setting_order_with_do_not_force(made: Kit) -> None:
    made.read("box 2", {"K2-P": 40.0})
    made.read("box 1", {"K2-S": 40.5})
    kit_edit.change_fit(made.record, made.job, made.fit["K2"], mark="red")
    sheet = kit_sheet.setting_sheet(made.record, made.job)
    assert [(s.step, s.number, s.box, s.stick) for s in sheet.steps] == [
        (1, 1, "box 1", "stick 1"),
        (2, 2, "box 2", "stick 2"),
    ]
    (fit,) = sheet.steps[1].fits
    assert (fit.into, fit.clearance_mm, fit.measured, fit.state) == ("core 1", pytest.approx(0.5), True, "fits")
    assert fit.sentence == "print K2 into core 1, marked red: do not force, 0.50 mm clearance (0.30 to 0.70)"
    assert sheet.colour_key == (("red", "K2 (core 2 into core 1)"),)
    assert sheet.order_sentence == "set in the order 1, 2: there is no other"
    assert any("silica" in text.casefold() for text in sheet.cautions)
    assert any("not a pressure test" in text for text in sheet.cautions)


def test_what_is_not_known_is_none_and_never_nought(made: Kit) -> None:
    step = kit_sheet.setting_sheet(made.record, made.job).steps[0]
    assert (step.check, step.chaplets, step.vents, step.lift_kgf, step.lift_points, step.caution) == (None,) * 6
    assert step.weight_kg == pytest.approx(3.2)  # 2.0 dm3 of core sand at 1.6 kg/dm3


def test_the_check_of_a_step_is_in_the_mould_not_in_the_casting(made: Kit) -> None:
    kit_edit.set_core_detail(
        made.record, made.job, made.core[2], template="T-1", check_feature_id=made.feature["F1"].id
    )
    check = kit_sheet.setting_sheet(made.record, made.job).steps[1].check
    # wall 7 to 9 of the casting, contraction 1.0 % of the casting: 7.07 to 9.09 between the cores
    assert (check.template, check.lower_mm, check.upper_mm) == ("T-1", pytest.approx(7.07), pytest.approx(9.09))
    kit_edit.set_core_detail(made.record, made.job, made.core[2], check_lower=7.5, check_upper=8.5)
    check = kit_sheet.setting_sheet(made.record, made.job).steps[1].check
    assert (check.lower_mm, check.upper_mm) == (7.5, 8.5)


def test_pictures_come_with_where_their_bytes_lie(made: Kit, tmp_path: Path) -> None:
    file = tmp_path / "one.png"
    file.write_bytes(drawn(1))
    kit_edit.attach(made.record, file, CORE.number, made.core[1].of_id, "from above")
    (photo,) = kit_sheet.setting_sheet(made.record, made.job).steps[0].photos
    assert (photo.media, photo.caption, photo.path.read_bytes()) == ("image/png", "from above", drawn(1))
    photo.path.unlink()
    assert kit_sheet.setting_sheet(made.record, made.job).steps[0].photos[0].path is None


def test_what_speaks_against_the_kit_stands_on_its_sheet(made: Kit) -> None:
    made.read("box 1", {"K2-S": 39.0})
    made.read("box 2", {"K2-P": 40.0})
    assert any("does not go" in text for text in kit_sheet.setting_sheet(made.record, made.job).not_proven)


def test_every_tool_gets_a_label_with_a_code_of_its_own(made: Kit) -> None:
    labels = kit_sheet.labels(made.record, made.job)
    assert {one.label for one in labels} == set(made.tool)
    assert len({one.code for one in labels}) == len(labels)
    one = next(x for x in labels if x.label == "box 1")
    assert one.code.startswith("TK-1 | box 1 | ")
    assert (one.core, one.core_name, one.kind) == (1, "core 1", "box")


def test_the_come_back_sheet_asks_for_core_sizes_checks_and_remarks(made: Kit) -> None:
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("stick 1", "box 1"), 19.0, 21.0)
    kit_edit.set_core_detail(made.record, made.job, made.core[1], template="T-1", check_lower=1.0, check_upper=2.0)
    sheet = kit_sheet.come_back(made.record, made.job)
    rows = [(r.kind, r.core, r.balloon) for r in sheet.rows]
    assert rows == [
        ("core size", 1, "K1-P"),
        ("core size", 1, "K2-S"),
        ("core size", 1, "W"),
        ("check", 1, None),
        ("remark", 1, None),
        ("core size", 2, "K2-P"),
        ("remark", 2, None),
    ]
    wanted = next(r for r in sheet.rows if r.balloon == "W")
    assert wanted.wanted_mm == pytest.approx(20.2)


def test_a_job_without_cores_has_papers_that_say_so(tmp_path: Path) -> None:
    from tests.worlds.kit_jobs import begin

    with Record.open(tmp_path / "none.db", create=True) as record:
        made = begin(record)
        sheet = kit_sheet.setting_sheet(record, made.job)
        assert (sheet.steps, sheet.order_sentence) == ((), "no cores yet")
        assert kit_sheet.come_back(record, made.job).rows == ()
        assert kit_sheet.labels(record, made.job) == ()
