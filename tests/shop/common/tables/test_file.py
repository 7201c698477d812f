"""Files as grids of texts: kinds, encodings, separators, limits; what is no table is said, and nothing is waited for."""

from __future__ import annotations

import os
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import InspectError, NoTable
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.common.tables.file import Grid, Limits
from tests.worlds import tables


@pytest.fixture
def grid(tmp_path: Path):
    """Write bytes to a file and read it."""

    def go(content: bytes | str, name: str = "f.csv", **how: object) -> Grid:
        (tmp_path / name).write_bytes(content.encode() if isinstance(content, str) else content)
        return table_file.read(tmp_path / name, **how)  # type: ignore[arg-type]

    return go


ROWS = (("Casting", "F2"), ("C1", "40.1"), ("C2", "7"))
KINDS = {
    "commas": b"Casting,F2\nC1,40.1\nC2,7\n",
    "semicolons": b"Casting;F2\r\nC1;40.1\r\nC2;7\r\n",
    "tabs": b"Casting\tF2\nC1\t40.1\nC2\t7\n",
    "bars": b"Casting|F2\rC1|40.1\rC2|7",
    "UTF-8 with its mark": b"\xef\xbb\xbfCasting,F2\nC1,40.1\nC2,7\n",
    "UTF-16": "Casting\tF2\nC1\t40.1\nC2\t7\n".encode("utf-16"),
    "XLSX": tables.xlsx(["Casting", "F2"], ["C1", 40.1], ["C2", 7]),
    "ODS": tables.ods(["Casting", "F2"], ["C1", 40.1], ["C2", 7]),
    "XLS": tables.xls(["Casting", "F2"], ["C1", 40.1], ["C2", 7]),
}


@pytest.mark.parametrize("content", KINDS.values(), ids=KINDS)
def test_every_kind_of_file_gives_the_same_rows_whatever_it_is_called(grid, content: bytes) -> None:
    for name in ("f.csv", "f.xlsx", "f"):
        seen = grid(content, name)
        assert (seen.rows, seen.lines, seen.width) == (ROWS, (1, 2, 3), 2)


def test_text_that_older_programs_write_is_read_and_said(grid) -> None:
    seen = grid("Größe;F2\nC1;40,1\n".encode("cp1252"))
    assert seen.rows[0][0] == "Größe"
    assert seen.remarks == ("line 1 is not UTF-8: read as Windows-1252, as older files are",)
    assert grid("Größe;F2\nC1;40,1\n").remarks == ()


SEPARATED = {
    "a title above the heads": ("Stove box\n\nCasting;F2\nC1;40,1\n", ";"),
    "decimal commas beside semicolons": ("Casting;F2;F3\nC1;40,1;210,2\nC2;40,2;210,3\n", ";"),
    "one column of decimal commas": ("width\n59,66\n59,6\n", ""),
    "a comma in quotation marks": ('name;"a, b, c"\nx;1\n', ";"),
    "remarks are not asked": ("# a;b;c;d\nCasting,F2\nC1,40.1\n", ","),
    "one column of words": ("note\nfine\n", ""),
}


@pytest.mark.parametrize("text, separator", SEPARATED.values(), ids=SEPARATED)
def test_cells_are_parted_by_what_parts_the_lines_alike(text: str, separator: str) -> None:
    assert table_file.of_text(text).separator == separator


def test_where_the_first_line_names_the_columns_nothing_else_parts_the_others() -> None:
    text = "note\na, b\nc, d\n"
    assert table_file.of_text(text).rows[1] == ("a", "b")
    assert table_file.of_text(text, headed=True).rows == (("note",), ("a, b",), ("c, d",))


def test_a_line_of_separators_is_empty_and_under_headings_one_whose_readings_lack() -> None:
    text = "a;b\n;\n\n1;2\n"
    assert table_file.of_text(text).lines == (1, 4)
    assert table_file.of_text(text, headed=True).rows == (("a", "b"), (), ("1", "2"))
    assert table_file.of_text(text, headed=True).lines == (1, 2, 4)


def test_a_cell_in_quotation_marks_may_go_over_lines_and_lines_keep_their_numbers() -> None:
    seen = table_file.of_text('a,b\n\n1,"two\nlines"\n\n#8,9\n3,4\n')
    assert seen.rows == (("a", "b"), ("1", "two lines"), ("3", "4"))
    assert seen.lines == (1, 3, 7)
    assert seen.remarks == ("line 6 begins with # and counted as a remark: left out",)


