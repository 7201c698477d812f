"""Values of workbooks as texts, in three kinds; what is damaged, locked or something else is said, never raised."""

from __future__ import annotations

import zipfile
from datetime import date, datetime, time
from io import BytesIO
from random import Random

import pytest

from inspect_tui.errors import InspectError, NoTable
from inspect_tui.shop.common.tables import workbook
from tests.worlds import tables


def rows(raw: bytes, sheet: str | None = None) -> list[tuple[int, list[str]]]:
    return list(workbook.read(raw, "f.xlsx", sheet).rows)


VALUES = [
    ("  spaced ", "  spaced "),
    (40.1, "40.1"),
    (7, "7"),
    (0.1 + 0.2, "0.3"),  # 16 digits hold the rounding of the spreadsheet itself
    (1234.5678901, "1234.5678901"),
    (20250317001234, "20250317001234"),  # a number of a casting
    (-0.05, "-0.05"),
    (True, "TRUE"),
    (date(2026, 3, 16), "2026-03-16"),
    (datetime(2026, 3, 16, 7, 5), "2026-03-16T07:05:00"),
    (time(7, 5), "07:05:00"),
]


@pytest.mark.parametrize("value, text", VALUES)
def test_a_value_arrives_as_it_is_written(value: object, text: str) -> None:
    assert rows(tables.xlsx(["head"], [value]))[1] == (2, [text])


def test_dates_of_openpyxl_and_percentages_keep_their_meaning() -> None:
    def formats(book) -> None:
        for column, kind in enumerate(("0.00%", '0.00" mm"', "#,##0.00", "[Red]0.00"), start=2):
            book.active.cell(1, column).number_format = kind

    assert rows(tables.xlsx(["head", 0.05, 40.1, 1234.5, 2.5], also=formats)) == [
        (1, ["head", "0.05", "40.1", "1234.5", "2.5"])
    ]


def test_rows_and_columns_keep_their_places() -> None:
    def far(book) -> None:
        book.active["C5"] = "c5"
        book.active["B7"] = 2

    assert rows(tables.xlsx(also=far)) == [(5, ["", "", "c5"]), (7, ["", "2", ""])]
    assert rows(tables.ods([None, None], [None, "b2"])) == [(2, ["", "b2"])]
    assert rows(tables.xls([None, None], [None, "b2"])) == [(2, ["", "b2"])]


def test_charts_are_no_sheets_and_hidden_ones_are_read_when_they_are_named() -> None:
    def more(book) -> None:
        book.create_chartsheet("Chart", 0)
        hidden = book.create_sheet("Away")
        hidden.append(["x"])
        hidden.sheet_state = "hidden"

    raw = tables.xlsx(["a"], also=more)
    assert workbook.names(raw, "f") == ["Sheet"]
    assert workbook.read(raw, "f", None).title == "Sheet"
    assert rows(raw, "away") == [(1, ["x"])]


def test_where_every_sheet_is_hidden_all_are_there_to_be_chosen() -> None:
    """Such a file is written by programs only; no sheet would be worse than a hidden one."""
    states = b'state="visible"', b'state="hidden"'
    raw = tables.changed(tables.xlsx(["a"]), "xl/workbook.xml", lambda xml: xml.replace(*states))
    assert (workbook.names(raw, "f"), rows(raw)) == (["Sheet"], [(1, ["a"])])


def test_merged_cells_are_told_in_every_kind() -> None:
    def merge(book) -> None:
        book.active.merge_cells("B2:C3")

    def merge_old(book) -> None:
        book.get_sheet(0).merge(1, 2, 1, 2)

    covered = '<table:table-cell table:number-columns-spanned="2" table:number-rows-spanned="2"/>'
    cells = f"<table:table-row><table:table-cell/>{covered}<table:covered-table-cell/></table:table-row>"
    for raw in (
        tables.xlsx(["a", "b", "c"], also=merge),
        tables.xls(["a", "b", "c"], also=merge_old),
        tables.ods(["a", "b", "c"], body=cells),
    ):
        assert workbook.read(raw, "f", None).merged == ((2, 3, 1, 2),)


# ------------------------------------------------------------------------------ what is none
def half(raw: bytes) -> bytes:
    return raw[: len(raw) // 2]


GOOD = tables.xlsx(["Casting", "F2"], ["C1", 40.1])
ENTRY = '<manifest:file-entry manifest:full-path="content.xml"><manifest:encryption-data/></manifest:file-entry>'
NONE = {
    "locked": (b"\xd0\xcf\x11\xe0" + bytes(600) + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
    "a locked ODS": (tables.ods(["a"], manifest=ENTRY), "locked with a password"),
    "not one at all": (b"\xd0\xcf\x11\xe0" + bytes(600), "is no workbook that can be read: it is cut off or damaged"),
    "a packed text": (tables.packed({"a": "hello"}), "is a packed file, but no XLSX or ODS (it holds a)"),
    "nothing packed": (tables.packed({}), "is a packed file, but no XLSX or ODS (it holds nothing)"),
    "a packed letter": (tables.packed({"[Content_Types].xml": "<Types/>", "word/document": "x"}), "but no XLSX"),
    "a binary workbook": (
        tables.packed({"[Content_Types].xml": "x", "xl/workbook.bin": "x"}),
        "of a binary kind (XLSB)",
    ),
    "a drawing of the same family": (tables.packed({"mimetype": tables.ODS_TYPE[:-11] + "graphics"}), "no XLSX or ODS"),
    "cut off": (GOOD[:900], "is cut off or damaged"),
    "not packed": (b"PK\x03\x04 not a zip", "is cut off or damaged"),
    "a damaged sheet": (tables.changed(GOOD, "xl/worksheets/sheet1.xml", half), "is cut off or damaged"),
    "damaged names": (tables.changed(GOOD, "xl/workbook.xml", half), "is cut off or damaged"),
    "a sheet that leads nowhere": (tables.changed(GOOD, "xl/_rels/workbook.xml.rels", lambda _: b"<a/>"), "damaged"),
    "a damaged ODS": (tables.changed(tables.ods(["a"]), "content.xml", half), "is cut off or damaged"),
}


@pytest.mark.parametrize("raw, say", NONE.values(), ids=NONE)
def test_what_is_no_workbook_is_said(raw: bytes, say: str) -> None:
    with pytest.raises(NoTable) as problem:
        rows(raw)
    assert say in str(problem.value)
    assert problem.value.do


def test_no_damage_of_a_packed_workbook_is_raised_as_anything_but_a_sentence() -> None:
    """Hundreds of workbooks with bytes changed inside; the choice is the same every time."""
    chance = Random(10)
    parts = {"xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/styles.xml", "content.xml"}
    many = [["Casting", "F2"], *([f"C{n}", 40.1 + n] for n in range(5))]

    def changed(data: bytes) -> bytes:
        some = bytearray(data)
        for _ in range(chance.choice((1, 3, 20))):
            some[chance.randrange(len(some))] = chance.choice(b'<>/"= rs0A9&\x00\xff')
        return bytes(some)

    for raw in (tables.xlsx(*many), tables.ods(*many)):
        for _ in range(150):
            with zipfile.ZipFile(BytesIO(raw)) as packed:
                member = chance.choice(sorted(parts & set(packed.namelist())))
            try:
                assert isinstance(rows(tables.changed(raw, member, changed)), list)
            except InspectError as problem:
                assert str(problem)
