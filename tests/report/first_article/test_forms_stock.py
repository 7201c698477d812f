"""Datum targets to raise in every form of the paper, and papers of before targets were told, which have none."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pytest

from inspect_tui.report.first_article import schema
from inspect_tui.report.first_article.forms import ENDINGS, make
from inspect_tui.report.term.first_article import stock_text
from inspect_tui.shop.first_article.findings import Stock
from tests.report.first_article.test_forms import pdf_text
from tests.worlds.report_samples import _stock, plain

SHIPPED = Path(schema.__file__).with_name("first_article.schema.json")
TOLD = "Datum targets, mm raised: A1 −0.20, A2 +0.40, A3 stays."


def older() -> dict[str, Any]:
    """A report as it was given out before targets were told."""
    told = json.loads(json.dumps(plain(6, 2)))
    for line in told["stock"]["castings"]:
        del line["targets"]
    return told


def sheet(content: bytes) -> list[tuple[Any, ...]]:
    return list(openpyxl.load_workbook(io.BytesIO(content))["Stock"].iter_rows(values_only=True))


def test_the_targets_are_in_every_form_that_people_read() -> None:
    told = plain(6, 2)
    assert TOLD in make(told, "html").decode()
    printed = " ".join(pdf_text(make(told, "pdf")).split())
    assert TOLD in printed
    assert "Turned about z +0.057°." in printed
    assert "Set up: x" not in printed  # a shift of the drawing's zero, that no machinist makes
    assert json.loads(make(told, "json"))["stock"]["castings"][0]["targets"] == [["A1", -0.2], ["A2", 0.4], ["A3", 0.0]]
    head, *rows = sheet(make(told, "xlsx"))
    columns = {name: n for n, name in enumerate(head)}
    for row in rows:
        assert [row[columns[f"raise {name} by"]] for name in ("A1", "A2", "A3")] == [-0.2, 0.4, 0.0]


@pytest.mark.parametrize("form", sorted(ending[1:] for ending in ENDINGS))
def test_an_older_report_is_printed_in_every_form(form: str) -> None:
    assert make(older(), form)


def test_an_older_report_says_nothing_of_targets_and_is_still_right_by_the_schema() -> None:
    told = older()
    shown = make(told, "html").decode()
    assert "Datum targets" not in shown
    assert "Set up: the drawing&#39;s zero x −0.50 mm, y +0.70 mm, about z +0.057°." in shown
    assert not [name for name in sheet(make(told, "xlsx"))[0] if "raise" in str(name)]
    jsonschema.validate(told, json.loads(SHIPPED.read_text(encoding="utf-8")))
    told["stock"]["castings"][0]["targets"] = [["A1"]]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, json.loads(SHIPPED.read_text(encoding="utf-8")))


def test_a_terminal_shows_the_targets_where_any_moves() -> None:
    shown = stock_text(_stock(("C1",)), 80).plain
    assert "datum targets, mm raised: A1 -0.20, A2 +0.40, A3 stays" in shown
    assert all(len(line) <= 80 for line in shown.splitlines())
    from inspect_tui.frozen import replace

    still = _stock(("C1",)).castings[0]
    still = replace(still, targets=tuple((name, 0.0) for name, _ in still.targets))
    assert "datum targets" not in stock_text(Stock((still,), ()), 80).plain
