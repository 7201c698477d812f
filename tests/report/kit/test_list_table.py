"""The kit list as a table: a row for each thing, figures as figures, nothing said that is not known."""

from __future__ import annotations

import csv
import io

import openpyxl

from inspect_tui.frozen import replace
from inspect_tui.report.kit.list_table import HEADS, make
from tests.worlds import kit_samples as samples


def test_every_thing_has_its_row_with_figures_as_figures() -> None:
    kit = samples.kit_list()
    page = openpyxl.load_workbook(io.BytesIO(make(kit, "xlsx"))).active
    assert page is not None
    rows = [dict(zip(HEADS, [cell.value for cell in row], strict=True)) for row in page.iter_rows(min_row=2)]
    assert [cell.value for cell in page[1]] == list(HEADS) and len(rows) == len(kit.lines)
    first = rows[0]
    assert (first["label"], first["loose pieces"], first["dowels"], first["weight, kg"]) == ("pattern drag", 3, 4, 41.5)
    assert (first["sort"], first["core"], first["count"], first["owner"]) == ("pattern", None, 1, "the customer")
    assert (first["material"], first["where"], first["lifting points"]) == ("hardwood", "here", "two eyes")
    for row, line in zip(rows, kit.lines, strict=True):
        assert (row["core"], row["name of the core"]) == (line.core, line.core_name)
        assert (row["mark"], row["remark"]) == (line.mark, line.note)


def test_a_formula_that_somebody_typed_stays_a_text() -> None:
    kit = samples.kit_list()
    kit = replace(kit, lines=(replace(kit.lines[0], note="=1+1", core=7, core_name="port"),))
    (row,) = csv.DictReader(io.StringIO(make(kit, "csv").decode("utf-8"), newline=""))
    assert (row["remark"], row["core"], row["name of the core"]) == ("'=1+1", "7", "port")