def test_a_hash_begins_a_remark_in_text_and_a_serial_in_a_workbook(grid) -> None:
    assert grid("a,b\n#7,1\n8,2\n").lines == (1, 3)
    assert grid(tables.xlsx(["a", "b"], ["#7", 1])).rows[1] == ("#7", "1")


def test_control_characters_are_taken_out_and_said_with_their_place(grid) -> None:
    seen = grid("a;b\n1;4\x1b[31m0.1\n2;x\ty\n")
    assert seen.rows[1:] == (("1", "4[31m0.1"), ("2", "x y"))
    assert seen.steered == frozenset({(2, 1)})
    assert seen.remarks == ("control characters were taken out of line 2",)


WRONG = {
    "nothing": (b"", "f.csv is empty. Was it saved, and is it the right file?"),
    "only separators": (b"\n ;;\n", "f.csv is empty."),
    "a remark only": (b"# nothing\n", "f.csv is empty."),
    "an empty workbook": (tables.xlsx(), "f.csv is empty."),
    "bytes of a program": (b"\x7fELF\2\1\0\0abc", "no text and no workbook: line 1 holds bytes that no text has"),
    "UTF-16 without its mark": ("Casting\tF2\n".encode("utf-16-le"), "Save it as CSV (UTF-8) or XLSX."),
    "a document": (b"%PDF-1.7\nabc\n", "is a document, not a table. Save the readings as CSV or XLSX."),
    "an open quotation mark": (b'a,b\n"c,1\n', "line 2 of f.csv cannot be taken apart. Is a quotation mark left open"),
    "very wide": (b"h;" * 2999 + b"h\n", "line 1 of f.csv has 3000 cells; 2000 are the most. Cut the file into parts."),
}


@pytest.mark.parametrize("content, say", WRONG.values(), ids=WRONG)
def test_what_is_no_table_is_said(grid, content: bytes, say: str) -> None:
    with pytest.raises(NoTable) as problem:
        grid(content)
    assert say in str(problem.value)
    assert problem.value.told("Nothing was added.").startswith(f"{problem.value.wrong} Nothing was added.")


