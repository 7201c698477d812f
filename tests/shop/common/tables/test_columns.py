"""Columns of a CSV file as spreadsheets and gauges write them; what is wrong is told by line and column."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.shop.common.tables import columns as table_columns


def take(text: str, name: str = "width", unit: str | None = None) -> table_columns.Column:
    return table_columns.column(table_columns.parse(text, "sizes.csv"), name, unit)


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("width\n59.66\n59.6\n", [59.66, 59.6]),
        ("width\r\n59.66\r\n59.6", [59.66, 59.6]),
        ("nr,width\n1,59.66\n2,59.6\n", [59.66, 59.6]),
        ("nr;width\n1;59,66\n2;59,6\n", [59.66, 59.6]),
        ("nr\twidth\n1\t59,66\n2\t59.0\n3\t59,6\n".replace("59.0", "59"), [59.66, 59.0, 59.6]),
        ('nr,width\n1,"59,66"\n2,"59,6"\n', [59.66, 59.6]),
        ("width\n59,66\n59,6\n", [59.66, 59.6]),
        ("# from the gauge\nwidth\n\n59.66\n# zero shifted here\n59.6\n", [59.66, 59.6]),
        ('"width","what"\n59.66,"with a, comma"\n59.6,"two\nlines"\n', [59.66, 59.6]),
        ("width\n5.966e1\n+59.6\n", [59.66, 59.6]),
        ("\ufeffwidth\n59.66\n59.6\n".lstrip("\ufeff"), [59.66, 59.6]),
        ("width\n\u22125\n-5.5\n", [-5.0, -5.5]),
        ("Width [mm],other\n59.66,1\n59.6,2\n", [59.66, 59.6]),
    ],
)
def test_figures_are_read_whatever_separates_them(text: str, values: list[float]) -> None:
    assert list(take(text).values) == values


def test_an_empty_cell_is_missing_and_not_zero() -> None:
    found = take("nr,width\n1,59.66\n2,\n3,  \n4\n5,59.6\n")
    assert list(found.values) == [59.66, 59.6] and found.missing == 3 and found.rows == (0, 4)


def test_labels_stand_beside_their_readings() -> None:
    table = table_columns.parse("width,person\n59.66,AB\n,CD\n59.6,\n59.7,EF\n", "sizes.csv")
    column = table_columns.column(table, "width")
    assert table_columns.labels(table, "person", column.rows) == ["AB", None, "EF"]


@pytest.mark.parametrize(
    ("text", "say"),
    [
        ("nr,length\n1,59.66\n", "There is no column width in sizes.csv; its columns are: nr, length."),
        ("nr,widht\n1,59.66\n", "Nearest: widht."),
        ("59.66,60.1\n59.6,60.2\n", "They are figures: is the line of headings missing?"),
        ("width,width\n1,2\n", "has 2 columns called width"),
        ("width\n59.66\nnan\n", "line 3 of sizes.csv: nan under width is not a size; leave the cell empty"),
        ("width\n59.66\ninf\n", "inf under width is not a size"),
        ("width\n1e999\n", "1e999 under width is not a size"),
        ("width\n5\n1e308\n", "line 3 of sizes.csv: 1e308 under width is no measured size"),
        ("width\n-1e154\n5\n", "line 2 of sizes.csv: -1e154 under width is no measured size"),
        ("width\n1e-300\n", "line 2 of sizes.csv: 1e-300 under width is no measured size"),
        ("width\nabc\n", "line 2 of sizes.csv: abc under width is not a number"),
        ("width\n-\n", "- under width is not a number; leave the cell empty"),
        ("width\n59.66 in\n", "59.66 in under width carries a unit of its own"),
        ("width [kg]\n2.35in\n", "The heading is in kg."),
        ("nr;width\n1;59,66\n2;59.7\n", "holds a decimal point (line 3) and a decimal comma (line 2)"),
        ("nr,width\n1,59,66\n", "line 2 of sizes.csv has 3 cells under 2 headings. If commas are decimal marks"),
        ('nr,width\n1,"59.66\n2,59.7\n', "Is a quotation mark left open there?"),
        ("", "sizes.csv is empty"),
        ("# only a remark\n\n", "sizes.csv is empty"),
        ("width\n1.234.567\n", "1.234.567 under width is not a number"),
    ],
)
def test_what_is_wrong_is_said_in_a_sentence(text: str, say: str) -> None:
    with pytest.raises(DataError) as wrong:
        take(text)
    assert say in str(wrong.value)


def test_inches_are_given_in_mm_when_asked() -> None:
    found = take("width [in]\n2\n0.5\n", unit="mm")
    assert list(found.values) == [50.8, 12.7] and found.unit == "mm"
    assert found.remarks == ("column width is in in; the figures are given in mm",)
    assert take("width [in]\n2\n").unit == "in"


@pytest.mark.parametrize(
    ("text", "unit", "say"),
    [
        ("width [kg]\n2\n", "mm", "is in kg, which is not a length to be told in mm"),
        ("width [deg]\n2\n", "mm", "is in deg, which is not a length"),
        ("width\n2\n", "furlongs", "furlongs is no unit known here"),
    ],
)
def test_a_wrong_unit_is_said(text: str, unit: str, say: str) -> None:
    with pytest.raises(DataError, match=say):
        take(text, unit=unit)


def test_a_unit_that_the_file_does_not_say_is_taken_as_told() -> None:
    found = take("width\n2\n", unit="in")
    assert found.unit == "in" and list(found.values) == [2.0] and found.remarks == ()


def test_files_that_are_none(tmp_path: Path) -> None:
    for path, say in ((tmp_path / "no.csv", "There is no file"), (tmp_path, "is a folder")):
        with pytest.raises(DataError, match=say):
            table_columns.read(path)
    picture = tmp_path / "p.png"
    picture.write_bytes(b"\x89PNG\0\0")
    with pytest.raises(DataError, match="is no text"):
        table_columns.read(picture)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_what_older_programs_write_is_read(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "x.csv"
    path.write_bytes("größe;width\nü;59,66\n".encode(encoding))
    table = table_columns.read(path)
    assert table.headings == ("größe", "width") and list(table_columns.column(table, "width").values) == [59.66]


SIZES = st.floats(-9e4, 9e4).filter(lambda v: not v or abs(v) > 1e-99)


@given(
    st.lists(st.one_of(st.none(), SIZES), min_size=1, max_size=30),
    st.sampled_from(";\t,"),
    st.booleans(),
)
def test_what_a_writer_writes_comes_back_to_the_last_digit(
    values: list[float | None], separator: str, comma: bool
) -> None:
    """Python's own csv module writes; the shortest text of a float is read back as the same float."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator)
    writer.writerow(["nr", "width"])
    for i, value in enumerate(values):
        text = "" if value is None else repr(value)
        writer.writerow([i, text.replace(".", ",") if comma else text])
    found = take(out.getvalue())
    assert list(found.values) == [v for v in values if v is not None]
    assert found.missing == values.count(None)


