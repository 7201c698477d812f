"""Raw and finished on one paper: each machined feature has two rows, and every form says which is which."""

from __future__ import annotations

import copy
import json
import re
from io import BytesIO
from typing import Any
from xml.etree import ElementTree as Tree

import openpyxl
import pytest

from inspect_tui.report.first_article import requirements
from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.schema import schema
from inspect_tui.report.first_article.view import view
from tests.worlds.paper_readers import Page, csv_rows, pdf_text
from tests.worlds.report_samples import plain


def machined() -> dict[str, Any]:
    """F2 was machined after it was cast: 4 of stock went, and one casting came out 0.2 over."""
    told = plain(12, 2)
    at = next(n for n, line in enumerate(told["features"]) if line["balloon"] == "F2")
    raw = told["features"][at]
    done = copy.deepcopy(raw)
    done |= {"state": "finished", "lower": raw["finished_lower"], "upper": raw["finished_upper"], "predicted": None}
    done |= {"answer": "does not conform", "mean": raw["finished"] + 0.2, "deviation": 0.2}
    for cell in done["cells"]:
        cell |= {"value": raw["finished"] + 0.2, "answer": "does not conform", "margin": -0.1, "question": None, "n": 1}
    told["features"].insert(at + 1, done)
    told["counts_finished"] = [["does not conform", 1]]
    return told


TOLD = machined()
RAW, DONE = (next(x for x in TOLD["features"] if (x["balloon"], x["state"]) == ("F2", s)) for s in ("raw", "finished"))


def test_only_what_has_both_rows_says_which() -> None:
    names = [line["balloon"] for line in requirements.named(TOLD["features"])]
    assert names[:4] == ["F1", "F2 raw", "F2 finished", "F3"] and len(set(names)) == len(names)
    assert [line["balloon"] for line in requirements.named(plain(3, 1)["features"])] == ["F1", "F2", "F3"]
    assert TOLD["features"][1]["balloon"] == "F2"  # what was given in stays


def test_a_row_is_about_the_size_of_its_state() -> None:
    assert requirements.size(RAW) == RAW["as_cast"] and requirements.size(DONE) == RAW["as_cast"] - 4.0
    old = {key: value for key, value in RAW.items() if key != "state"}  # a report of before it was told
    assert (requirements.state(old), requirements.size(old)) == ("raw", RAW["as_cast"])


@pytest.mark.parametrize("form", ["html", "pdf"])
def test_papers_count_and_name_them_apart(form: str) -> None:
    made = make(TOLD, form)
    words = " ".join(Page(made).texts) if form == "html" else pdf_text(made)
    words = re.sub(r"\s+", " ", words)
    assert "12 features on 2 castings" in words
    assert "Finished by machining: 1 does not conform." in words
    for said in ("F2 raw", "F2 finished", f"finished {RAW['finished']:.2f}", f"as cast {RAW['as_cast']:.2f}, machined"):
        assert said in words, said


def test_the_finished_row_is_drawn_about_the_finished_size() -> None:
    shown = {line["balloon"]: line for line in view(TOLD)["features"]}
    assert shown["F2 finished"]["size"].startswith(f"{DONE['finished']:.2f} mm, ")
    assert shown["F2 raw"]["size"].startswith(f"{RAW['as_cast']:.2f} mm, ")
    assert shown["F2 finished"]["finished"] == f"as cast {RAW['as_cast']:.2f}, machined"


def test_tables_have_a_column_for_the_state() -> None:
    rows = csv_rows(make(TOLD, "csv"))
    states = [(row["balloon"], row["state"]) for row in rows]
    assert ("F2", "raw") in states and ("F2", "finished") in states and ("F1", "finished") not in states
    book = openpyxl.load_workbook(BytesIO(make(TOLD, "xlsx")))
    head, *lines = book["Features"].iter_rows(values_only=True)
    assert [line[head.index("state")] for line in lines if line[0] == "F2"] == ["raw", "finished"]
    report = dict(row[:2] for row in book["Report"].iter_rows(values_only=True))
    assert report["Features finished: does not conform"] == 1


def test_qif_has_a_characteristic_for_each() -> None:
    root = Tree.fromstring(make(TOLD, "qif"))

    def local(name: str) -> list[Tree.Element]:
        return [e for e in root.iter() if e.tag.rpartition("}")[2] == name]

    designators = [e.text for e in local("Designator")]
    assert "F2 raw" in designators and "F2 finished" in designators
    targets = [float(e.text or "nan") for e in local("TargetValue")]
    assert RAW["as_cast"] in targets and DONE["finished"] in targets
    assert any(e.text == f"{DONE['quantity']}, finished" for e in local("Description"))


def test_reports_of_before_it_was_told_are_still_right() -> None:
    old = plain(12, 2)
    for line in old["features"]:
        del line["state"]
    del old["counts_finished"]
    for form in ("html", "csv", "xlsx", "qif"):
        assert make(old, form)
    assert json.loads(make(old, "json"))["features"][0].get("state") is None
    line = schema()["$defs"]["FeatureLine"]
    assert "state" not in line["required"] and line["properties"]["state"] == {"enum": ["raw", "finished"]}
    assert "counts_finished" not in schema()["required"]
