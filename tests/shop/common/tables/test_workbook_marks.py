"""What the reading library passes over: formulas, errors, hidden rows, cells in the last corner, packed bombs."""

from __future__ import annotations

import sys
import zipfile
from io import BytesIO

import pytest

from inspect_tui.errors import NoTable
from inspect_tui.shop.common.tables import workbook, workbook_marks
from inspect_tui.shop.common.tables.workbook import Sheet
from inspect_tui.shop.common.tables.workbook_marks import letters, lines
from tests.operations import calls
from tests.worlds import tables

SHEET = "xl/worksheets/sheet1.xml"


def sheet(raw: bytes) -> Sheet:
    return workbook.read(raw, "f.xlsx", None)


def rows(raw: bytes) -> list[list[str]]:
    """The rows without what is empty behind the last cell."""
    return [" ; ".join(row).rstrip(" ;").split(" ; ") for _, row in sheet(raw).rows]


def with_xml(cells: str) -> bytes:
    """A workbook whose sheet holds this sheetData."""
    xml = f'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{cells}</sheetData></worksheet>'
    return tables.changed(tables.xlsx(["a"]), SHEET, lambda _: xml.encode())


# ------------------------------------------------------------------------------ formulas and errors
def test_a_formula_whose_value_was_not_saved_arrives_as_its_text() -> None:
    raw = tables.xlsx(["head", "=A1*2"], [1, "=SUM(A2:A2)"], [None, None], ["=1+1"])
    assert rows(raw) == [["head", "=A1*2"], ["1", "=SUM(A2:A2)"], ["=1+1"]]


def test_shared_formulas_are_written_out_by_the_second_opinion_and_are_formulas_without_it(monkeypatch) -> None:
    cells = (
        '<row r="1"><c r="A1"><v>1</v></c><c r="B1"><f t="shared" ref="B1:B2" si="0">A1*2</f></c></row>'
        '<row r="2"><c r="A2"><v>2</v></c><c r="B2"><f t="shared" si="0"/><v/></c></row>'
    )
    raw = with_xml(cells)
    assert rows(raw) == [["1", "=A1*2"], ["2", "=A2*2"]]
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    assert rows(raw) == [["1", "=A1*2"], ["2", "="]]


def test_a_formula_whose_value_was_saved_is_that_value_and_said() -> None:
    cells = (
        '<row r="1"><c r="A1"><f>2*20.05</f><v>40.1</v></c><c r="B1" t="str"><f>"C"&amp;1</f><v>C1</v></c>'
        '<c r="C1" t="str"><f>IF(1,"")</f><v></v></c></row>'
    )
    seen = sheet(with_xml(cells))
    assert [row for _, row in seen.rows] == [["40.1", "C1", ""]]
    assert seen.remarks == ("3 cells hold formulas: the value that was saved with it was read",)


def test_an_error_is_no_empty_cell() -> None:
    assert rows(tables.xlsx(["a", "b"], ["#DIV/0!", 1], [2, "#N/A"])) == [["a", "b"], ["#DIV/0!", "1"], ["2", "#N/A"]]
    assert rows(
        with_xml('<row r="1"><c r="A1"><v>1</v></c></row><row r="3"><c r="C3" t="e"><v>#REF!</v></c></row>')
    ) == [
        ["1"],
        ["", "", "#REF!"],
    ]
    error = '<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="" calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell>'
    unsaved = '<table:table-cell table:formula="of:=[.A1]*2"/>'
    saved = '<table:table-cell table:formula="of:=40.1" office:value-type="float" office:value="40.1"/>'
    seen = sheet(tables.ods(["a", "b", "c"], body=f"<table:table-row>{error}{unsaved}{saved}</table:table-row>"))
    assert [row for _, row in seen.rows] == [["a", "b", "c"], ["#DIV/0!", "=[.A1]*2", "40.1"]]
    assert seen.remarks == ("1 cell holds a formula: the value that was saved with it was read",)


def test_an_error_without_words_is_one_all_the_same() -> None:
    assert rows(with_xml('<row r="1"><c r="A1"><v>1</v></c><c r="B1" t="e"><v></v></c></row>')) == [["1", "#ERROR"]]


