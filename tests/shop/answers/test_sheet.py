"""The come-back sheet as people save it: columns moved, commas, UTF-16, heads with units, mistakes all at once."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from inspect_tui.errors import DataError
from inspect_tui.report.kit import view
from inspect_tui.shop.answers import sheet, take_in
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.shop.kit.paper.come_back import come_back
from tests.shop.answers.conftest import FILLED, filled, printed, saved
from tests.worlds.kit_jobs import Kit


def told(path: Path) -> list[tuple[str, int | None, str, str]]:
    answers = take_in.read(path)
    assert answers.wrong == ()
    return [(row.sort, row.core, row.what, row.text) for row in answers.rows]


WHOLE = [
    ("size", 1, "W", "101.3"),
    ("size", 1, "L", "60.58"),
    ("check", 1, "throat (T-1)", "1.42"),
    ("rub", 1, "rubbed, forced, broken?", "key rubbed at the lower end"),
    ("rub", 2, "rubbed, forced, broken?", "no"),
]


def test_the_sheet_is_read_as_printed_however_it_was_saved(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, FILLED)
    assert told(saved(tmp_path / "a.csv", rows)) == WHOLE
    assert told(saved(tmp_path / "b.csv", rows, ";", "utf-16")) == WHOLE
    assert told(saved(tmp_path / "c.txt", rows, "\t", "utf-8-sig")) == WHOLE
    turned = [dict(reversed(row.items())) for row in rows]
    assert told(saved(tmp_path / "d.csv", turned, ";")) == WHOLE
    answers = take_in.read(tmp_path / "a.csv")
    assert (answers.job, answers.rev, answers.edition) == ("TK-1", "A", come_back(kit.record, kit.job).edition)
    assert answers.rows[0].at == "line 4, read_mm" and answers.rows[0].unit == "mm" and answers.rows[2].lower == 1.0
    assert take_in.read(saved(tmp_path / "e.csv", printed(kit))).rows == ()  # nothing is filled in


def test_the_workbook_is_read_as_printed(kit: Kit, tmp_path: Path) -> None:
    path = tmp_path / "sheet.xlsx"
    path.write_bytes(view.come_back_workbook(come_back(kit.record, kit.job)))
    book = openpyxl.load_workbook(path)
    page = book.active
    assert page is not None
    heads = {str(cell.value): cell.column for cell in page[1]}
    for line in page.iter_rows(min_row=2):
        key = (line[heads["core"] - 1].value, line[heads["balloon"] - 1].value or line[heads["what"] - 1].value)
        text = FILLED.get(key)  # type: ignore[arg-type]
        if text is not None:
            column = "remark" if line[heads["kind"] - 1].value == "remark" else "read_mm"
            number = text.replace(".", "").isdigit()
            page.cell(line[0].row, heads[column], float(text) if number else text)
    book.save(path)
    assert told(path) == WHOLE
    assert take_in.read(path).edition == come_back(kit.record, kit.job).edition


def test_units_and_further_columns_are_understood(kit: Kit, tmp_path: Path) -> None:
    rows = [
        {("read [in]" if key == "read_mm" else key): value for key, value in row.items()} for row in filled(kit, {})
    ]
    for row in rows:
        row |= {
            "read [in]": "2.3851" if row["balloon"] == "L" else "",
            "Date": "18.11.2026",
            "Gauge": "",
            "casting": "X",
        }
    answers = take_in.read(saved(tmp_path / "in.csv", rows))
    assert [(row.text, row.unit, row.day) for row in answers.rows] == [("2.3851", "in", "18.11.2026")]


def test_all_mistakes_stand_with_line_and_column(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, FILLED)
    rows[2] |= {"kind": "core sise"}
    rows[3] |= {"core": "three"}
    rows[4] |= {"what": ""}
    rows[0] |= {"read_mm": "60.1", "balloon": ""}
    rows[5] |= {"job": "OTHER"}
    answers = take_in.read(saved(tmp_path / "wrong.csv", rows))
    assert [line.split(":")[0] for line in answers.wrong] == [
        "line 2, balloon",
        "line 4, kind",
        "line 5, core",
        "line 6, what",
        "job",
    ]
    assert "core size" in answers.wrong[1] and answers.wrong[4].endswith("TK-1 (line 2), OTHER (line 7)")


def test_unknown_and_missing_columns_name_the_nearest(kit: Kit, tmp_path: Path) -> None:
    rows = [{("raed_mm" if key == "read_mm" else key): value for key, value in row.items()} for row in filled(kit, {})]
    rows[0]["raed_mm"] = "60.1"
    with pytest.raises(DataError, match="no come-back sheet"):
        take_in.read(saved(tmp_path / "no.csv", rows))
    rows = [{("whta" if key == "what" else key): value for key, value in row.items()} for row in filled(kit, FILLED)]
    rows[1]["more"] = "x"
    wrong = take_in.read(saved(tmp_path / "near.csv", [row | {"more": row.get("more", "")} for row in rows])).wrong
    assert wrong[0] == "line 1: no column what; is it whta?"
    assert wrong[1] == "line 1, whta: the sheet has no such column; is it what?"
    assert wrong[2].startswith("line 1, more: the sheet has no such column")
    twice = [row | {"Reading": "1"} for row in filled(kit, {})]
    assert take_in.read(saved(tmp_path / "twice.csv", twice)).wrong == (
        "line 1: two columns for read: read_mm and Reading",
    )


def test_merged_heads_and_other_files_are_refused(tmp_path: Path, kit: Kit) -> None:
    path = tmp_path / "merged.xlsx"
    path.write_bytes(view.come_back_workbook(come_back(kit.record, kit.job)))
    book = openpyxl.load_workbook(path)
    assert book.active is not None
    book.active.merge_cells("C2:C4")
    book.save(path)
    with pytest.raises(ImportRefused, match="C2:C4 are merged"):
        take_in.read(path)
    (tmp_path / "other.csv").write_text("Casting,F2\nC1,40.1\n")
    with pytest.raises(DataError, match="no come-back sheet: no line"):
        take_in.read(tmp_path / "other.csv")
    assert not sheet.is_sheet(table_file.read(tmp_path / "other.csv"))


def test_an_apostrophe_that_keeps_a_formula_away_is_no_part_of_the_text(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, FILLED)
    rows[5] |= {"remark": "'=rubbed", "core": "'1"}
    answers = take_in.read(saved(tmp_path / "a.csv", rows))
    assert [row.text for row in answers.rows if row.sort == "rub"] == ["=rubbed", "no"] and answers.wrong == ()


def test_a_line_that_a_comma_cut_in_two_is_told(kit: Kit, tmp_path: Path) -> None:
    path = saved(tmp_path / "cut.csv", filled(kit, FILLED))
    path.write_text(path.read_text().replace(",101.3,", ",101,3,"))
    (wrong,) = take_in.read(path).wrong
    assert wrong.startswith("line 4: 15 cells under 14 heads; where commas are decimal marks")
