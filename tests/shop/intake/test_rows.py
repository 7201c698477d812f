"""Lines of a file as readings, and line by line what is wrong with the others."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import find
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.todo import Todo
from tests.conftest import SmallShop
from tests.shop.intake.conftest import Bring, nothing_was_written, value
from tests.worlds import tables

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
    "a part for a unit": ("Casting;F2 [rod]\nC1;8\n", "line 2, F2: rod is no unit of length known here: give mm"),
    "weighed": ("Casting;F2\nC1;40,1 kg\n", "line 2, F2: kg is no length"),
}


@pytest.mark.parametrize("content, line", LINES.values(), ids=LINES)
def test_a_line_that_is_wrong(shop, bring, content: str, line: str) -> None:
    with pytest.raises(ImportRefused) as refused:
        bring(content)
    assert any(line in one for one in refused.value.lines), refused.value.lines
    assert "1 thing is wrong. Nothing was added. Put it right" in refused.value.sentence
    assert nothing_was_written(shop)


def test_every_wrong_line_is_named_and_nothing_is_taken_in(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(ImportRefused) as refused:
        bring("serial,feature,value\nC1,F2,40.1\nC1,F99,40.1\nC1,F3,abc\nC2,,40\nC2,F2,40.2\nC2,F2,40.3\n")
    text = "\n".join(refused.value.lines)
    assert "line 3: F99 is not on" in text
    assert "line 4, value: " in text
    assert "line 5: no feature" in text
    assert "line 7: F2 of casting C2 stands in line 6 already" in text
    assert "repeat" in text
    assert "4 things are wrong" in refused.value.sentence
    assert nothing_was_written(shop)


def test_a_serial_that_stands_twice_is_named_with_both_lines(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(ImportRefused, match="line 4: F2 of casting C1 stands in line 2 already"):
        bring("Casting,F2\nC1,40.1\nC2,40.2\nC1,40.3\n")
    assert nothing_was_written(shop)


def test_a_casting_that_is_in_the_record_twice_is_refused(shop: SmallShop, bring: Bring) -> None:
    job = find.job(shop.record, "SV-12")
    from inspect_tui.model.work import Item

    (lot,) = shop.record.lots(job.of_id)
    shop.record.add(Item(job_of_id=job.of_id, serial="C1", lot_id=lot.id))
    with pytest.raises(ImportRefused, match="C1 is in the record twice"):
        bring("Casting,F2\nC1,40.1\n")


def test_decimal_points_and_commas_in_one_file_are_refused(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(ImportRefused, match=r"decimal points \(line 2\) and decimal commas \(line 3\)"):
        bring("Casting;F2\nC1;40.1\nC2;40,2\n")
    assert nothing_was_written(shop)


def test_repeats_count_where_a_column_says_so(shop: SmallShop, bring: Bring) -> None:
    bring("serial,feature,value,repeat\nC1,F2,40.1,1\nC1,F2,40.3,2\n")
    assert value(shop, "C1", "F2") == pytest.approx(40.2)


def test_an_angle_is_not_taken_in_mm(shop: SmallShop, bring: Bring) -> None:
    job = find.job(shop.record, "SV-12")
    from inspect_tui.shop.jobs import jobs

    jobs.add_feature(
        shop.record,
        job,
        Feature(balloon="F9", name="flange angle", quantity="angle", axis="none", nominal=75.0, lower=74.0, upper=76.0),
    )
    assert bring("Casting,F9 [deg]\nC1,75.2\n").readings == 1
    with pytest.raises(ImportRefused, match="F9 is an angle, not in mm"):
        bring("Casting,F9 [mm]\nC2,75.2\n", name="b.csv")


def test_spreadsheet_cells_that_are_no_readings(shop: SmallShop, bring) -> None:
    from datetime import date

    with pytest.raises(ImportRefused) as refused:
        bring(tables.xlsx(["Casting", "F2", "F3"], ["C1", date(2026, 3, 16), "#DIV/0!"]), "f.xlsx")
    assert "2026-03-16 is a day, made of a fraction by the spreadsheet?" in refused.value.lines[0]
    assert "#DIV/0! is not a size" in refused.value.lines[1]
    with pytest.raises(ImportRefused, match=r"column C holds 1 cell such as 210\.2 and has no head: give it one"):
        bring(tables.xlsx(["Casting", "F2", None], ["C1", 40.1, 210.2]), "f.xlsx")
    assert nothing_was_written(shop)


def test_many_wrong_lines_are_all_kept_and_the_first_are_printed(shop: SmallShop, bring) -> None:
    with pytest.raises(ImportRefused) as refused:
        bring("serial;feature;value\n" + "".join(f"C{n};F2;bad\n" for n in range(300)))
    assert len(refused.value.lines) == 300
    assert "300 things are wrong" in refused.value.sentence
    assert str(refused.value).splitlines()[-1] == "and 260 more"


def test_serials_that_begin_with_a_hash_stay_in_a_spreadsheet_and_are_said_in_text(shop: SmallShop, bring) -> None:
    assert bring(tables.xlsx(["Casting", "F2"], ["#7", 40.1]), "f.xlsx").new_castings == ("#7",)
    done = bring("Casting;F2\n#8;40,1\nC1;40,2\n# a remark\n")
    assert done.readings == 1
    assert done.remarks == ("line 2 begins with # and counted as a remark: left out",)


# ------------------------------------------------------------------------------ the day of each reading
def days_of(shop: SmallShop) -> dict[float, str | None]:
    """Value of every reading -> the day on which it was measured, None: as it was taken in."""
    return {logged.reading.value: logged.setup.on_date for logged in shop.record.readings()}


def test_each_reading_has_its_own_day_and_the_others_that_of_the_file(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F2,Date\nC1,40.1,31.1.2026\nC2,40.2,\nC3,40.3,2026-02-15\n")
    assert days_of(shop) == {40.1: "2026-01-31", 40.2: None, 40.3: "2026-02-15"}
    values = [logged.reading.value for logged in sorted(shop.record.readings(), key=lambda row: row.id)]
    assert values == [40.1, 40.3, 40.2]  # ids go on with the days


def test_a_day_that_is_said_is_that_of_lines_without_one(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F2,Date\nC1,40.1,2026-01-31\nC2,40.2,\n", day="2026-02-01")
    assert days_of(shop) == {40.1: "2026-01-31", 40.2: "2026-02-01"}


def test_a_casting_that_was_read_on_two_days_has_both(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F2,Date\nC1,40.1,2026-01-31\nC1,40.2,2026-02-01\n")
    assert days_of(shop) == {40.1: "2026-01-31", 40.2: "2026-02-01"}
    with pytest.raises(ImportRefused, match="F2 of casting C2 stands in line 2 already"):
        bring("Casting,F2,Date\nC2,40.1,2026-01-31\nC2,40.2,2026-01-31\n", name="twice.csv")


@pytest.mark.parametrize(
    ("day", "why"),
    [
        ("yesterday", "line 2, Date: yesterday is no day"),
        ("2026-02-30", "line 2, Date: 2026-02-30 is no day"),
        ("2999-01-01", "line 2: 2999-01-01 is still to come"),
        ("3/4/2025", "line 2, Date: 3/4/2025"),
    ],
)
def test_a_day_that_is_none_refuses_the_file_with_its_line(shop: SmallShop, bring: Bring, day: str, why: str) -> None:
    with pytest.raises(ImportRefused) as refused:
        bring(f"Casting,F2,Date\nC1,40.1,{day}\n")
    assert why in str(refused.value), str(refused.value)
    assert nothing_was_written(shop)
    unclear = day.startswith("3/")
    assert (refused.value.todo is Todo.SAY_DAY_ORDER) == unclear
    if unclear:
        bring(f"Casting,F2,Date\nC1,40.1,{day}\n", days="m/d/y")
        assert days_of(shop) == {40.1: "2025-03-04"}


@pytest.mark.parametrize("said", [{"day": "2999-01-01"}, {"day": "soon"}, {"days": "d/d/d"}])
def test_a_day_or_an_order_that_cannot_be_is_refused_before_the_file_is_looked_at(
    shop: SmallShop, bring: Bring, said: dict[str, str]
) -> None:
    with pytest.raises(DataError, match="Nothing was added"):
        bring("Casting,F2\nC1,40.1\n", **said)
    assert nothing_was_written(shop)