def test_errors_and_formulas_that_are_repeated_stand_in_each_of_their_cells() -> None:
    error = '<table:table-cell office:value-type="string" calcext:value-type="error" table:number-columns-repeated="2"><text:p>#N/A</text:p></table:table-cell>'
    unsaved = '<table:table-cell table:formula="of:=1" table:number-columns-repeated="2"/>'
    row = f'<table:table-row table:number-rows-repeated="2">{error}{unsaved}</table:table-row>'
    assert rows(tables.ods(["a"], body=row + row)) == [["a"], *[["#N/A", "#N/A", "=1", "=1"]] * 4]


@pytest.mark.parametrize("quote", ['"', "'"])
def test_marks_are_found_however_the_xml_is_spelled(quote: str) -> None:
    cells = '<x:row r="1"><x:c t="e" s="0" r="B1"><x:v>#N/A</x:v></x:c><x:c  r = "C1" ><x:f>A1</x:f></x:c></x:row>'
    xml = f'<x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><x:sheetData>{cells}</x:sheetData></x:worksheet>'
    raw = tables.changed(tables.xlsx(["a"]), SHEET, lambda _: xml.replace('"', quote).encode())
    assert rows(raw) == [["", "#N/A", "=A1"]]


def test_hidden_rows_are_read_and_said() -> None:
    def hide(book) -> None:
        for line in (2, 3, 4, 6):
            book.active.row_dimensions[line].hidden = True

    seen = sheet(tables.xlsx(*([n] for n in range(1, 8)), also=hide))
    assert len(list(seen.rows)) == 7
    assert seen.remarks == ("lines 2 to 4, 6 are hidden in the sheet: read like the others",)
    row = '<table:table-row table:visibility="collapse">' + tables.ods_cell("x") + "</table:table-row>"
    assert sheet(tables.ods(["a"], body=row)).remarks == ("line 2 is hidden in the sheet: read like the others",)


# ------------------------------------------------------------------------------ the last corner
def test_one_formatted_cell_in_the_last_corner_costs_nothing() -> None:
    """Without a look at which cells hold something there would be room made for 17 thousand million of them."""

    def bold(book) -> None:
        from openpyxl.styles import Font

        book.active.cell(1_048_576, 16_384).font = Font(bold=True)

    def bold_old(book) -> None:
        import xlwt

        book.get_sheet(0).write(65_535, 255, "", xlwt.easyxf("font: bold on"))

    empty = '<table:table-row table:number-rows-repeated="1048574"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    for raw in (
        tables.xlsx(["Casting", "F2"], ["C1", 40.1], also=bold),
        tables.xls(["Casting", "F2"], ["C1", 40.1], also=bold_old),
        tables.ods(["Casting", "F2"], ["C1", 40.1], body=empty),
    ):
        assert list(sheet(raw).rows) == [(1, ["Casting", "F2"]), (2, ["C1", "40.1"])]
        assert calls(lambda raw=raw: list(sheet(raw).rows)) < 20_000  # a million rows would be a call each at least


CELL = "<table:table-cell office:value-type='float' office:value='1' table:number-columns-repeated='{}'/>"
FAR = {
    "a figure in the last corner": tables.xlsx(["a"], also=lambda book: book.active.cell(1_048_576, 16_384, 1)),
    "one beside what is formatted": with_xml(
        '<row r="1"><c r="A1"><v>1</v></c><c r="XFD1048576" s="1"/><c r="XFD1048576"><f/></c></row>'
    ),
    "a row number alone": with_xml(
        '<row r="1"><c r="A1"><v>1</v></c><c r="XFD1"><v>1</v></c></row><row r="1048576"><c><v>1</v></c></row>'
    ),
    "hidden behind a mark": with_xml('<row r="1"><c r="A1"><v>1</v></c><c s=">" r="XFD1048576"><v>1</v></c></row>'),
    "small letters": with_xml('<row r="1"><c r="A1"><v>1</v></c><c r="xfd1048576"><v>1</v></c></row>'),
    "repeated": tables.ods(
        ["a"], body=f"<table:table-row table:number-rows-repeated='1048575'>{CELL.format(16384)}</table:table-row>"
    ),
    "repeated in a sheet that is not asked for": tables.ods(
        ["a"],
        more=f"<table:table table:name='b'><table:table-row table:number-rows-repeated='99999'>{CELL.format(9999)}</table:table-row></table:table>",
    ),
    "words only": tables.ods(
        ["a"],
        body="<table:table-row table:number-rows-repeated='1048574'><table:table-cell/></table:table-row>"
        "<table:table-row><table:table-cell table:number-columns-repeated='16383'/><table:table-cell><text:p>x</text:p></table:table-cell></table:table-row>",
    ),
}


