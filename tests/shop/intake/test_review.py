"""What a file would add, told before anything is written, and what looks odd."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.frozen import replace
from inspect_tui.model.gauges import InstrumentState
from inspect_tui.shop.common import find
from inspect_tui.shop.intake.review import review
from inspect_tui.shop.intake.take_in import check, read
from tests.conftest import TODAY, SmallShop
from tests.shop.intake.conftest import BY


def test_what_a_file_would_add_and_what_looks_odd(shop: SmallShop, tmp_path: Path, bring) -> None:
    bring("Casting;F2\nC1;40,1\n", "before.csv")
    path = tmp_path / "f.csv"
    path.write_text("Casting;F1;F2;F3;Remark\nC1;59,1;40,1;2102;ok\nC-2;59,2;40,2;9999;far\n")
    job = find.job(shop.record, "SV-12")
    seen = review(check(shop.record, job, read(shop.record, path), "S1", BY, TODAY))
    assert seen.title == "5 readings of 3 features on 2 castings, into S1 of SV-12"
    lines = dict(seen.lines)
    assert lines["new castings"] == "C-2: added to S1"
    assert lines["note"] == "1 reading is there from a file before: only what is new is taken in"
    assert lines["columns"] == "Casting is serial, F1, F2, F3; sizes in mm"
    assert lines["left out"] == "Remark"
    assert seen.odd == (
        "casting C-2 is new, and looks like C2: is it that one?",
        "2 readings beyond the range of caliper 1 (0 to 300 mm), from line 2 on: was another one used?",
        "line 2, F3 of casting C1: 2102 or 210.2? Decimal point lost?",
        "line 3, F3 of casting C-2: 9999 lies 9788.2 mm beyond the limits. Is it in the right column?",
    )


def test_a_strange_name_and_a_reading_out_of_reach_are_to_be_answered_first(
    shop: SmallShop, tmp_path: Path, bring
) -> None:
    bring("Casting;F2\nC1;40,1\n", "before.csv")
    path = tmp_path / "f.csv"
    path.write_text("Feature;C1;C77;Monday\nF2;40,2;40,1;40,1\nF3;;;310\n")
    seen = review(check(shop.record, find.job(shop.record, "SV-12"), read(shop.record, path), "S1", BY, TODAY))
    assert seen.asked == (
        "casting Monday is new, and its name looks like none of the known: is it a casting?",
        "1 reading beyond the range of caliper 1 (0 to 300 mm), from line 3 on: was another one used?",
    )
    assert set(seen.asked) <= set(seen.odd) and seen.column == "Monday"
    path.write_text("Casting;F2\nC1;40,2\nMonday;40,1\n")
    seen = review(check(shop.record, find.job(shop.record, "SV-12"), read(shop.record, path), "S1", BY, TODAY))
    assert len(seen.asked) == 1 and seen.column is None  # a row: no column is to blame


def test_a_column_of_figures_that_nobody_knows_is_asked_about_until_it_is_said(
    shop: SmallShop, tmp_path: Path, bring
) -> None:
    bring("Casting;F2\nC1;40,1\n", "before.csv")
    path = tmp_path / "f.csv"
    path.write_text("Serial,Feature,Value,Batch,Nominal,Shift\nC1,F2,40.3,17,40.0,late\n")
    job = find.job(shop.record, "SV-12")
    seen = review(check(shop.record, job, read(shop.record, path), "S1", BY, TODAY))
    assert seen.asked == ("column Batch (such as 17) is not known and is left out: is that right?",)
    assert seen.column == "Batch"
    said = replace(BY, mapping=(("ignore", "Batch"),))
    assert review(check(shop.record, job, read(shop.record, path), "S1", said, TODAY)).asked == ()


def test_a_column_of_nominal_sizes_is_not_taken_for_a_casting_without_a_word(shop: SmallShop, tmp_path, bring) -> None:
    bring("Casting;F2\nC1;40,1\n", "before.csv")
    path = tmp_path / "f.csv"
    path.write_text("feature,Size,C1\nF1,62,59.1\nF3,210,210.2\nF4,240,243.4\n")
    job = find.job(shop.record, "SV-12")
    odd = review(check(shop.record, job, read(shop.record, path), "S1", BY, TODAY)).odd
    assert [one for one in odd if one.startswith("casting Size: all 3 readings are exactly the sizes of the drawing")]
    assert not [one for one in odd if "casting C1" in one]
    path.write_text("feature,Nom,C1\nF1,62,59.1\nF3,210,210.2\n")  # said by its head
    assert check(shop.record, job, read(shop.record, path), "S1", BY, TODAY).new_serials == ()


def test_a_gauge_that_is_not_to_be_measured_with_is_told_before_anything_is_written(
    shop: SmallShop, tmp_path: Path, bring
) -> None:
    bring("Casting;F2\nC1;40,1\n", "before.csv")
    out = InstrumentState(instrument_of_id=shop.caliper.of_id, state="out_of_use", since_on=TODAY, why="dropped")
    shop.record.add(out)
    path = tmp_path / "f.csv"
    path.write_text("Casting;F2\nC2;40,2\n")
    seen = review(check(shop.record, find.job(shop.record, "SV-12"), read(shop.record, path), "S1", BY, TODAY))
    assert f"✗ caliper 1 is out of use since {TODAY}: dropped: was another one used?" in seen.odd
