"""The readings of a file as a whole: merged cells, figures in another unit, heights over the table."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.commands.todo import said
from inspect_tui.model.first_article import DatumTarget
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.intake.checks import UnitUnclear
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.shop.intake.take_in import take_in
from inspect_tui.todo import Todo
from tests.conftest import TODAY, SmallShop
from tests.shop.intake.conftest import BY, Bring, nothing_was_written, value
from tests.worlds import tables


def test_part_of_a_file_in_inches_is_told_with_how_to_say_it(shop: SmallShop, bring) -> None:
    with pytest.raises(UnitUnclear) as one:
        bring("Feature;C1;C2\nF1;2,323;59\nF2;1,575;40\nF3;8,268;210\n")
    assert one.value.columns == (("C1", "C1"),)
    assert (one.value.todo, one.value.about) == (Todo.SAY_COLUMN_UNIT, "C1 [in]=C1")
    assert "column by column, such as --map 'C1 [in]=C1'" in said(one.value)
    with pytest.raises(UnitUnclear) as scattered:
        bring("Casting;F1;F2;F3\nC1;2,323;1,575;8,268\nC2;59;40;210\n")
    assert scattered.value.scattered
    assert (scattered.value.todo, scattered.value.about) == (Todo.WRITE_UNIT, "in")
    assert nothing_was_written(shop)
    bring("Feature;C1;C2\nF1;2,323;59\nF2;1,575;40\nF3;8,268;210\n", mapping=(("C1 [in]", "C1"),))
    assert value(shop, "C1", "F3") == pytest.approx(210.0, abs=0.1)
    assert value(shop, "C2", "F3") == pytest.approx(210.0)


def test_merged_cells_among_the_readings_are_refused_but_not_in_a_title(shop: SmallShop, tmp_path: Path) -> None:
    job = find.job(shop.record, "SV-12")
    open_round(shop.record, job, "S1", ["C1", "C2"])
    rows = [["Stove box", None, None], ["Casting", "F2", "F3"], ["C1", 40.1, 210.2], ["C2", 40.2, 210.3]]
    (tmp_path / "bad.xlsx").write_bytes(tables.xlsx(*rows, also=lambda book: book.active.merge_cells("B3:C3")))
    with pytest.raises(ImportRefused, match="cells B3:C3 are merged"):
        take_in(shop.record, job, tmp_path / "bad.xlsx", "S1", BY, TODAY)
    (tmp_path / "good.xlsx").write_bytes(tables.xlsx(*rows, also=lambda book: book.active.merge_cells("A1:C1")))
    assert take_in(shop.record, job, tmp_path / "good.xlsx", "S1", BY, TODAY).readings == 4


def test_a_file_in_inches_is_asked_about_and_never_converted_silently(shop: SmallShop, bring: Bring) -> None:
    content = "Casting,F1,F2,F3\nC1,2.323,1.575,8.268\n"
    with pytest.raises(ImportRefused) as refused:
        bring(content)
    assert "does not say its unit" in refused.value.sentence
    assert refused.value.lines == ("casting C1: 100 % of 3 figures fit the drawing in inches",)
    assert nothing_was_written(shop)
    bring(content, unit="in")
    assert value(shop, "C1", "F3") == pytest.approx(8.268 * 25.4)


def test_a_stated_unit_is_believed(shop: SmallShop, bring: Bring) -> None:
    bring("Casting,F1 [mm],F2 [mm],F3 [mm]\nC1,2.323,1.575,8.268\n")
    assert value(shop, "C1", "F3") == pytest.approx(8.268)


def test_heights_over_the_table_become_sizes_from_the_datum_targets(shop: SmallShop, bring: Bring) -> None:
    job = find.job(shop.record, "SV-12")
    targets = [("A1", 0.0), ("A2", 100.0)]
    shop.record.add_all(DatumTarget(job_of_id=job.of_id, label=label, axis="z", x_mm=x) for label, x in targets)
    done = bring("point,C1\nA1,20.00\nA2,20.40\nF2,60.20\n", heights=True)
    assert done.readings == 1
    assert "stood tilted" in done.remarks[0]
    # no station on F2: from the mean height of the datum, 20.20 (computed here)
    assert value(shop, "C1", "F2") == pytest.approx(40.0)
    with pytest.raises(ImportRefused, match="has no height of a datum target along Z"):
        bring("point,C2\nF2,60.20\n", heights=True, name="b.csv")
