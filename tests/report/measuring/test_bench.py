"""The bench sheet as files: printed on A4 or Letter, and as a table that comes back with the readings."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl
import pytest
from pypdf import PdfReader

from inspect_tui.cli import main
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.report.measuring.bench import make, write
from inspect_tui.report.paper.file import PaperError
from inspect_tui.shop.settings import write as settings
from tests.conftest import SmallShop
from tests.shop.measuring.test_bench_sheet import of


def test_paper_is_that_of_the_settings(shop: SmallShop) -> None:
    made, inches = of(shop, style=Style("in")), Style("in", printed=True)
    page = PdfReader(io.BytesIO(make(made, "pdf", inches))).pages[0]
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (595, 842)
    text = page.extract_text()
    assert "Lengths in in." in text and made.rows[1].wanted in text and " mm" not in text
    assert "size: A4" in make(made, "html").decode()
    settings.put("paper.size", "Letter")
    page = PdfReader(io.BytesIO(make(made, "pdf", inches))).pages[0]
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (612, 792)  # 8.5 in by 11 in
    assert "size: Letter" in make(made, "html").decode()


def test_the_table_comes_back_with_what_was_written_into_it(shop: SmallShop, tmp_path: Path) -> None:
    made = of(shop, style=Style("in"))
    rows = list(csv.DictReader(io.StringIO(make(made, "csv").decode("utf-8"))))
    assert [row["feature"] for row in rows] == [row.balloon for row in made.rows]
    read = {"value": made.rows[1].wanted, "gauge": "caliper", "instrument": shop.caliper.label}
    said = {"day": "2026-03-09", "person": shop.ab.initials, "by": shop.ab.initials, "gauge": shop.caliper.label}
    rows[1].update({key: text for key, text in (read | said).items() if key in rows[1]})
    with (tmp_path / "back.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    before = len(shop.record.readings())
    assert (
        main(["import", "readings", str(tmp_path / "back.csv"), "--record", str(shop.path), "--by", shop.ab.initials])
        == 0
    )
    new = shop.record.readings()[before:]
    assert [round(logged.reading.value, 2) for logged in new] == [round(float(made.rows[1].wanted) * 25.4, 2)]


@pytest.mark.parametrize("style", [Style(), Style("in")])
def test_the_workbook_has_figures_and_comes_back_too(shop: SmallShop, tmp_path: Path, style: Style) -> None:
    made = of(shop, style=style)
    book = openpyxl.load_workbook(io.BytesIO(make(made, "xlsx", style)))
    page = book.active
    heads = {cell.value: cell.column for cell in page[1]}
    assert [page.cell(row, heads["feature"]).value for row in range(2, page.max_row + 1)] == [
        r.balloon for r in made.rows
    ]
    plain = of(shop).rows[1]  # the same in mm
    by = 25.4 if style.unit == "in" else 1.0
    wanted, lower, upper = (page.cell(3, heads[head]).value for head in ("wanted", "lower limit", "upper limit"))
    assert wanted == pytest.approx(plain.target / by, abs=1e-6) and page.cell(3, heads["unit"]).value == style.word
    assert [lower, upper] == [
        None if x is None else pytest.approx(x / by, abs=1e-6) for x in (plain.lower, plain.upper)
    ]
    for head, text in {
        "value": wanted, "day": "2026-03-09", "person": shop.ab.initials, "gauge": shop.caliper.label,
    }.items():  # fmt: skip
        page.cell(3, heads[head]).value = text
    book.save(tmp_path / "back.xlsx")
    before = len(shop.record.readings())
    argv = ["import", "readings", str(tmp_path / "back.xlsx"), "--record", str(shop.path), "--by", shop.ab.initials]
    assert main(argv) == 0
    (logged,) = shop.record.readings()[before:]
    assert logged.reading.value == pytest.approx(plain.target, abs=1e-4)


def test_a_blind_sheet_has_no_figures_of_what_is_expected(shop: SmallShop) -> None:
    rows = of(shop, blind=True).rows
    assert {(row.target, row.lower, row.upper, row.wanted, row.limits) for row in rows} == {(None, None, None, "", "")}


def test_nothing_to_measure_and_a_file_that_is_there_are_said(shop: SmallShop, tmp_path: Path) -> None:
    made = of(shop)
    with pytest.raises(PaperError, match="There is nothing to measure on stick 1"):
        write(replace(made, rows=()), tmp_path / "s.csv")
    assert write(made, tmp_path / "s.csv") == tmp_path / "s.csv"
    with pytest.raises(PaperError):
        write(made, tmp_path / "s.csv")
    write(made, tmp_path / "s.csv", force=True)


def test_that_of_a_casting_has_the_heads_of_castings(shop: SmallShop) -> None:
    made = replace(of(shop), kind="casting", subject="casting C1")
    rows = list(csv.DictReader(io.StringIO(make(made, "csv").decode("utf-8"))))
    assert rows[0]["serial"] == "C1" and "tool" not in rows[0]
