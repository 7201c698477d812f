"""One first article in six forms: the same content, hostile text as text, the same bytes every time."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import subprocess
import sys
from base64 import b64encode
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as Tree

import jsonschema
import openpyxl
import pytest
from pypdf import PdfReader

from inspect_tui.report.first_article import schema
from inspect_tui.report.first_article.forms import ENDINGS, make, without_annex, write
from inspect_tui.report.first_article.rows import COLUMNS
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.table_csv import guarded, unguarded
from inspect_tui.report.words import visible
from tests.worlds.hostile import STEERING, TEXTS, everywhere
from tests.worlds.report_samples import plain

SCHEMA = Path(schema.__file__).with_name("first_article.schema.json")
QIF = "{http://qifstandards.org/xsd/qif3}"
PLAIN = plain(24, 3)
ANNEX_ONLY = ("Core 4 sits 0.70", "box 2", "as promised", "stick 3 as measured", "closing pins")


class Page(HTMLParser):
    """An independent reader of HTML: what stands in it, and everything that could load something."""

    def __init__(self, content: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.isolated: list[str] = []
        self.texts: list[str] = []
        self.loads: list[str] = []
        self.metas: list[dict[str, str | None]] = []
        self.style = ""
        self._open: list[str] = []
        self.feed(content.decode("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.loads += [value or "" for name, value in attrs if name in ("src", "href", "srcset", "data", "action")]
        assert not [name for name, _ in attrs if name.startswith("on") or name == "style"]
        if tag == "meta":
            self.metas.append(dict(attrs))
        if tag not in ("meta", "br", "img", "col"):
            self._open.append(tag)
        if tag == "bdi":
            self.isolated.append("")

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append(data)
        if "bdi" in self._open:
            self.isolated[-1] += data
        if self._open and self._open[-1] == "style":
            self.style += data


def pdf_text(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)


def csv_rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"), newline="")))


# ------------------------------------------------------------------------------ the same content in every form
def test_every_feature_on_every_casting_is_in_every_form(tmp_path: Path) -> None:
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


def test_identity_rule_instruments_cautions_and_chain_heads_are_on_the_paper(tmp_path: Path) -> None:
    text = pdf_text(make(PLAIN, "pdf"))
    page = " ".join(Page(make(PLAIN, "html")).texts)
    for words in (
        "EXM-4-100, revision B",
        "PO 1187",
        "ductile iron",
        "H2214",
        "S1-1, S1-2, S1-3",
        "2025-05-26 to 2025-05-28",
        "AB, CD",
        "1.645 standard uncertainties",
        "JCGM 100",
        "caliper 2",
        "C-0042",
        "cert. 118",
        "pass on 2025-01-15, due 2026-01-15",
        "no calibration on record",
        "calibration ran out 86 days before",
        "is not soundness",
        "named person under the order",
        "bench1·4211·0f3a66c2d91b7e55",
        "behind the clamp: not reached",
        "misses the 45.0",
        "first-order estimate",
        "Signature",
    ):
        assert words in re.sub(r"\s+", " ", page), words
        assert words in re.sub(r"\s+", " ", text), words


def test_signatures_are_blank_and_no_paper_says_what_only_people_may_say() -> None:
    page = Page(make(PLAIN, "html"))
    at = page.texts.index("Signatures")
    signed = [word.strip() for word in page.texts[at:] if word.strip()]
    assert signed.count("Name") == signed.count("Date") == signed.count("Signature") == 3
    assert signed[signed.index("Name") + 1] == "Date"  # nothing between the word and the line
    for form in ("html", "json", "csv", "qif"):
        words = make(PLAIN, form).decode("utf-8").casefold()
        assert not re.search(r"approved|certified|accredited|guarantee", words)


def test_a_paper_is_readable_by_its_words_alone() -> None:
    """Colour gone, every answer still stands there as a sign and a word."""
    page = Page(make(PLAIN, "html"))
    words = " ".join(page.texts)
    assert "✗ does not conform" in words and "✓ conforms" in words and "? undecided" in words


# ------------------------------------------------------------------------------ hostile text
@pytest.mark.parametrize("text", TEXTS)
def test_html_gives_every_text_back_as_text(text: str) -> None:
    page = Page(make(everywhere(PLAIN, text), "html"))
    assert page.isolated.count(text) >= len([line for line in PLAIN["features"] if line["n"]])
    assert "script" not in page.tags and "img" not in page.tags
    assert page.loads == []


@pytest.mark.parametrize("text", TEXTS)
def test_csv_gives_every_text_back_and_no_cell_begins_like_a_formula(text: str) -> None:
    content = make(everywhere(PLAIN, text), "csv")
    for row in csv_rows(content):
        assert unguarded(row["name"]) == text and unguarded(row["notes"]) == text and unguarded(row["job"]) == text
        for name, cell in row.items():
            if cell[:1] in tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20") and cell:
                assert name in COLUMNS and float(cell) < 0.0  # our own number
    assert content.startswith(b"job,drawing,") and b"\r\n" in content


@pytest.mark.parametrize("text", TEXTS)
def test_xlsx_gives_every_text_back_and_has_no_formula(text: str) -> None:
    book = openpyxl.load_workbook(io.BytesIO(make(everywhere(PLAIN, text), "xlsx")))
    head = [cell.value for cell in next(book["Readings"].iter_rows())]
    column = head.index("name")
    assert {row[column].value for row in book["Readings"].iter_rows(min_row=2)} == {text}
    for sheet in book:
        assert not sheet._hyperlinks
        for row in sheet.iter_rows():
            assert all(cell.data_type in ("s", "n") for cell in row)


@pytest.mark.parametrize("text", TEXTS)
def test_json_and_qif_give_every_text_back(text: str) -> None:
    told = everywhere(PLAIN, text)
    assert json.loads(make(told, "json")) == told
    tree = Tree.fromstring(make(told, "qif"))
    drawing = tree.find(f".//{QIF}PrintedDrawing/{QIF}Name")
    assert drawing is not None and drawing.text == text
    assert {e.text for e in tree.iter(f"{QIF}MeasurementDevice") for e in e.iter(f"{QIF}SerialNumber")} == {text}
    assert {e.attrib["value"] for e in tree.iter(f"{QIF}AttributeStr") if e.attrib["name"] == "notes"} == {text}


@pytest.mark.parametrize("text", TEXTS[:2] + TEXTS[8:12])
def test_pdf_prints_every_text_as_text(text: str, tmp_path: Path) -> None:
    told = everywhere(plain(4, 2), text)
    printed = pdf_text(make(told, "pdf"))
    assert re.sub(r"\s", "", text) in re.sub(r"\s", "", printed)


def test_pdf_is_set_whatever_the_texts_are() -> None:
    for text in (*TEXTS, *STEERING):
        assert make(everywhere(plain(4, 2), text), "pdf").startswith(b"%PDF-")


@pytest.mark.parametrize("text", STEERING)
def test_characters_that_steer_a_screen_are_shown_as_marks_and_lost_in_none_of_the_data(text: str) -> None:
    told = everywhere(PLAIN, text)
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


def test_the_apostrophe_goes_on_and_off_exactly_once() -> None:
    for text in (*TEXTS, *STEERING, "", "'", "''=x", "plain"):
        assert unguarded(guarded(text)) == text


# ------------------------------------------------------------------------------ a page that stands alone
def test_the_page_loads_nothing_and_its_policy_forbids_it() -> None:
    page = Page(make(PLAIN, "html"))
    assert page.loads == [] and "script" not in page.tags and "link" not in page.tags
    assert not re.search(r"url\(|@import|https?:", page.style)
    policy = next(m["content"] for m in page.metas if m.get("http-equiv") == "Content-Security-Policy") or ""
    assert policy.startswith("default-src 'none'; ")
    digest = b64encode(hashlib.sha256(page.style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}';" in policy  # the style itself, and no other


def test_the_only_addresses_in_a_page_are_names_of_xml() -> None:
    found = set(re.findall(r"https?://[^\s\"'<>]+", make(PLAIN, "html").decode()))
    assert found == {"http://www.w3.org/2000/svg"}


# ------------------------------------------------------------------------------ the same bytes
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


# ------------------------------------------------------------------------------ JSON and its schema
def test_the_shipped_schema_is_the_one_that_the_classes_give() -> None:
    assert (
        SCHEMA.read_text(encoding="utf-8") == schema.text()
    )  # else: python -m inspect_tui.report.first_article.schema


def test_json_is_valid_by_the_shipped_schema_with_and_without_the_annex() -> None:
    told = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(told)
    check = jsonschema.Draft202012Validator(told)
    for annex in (True, False):
        check.validate(json.loads(make(PLAIN, "json", annex=annex)))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda p: p.pop("rule"),
        lambda p: p.update(answer="fine"),
        lambda p: p.update(more=1),
        lambda p: p["features"][0].update(as_cast="12"),
        lambda p: p["features"][0]["cells"][0].update(p_conform=1.2),
        lambda p: p["counts"].append(["conforms"]),
        lambda p: p.update(format="first_article/2"),
    ],
)
def test_the_schema_refuses_what_is_not_a_first_article(spoil: Any) -> None:
    told: dict[str, Any] = json.loads(make(PLAIN, "json"))
    spoil(told)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, json.loads(SCHEMA.read_text(encoding="utf-8")))


def test_json_has_full_precision_and_no_nan() -> None:
    told = json.loads(make(PLAIN, "json"), parse_constant=lambda name: pytest.fail(name))
    assert told == PLAIN


# ------------------------------------------------------------------------------ workbook
def test_the_workbook_has_numbers_filters_and_frozen_heads() -> None:
    book = openpyxl.load_workbook(io.BytesIO(make(PLAIN, "xlsx")))
    assert book.sheetnames[:3] == ["Report", "Features", "Readings"]
    sheet = book["Readings"]
    assert sheet.freeze_panes == "F2" and sheet.auto_filter.ref.startswith("A1:")
    head = [cell.value for cell in sheet[1]]
    for name in ("as_cast", "value", "U", "p_conform"):
        column = head.index(name) + 1
        kinds = {sheet.cell(row, column).data_type for row in range(2, sheet.max_row + 1)}
        assert kinds == {"n"}, name
    assert book["Features"].max_row == len(PLAIN["features"]) + 1


# ------------------------------------------------------------------------------ the annex
def test_the_annex_can_be_left_out_of_every_form(tmp_path: Path) -> None:
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


# ------------------------------------------------------------------------------ extremes
def test_many_castings_are_one_lane_with_the_worst_big_and_all_of_them_in_the_table() -> None:
    told = plain(4, 40)
    page = Page(make(told, "html"))
    assert "worst of 40: " in " ".join(page.texts)
    assert make(told, "html").count(b"<circle") >= 39 * 3
    assert len(csv_rows(make(told, "csv"))) == 160
    assert make(told, "pdf").startswith(b"%PDF-")


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
            "answer": "not judged",
            "cells": [{**c, "answer": "not judged", "margin": None, "p_conform": None} for c in line["cells"]],
        }
        for line in told["features"]
    ]
    for ending in ENDINGS:
        assert make(bare, ending[1:])


# ------------------------------------------------------------------------------ to the disk
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
