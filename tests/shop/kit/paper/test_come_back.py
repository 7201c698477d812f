"""The sheet that comes back from the foundry: what it asks for."""

from __future__ import annotations

import pytest

from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.paper.come_back import come_back, edition_of, line_of
from tests.shop.kit.paper.test_papers import made  # noqa: F401  a fixture
from tests.worlds.kit_jobs import Kit


def test_the_come_back_sheet_asks_for_core_sizes_checks_and_remarks(made: Kit) -> None:
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("stick 1", "box 1"), 19.0, 21.0)
    edit.set_core_detail(made.record, made.job, made.core[1], template="T-1", check_lower=1.0, check_upper=2.0)
    sheet = come_back(made.record, made.job)
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


def test_the_mark_of_an_edition_follows_what_stands_on_the_sheet(made: Kit) -> None:
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.0, 21.0)
    sheet = come_back(made.record, made.job)
    assert len(sheet.edition) == 13 and sheet.edition == come_back(made.record, made.job).edition
    lines = [line_of(r.kind, r.core, r.what, r.balloon, r.wanted_mm, r.lower_mm, r.upper_mm) for r in sheet.rows]
    assert edition_of("tk-1 ", lines) == sheet.edition  # case and blanks are nothing
    assert edition_of("TK-2", lines) != sheet.edition and edition_of("TK-1", lines[::-1]) != sheet.edition
    assert line_of("check", None, " throat  (T) ", None, None, 1.0004, -0.0) == "check||throat (t)|||1.000|0.000"
    edit.set_core_detail(made.record, made.job, made.core[2], check_name="neck", check_lower=1.0)
    assert come_back(made.record, made.job).edition != sheet.edition