@given(st.text(max_size=200), st.text(min_size=1, max_size=10))
def test_any_text_gives_figures_or_a_sentence(text: str, name: str) -> None:
    try:
        found = take(text, name)
    except DataError as wrong:
        assert len(str(wrong)) > 10
    else:
        assert all(abs(v) < float("inf") for v in found.values)


@pytest.mark.parametrize(
    "heading, cell, value",
    [
        ("width", "1 000", 1000.0),
        ("width", "12 1/2", 12.5),
        ("width", "1e3", 1000.0),
        ("width", "1 250,5", 1250.5),
        ("width [mm]", "1/2 in", 12.7),
        ("width [mm]", "12,5 mm", 12.5),
        ("width [in]", "12,7 mm", 0.5),
        ("angle [deg]", "12°30'", 12.5),
    ],
)
def test_a_cell_is_read_as_it_would_be_typed(heading: str, cell: str, value: float) -> None:
    table = table_columns.parse(f"{heading}\tx\n{cell}\t1\n")
    assert table_columns.column(table, heading.split()[0]).values[0] == value


def test_a_unit_of_another_kind_or_none_to_compare_with_is_refused() -> None:
    for heading, cell in (("width", "12,5 mm"), ("width [mm]", "3 kg"), ("load [N]", "3 mm"), ("width [mm]", "5; 6")):
        table = table_columns.parse(f"{heading}\tx\n{cell}\t1\n")
        with pytest.raises(DataError, match="under"):
            table_columns.column(table, heading.split()[0])