def test_what_is_no_file_is_not_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "link.csv").symlink_to(tmp_path / "gone.csv")
    for path, sentence in {
        tmp_path / "pipe.csv": "is a pipe or a device, not a file",
        Path("/dev/zero"): "is a pipe or a device, not a file",
        tmp_path / "folder.csv": "is a folder. Name a file in it.",
        tmp_path / "link.csv": "There is no file",
        tmp_path / "a\nb\x1b[2J.csv": r"a b\[2J\.csv\. Check its name",
        tmp_path / ("x" * 300): "File name too long",
        tmp_path / "nul\0.csv": "cannot be",
    }.items():
        for look in (table_file.read, table_file.sheets):
            with pytest.raises(NoTable, match=sentence) as refused:
                look(path)
            assert "\x1b" not in str(refused.value)
    (tmp_path / "mine.csv").write_text("x")

    def forbidden(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", forbidden)  # root may read everything
    with pytest.raises(NoTable, match=r"There is no right to read .*mine\.csv.*Ask its owner"):
        table_file.read(tmp_path / "mine.csv")


def test_a_file_that_is_gone_once_it_was_opened_is_read_all_the_same(grid, tmp_path: Path, monkeypatch) -> None:
    real = table_file._decoded

    def vanish(raw: bytes, name: str):
        (tmp_path / "f.csv").unlink()
        return real(raw, name)

    monkeypatch.setattr(table_file, "_decoded", vanish)
    assert grid("Casting;F2\nC1;40,1\n").rows == (("Casting", "F2"), ("C1", "40,1"))


# ------------------------------------------------------------------------------ limits
SMALL = Limits(1_000, 20, 3)


def test_too_many_lines_are_counted_and_not_kept(grid, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table_file, "_decoded", lambda *_: pytest.fail("the file was read"))
    with pytest.raises(NoTable, match=r"has 31 rows; 20 are the most that are taken in at once\. Cut it into parts"):
        grid("Casting,F2\n" + "C1,40.1\n" * 30, limits=SMALL)


@pytest.mark.parametrize("make", [tables.xlsx, tables.ods, tables.xls])
def test_a_workbook_with_too_many_rows_is_refused(grid, make) -> None:
    with pytest.raises(NoTable, match="more than 20 rows; 20 are the most"):
        grid(make(["Casting", "F2"], *([f"C{n}", 1.0] for n in range(50))), limits=Limits(1_000_000, 20, 3))


def test_too_many_bytes_and_columns_are_refused(grid) -> None:
    with pytest.raises(NoTable, match=r"f\.csv is larger than 0 MB\. Cut it into smaller files"):
        grid("Casting,F2\n" * 200, limits=SMALL)
    with pytest.raises(NoTable, match=r"line 2 of f\.csv has 4 cells; 3 are the most"):
        grid(tables.xlsx(["a"], ["1", "2", "3", "4"]), limits=Limits(1_000_000, 20, 3))


def test_whoever_waits_hears_how_far_it_is_and_may_leave(grid) -> None:
    class _Left(Exception):
        pass

    def leave(what: str, done: int, of: int) -> None:
        heard.append((what, done))
        if done:
            raise _Left

    heard: list[tuple[str, int]] = []
    with pytest.raises(_Left):
        grid("a,b\n" + "C1,1\n" * 2_500, watch=leave)
    assert heard == [("read", 0), ("read", 2_000)]


# ------------------------------------------------------------------------------ sheets
def test_sheets_are_named_chosen_and_those_left_out_are_said(grid, tmp_path: Path) -> None:
    def more(book) -> None:
        book.create_sheet("Second").append(["b"])
        book.create_sheet("Away").sheet_state = "hidden"

    assert grid("a\n1\n").sheet == ""
    assert table_file.sheets(tmp_path / "f.csv") == []
    seen = grid(tables.xlsx(["a"], ["1"], also=more))
    assert table_file.sheets(tmp_path / "f.csv") == ["Sheet", "Second"]
    assert (seen.sheet, seen.remarks) == ("Sheet", ("only sheet Sheet was read, not Second",))
    second = table_file.read(tmp_path / "f.csv", " second ")
    assert (second.sheet, second.rows, second.remarks) == ("Second", (("b",),), ())
    with pytest.raises(NoTable, match=r"f\.csv has no sheet Third; it has: Sheet, Second, Away\."):
        table_file.read(tmp_path / "f.csv", "Third")
    with pytest.raises(NoTable, match=r"is plain text and has no sheets\. Leave the sheet Second out"):
        grid("a\n1\n", sheet="Second")


# ------------------------------------------------------------------------------ any bytes
@given(st.binary(max_size=400))
@settings(max_examples=150, deadline=None)
def test_no_bytes_make_the_reading_of_a_file_fail_without_a_sentence(tmp_path_factory, content: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(content)
    try:
        seen = table_file.read(path)
    except InspectError as problem:
        assert str(problem)
    else:
        assert seen.rows
        assert not any(unicodedata.category(letter) == "Cc" for row in seen.rows for cell in row for letter in cell)


def test_reading_text_loads_no_library_for_workbooks(tmp_path: Path) -> None:
    (tmp_path / "f.csv").write_text("a,b\n1,2\n")
    code = (
        f"import sys; from inspect_tui.shop.common.tables import columns; columns.read({str(tmp_path / 'f.csv')!r});"
        "print([name for name in ('python_calamine', 'openpyxl', 'numpy') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_every_sheet_that_holds_anything_comes_in_one_go(tmp_path: Path) -> None:
    import xlsxwriter

    with xlsxwriter.Workbook(tmp_path / "b.xlsx") as book:
        for name, cells in (("cores", ("number", 3)), ("empty", ()), ("tools", ("label", "box 1"))):
            page = book.add_worksheet(name)
            page.write_column(0, 0, cells)
    grids = table_file.every(tmp_path / "b.xlsx")
    assert [(grid.sheet, grid.rows) for grid in grids] == [
        ("cores", (("number",), ("3",))),
        ("tools", (("label",), ("box 1",))),
    ]
    (tmp_path / "c.csv").write_text("a;b\n1;2\n")
    assert [grid.rows for grid in table_file.every(tmp_path / "c.csv")] == [(("a", "b"), ("1", "2"))]
