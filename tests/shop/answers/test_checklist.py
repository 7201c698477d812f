"""A checklist that was printed, filled in and saved comes back as the trial it tells of, or says what is wrong with it."""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from inspect_tui.errors import DataError
from inspect_tui.model.measuring import Person
from inspect_tui.record.store import Record
from inspect_tui.report.kit import checklist as dressed
from inspect_tui.shop.answers import checklist, take_in
from inspect_tui.shop.answers.check import job_of
from inspect_tui.shop.answers.checklist import CheckedSheet, FilledIn
from inspect_tui.shop.answers.refusals import refuse_unanswered
from inspect_tui.shop.changes import files, things, withdraw
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.proving.checklist import checklist as printed
from tests.shop.kit.test_check import checked, proven, record  # noqa: F401  a fixture
from tests.worlds.kit_jobs import Kit, two_cores

TODAY = date.today().isoformat()  # the day on which the kit is written down, too
FILLED = {
    "day": TODAY,
    "who": "F. Former",
    "place": "a foundry",
    "mould": "A7",
    "order": "yes",
    "cores": "all",
    "K1": "goes 0.45 feeler",
    "K2": "rubs, at the neck",
    "F1": "8,1 clay",
    "closing": "0",
    "remark": "sand in the seat",
}


@pytest.fixture
def made(record: Record) -> Kit:
    return proven(record)


def sheet(made: Kit, path: Path, sort: str = "trial closing", form: str = "csv", **filled: str) -> Path:
    """The checklist as it was printed, with these answers in it (of items with a blank: core_1)."""
    answers = {item.replace("_", " "): text for item, text in filled.items()}
    content = dressed.make(printed(made.record, checked(made), sort), form)
    file = path / f"checklist.{form}"
    if form == "csv":
        rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))
        at, item = rows[0].index("found"), rows[0].index("item")
        for row in rows[1:]:
            row[at] = answers.get(row[item], row[at])
        out = io.StringIO(newline="")
        csv.writer(out).writerows(rows)
        content = out.getvalue().encode()
    file.write_bytes(content)
    return file


def read(file: Path) -> FilledIn:
    said = take_in.read(file)
    assert isinstance(said, FilledIn)
    return said


def seen(made: Kit, file: Path, **more: Any) -> CheckedSheet:
    return checklist.check(made.record, made.job, read(file), by="TK", today=TODAY, **more)


def refused(made: Kit, file: Path, **more: Any) -> str:
    with pytest.raises(ImportRefused) as said:
        seen(made, file, **more)
    return f"{said.value} | {' | '.join(said.value.lines)}"


def test_it_comes_back_as_the_trial_it_tells_of(made: Kit, tmp_path: Path) -> None:
    found = seen(made, sheet(made, tmp_path, **FILLED))
    assert found.asked == () and not found.nothing_new
    assert found.sentence == f"trial closing of {TODAY}: 2 cores, 5 answers, job TK-1"
    assert ("K2", "rubs, at the neck") in found.lines()
    checklist.write(made.record, found)
    ((proving, lines),) = made.record.provings(made.job.of_id)
    assert (proving.sort, proving.inside, proving.mould, proving.who) == ("trial_closing", "cores", "A7", "F. Former")
    assert (proving.order_followed, proving.edition) == ("yes", read(tmp_path / "checklist.csv").draft.edition)
    assert [(line.sort, line.result, line.value) for line in lines] == [
        ("core", None, None),
        ("core", None, None),
        ("fit", "goes", 0.45),
        ("fit", "rubs", None),
        ("wall", None, 8.1),
        ("closing", None, 0.0),
        ("remark", None, None),
    ]


def test_a_workbook_does_as_well(made: Kit, tmp_path: Path) -> None:
    file = sheet(made, tmp_path, form="xlsx")
    with pytest.raises(ImportRefused, match="holds no answers yet"):
        seen(made, file)


def test_read_twice_it_adds_nothing(made: Kit, tmp_path: Path) -> None:
    file = sheet(made, tmp_path, **FILLED)
    checklist.write(made.record, seen(made, file))
    again = seen(made, file)
    assert again.nothing_new
    with pytest.raises(ImportRefused, match="is in the record already"):
        checklist.write(made.record, again)
    assert len(made.record.provings(made.job.of_id)) == 1


def test_it_goes_and_comes_back_with_its_file(made: Kit, tmp_path: Path) -> None:
    checklist.write(made.record, seen(made, sheet(made, tmp_path, **FILLED)))
    (file,) = made.record.import_files(made.job.of_id)
    assert files.along_words(made.record, file) == ("1 trial",)
    thing = things.named(made.record, things.sort_of("import"), "checklist.csv", made.job)
    withdraw.withdraw(made.record, thing, "of another mould", made.person)
    assert made.record.provings(made.job.of_id) == []
    withdraw.back(made.record, thing, "it is of this one", made.person)
    assert len(made.record.provings(made.job.of_id)) == 1


