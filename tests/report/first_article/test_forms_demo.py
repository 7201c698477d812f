"""The papers of a real result: the demo record's first sampling, and any text at all in a small one."""

from __future__ import annotations

import csv
import io
import json
import shutil
from typing import Any
from xml.etree import ElementTree as Tree

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_tui.commands.demo import demo_file
from inspect_tui.record.store import Record
from inspect_tui.report.first_article.forms import ENDINGS, make
from inspect_tui.report.paper.table_csv import unguarded
from inspect_tui.report.words import visible
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import to_plain
from inspect_tui.shop.first_article.snapshot import canonical_text
from tests.published.qif_schema import broken
from tests.report.first_article.test_forms import QIF, SCHEMA, Page, pdf_text
from tests.worlds.hostile import everywhere
from tests.worlds.report_samples import plain


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    shutil.copyfile(demo_file(), path)
    record = Record.open(path)
    try:
        return to_plain(first_article(record, find.job(record, None), "S1"))
    finally:
        record.close()


def test_the_demo_gives_every_form(told: dict[str, Any]) -> None:
    for form in (ending[1:] for ending in ENDINGS):
        assert len(make(told, form)) > 10_000
    jsonschema.validate(json.loads(make(told, "json")), json.loads(SCHEMA.read_text(encoding="utf-8")))
    assert broken(make(told, "qif")) == []
    printed = " ".join(pdf_text(make(told, "pdf")).split())
    for line in told["features"]:
        assert line["name"] in printed
    assert "Core 4 sits" in printed  # the planted worn seat, in the annex
    assert "Core 4 sits" not in " ".join(pdf_text(make(told, "pdf", annex=False)).split())


def test_json_is_the_very_text_that_a_snapshot_is_hashed_over(told: dict[str, Any]) -> None:
    assert make(told, "json").decode("utf-8") == canonical_text(told)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(min_size=1, max_size=40).filter(lambda text: text.strip()))
def test_any_text_comes_back_from_html_csv_json_and_xml(text: str) -> None:
    told = everywhere(plain(3, 1), text)
    assert visible(text) in Page(make(told, "html")).isolated
    assert json.loads(make(told, "json"))["identity"]["job"] == text
    row = next(csv.DictReader(io.StringIO(make(told, "csv").decode("utf-8"), newline="")))
    assert unguarded(row["name"]) == text
    tree = Tree.fromstring(make(told, "qif"))
    assert tree.find(f".//{QIF}PrintedDrawing/{QIF}Name").text == visible(text)  # type: ignore[union-attr]


@settings(max_examples=25, deadline=None)
@given(st.text(max_size=30))
def test_a_pdf_can_be_set_with_any_text(text: str) -> None:
    assert make(everywhere(plain(2, 1), text), "pdf").startswith(b"%PDF-")