@pytest.mark.parametrize("raw", FAR.values(), ids=FAR)
def test_a_figure_in_the_last_corner_is_refused_before_room_is_made_for_all_between(raw: bytes, monkeypatch) -> None:
    monkeypatch.setattr(workbook, "_rows", lambda *_: pytest.fail("it was read"))
    with pytest.raises(NoTable, match=r"The last cell of f\.xlsx stands in \w+, too far from the first\. Empty what"):
        sheet(raw)


def test_a_wide_and_a_long_sheet_are_no_corner() -> None:
    assert len(rows(tables.xlsx(list(range(1_500))))[0]) == 1_500
    assert rows(tables.xlsx(["a"], also=lambda book: book.active.cell(150_000, 1, "b"))) == [["a"], ["b"]]


# ------------------------------------------------------------------------------ bombs
def test_what_unpacks_to_too_much_is_refused_before_it_is_unpacked(monkeypatch) -> None:
    for raw in (tables.xlsx(["a"] * 50), tables.ods(["a"] * 50)):
        monkeypatch.setattr(workbook_marks, "MOST_UNPACKED", 300)
        with pytest.raises(NoTable, match=r"f\.xlsx unpacks to 0 MB\. Cut it into smaller files"):
            sheet(raw)


def test_what_is_not_asked_for_is_not_unpacked(monkeypatch) -> None:
    raw = tables.xlsx(["a"], also=lambda book: [book.create_sheet("big").append(["x" * 30_000]) for _ in range(3)])
    monkeypatch.setattr(workbook_marks, "MOST_UNPACKED", 20_000)
    assert rows(raw) == [["a"]]
    with pytest.raises(NoTable, match="unpacks to"):
        workbook.read(raw, "f", "big")


def test_a_member_that_lies_about_its_size_is_damaged() -> None:
    raw = bytearray(with_xml("<row>" + " " * 100_000 + '<c r="A1"><v>1</v></c></row>'))
    with zipfile.ZipFile(BytesIO(bytes(raw))) as packed:
        size = packed.getinfo(SHEET).file_size
    at = raw.rindex(SHEET.encode()) - 46 + 24  # in the central directory: the length before it was packed
    assert int.from_bytes(raw[at : at + 4], "little") == size
    raw[at : at + 4] = (500).to_bytes(4, "little")
    with pytest.raises(NoTable, match="is cut off or damaged"):
        sheet(bytes(raw))


def test_a_second_member_of_the_same_name_is_not_the_one_that_was_looked_at() -> None:
    out = BytesIO(tables.xlsx(["a"]))
    with zipfile.ZipFile(out, "a") as packed, pytest.warns(UserWarning, match="Duplicate name"):
        packed.writestr(
            SHEET,
            "<worksheet xmlns='http://schemas.openxmlformats.org/spreadsheetml/2006/main'><sheetData><row r='1'><c r='A1'><v>2</v></c></row></sheetData></worksheet>",
        )
    with zipfile.ZipFile(BytesIO(workbook_marks.packed(out.getvalue(), "f").repacked("Sheet"))) as given:
        assert len(set(given.namelist())) == len(given.namelist())
    assert rows(out.getvalue()) == [["2"]]


@pytest.mark.parametrize("member, raw", [("xl/workbook.xml", tables.xlsx(["a"])), ("content.xml", tables.ods(["a"]))])
def test_entities_are_not_followed(member: str, raw: bytes) -> None:
    bomb = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbb"><!ENTITY c "&b;&b;">]><a>&c;</a>'
    with pytest.raises(NoTable, match="is cut off or damaged"):
        sheet(tables.changed(raw, member, lambda _: bomb))


# ------------------------------------------------------------------------------ words
def test_columns_have_letters_and_lines_stand_in_runs() -> None:
    assert [letters(n) for n in (0, 25, 26, 27, 701, 702, 16_383)] == ["A", "Z", "AA", "AB", "ZZ", "AAA", "XFD"]
    assert lines([3]) == "line 3"
    assert lines([3, 4, 5, 9]) == "lines 3 to 5, 9"
    assert lines([3, 4]) == "lines 3, 4"
    assert lines(range(1, 40, 2)) == "lines 1, 3, 5, 7, 9, 11 and 14 more"