def test_all_that_is_wrong_is_told_and_nothing_is_lost(made: Kit, tmp_path: Path) -> None:
    file = sheet(made, tmp_path, **(FILLED | {"F1": "0", "K1": "perhaps", "cores": "1-7", "day": "", "who": ""}))
    said = checklist.check
    with pytest.raises(ImportRefused) as told:
        said(made.record, made.job, read(file), today=TODAY)
    text = f"{told.value} | {' | '.join(told.value.lines)}"
    for part in (
        "Nothing was added",
        "day: it is not said on which day it was tried",
        "who: nothing typed: say who tried it",
        "F1: a thickness of 0 is no wall",
        "K1: 'perhaps' does not say how it goes",
        "cores: job TK-1 has no core 3; there are: 1, 2",
    ):
        assert part in text
    assert made.record.provings(made.job.of_id) == [] and made.record.import_files(made.job.of_id) == []


def test_days_that_cannot_be_are_told(made: Kit, tmp_path: Path) -> None:
    assert "is still to come" in refused(made, sheet(made, tmp_path, **(FILLED | {"day": "2999-01-01"})))
    assert "day: " in refused(made, sheet(made, tmp_path, **(FILLED | {"day": "3/4/2026"})))
    file = sheet(made, tmp_path, **(FILLED | {"day": "3/4/2026"}))
    assert seen(made, file, days="d/m/y").trial.proving.on_date == "2026-04-03"  # type: ignore[union-attr]


def test_a_checklist_of_another_job_is_refused_or_asked_about(made: Kit, tmp_path: Path) -> None:
    made.record.add(Person(initials="BY"))
    other = two_cores(made.record, number="TK-2")
    file = sheet(made, tmp_path, **FILLED)
    with pytest.raises(ImportRefused, match="is a sheet of job TK-1, not of TK-2"):
        job_of(made.record, read(file), "TK-2")
    assert job_of(made.record, read(file), None).number == "TK-1"
    text = file.read_text().replace("TK-1,", "TK-9,")
    file.write_text(text)
    found = checklist.check(made.record, other.job, read(file), by="BY", today=TODAY)
    assert any("it says job TK-9, which is not in the record" in sentence for sentence in found.asked)


def test_an_older_edition_is_asked_about_with_what_differs(made: Kit, tmp_path: Path) -> None:
    file = sheet(made, tmp_path, **FILLED)
    edit.change_fit(made.record, made.job, made.fit["K1"], clear_min_mm=0.35)
    found = seen(made, file)
    assert "it was made from another edition of the kit" in found.asked[0]
    assert any("K1 is otherwise by now" in sentence for sentence in found.asked)
    with pytest.raises(ImportRefused, match="to be looked at first"):
        refuse_unanswered(found.answers.name, found.asked)
    kept = seen(made, file, keep=True)
    assert kept.asked == ()
    refuse_unanswered(kept.answers.name, kept.asked)


def test_a_sheet_whose_lines_were_changed_is_asked_about(made: Kit, tmp_path: Path) -> None:
    file = sheet(made, tmp_path, **FILLED)
    file.write_text(file.read_text().replace("0.3,0.7", "0.3,0.9"))
    assert any("K1 was changed in the sheet" in sentence for sentence in seen(made, file).asked)


def test_lines_of_nothing_and_lines_that_stand_twice_are_told(made: Kit, tmp_path: Path) -> None:
    file = sheet(made, tmp_path, **FILLED)
    text = file.read_text()
    line = next(line for line in text.splitlines() if ",K1," in line)
    file.write_text(text + line.replace("goes 0.45 feeler", "rubs") + "\r\n" + line.replace(",K1,", ",,") + "\r\n")
    said = refused(made, file)
    assert "K1 stands twice: goes 0.45 feeler and rubs" in said and "was found of nothing" in said


def test_another_table_is_neither(made: Kit, tmp_path: Path) -> None:
    file = tmp_path / "other.csv"
    file.write_text("a,b\n1,2\n")
    with pytest.raises(DataError, match="nor the heads trial, item and found of a checklist"):
        take_in.read(file)


def test_who_takes_it_in_may_be_who_tried_it(made: Kit, tmp_path: Path) -> None:
    made.record.add(Person(initials="FF", name="F. Former"))
    found = checklist.check(made.record, made.job, read(sheet(made, tmp_path, **FILLED)), today=TODAY)
    assert found.by.initials == "FF"
    text = sheet(made, tmp_path, **(FILLED | {"who": "a stranger"}))
    with pytest.raises(ImportRefused) as told:
        checklist.check(made.record, made.job, read(text), today=TODAY)
    assert "it is not said who takes it in" in " ".join(told.value.lines)
