"""The first article in all its forms: the same content everywhere, no text breaks anything, the same bytes every time."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as Tree

import jsonschema
import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_tui.commands.demo import demo_file
from inspect_tui.metrology.typed.show import Style
from inspect_tui.record.store import Record
from inspect_tui.report.first_article import schema
from inspect_tui.report.first_article.forms import ENDINGS, make, without_annex, write
from inspect_tui.report.first_article.view import view
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.table_csv import unguarded
from inspect_tui.report.words import visible
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import to_plain
from inspect_tui.shop.first_article.snapshot import canonical_text
from tests.published.qif_schema import broken
from tests.worlds.hostile import STEERING, TEXTS, everywhere
from tests.worlds.paper_readers import Page, csv_rows, pdf_text
from tests.worlds.report_samples import plain

SCHEMA = Path(schema.__file__).with_name("first_article.schema.json")
QIF = "{http://qifstandards.org/xsd/qif3}"
PLAIN = plain(24, 3)
FEW = plain(3, 2)
ANNEX_ONLY = ("Core 4 sits 0.70", "box 2", "as promised", "stick 3 as measured", "closing pins")
TOLD = "Datum targets, mm raised: A1 −0.20, A2 +0.40, A3 stays."


def test_every_feature_on_every_casting_is_in_every_form() -> None:
    page = Page(make(PLAIN, "html"))
    text = pdf_text(make(PLAIN, "pdf"))
    rows = {(row["balloon"], row["serial"]): row for row in csv_rows(make(PLAIN, "csv"))}
    book = openpyxl.load_workbook(io.BytesIO(make(PLAIN, "xlsx")))
    head, *lines = book["Readings"].iter_rows(values_only=True)
    cells = {(line[head.index("balloon")], line[head.index("serial")]): line for line in lines}
    tree = Tree.fromstring(make(PLAIN, "qif"))
    measured = [float(e.text or "") for e in tree.iter(f"{QIF}Value")]
    for line in PLAIN["features"]:
        for cell in line["cells"]:
            key = (line["balloon"], cell["serial"])
            if cell["value"] is None:
                assert rows[key]["value"] == "" and cells[key][head.index("value")] is None
                continue
            assert f"{cell['value']:.2f}" in page.texts
            assert f"{cell['value']:.2f}" in text
            assert float(rows[key]["value"]) == cell["value"]
            assert cells[key][head.index("value")] == cell["value"]
            assert cells[key][head.index("answer")] == cell["answer"]
            assert cell["value"] in measured


@pytest.mark.parametrize("text", TEXTS)
def test_json_and_qif_give_every_text_back(text: str) -> None:
    told = everywhere(FEW, text)
    assert json.loads(make(told, "json")) == told
    tree = Tree.fromstring(make(told, "qif"))
    drawing = tree.find(f".//{QIF}PrintedDrawing/{QIF}Name")
    assert drawing is not None and drawing.text == text
    assert {e.text for e in tree.iter(f"{QIF}MeasurementDevice") for e in e.iter(f"{QIF}SerialNumber")} == {text}
    assert {e.attrib["value"] for e in tree.iter(f"{QIF}AttributeStr") if e.attrib["name"] == "notes"} == {text}


@pytest.mark.parametrize("text", STEERING)
def test_characters_that_steer_a_screen_are_shown_as_marks_and_lost_in_none_of_the_data(text: str) -> None:
    told = everywhere(FEW, text)
    shown = visible(text)
    assert json.loads(make(told, "json"))["identity"]["name"] == text
    assert unguarded(csv_rows(make(told, "csv"))[0]["name"]) == text
    page = make(told, "html").decode("utf-8")
    assert shown in Page(page.encode()).isolated
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", page)
    tree = Tree.fromstring(make(told, "qif"))
    assert tree.find(f".//{QIF}PrintedDrawing/{QIF}Name").text == shown  # type: ignore[union-attr]
    book = openpyxl.load_workbook(io.BytesIO(make(told, "xlsx")))
    assert book["Report"]["B3"].value == shown


def test_two_runs_give_the_same_bytes_in_every_form() -> None:
    """Fresh interpreters with other hash seeds, another time zone and another language."""
    code = (
        "import hashlib; from tests.worlds.report_samples import plain; from inspect_tui.report.first_article.forms import make\n"
        "for f in ('html', 'pdf', 'xlsx', 'csv', 'json', 'qif'):"
        " print(f, hashlib.sha256(make(plain(12, 2), f)).hexdigest())"
    )
    runs = []
    for seed, zone in (("1", "UTC"), ("77", "Pacific/Auckland")):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": "C.UTF-8", "PATH": "/usr/bin:/bin"},
            cwd=Path(__file__).parents[3],
        )
        runs.append(done.stdout)
    assert runs[0] == runs[1] and runs[0].count("\n") == 6


def test_json_has_full_precision_and_no_nan() -> None:
    told = json.loads(make(PLAIN, "json"), parse_constant=lambda name: pytest.fail(name))
    assert told == PLAIN


def test_the_annex_can_be_left_out_of_every_form() -> None:
    inside = {form: make(PLAIN, form) for form in ("html", "json", "csv", "qif")}
    for form, content in inside.items():
        customer = make(PLAIN, form, annex=False).decode()
        for words in ANNEX_ONLY:
            assert words not in customer, (form, words)
        assert form not in ("html", "json") or all(words in content.decode() for words in ANNEX_ONLY)
    names = openpyxl.load_workbook(io.BytesIO(make(PLAIN, "xlsx", annex=False))).sheetnames
    assert not [name for name in names if "internal" in name]
    text = pdf_text(make(PLAIN, "pdf", annex=False))
    assert "Cut list" not in text and "internal" not in text
    assert "Cut list" in pdf_text(make(PLAIN, "pdf"))


def test_leaving_the_annex_out_takes_nothing_else() -> None:
    told = without_annex(PLAIN)
    assert told.keys() == PLAIN.keys()
    for key in PLAIN.keys() - {"causes", "cuts", "promises", "features"}:
        assert told[key] == PLAIN[key]
    assert [line["cells"] for line in told["features"]] == [line["cells"] for line in PLAIN["features"]]
    assert not any(line["predicted"] or line["u_predicted"] or line["predicted_from"] for line in told["features"])


def test_nothing_measured_on_a_feature_nothing_odd_and_no_limits_make_no_paper_fail() -> None:
    told = plain(30, 1)
    bare: dict[str, Any] = {
        **told,
        "questions": [],
        "realigned": [],
        "loops": [],
        "causes": None,
        "cuts": None,
        "promises": [],
        "passages": [],
        "instruments": [],
        "stock": {"castings": [], "not_told": []},
        "not_measured": [],
    }
    bare["identity"] = {**told["identity"], "measured_from": None, "measured_to": None, "alloy": None, "heat": None}
    bare["features"] = [
        {
            **line,
            "lower": None,
            "upper": None,
            "p_conform": None,
            "answer": "no limits",
            "cells": [{**c, "answer": "no limits", "margin": None, "p_conform": None} for c in line["cells"]],
        }
        for line in told["features"]
    ]
    for ending in ENDINGS:
        assert make(bare, ending[1:])


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_ending_says_the_form(tmp_path: Path, ending: str) -> None:
    path = write(plain(3, 1), tmp_path / f"report{ending.upper()}")
    assert path.stat().st_size > 500


@pytest.mark.parametrize(("name", "words"), [("report.doc", r"\.doc is none of"), ("report", "it has none of")])
def test_an_ending_that_says_no_form_is_a_sentence(tmp_path: Path, name: str, words: str) -> None:
    with pytest.raises(PaperError, match=words):
        write(PLAIN, tmp_path / name)
    assert not list(tmp_path.iterdir())


def test_a_missing_library_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "xlsxwriter", None)
    with pytest.raises(PaperError, match=r"pip install 'inspect-tui\[report\]'"):
        write(PLAIN, tmp_path / "a.xlsx")
    assert not list(tmp_path.iterdir())


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


def test_an_older_report_says_nothing_of_targets() -> None:
    told = older()
    shown = make(told, "html").decode()
    assert "Datum targets" not in shown
    assert "Set up: the drawing&#39;s zero x −0.50 mm, y +0.70 mm, about z +0.057°." in shown
    assert not [name for name in sheet(make(told, "xlsx"))[0] if "raise" in str(name)]


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


# ------------------------------------------------------------------------------ in the style of whoever reads it
def test_an_inch_shop_reads_inches_and_degrees_stay_degrees() -> None:
    """59.66 / 25.4 = 2.348819, 58.86 / 25.4 = 2.317323, 60.46 / 25.4 = 2.380315; angles are the same figures."""
    told = plain(2, 2)
    told["features"][0] |= {"as_cast": 59.66, "lower": 58.86, "upper": 60.46, "unit": "mm"}
    told["features"][1] |= {"as_cast": 45.0, "lower": 44.5, "upper": 45.5, "unit": "deg"}
    first, second = view(told, Style("in", printed=True))["features"]
    assert first["size"] == "2.3488 in, 2.3173 to 2.3803" and ">2.3173</text>" in first["svg"]
    assert second["size"] == "45.00°, 44.50 to 45.50"
    page = make(told, "html", style=Style("in", printed=True)).decode()
    assert "Resolution, in</th>" in page and "Resolution, mm" not in page
    assert "Resolution, mm</th>" in make(told, "html").decode()
    assert "in inch" not in page and "2.3488" in pdf_text(make(told, "pdf", style=Style("in", printed=True)))


def test_a_paper_has_a_decimal_comma_where_that_is_the_style() -> None:
    told = plain(1, 2)
    told["features"][0] |= {"as_cast": 59.66, "lower": 58.86, "upper": 60.46, "unit": "mm"}
    assert view(told, Style(mark=",", printed=True))["features"][0]["size"] == "59,66 mm, 58,86 to 60,46"
