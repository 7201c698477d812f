"""Files of casting readings: any column order, remembered heads, units, and everything that is wrong with a file."""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError, InspectError
from inspect_tui.model.work import Feature
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find, table_file
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.rows import ImportRefused, Options
from inspect_tui.shop.intake.take_in import TakenIn, take_in
from inspect_tui.todo import Todo
from tests.conftest import TODAY, SmallShop

BY = Options(by="AB", instrument="caliper 1")
Bring = Callable[..., TakenIn]


@pytest.fixture
def bring(shop: SmallShop, tmp_path: Path) -> Bring:
    """Write a file and take it in; the sampling S1 with C1 and C2 is there already."""
    job = find.job(shop.record, "PB-12")
    open_round(shop.record, job, "S1", ["C1", "C2"])

    def go(content: str | bytes | list[list[object]], name: str = "", label: str = "S1", **options: object) -> TakenIn:
        path = tmp_path / (name or ("file.xlsx" if isinstance(content, list) else "file.csv"))
        if isinstance(content, list):
            spreadsheet(path, content)
        else:
            path.write_bytes(content.encode() if isinstance(content, str) else content)
        given = {"by": "AB", "instrument": "caliper 1"} | options
        mapping = given.pop("mapping", ())
        return take_in(
            shop.record,
            find.job(shop.record, "PB-12"),
            path,
            label,
            Options(mapping=tuple(mapping), **given),
            today=TODAY,
        )  # type: ignore[arg-type]

    return go


def spreadsheet(path: Path, rows: list[list[object]], merged: tuple[str, ...] = ()) -> None:
    import openpyxl

    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for cells in merged:
        book.active.merge_cells(cells)
    book.save(path)


def value(shop: SmallShop, serial: str, balloon: str, label: str = "S1") -> float | None:
    job = find.job(shop.record, "PB-12")
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, label))
    return sampling.cell(sampling.feature(balloon), sampling.casting(serial)).value


def nothing_was_written(shop: SmallShop) -> bool:
    counts = shop.record.counts()
    return counts["reading"] == counts["import_file"] == counts["import_mapping"] == counts["session"] == 0


# ------------------------------------------------------------------------------ forms that are understood
FORMS = {
    "a row a casting": "Casting,F2,F3\nC1,40.1,210.2\nC2,40.2,210.3\n",
    "columns the other way round": "F3,Casting,F2\n210.2,C1,40.1\n210.3,C2,40.2\n",
    "a row a feature": "Feature;C1;C2\nF2;40.1;40.2\nF3;210.2;210.3\n",
    "a row a reading": "Reading,Balloon,Serial\n40.1,F2,C1\n40.2,F2,C2\n210.2,F3,C1\n210.3,F3,C2\n",
    "decimal commas": "Casting;F2;F3\nC1;40,1;210,2\nC2;40,2;210,3\n",
    "tabs": "Casting\tF2\tF3\nC1\t40.1\t210.2\nC2\t40.2\t210.3\n",
    "bars": "Casting|F2|F3\nC1|40.1|210.2\nC2|40.2|210.3\n",
    "a title above the heads": "Pump bowl, first castings\n\nCasting;F2;F3\nC1;40.1;210.2\nC2;40.2;210.3\n",
    "units in the heads": "Casting,F2 [cm],F3 (in)\nC1,4.01,8.27559055118\nC2,4.02,8.27952755906\n",
    "units in the cells": "Casting,F2,F3\nC1,40.1 mm,21.02 cm\nC2,40.2 mm,210.3 mm\n",
    "a unit column": "Serial,Feature,Value,Unit\nC1,F2,4.01,cm\nC2,F2,40.2,mm\nC1,F3,210.2,mm\nC2,F3,210.3,mm\n",
    "remarks and empty lines": "# from the table\n\nCasting,F2,F3\n\nC1,40.1,210.2\n#C9,1,2\nC2,40.2,210.3\n",
    "balloons spelled otherwise": "casting no,f02,F 3\nC1,40.1,210.2\nC2,40.2,210.3\n",
    "quoted cells": '"Casting","F2","F3"\n"C1","40.1","210.2"\n"C2","40.2","210.3"\n',
}


@pytest.mark.parametrize("content", FORMS.values(), ids=FORMS)
def test_every_form_gives_the_same_readings(shop: SmallShop, bring: Bring, content: str) -> None:
    done = bring(content)
    assert done.readings == 4
    assert value(shop, "C1", "F2") == pytest.approx(40.1)
    assert value(shop, "C2", "F2") == pytest.approx(40.2)
    assert value(shop, "C1", "F3") == pytest.approx(210.2)
    assert value(shop, "C2", "F3") == pytest.approx(210.3)


