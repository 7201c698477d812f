"""What is said of a file that cannot be taken in: what was wrong, that nothing was added, and what to do."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from inspect_tui import cli
from inspect_tui.commands.todo import said
from inspect_tui.errors import DataError
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake import take_in as imports
from inspect_tui.shop.intake.review import review
from inspect_tui.shop.intake.rows import ImportRefused, Options
from inspect_tui.todo import Todo
from tests.conftest import TODAY, SmallShop
from tests.operations import calls

BY = Options(by="AB", instrument="caliper 1")


def sheet(*rows: list[object]) -> bytes:
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def packed(**members: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, text in members.items():
            made.writestr(name.replace("__", "/").replace("_TYPES", "[Content_Types].xml"), text)
    return out.getvalue()


def broken_sheet() -> bytes:
    """A workbook whose only sheet ends in the middle of its XML."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(sheet(["Casting", "F2"], ["C1", 40.1]))) as a, zipfile.ZipFile(out, "w") as b:
        for info in a.infolist():
            data = a.read(info.filename)
            b.writestr(info.filename, data[: len(data) // 2] if "sheet1" in info.filename else data)
    return out.getvalue()


@pytest.fixture
def taken(shop: SmallShop, tmp_path: Path) -> Callable[..., imports.TakenIn]:
    job = find.job(shop.record, "PB-12")
    open_round(shop.record, job, "S1", ["C1", "C2"])

    def go(content: str | bytes, name: str = "f.csv", label: str = "S1", **options: object) -> imports.TakenIn:
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        given = Options(**({"by": "AB", "instrument": "caliper 1"} | options))  # type: ignore[arg-type]
        return imports.take_in(shop.record, job, path, label, given, TODAY)

    return go


def nothing_was_written(shop: SmallShop) -> bool:
    counts = shop.record.counts()
    return not any(counts[name] for name in ("reading", "import_file", "import_mapping", "session"))


def value(shop: SmallShop, serial: str, balloon: str) -> float | None:
    job = find.job(shop.record, "PB-12")
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    return sampling.cell(sampling.feature(balloon), sampling.casting(serial)).value


# ------------------------------------------------------------------------------ the file itself
FILES: dict[str, tuple[bytes, str, str]] = {
    "empty": (b"", "f.csv is empty.", "Was it saved, and is it the right file?"),
    "only separators": (b"\n ;;\n", "f.csv is empty.", "Was it saved"),
    "bytes of a program": (
        b"\x7fELF\2\1\0\0abc",
        "line 1 holds bytes that no text has",
        "Save it as CSV (UTF-8) or XLSX",
    ),
    "a NUL far down": (b"Casting;F2\n" * 800 + b"C1;40\x00.1\n", "line 801 holds bytes that no text has", "Save it as"),
    "UTF-16 without its mark": ("Casting\tF2\nC1\t40\n".encode("utf-16-le"), "bytes that no text has", "(UTF-8)"),
    "a document": (b"%PDF-1.7\nabc\n", "is a document, not a table", "Save the readings as CSV or XLSX"),
    "locked": (
        b"\xd0\xcf\x11\xe0" + bytes(600) + "EncryptedPackage".encode("utf-16-le"),
        "is locked with a password",
        "save it without one",
    ),
    "an old spreadsheet": (
        b"\xd0\xcf\x11\xe0" + bytes(600),
        "is no workbook that can be read",
        "Save it again, or as CSV",
    ),
    "a packed text": (packed(a="hello"), "is a packed file, but no XLSX or ODS (it holds a)", "Save the readings as"),
    "a packed letter": (packed(_TYPES="<Types/>", word__document="x"), "but no XLSX", "Save the readings as"),
    "cut off": (sheet(["Casting", "F2"])[:900], "is cut off or damaged", "Save it again"),
    "a damaged sheet": (broken_sheet(), "is cut off or damaged", "Save it again"),
    "an open quotation mark": (b'Casting,F2\n"C1,40.1\n', "line 2 of f.csv cannot be taken apart", "quotation mark"),
    "very wide": (b"h;" * 3000, "line 1 of f.csv has 3000 cells; 2000 are the most", "Cut the file into parts"),
    "blanks between the cells": (b"Casting F2\nC1 40.1\n", "its first line reads: Casting F2.", "parted by semicolons"),
    "colons between the cells": (b"Casting:F2\nC1:40.1\n", "its first line reads: Casting:F2.", "parted by semicolons"),
    "no heads": (b"C1;40,1\nC2;40,2\n", "its first line reads: C1, 40,1.", "Name the columns in a line of their own"),
    "heads only": (b"Casting;F2\n", "holds no readings under its heads", "Fill in a line"),
}


@pytest.mark.parametrize("content, wrong, do", FILES.values(), ids=FILES)
def test_a_file_that_is_no_table_of_readings(shop, taken, content: bytes, wrong: str, do: str) -> None:
    with pytest.raises(DataError) as refused:
        taken(content)
    text = said(refused.value)
    assert wrong in text
    assert "Nothing was added." in text
    assert do in text
    assert nothing_was_written(shop)


def test_what_is_no_file_is_told_with_what_was_kept(shop: SmallShop, taken, tmp_path: Path) -> None:
    job = find.job(shop.record, "PB-12")
    for name, sentence in {
        "gone.csv": "Nothing was added. Check its name and folder.",
        "": "Nothing was added.",
    }.items():
        with pytest.raises(DataError, match=sentence):
            imports.take_in(shop.record, job, tmp_path / name, "S1", BY, TODAY)
        if name:
            with pytest.raises(DataError, match=sentence):
                imports.sheets(tmp_path / name)
    assert nothing_was_written(shop)


def test_kinds_are_known_by_what_is_inside_and_not_by_the_name(shop: SmallShop, taken) -> None:
    assert taken(sheet(["Casting", "F2"], ["C1", 40.1]), "really.csv").readings == 1
    assert taken("Casting;F3\nC1;210,2\n", "really.xlsx").readings == 1
    assert taken("\ufeffCasting;F2\nC2;40,3\n", "bom.csv").readings == 1


# ------------------------------------------------------------------------------ lines
LINES = {
    "a decimal comma between commas": ("Casting,F2,F3\nC1,40,1,210,2\n", "line 2: 5 cells under 3 heads; where commas"),
    "cells beside the heads": ("Casting;F2\nC1;40,1;7\n", "line 2: 3 cells under 2 heads; quotation marks"),
    "both marks": ("Casting;F2;F3\nC1;40,1;210.2\n", "decimal points (line 2) and decimal commas (line 2) in one file"),
    "thousands": ("Casting;F3\nC1;1,234.5\n", "line 2, F3: 1,234.5: 1.2345 or 1234.5? Leave thousands without a mark"),
    "below zero": ("Casting;F2\nC1;-40,1\n", "line 2, F2: -40,1: a length is above 0"),
    "zero": ("Casting;F2\nC1;0\n", "line 2, F2: 0: a length is above 0"),
    "too large": ("Casting;F2\nC1;1e90\n", "line 2, F2: 1e90 is beyond 100 m"),
    "beyond the doubles": ("Casting;F2\nC1;1e400\n", "line 2, F2: 1e400 is not a size"),
    "not a number": ("Casting;F2\nC1;nan\n", "line 2, F2: nan is not a size"),
    "a formula": ("Casting;F2\nC1;=cmd|' /C calc'!A0\n", "=cmd|' /C calc'!A0 is a formula, kept as text"),
    "two sizes": ("Casting;F2\nC1;40.1 40.2\n", "line 2, F2: 40.1 40.2 is several sizes: one a cell"),
    "steered": ("Casting;F2\nC1;4\x1b[31m0.1\n", "line 2, F2: control characters stood in 4[31m0.1"),
    "no feature": ("serial;feature;value\nC1;F99;1\n", "line 2: F99 is not on revision A"),
    "no serial": ("Casting;F2\n;40,1\n", "line 2: no serial in column Casting"),
    "a serial as long as a tale": (f"Casting;F2\n{'x' * 50};40,1\n", "is no serial: 40 characters are the most"),
    "twice": ("Casting;F2\nC1;40,1\nc1;40,2\n", "line 3: F2 of casting C1 stands in line 2 already: take one out"),
    "twice in a list": ("serial;feature;value\nC1;F2;40\nC1;F02;40\n", "take one out, or say with a column repeat"),
    "no temperature": (
        "Casting;F2;temp\nC1;40,1;warm\n",
        "line 2: warm is not a size: type a temperature such as 23 or 73.4 F",
    ),
    "a furnace": ("Casting;F2;temp\nC1;40,1;900\n", "line 2: 900 is 900 degC, and no work is measured at that"),
    "no repeat": ("Casting;F2;repeat\nC1;40,1;two\n", "two is no number of a repeat: write 1, 2, 3"),
    "a unit of old": ("Casting;F2 [ell]\nC1;0,1\n", "line 2, F2: ell is no unit of length known here: give mm"),
}


@pytest.mark.parametrize("content, line", LINES.values(), ids=LINES)
def test_a_line_that_is_wrong(shop, taken, content: str, line: str) -> None:
    with pytest.raises(ImportRefused) as refused:
        taken(content)
    assert any(line in one for one in refused.value.lines), refused.value.lines
    assert "1 thing is wrong. Nothing was added. Put it right" in refused.value.sentence
    assert nothing_was_written(shop)


def test_spreadsheet_cells_that_are_no_readings(shop: SmallShop, taken) -> None:
    from datetime import date

    with pytest.raises(ImportRefused) as refused:
        taken(sheet(["Casting", "F2", "F3"], ["C1", date(2026, 3, 16), "#DIV/0!"]), "f.xlsx")
    assert "2026-03-16 is a day, made of a fraction by the spreadsheet?" in refused.value.lines[0]
    assert "#DIV/0! is not a size" in refused.value.lines[1]
    with pytest.raises(ImportRefused, match=r"column C holds 1 cell such as 210\.2 and has no head: give it one"):
        taken(sheet(["Casting", "F2", None], ["C1", 40.1, 210.2]), "f.xlsx")
    assert nothing_was_written(shop)


def test_one_formatted_cell_in_the_last_corner_costs_nothing(shop: SmallShop, taken) -> None:
    added: list[Any] = []
    book, out = openpyxl.Workbook(), io.BytesIO()
    for row in (["Casting", "F2"], ["C1", 40.1]):
        book.active.append(row)
    book.active.cell(1_048_576, 16_384).font = openpyxl.styles.Font(bold=True)
    book.save(out)
    # a million rows of 16,384 cells would be 17 thousand million cells, and a call or more for each row
    assert calls(lambda: added.append(taken(out.getvalue(), "f.xlsx"))) < 500_000
    assert [r.readings for r in added] == [1]


def test_more_castings_than_are_added_at_once_are_refused_before_anything_is_asked(shop: SmallShop, taken) -> None:
    with pytest.raises(ImportRefused, match="5001 castings are not in S1 yet; 5000 are the most"):
        taken("Casting;F2\n" + "".join(f"X{n};40,1\n" for n in range(5001)))
    assert nothing_was_written(shop)


def test_many_wrong_lines_are_all_kept_and_the_first_are_printed(shop: SmallShop, taken) -> None:
    with pytest.raises(ImportRefused) as refused:
        taken("serial;feature;value\n" + "".join(f"C{n};F2;bad\n" for n in range(300)))
    assert len(refused.value.lines) == 300
    assert "300 things are wrong" in refused.value.sentence
    assert str(refused.value).splitlines()[-1] == "and 260 more"


def test_serials_that_begin_with_a_hash_stay_in_a_spreadsheet_and_are_said_in_text(shop: SmallShop, taken) -> None:
    assert taken(sheet(["Casting", "F2"], ["#7", 40.1]), "f.xlsx").new_castings == ("#7",)
    done = taken("Casting;F2\n#8;40,1\nC1;40,2\n# a remark\n")
    assert done.readings == 1
    assert done.remarks == ("line 2 begins with # and counted as a remark: left out",)


def test_castings_of_another_sampling_are_not_made_twice(shop: SmallShop, taken) -> None:
    with pytest.raises(ImportRefused, match="Casting C1 is in job PB-12 already, in S1, not in S2") as refused:
        taken("Casting;F2\nC1;40,1\nD1;40,1\n", label="S2")
    assert refused.value.todo is Todo.CHOOSE_ROUND
    assert nothing_was_written(shop)
    assert taken("Casting;F2\nc1;40,1\nD1;40\nd1;\n").new_castings == ("D1",)


def test_a_file_taken_in_while_it_was_looked_over_is_not_taken_in_again(shop: SmallShop, tmp_path, taken) -> None:
    (tmp_path / "f.csv").write_text("Casting;F2\nC1;40,1\n")
    job = find.job(shop.record, "PB-12")
    checked = imports.check(shop.record, job, imports.read(shop.record, tmp_path / "f.csv"), "S1", BY, TODAY)
    imports.write(shop.record, job, checked)
    with pytest.raises(ImportRefused, match="was taken in already"):
        imports.write(shop.record, job, checked)
    assert shop.record.counts()["reading"] == 1


def test_days_and_units_that_are_none(shop: SmallShop, taken) -> None:
    with pytest.raises(
        DataError, match=r"poured on: someday is no day: type it such as 2025-03-31\. Nothing was added"
    ):
        taken("Casting;F2\nD1;40,1\n", label="S2", poured_on="someday")
    with pytest.raises(DataError, match=r"ell is no unit of length known here.*Nothing was added"):
        taken("Casting;F2\nC1;40,1\n", unit="ell")


# ------------------------------------------------------------------------------ before it is written
def test_what_a_file_would_add_and_what_looks_odd(shop: SmallShop, tmp_path: Path, taken) -> None:
    taken("Casting;F2\nC1;40,1\n", "before.csv")
    path = tmp_path / "f.csv"
    path.write_text("Casting;F1;F2;F3;Remark\nC1;59,1;40,1;2102;ok\nC-2;59,2;40,2;9999;far\n")
    job = find.job(shop.record, "PB-12")
    seen = review(imports.check(shop.record, job, imports.read(shop.record, path), "S1", BY, TODAY))
    assert seen.title == "6 readings of 3 features on 2 castings, into S1 of PB-12"
    lines = dict(seen.lines)
    assert lines["new castings"] == "C-2: added to S1"
    assert lines["note"] == "1 of 6 readings is for a cell measured before, 1 with the same size; both readings count"
    assert lines["columns"] == "Casting is serial, F1, F2, F3; sizes in mm"
    assert lines["left out"] == "Remark"
    assert seen.odd == (
        "casting C-2 is new, and looks like C2: is it that one?",
        "2 readings beyond the range of caliper 1 (0 to 300 mm), from line 2 on: was another one used?",
        "line 2, F3 of casting C1: 2102 or 210.2? Decimal point lost?",
        "line 3, F3 of casting C-2: 9999 lies 9788.2 mm beyond the limits. Is it in the right column?",
    )


def test_somebody_unknown_is_told_once_and_how_people_are_added(shop: SmallShop, taken) -> None:
    with pytest.raises(ImportRefused) as refused:
        taken("Casting;By;With;F2\nC1;QQ;laser;40,1\nC2;QQ;laser;40,2\n")
    told = [line for line in refused.value.lines if "QQ" in line]
    assert len(told) == 1
    assert told[0].startswith("line 2: QQ is nobody in the record (AB, IN)")
    assert len([line for line in refused.value.lines if "laser" in line]) == 1


def test_the_command_line_says_it_without_writing(shop: SmallShop, tmp_path: Path, monkeypatch, capsys, taken) -> None:
    (tmp_path / "f.csv").write_text("Casting;F2\nC1;40,1\n")
    monkeypatch.setenv("INSPECT_TUI_RECORD", str(shop.path))
    words = ["import", "readings", str(tmp_path / "f.csv"), "--by", "AB", "--with", "caliper 1", "--round", "S1"]
    assert cli.main([*words, "--check"]) == 0
    assert "1 reading of 1 feature on 1 casting, into S1 of PB-12; nothing was written" in capsys.readouterr().out
    assert nothing_was_written(shop)
    assert cli.main(words) == 0
    assert "1 reading of 1 feature on 1 casting taken in (S1)" in capsys.readouterr().out
