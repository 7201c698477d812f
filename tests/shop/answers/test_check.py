"""Whose sheet it is, what every answer becomes, and what is asked: another job, another edition, changed, cast sizes."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.shop.answers import take_in
from inspect_tui.shop.answers.check import AnswerOptions, job_of
from inspect_tui.shop.answers.refusals import refuse_unanswered
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.todo import Todo
from tests.shop.answers.conftest import BY, FILLED, as_file, checked, filled, guide, printed, saved
from tests.worlds.kit_jobs import Kit, begin


def test_each_answer_finds_its_core_and_step(kit: Kit, tmp_path: Path) -> None:
    seen = checked(kit, saved(tmp_path / "a.csv", filled(kit, FILLED)))
    assert seen.asked == () and seen.sentence == "2 sizes, 2 answers of 1 sand core, job TK-1"
    assert [(r.serial, r.feature.balloon, r.value) for r in seen.readings] == [
        ("S4-1-C1", "W", 101.3),
        ("S4-1-C1", "L", 60.58),
    ]
    throat, rub = (answer for _, answer in seen.said)
    assert (throat.sort, throat.value, throat.lower, throat.upper, throat.step) == ("check", 1.42, 1.0, 2.0, 1)
    assert (rub.sort, rub.words, rub.mould, rub.who) == ("rub", "key rubbed at the lower end", "S4-1", "TK")
    assert throat.on_date == "2026-11-18"
    assert [(serial, core.number) for serial, core, _ in seen.new_cores] == [("S4-1-C1", 1)]
    assert seen.lines()[0] == (
        "S4-1-C1 (new)",
        "W 101.3, L 60.58; check throat (T-1): 1.42 mm, within 1.00 to 2.00 mm, TK; rubbed, forced, broken?: key rubbed "
        "at the lower end, TK",
    )


def test_a_check_is_go_or_no_go_or_a_gap_or_both(kit: Kit, tmp_path: Path) -> None:
    for text, wanted in (
        ("goes", ("go", None)),
        ("NO GO", ("no_go", None)),
        ("0,02", (None, 0.02)),
        ("1/16 in", (None, 1.5875)),
    ):
        seen = checked(kit, saved(tmp_path / "a.csv", filled(kit, {(1, "throat (T-1)"): text}), ";"))
        ((_, answer),) = seen.said
        assert (answer.result, answer.value) == wanted
    with pytest.raises(ImportRefused) as refused:
        checked(kit, saved(tmp_path / "a.csv", filled(kit, {(1, "throat (T-1)"): "tight"})))
    assert "line 6, read_mm: " in refused.value.lines[0]


def test_a_check_of_the_guide_has_the_limits_of_the_kit(kit: Kit, tmp_path: Path) -> None:
    seen = checked(kit, as_file(tmp_path / "g.json", guide(kit)))
    limits = {answer.what: (answer.lower, answer.upper) for _, answer in seen.said if answer.sort == "check"}
    assert limits == {"core set": (None, None), "throat (T-1)": (1.0, 2.0), "closing height": (None, None)}


def test_a_sheet_of_another_job_says_which(kit: Kit, tmp_path: Path) -> None:
    other = begin(kit.record, "OT-9")
    path = saved(tmp_path / "a.csv", filled(kit, FILLED))
    with pytest.raises(ImportRefused, match="is a sheet of job TK-1, not of OT-9") as refused:
        checked(kit, path, job="OT-9")
    assert (refused.value.todo, refused.value.about) == (Todo.CHOOSE_JOB, "TK-1")
    with pytest.raises(ImportRefused, match="of job TK-1, not of OT-9"):
        checked(kit, as_file(tmp_path / "g.json", guide(kit)), job="OT-9")
    assert job_of(kit.record, take_in.read(path), None).number == "TK-1"  # it names its job by itself
    strange = saved(tmp_path / "b.csv", [row | {"job": "XX-1"} for row in filled(kit, FILLED)])
    seen = checked(kit, strange, job="TK-1")
    assert seen.asked[0] == "it says job XX-1, which is not in the record: is it a sheet of TK-1?"
    with pytest.raises(ImportRefused) as asked:
        refuse_unanswered(seen.answers.name, seen.asked)
    assert asked.value.todo is Todo.KEEP_ODD
    assert checked(kit, strange, replace(BY, keep=True), "TK-1").asked == ()
    nine = saved(tmp_path / "c.csv", [row | {"job": "XX-1", "core": "9"} for row in filled(kit, FILLED)])
    with pytest.raises(ImportRefused) as wrong:  # where its cores are not there either, it is told first whose it is
        checked(kit, nine, job="TK-1")
    assert wrong.value.lines[0].startswith("it says job XX-1, which is not in the record")
    assert other.job.number == "OT-9"


def test_a_changed_sheet_says_what_was_changed(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, FILLED)
    rows[2] |= {"wanted_mm": "111.0"}
    rows[4] |= {"upper_mm": ""}
    rows.append(rows[0] | {"balloon": "K9", "what": "size K9"})
    asked = checked(kit, saved(tmp_path / "a.csv", rows)).asked
    assert asked == (
        "line 4: core 1 W: wanted 111.00 mm where the kit says 101.00 mm",
        "line 6: core 1 throat (t-1): upper nothing where the kit says 2.00 mm",
        "line 10: core 1 K9 is not on the sheet of the kit as it stands",
    )
    fewer = [row for row in filled(kit, FILLED) if row["core"] == "1"]
    assert checked(kit, saved(tmp_path / "b.csv", fewer)).asked == ()  # lines that nobody filled in may go


def test_a_spreadsheet_that_rounds_is_not_taken_for_a_change(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, FILLED)
    for row in rows:
        row |= {
            key: f"{float(row[key]):.4f}".replace(".", ",") for key in ("wanted_mm", "lower_mm", "upper_mm") if row[key]
        }
        row["core"] = f"{row['core']}.0".replace(".", ",")
    assert checked(kit, saved(tmp_path / "a.csv", rows, ";")).asked == ()


def test_an_older_edition_says_what_differs(kit: Kit, tmp_path: Path) -> None:
    path = saved(tmp_path / "a.csv", filled(kit, FILLED))
    old = take_in.read(path).edition
    kit.add_feature("Z", "z", 30.0, (1, 1, 0.0), (1, -1, 30.0), ("box 1",), 29.0, 31.0)
    kit.detail(2, template="T-2", check_name="neck", check_lower=3.0)
    seen = checked(kit, path)
    now = printed(kit)[0]["edition"]
    assert old != now and seen.asked == (
        f"it was made from another edition of the kit, {old}; the kit as it stands is {now}: were the cores set by the "
        "other one?",
    )
    cut = saved(tmp_path / "b.csv", [row for row in filled(kit, FILLED) if row["balloon"] != "K1-P"])
    text = cut.read_text().replace(now, old)
    cut.write_text(text)
    assert "lines of it were changed or cut out since?" in checked(kit, cut).asked[0]
    none = saved(tmp_path / "c.csv", [row | {"edition": ""} for row in filled(kit, FILLED)])
    assert checked(kit, none).asked == ()  # it says none, but each of its lines is one of the kit
    guided = guide(kit, edition="K000000000000")
    assert checked(kit, as_file(tmp_path / "g.json", guided)).asked[0].startswith("it was made from another edition")
    assert "its mark does not fit" in checked(kit, as_file(tmp_path / "h.json", guide(kit) | {"rev": "Z"})).asked[0]


def test_a_casting_measured_in_the_cores_place_is_asked_about(kit: Kit, tmp_path: Path) -> None:
    cast = saved(tmp_path / "a.csv", filled(kit, {(1, "W"): "100.1", (1, "L"): "59.95"}))
    (asked,) = checked(kit, cast).asked
    assert asked == (
        "line 4, read_mm: 2 of 2 sizes of sand core S4-1-C1 are those of the casting, such as 100.1 for W: was the casting "
        "measured in the sand core's place?"
    )
    worn = saved(tmp_path / "b.csv", filled(kit, {(1, "W"): "100.6", (1, "L"): "60.4"}))
    assert checked(kit, worn).asked == ()  # small cores, but none of the casting's sizes
    prints = saved(tmp_path / "c.csv", filled(kit, {(1, "K1-P"): "60.0"}))
    assert checked(kit, prints).asked == ()  # a print has one size on both


def test_odd_readings_are_asked_about(kit: Kit, tmp_path: Path) -> None:
    asked = checked(kit, saved(tmp_path / "a.csv", filled(kit, {(1, "W"): "10.13", (1, "L"): "6058"}))).asked
    assert asked == (
        "line 4, read_mm: 10.13 for W of sand core S4-1-C1, which is to be 101.00 mm: is it right?",
        "line 5, read_mm: 6058 for L of sand core S4-1-C1, which is to be 60.60 mm: is it right?",
        "line 5, read_mm: 1 reading beyond the range of caliper of TK-1 (0 to 1000 mm), such as 6058: was another one used?",
    )


def test_everything_that_is_wrong_is_told_at_once(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, FILLED | {(2, "K2-P"): "40.1"})
    rows[2] |= {"read_mm": "wide"}
    rows[3] |= {"by": "Weber"}
    rows[4] |= {"casting": ""}
    rows[6] |= {"core": "7"}
    rows.append(rows[3] | {"balloon": "F12", "by": "TK", "read_mm": "60"})
    with pytest.raises(ImportRefused, match="5 things are wrong") as refused:
        checked(kit, saved(tmp_path / "a.csv", rows))
    assert [line.partition(": ")[0] for line in refused.value.lines] == [
        "line 4, read_mm",
        "line 5, read_mm",
        "line 8, read_mm",
        "line 10, read_mm",
        "line 6, read_mm",
    ]
    assert (refused.value.todo, refused.value.about) == (Todo.SAY_NAME, "Weber")
    assert "job TK-1 has no core 7; there are: 1, 2" in refused.value.lines[2]
    assert "F12 is not measured on core 1; " in refused.value.lines[3]


def test_what_the_file_does_not_say_a_person_does(kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, FILLED, casting="", by="")
    path = saved(tmp_path / "a.csv", rows)
    nobody = kit.record.add(replace(kit.person, id=b"", of_id=b"", initials="ZZ"))
    with pytest.raises(ImportRefused) as refused:
        checked(kit, path, AnswerOptions())
    assert refused.value.todo is Todo.SAY_MOULD
    with pytest.raises(ImportRefused) as refused:
        checked(kit, path, AnswerOptions(mould="S4-1"))
    assert refused.value.todo is Todo.SAY_WHO_AND_WITH_WHAT
    assert len(refused.value.lines) == 2
    with pytest.raises(ImportRefused) as refused:
        checked(kit, path, AnswerOptions(mould="S4-1", by="ZZ"))
    assert refused.value.todo is Todo.SAY_WITH_WHAT
    seen = checked(kit, path, AnswerOptions(mould="s4-1", by="ZZ", instrument="caliper"))
    assert (
        seen.by.of_id == nobody.of_id and seen.readings[0].serial == "S4-1-C1" and seen.readings[0].day == "2026-11-20"
    )
    named = saved(tmp_path / "b.csv", filled(kit, FILLED, by="H. Weber"))
    seen = checked(kit, named, replace(BY, names=(("h. weber", "ZZ"),)))
    assert seen.people["H. Weber"].initials == "ZZ"


def test_days_are_read_as_the_foundry_writes_them(kit: Kit, tmp_path: Path) -> None:
    rows = [row | {"day": "5/11/2026"} for row in filled(kit, {(1, "W"): "101.0"})]
    path = saved(tmp_path / "a.csv", rows)
    with pytest.raises(ImportRefused) as refused:
        checked(kit, path)
    assert refused.value.todo is Todo.SAY_DAY_ORDER
    assert checked(kit, path, replace(BY, days="d/m/y")).readings[0].day == "2026-11-05"
    late = saved(tmp_path / "b.csv", [row | {"day": "2026-12-24"} for row in rows])
    with pytest.raises(ImportRefused, match="1 thing is wrong"):
        checked(kit, late)
    with pytest.raises(DataError, match="no order of a day"):
        checked(kit, path, replace(BY, days="dmy"))
    with pytest.raises(DataError, match="kg is no unit of length"):
        checked(kit, path, replace(BY, unit="kg"))


def test_an_empty_sheet_is_a_sentence(kit: Kit, tmp_path: Path) -> None:
    with pytest.raises(ImportRefused, match="holds no answers yet"):
        checked(kit, saved(tmp_path / "a.csv", printed(kit)))


def test_a_picture_that_is_none_is_told(kit: Kit, tmp_path: Path) -> None:
    document = guide(kit)
    document["steps"][0]["pictures"][0]["data"] = "aGVsbG8="
    with pytest.raises(ImportRefused) as refused:
        checked(kit, as_file(tmp_path / "a.json", document))
    assert refused.value.lines[0].startswith("step 1, picture 1: That is no picture")