def test_text_that_older_spreadsheets_write_is_read(shop: SmallShop, bring: Bring) -> None:
    assert bring("Casting;F2;Bemerkung\nC1;40,1;größer\n".encode("cp1252")).readings == 1
    assert bring("Casting\tF3\nC1\t210,2\n".encode("utf-16"), name="other.csv").readings == 1


def test_a_spreadsheet_is_read_with_numbers_as_they_are(shop: SmallShop, bring: Bring) -> None:
    bring([["Pump bowl"], [], ["Casting", "F2", "F3"], ["C1", 40.1, 210.2], ["C2", 40.2, None]])
    assert value(shop, "C1", "F2") == 40.1
    assert value(shop, "C2", "F3") is None


def test_an_empty_cell_is_a_reading_that_is_missing_and_never_zero(shop: SmallShop, bring: Bring) -> None:
    assert bring("Casting,F2,F3\nC1,,210.2\n").readings == 1
    assert value(shop, "C1", "F2") is None


def test_what_was_typed_and_in_which_unit_is_kept(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F3 [in]\nC1,8.2760\n")
    job = find.job(shop.record, "PB-12")
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    (taken,) = sampling.taken(sampling.feature("F3"), sampling.casting("C1"))
    assert (taken.typed, taken.typed_unit) == ("8.2760", "in")
    assert taken.value == pytest.approx(8.276 * 25.4)


def test_repeats_count_where_a_column_says_so(shop: SmallShop, bring: Bring) -> None:
    bring("serial,feature,value,repeat\nC1,F2,40.1,1\nC1,F2,40.3,2\n")
    assert value(shop, "C1", "F2") == pytest.approx(40.2)


def test_who_and_with_what_may_stand_in_columns(shop: SmallShop, bring: Bring) -> None:
    bring(
        "serial,feature,value,by,gauge,temp\nC1,F2,40.1,AB,caliper 1,23\nC2,F2,40.2,IN,caliper 2,\n",
        by=None,
        instrument=None,
    )
    article = first_article(shop.record, find.job(shop.record, "PB-12"), "S1")
    assert article.cell("F2", "C2").by == "IN"
    assert article.cell("F2", "C2").instrument == "caliper 2"


# ------------------------------------------------------------------------------ castings
def test_castings_that_a_sampling_lacks_are_added_to_it(shop: SmallShop, bring: Bring) -> None:
    done = bring("Casting,F2\nC1,40.1\nC7,40.2\n")
    assert done.new_castings == ("C7",)
    assert value(shop, "C7", "F2") == pytest.approx(40.2)
    new = bring("Casting,F2\nD1,40.4\n", name="s2.csv", label="S2", poured_on="2026-03-01")
    assert new.new_castings == ("D1",)
    assert [lot.label for lot in shop.record.lots(find.job(shop.record, "PB-12").of_id)] == ["S1", "S2"]


def test_unknown_castings_need_a_sampling_to_belong_to(shop: SmallShop, tmp_path: Path, bring: Bring) -> None:
    path = tmp_path / "f.csv"
    path.write_text("Casting,F2\nC9,40.1\n")
    with pytest.raises(ImportRefused, match="C9 is not in S1") as homeless:
        take_in(shop.record, find.job(shop.record, "PB-12"), path, None, BY)
    assert homeless.value.todo is Todo.NAME_ROUND
    assert nothing_was_written(shop)


# ------------------------------------------------------------------------------ all or nothing, line by line


def test_a_file_with_another_separator_than_any_says_what_its_first_line_reads(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(DataError, match=r"No line of file\.csv names a feature"):
        bring("Casting F2 F3\nC1 40.1 210.2\n")


FORMULA = "=cmd|' /C calc'!A0"


def test_a_formula_in_a_name_arrives_as_text_and_one_in_a_reading_is_refused(shop: SmallShop, bring: Bring) -> None:
    bring([["Casting", "F2"], [FORMULA, 40.1]])
    assert value(shop, FORMULA, "F2") == 40.1
    assert first_article(shop.record, find.job(shop.record, "PB-12"), "S1").identity.serials[-1] == FORMULA
    with pytest.raises(ImportRefused, match="=A1\\*2 is a formula, kept as text; save the file with values"):
        bring([["Casting", "F3"], ["C1", "=A1*2"]], name="b.xlsx")


def test_markup_and_escape_sequences_in_names_stay_harmless_text(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F2\n[red]C\x1b[2J8[/red],40.1\n<b>C9</b>,40.2\n")
    article = first_article(shop.record, find.job(shop.record, "PB-12"), "S1")
    assert article.identity.serials[-2:] == ("[red]C[2J8[/red]", "<b>C9</b>")
    assert "\x1b" not in str(article)


def test_an_angle_is_not_taken_in_mm(shop: SmallShop, bring: Bring) -> None:
    job = find.job(shop.record, "PB-12")
    from inspect_tui.shop.jobs import jobs

    jobs.add_feature(
        shop.record,
        job,
        Feature(balloon="F9", name="flange angle", quantity="angle", axis="none", nominal=75.0, lower=74.0, upper=76.0),
    )
    assert bring("Casting,F9 [deg]\nC1,75.2\n").readings == 1
    with pytest.raises(ImportRefused, match="F9 is an angle, not in mm"):
        bring("Casting,F9 [mm]\nC2,75.2\n", name="b.csv")


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("", "is empty"),
        ("\n \n", "is empty"),
        ("Casting,F2\n", "holds no readings"),
        ("Casting,F2\nC1,nan\n", "line 2, F2"),
        ("Casting,F2\nC1,inf\n", "line 2, F2"),
        ("Casting,F2\nC1,1e999\n", "line 2, F2"),
        ("Casting,F2\nC1,40.1 kg\n", "line 2, F2"),
        ("Casting,F2\n,40.1\n", "line 2: no serial"),
        ("Casting,F2 [furlong]\nC1,0.2\n", "furlong is no unit of length"),
        ("Casting,F2,F2\nC1,40.1,40.2\n", "two columns for F2"),
        ('Casting,F2\n"C1,40.1\n', "quotation mark"),
        (b"\0\0\0binary", "is no text and no workbook"),
        (b"PK\x03\x04 not a zip", "is no workbook that can be read"),
        (b"\xd0\xcf\x11\xe0old", "is no workbook that can be read"),
        ("Casting,F2,repeat\nC1,40.1,two\n", "no number of a repeat"),
        ("Casting,F2,temp\nC1,40.1,warm\n", "type a temperature"),
    ],
)
def test_a_file_that_cannot_be_taken_in_gets_a_sentence(
    shop: SmallShop, bring: Bring, content: str | bytes, sentence: str
) -> None:
    with pytest.raises(DataError, match=sentence):
        bring(content)
    assert nothing_was_written(shop)


def test_a_missing_file_a_folder_and_an_unknown_sheet_are_said_by_name(
    shop: SmallShop, tmp_path: Path, bring: Bring
) -> None:
    job = find.job(shop.record, "PB-12")
    with pytest.raises(DataError, match="There is no file"):
        take_in(shop.record, job, tmp_path / "none.csv", "S1", BY)
    with pytest.raises(DataError, match="is a folder"):
        take_in(shop.record, job, tmp_path, "S1", BY)
    with pytest.raises(DataError, match="has no sheet Readings; it has: Sheet"):
        bring([["Casting", "F2"], ["C1", 40.1]], sheet="Readings")


def test_half_a_million_rows_are_refused_before_they_are_read_into_memory(
    shop: SmallShop, tmp_path: Path, bring: Bring, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "long.csv"
    with path.open("w") as file:
        file.write("Casting,F2\n")
        file.writelines(f"C{n},40.1\n" for n in range(500_000))
    monkeypatch.setattr(table_file, "_decoded", lambda *_: pytest.fail("the file was read"))
    with pytest.raises(DataError, match=r"has 500 001 rows; 100 000 are the most"):
        take_in(shop.record, find.job(shop.record, "PB-12"), path, "S1", BY)


# ------------------------------------------------------------------------------ twice, inches, heights


# ------------------------------------------------------------------------------ the whole way, and any bytes


@given(st.lists(st.lists(st.text(max_size=12), min_size=2, max_size=5), min_size=1, max_size=6))
@settings(max_examples=100, deadline=None)
def test_any_table_is_taken_in_or_refused_with_a_sentence(tmp_path_factory, rows: list[list[str]]) -> None:
    path = tmp_path_factory.getbasetemp() / "table.csv"
    text = io.StringIO()
    csv.writer(text).writerows([["Casting", "F2"], *rows])
    path.write_bytes(text.getvalue().encode("utf-8", "replace"))
    record = _small_record(tmp_path_factory)
    try:
        take_in(record, find.job(record, None), path, "S1", BY, TODAY)
    except InspectError as problem:
        assert str(problem)


def _small_record(tmp_path_factory, made: list[Record] = []) -> Record:  # noqa: B006 - one for the whole test
    if not made:
        from inspect_tui.model.measuring import Calibration, Instrument, Person
        from inspect_tui.shop.jobs import jobs
        from tests.conftest import JOB

        record = Record.open(tmp_path_factory.mktemp("any") / "shop.db", create=True)
        jobs.add_from_file(record, JOB)
        record.add(Person(initials="AB"))
        caliper = record.add(Instrument(label="caliper 1"))
        record.add(Calibration(instrument_of_id=caliper.of_id, done_on="2026-01-05", u95_mm=0.04))
        open_round(record, find.job(record, None), "S1", ["C1"])
        made.append(record)
    return made[0]


def test_reading_files_loads_no_spreadsheet_library_until_one_is_read() -> None:
    import subprocess

    code = (
        "import sys; import inspect_tui.shop.intake.take_in; print('openpyxl' in sys.modules, 'numpy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]
