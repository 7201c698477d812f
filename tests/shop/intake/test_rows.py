"""Tests of: goes through the lines of a file and gathers casting readings."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from inspect_tui.commands.todo import said
from inspect_tui.demo.sheets import generate
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.rows import ImportRefused, Options
from inspect_tui.shop.intake.take_in import take_in
from inspect_tui.todo import Todo
from tests.conftest import SmallShop
from tests.shop.intake.test_take_in import Bring, nothing_was_written, spreadsheet
from tests.worlds.sampled_shop import AFTER_S1, shop_until


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
    job = find.job(shop.record, "PB-12")
    from inspect_tui.model.work import Item

    (lot,) = shop.record.lots(job.of_id)
    shop.record.add(Item(job_of_id=job.of_id, serial="C1", lot_id=lot.id))
    with pytest.raises(ImportRefused, match="C1 is in the record twice"):
        bring("Casting,F2\nC1,40.1\n")


def test_decimal_points_and_commas_in_one_file_are_refused(shop: SmallShop, bring: Bring) -> None:
    with pytest.raises(ImportRefused, match=r"decimal points \(line 2\) and decimal commas \(line 3\)"):
        bring("Casting;F2\nC1;40.1\nC2;40,2\n")
    assert nothing_was_written(shop)


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


def test_the_same_file_is_not_taken_in_twice_under_any_name(shop: SmallShop, bring: Bring) -> None:
    content = "Casting,F2,F3\nC1,40.1,210.2\nC2,40.2,210.3\n"
    bring(content)
    with pytest.raises(ImportRefused, match=r"was taken in already, as file\.csv on"):
        bring(content, name="again.csv")
    with pytest.raises(ImportRefused, match=r"All 4 readings of sorted\.csv are in the record already"):
        bring("Casting;F2;F3\nC2;40.2;210.3\nC1;40.1;210.2\n", name="sorted.csv")
    assert shop.record.counts()["reading"] == 4


def test_p14_the_lot_file_of_the_invented_shop_is_taken_in_once(tmp_path: Path) -> None:
    record, _ = shop_until(tmp_path / "shop.db", AFTER_S1)
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


def test_a_whole_sampling_comes_in_from_a_spreadsheet_and_is_explained(tmp_path: Path) -> None:
    record, _ = shop_until(tmp_path / "shop.db", AFTER_S1)
    job = find.job(record, None)
    before = first_article(record, job, "S1")
    head = ["Casting", *(line.balloon for line in before.features)]
    rows: list[list[object]] = [head]
    for serial in before.identity.serials:
        cells = [before.cell(line.balloon, serial) for line in before.features]
        rows.append([serial.replace("S1", "T1"), *(cell.raw if cell.question is None else None for cell in cells)])
    spreadsheet(tmp_path / "t1.xlsx", rows)
    done = take_in(
        record, job, tmp_path / "t1.xlsx", "T1", Options(by="IN", instrument="caliper 1 (CAL1)"), "2023-09-11"
    )
    assert done.castings == 3
    found = first_article(record, job, "T1")
    assert {"core 4 y", "size F55"} <= {one.name for one in found.causes.found}
    record.close()
