"""A capacity on paper and in the workbook: which part of its doubt was measured, which is assumed."""

from __future__ import annotations

import json
from io import BytesIO
from typing import Any

import pytest
from openpyxl import load_workbook

from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.view import view
from tests.worlds.report_samples import plain


@pytest.fixture
def told() -> dict[str, Any]:
    made: dict[str, Any] = json.loads(json.dumps(plain(6, 2)))
    made["passages"][0] |= {"u_measured": 0.12, "u_assumed": 0.55}
    return made


def test_the_papers_say_what_is_measured_and_what_assumed(told: dict[str, Any]) -> None:
    (passage,) = view(told)["passages"]
    assert passage["parts"] == "± 0.2 measured, ± 1.1 assumed"
    told["passages"][0]["u_measured"] = 0.02
    assert view(told)["passages"][0]["parts"] == "± 0.04 measured, ± 1.1 assumed"
    assert "± 0.04 measured, ± 1.1 assumed" in make(told, "html").decode("utf-8")


def test_the_workbook_has_a_column_for_each(told: dict[str, Any]) -> None:
    rows = list(load_workbook(BytesIO(make(told, "xlsx")))["Passages"].values)
    head = next(n for n, row in enumerate(rows) if "u_measured" in row)
    line = dict(zip(rows[head], rows[head + 1], strict=True))
    assert (line["u_measured"], line["u_assumed"], line["u_capacity"]) == (0.12, 0.55, 0.3)


def test_a_report_of_before_has_neither_and_is_made_all_the_same(told: dict[str, Any]) -> None:
    for name in ("u_measured", "u_assumed"):
        del told["passages"][0][name]
    (passage,) = view(told)["passages"]
    assert passage["parts"] == ""
    rows = list(load_workbook(BytesIO(make(told, "xlsx")))["Passages"].values)
    head = next(n for n, row in enumerate(rows) if "u_measured" in row)
    assert dict(zip(rows[head], rows[head + 1], strict=True))["u_assumed"] is None
