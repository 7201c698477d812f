"""Files of casting readings as a whole: forms that are understood, castings, people, files that are refused, once only."""

from __future__ import annotations

import csv
import io
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.commands.todo import said
from inspect_tui.demo.sheets import generate
from inspect_tui.errors import DataError, InspectError
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.rows import ImportRefused, Options
from inspect_tui.shop.intake.take_in import check, read, sheets, take_in, write
from inspect_tui.todo import Todo
from tests.conftest import TODAY, SmallShop
from tests.shop.intake.conftest import BY, Bring, nothing_was_written, value
from tests.worlds import tables
from tests.worlds.sampled_shop import AFTER_S1, copy_of_shop

FORMS = {
    "a row a casting": "Casting,F2,F3\nC1,40.1,210.2\nC2,40.2,210.3\n",
    "columns the other way round": "F3,Casting,F2\n210.2,C1,40.1\n210.3,C2,40.2\n",
    "a row a feature": "Feature;C1;C2\nF2;40.1;40.2\nF3;210.2;210.3\n",
    "a row a reading": "Reading,Balloon,Serial\n40.1,F2,C1\n40.2,F2,C2\n210.2,F3,C1\n210.3,F3,C2\n",
    "decimal commas": "Casting;F2;F3\nC1;40,1;210,2\nC2;40,2;210,3\n",
    "tabs": "Casting\tF2\tF3\nC1\t40.1\t210.2\nC2\t40.2\t210.3\n",
    "bars": "Casting|F2|F3\nC1|40.1|210.2\nC2|40.2|210.3\n",
    "a title above the heads": "Stove box, first castings\n\nCasting;F2;F3\nC1;40.1;210.2\nC2;40.2;210.3\n",
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
    bring([["Stove box"], [], ["Casting", "F2", "F3"], ["C1", 40.1, 210.2], ["C2", 40.2, None]])
    assert value(shop, "C1", "F2") == 40.1
    assert value(shop, "C2", "F3") is None


def test_an_empty_cell_is_a_reading_that_is_missing_and_never_zero(shop: SmallShop, bring: Bring) -> None:
    assert bring("Casting,F2,F3\nC1,,210.2\n").readings == 1
    assert value(shop, "C1", "F2") is None


def test_what_was_typed_and_in_which_unit_is_kept(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F3 [in]\nC1,8.2760\n")
    job = find.job(shop.record, "SV-12")
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    (taken,) = sampling.taken(sampling.feature("F3"), sampling.casting("C1"))
    assert (taken.typed, taken.typed_unit) == ("8.2760", "in")
    assert taken.value == pytest.approx(8.276 * 25.4)


def test_castings_that_a_sampling_lacks_are_added_to_it(shop: SmallShop, bring: Bring) -> None:
    done = bring("Casting,F2\nC1,40.1\nC7,40.2\n")
    assert done.new_castings == ("C7",)
    assert value(shop, "C7", "F2") == pytest.approx(40.2)
    new = bring("Casting,F2\nD1,40.4\n", name="s2.csv", label="S2", poured_on="2026-03-01")
    assert new.new_castings == ("D1",)
    assert [lot.label for lot in shop.record.lots(find.job(shop.record, "SV-12").of_id)] == ["S1", "S2"]


def test_unknown_castings_need_a_sampling_to_belong_to(shop: SmallShop, tmp_path: Path, bring: Bring) -> None:
    path = tmp_path / "f.csv"
    path.write_text("Casting,F2\nC9,40.1\n")
    with pytest.raises(ImportRefused, match="C9 is not in S1") as homeless:
        take_in(shop.record, find.job(shop.record, "SV-12"), path, None, BY)
    assert homeless.value.todo is Todo.NAME_ROUND
    assert nothing_was_written(shop)


def test_castings_of_another_sampling_are_not_made_twice(shop: SmallShop, bring) -> None:
    with pytest.raises(ImportRefused, match="Casting C1 is in job SV-12 already, in S1, not in S2") as refused:
        bring("Casting;F2\nC1;40,1\nD1;40,1\n", label="S2")
    assert refused.value.todo is Todo.CHOOSE_ROUND
    assert nothing_was_written(shop)
    assert bring("Casting;F2\nc1;40,1\nD1;40\nd1;\n").new_castings == ("D1",)


def test_more_castings_than_are_added_at_once_are_refused_before_anything_is_asked(shop: SmallShop, bring) -> None:
    with pytest.raises(ImportRefused, match="5001 castings are not in S1 yet; 5000 are the most"):
        bring("Casting;F2\n" + "".join(f"X{n};40,1\n" for n in range(5001)))
    assert nothing_was_written(shop)


def test_who_and_with_what_may_stand_in_columns(shop: SmallShop, bring: Bring) -> None:
    bring(
        "serial,feature,value,by,gauge,temp\nC1,F2,40.1,AB,caliper 1,23\nC2,F2,40.2,IN,caliper 2,\n",
        by=None,
        instrument=None,
    )
    article = first_article(shop.record, find.job(shop.record, "SV-12"), "S1")
    assert article.cell("F2", "C2").by == "IN"
    assert article.cell("F2", "C2").instrument == "caliper 2"


def test_who_measured_and_with_what_has_to_be_said(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(ImportRefused, match="no column says who measured; in the record: AB, IN") as who:
        bring("Casting,F2\nC1,40.1\n", by=None)
    assert who.value.todo is Todo.SAY_WHO
    told = said(who.value).splitlines()
    assert told[0].endswith("Give initials (--by).") and told[1].startswith("no column says who measured")
    with pytest.raises(ImportRefused, match="no column says with what") as with_what:
        bring("Casting,F2\nC1,40.1\n", instrument=None)
    assert with_what.value.todo is Todo.SAY_WITH_WHAT
    with pytest.raises(ImportRefused) as both:
        bring("Casting,F2\nC1,40.1\n", by=None, instrument=None)
    assert both.value.todo is Todo.SAY_WHO_AND_WITH_WHAT and len(both.value.lines) == 2
    with pytest.raises(ImportRefused, match="XX is nobody in the record"):
        bring("Casting,F2\nC1,40.1\n", by="XX")
    assert nothing_was_written(shop)


def test_somebody_unknown_is_told_once_and_how_people_are_added(shop: SmallShop, bring) -> None:
    with pytest.raises(ImportRefused) as refused:
        bring("Casting;By;With;F2\nC1;QQ;laser;40,1\nC2;QQ;laser;40,2\n")
    told = [line for line in refused.value.lines if "QQ" in line]
    assert len(told) == 1
    assert told[0].startswith("line 2: QQ is nobody in the record (AB, IN)")
    assert len([line for line in refused.value.lines if "laser" in line]) == 1


def test_days_and_units_that_are_none(shop: SmallShop, bring) -> None:
    with pytest.raises(
        DataError, match=r"poured on: someday is no day: type it such as 2025-03-31\. Nothing was added"
    ):
        bring("Casting;F2\nD1;40,1\n", label="S2", poured_on="someday")
    with pytest.raises(DataError, match=r"ell is no unit of length known here.*Nothing was added"):
        bring("Casting;F2\nC1;40,1\n", unit="ell")


FILES: dict[str, tuple[bytes, str, str]] = {
    "empty": (b"", "f.csv is empty.", "Was it saved, and is it the right file?"),
    "bytes of a program": (
        b"\x7fELF\2\1\0\0abc",
        "line 1 holds bytes that no text has",
        "Save it as CSV (UTF-8) or XLSX",
    ),
    "a packed text": (
        tables.packed({"a": "hello"}),
        "is a packed file, but no XLSX or ODS (it holds a)",
        "Save the readings as",
    ),
    "cut off": (tables.xlsx(["Casting", "F2"])[:900], "is cut off or damaged", "Save it again, or as CSV"),
    "an open quotation mark": (b'Casting,F2\n"C1,40.1\n', "line 2 of f.csv cannot be taken apart", "quotation mark"),
    "blanks between the cells": (b"Casting F2\nC1 40.1\n", "its first line reads: Casting F2.", "parted by semicolons"),
    "colons between the cells": (b"Casting:F2\nC1:40.1\n", "its first line reads: Casting:F2.", "parted by semicolons"),
    "no heads": (b"C1;40,1\nC2;40,2\n", "its first line reads: C1, 40,1.", "Name the columns in a line of their own"),
    "heads only": (b"Casting;F2\n", "holds no readings under its heads", "Fill in a line"),
    "two columns of one feature": (b"Casting,F2,F2\nC1,40.1,40.2\n", "two columns for F2", "another head"),
}


@pytest.mark.parametrize("content, wrong, do", FILES.values(), ids=FILES)
def test_a_file_that_is_no_table_of_readings(shop, bring, content: bytes, wrong: str, do: str) -> None:
    with pytest.raises(DataError) as refused:
        bring(content)
    text = said(refused.value)
    assert wrong in text
    assert "Nothing was added." in text
    assert do in text
    assert nothing_was_written(shop)


def test_what_is_no_file_is_told_with_what_was_kept(shop: SmallShop, bring, tmp_path: Path) -> None:
    job = find.job(shop.record, "SV-12")
    for name, sentence in {
        "gone.csv": "Nothing was added. Check its name and folder.",
        "": "Nothing was added.",
    }.items():
        with pytest.raises(DataError, match=sentence):
            take_in(shop.record, job, tmp_path / name, "S1", BY, TODAY)
        if name:
            with pytest.raises(DataError, match=sentence):
                sheets(tmp_path / name)
    assert nothing_was_written(shop)


def test_a_missing_file_a_folder_and_an_unknown_sheet_are_said_by_name(
    shop: SmallShop, tmp_path: Path, bring: Bring
) -> None:
    job = find.job(shop.record, "SV-12")
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
        take_in(shop.record, find.job(shop.record, "SV-12"), path, "S1", BY)


def test_the_same_file_is_not_taken_in_twice_under_any_name(shop: SmallShop, bring: Bring) -> None:
    content = "Casting,F2,F3\nC1,40.1,210.2\nC2,40.2,210.3\n"
    bring(content)
    with pytest.raises(ImportRefused, match=r"was taken in already, as f\.csv on"):
        bring(content, name="again.csv")
    with pytest.raises(ImportRefused, match=r"All 4 readings of sorted\.csv are in the record already"):
        bring("Casting;F2;F3\nC2;40.2;210.3\nC1;40.1;210.2\n", name="sorted.csv")
    assert shop.record.counts()["reading"] == 4


def test_a_file_taken_in_while_it_was_looked_over_is_not_taken_in_again(shop: SmallShop, tmp_path, bring) -> None:
    (tmp_path / "f.csv").write_text("Casting;F2\nC1;40,1\n")
    job = find.job(shop.record, "SV-12")
    checked = check(shop.record, job, read(shop.record, tmp_path / "f.csv"), "S1", BY, TODAY)
    write(shop.record, job, checked)
    with pytest.raises(ImportRefused, match="was taken in already"):
        write(shop.record, job, checked)
    assert shop.record.counts()["reading"] == 1


def test_p14_the_lot_file_of_the_invented_shop_is_taken_in_once(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    record = copy_of_shop(tmp_path_factory, tmp_path, AFTER_S1)
    job = find.job(record, None)
    twice = [file for file in generate().lot_files if file.lot == 203]
    assert len(twice) == 2
    options = Options(by="B1")
    for copy, file in enumerate(twice):
        path = tmp_path / file.name
        with path.open("w", newline="") as out:
            sheet = csv.writer(out)
            sheet.writerow(["serial", "feature", "value", "instrument"])
            rows = [row for row in file.rows if row.kind == "casting" and row.typed]
            sheet.writerows([row.on, row.balloon, row.typed, row.instrument] for row in rows)
        if copy == 0:
            assert take_in(record, job, path, "L203", options, "2025-02-04").readings == len(rows)
        else:
            with pytest.raises(ImportRefused, match="not taken twice"):
                take_in(record, job, path, "L203", options, "2025-02-04")
    sampling = Sampling(record, job, pick_round(record, job, "L203"))
    assert all(len(sampling.taken(f, sampling.castings[0])) <= 1 for f in sampling.features)
    record.close()


def test_a_whole_sampling_comes_in_from_a_spreadsheet_and_is_explained(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    record = copy_of_shop(tmp_path_factory, tmp_path, AFTER_S1)
    job = find.job(record, None)
    before = first_article(record, job, "S1")
    head = ["Casting", *(line.balloon for line in before.features)]
    rows: list[list[object]] = [head]
    for serial in before.identity.serials:
        cells = [before.cell(line.balloon, serial) for line in before.features]
        rows.append([serial.replace("S1", "T1"), *(cell.raw if cell.question is None else None for cell in cells)])
    (tmp_path / "t1.xlsx").write_bytes(tables.xlsx(*rows))
    done = take_in(
        record, job, tmp_path / "t1.xlsx", "T1", Options(by="IN", instrument="caliper 1 (CAL1)"), "2023-09-11"
    )
    assert done.castings == 3
    article = first_article(record, job, "T1")
    assert {"core 4 y", "size F55"} <= {one.name for one in article.causes.found}
    record.close()


FORMULA = "=cmd|' /C calc'!A0"


def test_a_formula_in_a_name_arrives_as_text_and_one_in_a_reading_is_refused(shop: SmallShop, bring: Bring) -> None:
    bring([["Casting", "F2"], [FORMULA, 40.1]])
    assert value(shop, FORMULA, "F2") == 40.1
    assert first_article(shop.record, find.job(shop.record, "SV-12"), "S1").identity.serials[-1] == FORMULA
    with pytest.raises(ImportRefused, match="=A1\\*2 is a formula, kept as text; save the file with values"):
        bring([["Casting", "F3"], ["C1", "=A1*2"]], name="b.xlsx")


def test_markup_and_escape_sequences_in_names_stay_harmless_text(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F2\n[red]C\x1b[2J8[/red],40.1\n<b>C9</b>,40.2\n")
    article = first_article(shop.record, find.job(shop.record, "SV-12"), "S1")
    assert article.identity.serials[-2:] == ("[red]C[2J8[/red]", "<b>C9</b>")
    assert "\x1b" not in str(article)


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


def test_a_file_of_machined_castings_is_taken_in_finished(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F1,F4\nC1,59.1,243.1\n")
    done = bring("Casting,F1,F4\nC1,62.1,240.1\n", state="finished")
    assert done.readings == 2 and not done.remarks  # nothing was measured there before
    job = find.job(shop.record, "SV-12")
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    f1, c1 = sampling.feature("F1"), sampling.casting("C1")
    assert (sampling.cell(f1, c1).value, sampling.cell(f1, c1, "finished").value) == (59.1, 62.1)
    with pytest.raises(ImportRefused) as refused:
        bring("Casting,F1,F2,F5\nC1,62.2,40.0,8\n", state="finished")
    assert "line 2: F2 is not machined: it has no stock" in str(refused.value)
    assert "F5 is not machined" in str(refused.value) and "F1 is not" not in str(refused.value)
    inches = "Casting,F1,F4\n" + "".join(f"C{n},2.441,9.449\n" for n in (1, 2, 3))
    with pytest.raises(InspectError, match="in"):
        bring(inches, state="finished")


@pytest.mark.parametrize(
    "head",
    [
        *("Target", "Mean", "Min.", "max (mm)", "Requirement", "USL", "lower limit", "Target size", "Soll"),
        *("Mittelwert", "Größtmaß", "cible", "media", "mínimo", "tolleranza", "gemiddelde", "krav"),
    ],
)
def test_columns_of_what_is_wanted_and_of_means_are_never_castings(shop: SmallShop, bring: Bring, head: str) -> None:
    done = bring(f"Feature;{head};C1\nF2;40,0;40,1\nF3;210,0;210,2\n")
    assert (done.readings, done.new_castings) == (2, ())


def test_rows_of_what_is_wanted_and_of_means_are_never_castings(shop: SmallShop, bring: Bring) -> None:
    done = bring("Casting;F2;F3\nNominal;40,0;210,0\nC1;40,1;210,2\nMean;40,1;210,2\n")
    assert (done.readings, done.new_castings) == (2, ())
    assert done.remarks[0] == "line 2 (Nominal) says what is wanted, or a mean, and is no casting: left out"


def test_a_casting_that_is_called_like_a_mean_is_one_where_it_is_known(shop: SmallShop, bring: Bring) -> None:
    open_round(shop.record, find.job(shop.record, "SV-12"), "S2", ["Max"])
    assert bring("Casting;F2\nMax;40,1\n", label="S2").readings == 1
    assert bring("Feature;Max\nF2;40,2\n", name="across.csv", label="S2").readings == 1


def test_a_sheet_of_castings_that_grew_adds_only_what_is_new(shop: SmallShop, bring: Bring) -> None:
    text = "Casting;F2;F3\nC1;40,1;210,2\n"
    bring(text)
    first = shop.record.readings()[0]
    shop.record.void(first.id, "misread", "wrong edge", shop.ab.id)
    grown = bring(text + "C2;40,2;210,3\n", name="grown.csv")
    assert grown.readings == 2
    assert grown.remarks == ("2 readings are there from a file before: only what is new is taken in",)
    assert value(shop, "C1", "F2") is None, "what was taken out of count does not come back"
    assert len(shop.record.readings()) == 4


def test_a_size_after_machining_is_another_than_the_raw_one_of_a_file_before(shop: SmallShop, bring: Bring) -> None:
    bring("Casting;F1\nC1;62,1\n")
    assert bring("Casting;F1\nC1;62,1\nC2;62,0\n", name="finished.csv", state="finished").readings == 2


def test_a_wrong_cell_and_an_unknown_person_are_told_together(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(ImportRefused, match="3 things are wrong") as refused:
        bring("Casting;F2;F3;by;gauge\nC1;40,1;wide;ZZ;laser\n")
    assert [line[:14] for line in refused.value.lines] == ["line 2, F3: wi", "line 2: ZZ is ", "line 2: There "]
    assert nothing_was_written(shop)
