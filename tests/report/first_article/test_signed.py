"""The paper that a customer signs: order, statement, decisions, geometrical tolerances, names, legend, in every form."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree as Tree

import openpyxl
import pytest

from inspect_tui.record.store import Record
from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.qif import datums_of
from inspect_tui.report.first_article.signed import view
from inspect_tui.report.words import SIGNS
from inspect_tui.shop.first_article import sign
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import to_plain
from inspect_tui.shop.first_article.signed import dispositions, looks
from tests.published.qif_schema import SPACE, broken
from tests.worlds.hostile import TEXTS, everywhere
from tests.worlds.paper_readers import Page, csv_rows, pdf_text
from tests.worlds.report_samples import plain
from tests.worlds.signed_shop import GOOD, made, read, sampling, who

TODAY = "2026-03-10"


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Any]]:
    readings = {"C1": GOOD, "C2": {**GOOD, "F2": 50.9}, "C3": {**GOOD, "F2": 50.9}}
    with made(tmp_path_factory.mktemp("told") / "t.db", readings) as record:
        lead, inspector = who(record, "LE"), who(record, "IN")
        for values in (
            {"feature": "F2", "casting": "C2", "decision": "rework", "why": "ground", "reference": "R 7"},
            {"feature": "F2", "casting": "C3", "decision": "concession", "until": "2027-01-31", "quantity": "3"}
            | {"why": "slotted", "agreed": "quality"},
            {
                "feature": "G1",
                "casting": "C3",
                "decision": "concession",
                "until": "2027-01-31",
                "quantity": "3",
                "why": "s",
            },
        ):
            now = sampling(record)
            dispositions.put(record, now, dispositions.read(now, values, lead, TODAY), lead)
        _looked(record, inspector)
        read(record, "C2", {"F2": 50.1}, by="IN")
        sign.sign(record, sampling(record), "checked", inspector, TODAY, "read twice")
        sign.sign(record, sampling(record), "released", lead, TODAY)
        yield to_plain(first_article(record, sampling(record).job, causes=False))


def _looked(record: Record, inspector: Any) -> None:
    now = sampling(record)
    values = {"geometry": "G3", "casting": "C1", "accepted": "yes", "method": "square and feeler"}
    looks.put(record, now, looks.read(now, values, inspector, TODAY), inspector)


WORDS = (
    "the customer",
    "77-1",
    "45-1",
    "the foundry",
    "It is released by LE on 2026-03-10.",
    "use as it is by concession, for 3 castings, to 2027-01-31, agreed by quality",
    "rework and measure again, number R 7",
    "position ⌀ 0.80 mm, about A B, as cast",
    "sheet 2, zone C4, characteristic 31",
    "square and feeler: accepted (IN, 2026-03-10)",
    "What this report does not cover",
    "Surfaces between the places that were read.",
    "C2 ✗ 50.90 ± 0.09",
    "C2 ✓ 50.10 ± 0.09",
    "read twice",
    "sheet 1, zone B2",
)


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("words", WORDS)
def test_it_is_on_both_papers(told: dict[str, Any], words: str, papers: tuple[str, str]) -> None:
    for paper in papers:
        assert re.sub(r"\s", "", words) in paper


@pytest.fixture(scope="module")
def papers(told: dict[str, Any]) -> tuple[str, str]:
    page = "".join(Page(make(told, "html")).texts)
    return tuple(re.sub(r"\s", "", text) for text in (page, pdf_text(make(told, "pdf"))))  # type: ignore[return-value]


def test_of_many_castings_the_worst_are_named_and_the_others_counted(told: dict[str, Any]) -> None:
    line = told["geometry"][0]
    good, bad = line["cells"][0], line["cells"][2]
    cells = [{**good, "serial": f"D{n}"} for n in range(20)] + [{**bad, "serial": "D99"}]
    decided = [{**told["dispositions"][0], "serial": f"D{n}"} for n in range(20)]
    shown = view({**told, "geometry": [{**line, "cells": cells}], "dispositions": decided})
    (geometry,), (decision,) = shown["geometry"], shown["decisions"]
    assert geometry["rows"][0]["serial"] == "D99" and geometry["rows"][-1]["serial"] == "and 13 more"
    assert len(geometry["rows"]) == len(decision["found"]) == 9 and decision["found"][-1].startswith("and 12 more")


def test_every_sign_is_in_the_legend(told: dict[str, Any]) -> None:
    page = flat(" ".join(Page(make(told, "html")).texts))
    legend = page[page.index("Signs ") :]
    for word, mark in SIGNS.items():
        assert f"{mark} {word}" in legend
    for mark in ("± U", "Dev.", "P conform", "⌀"):
        assert mark in legend


def test_names_stand_where_people_gave_them(told: dict[str, Any]) -> None:
    page = flat(" ".join(Page(make(told, "html")).texts))
    names = page[page.index("Names ") :]
    assert "Checked ( read twice )" in names and "2026-03-10" in names
    gone = {**told, "signs": [{**one, "stands": False} for one in told["signs"]]}
    page = flat(" ".join(Page(make(gone, "html")).texts))
    assert page.count("before something changed, does not stand") == 2


def test_tables_hold_it_as_numbers(told: dict[str, Any]) -> None:
    rows = {(row["balloon"], row["serial"]): row for row in csv_rows(make(told, "csv"))}
    assert (rows["F2", "C1"]["sheet"], rows["F2", "C1"]["zone"]) == ("1", "B2")
    book = openpyxl.load_workbook(io.BytesIO(make(told, "xlsx")))
    head, *lines = book["Geometry"].iter_rows(values_only=True)
    one = next(dict(zip(head, line, strict=True)) for line in lines if line[0] == "G1" and "C3" in line)
    assert one["value"] == pytest.approx(1.8) and one["tolerance"] == 0.8
    head, *lines = book["Non-conformities"].iter_rows(values_only=True)
    decided = {line[head.index("decision")]: dict(zip(head, line, strict=True)) for line in lines}
    assert decided["concession"]["quantity"] == 3 and decided["rework"]["again"] == "conforms"


def test_qif_says_what_a_tolerance_is_and_is_valid(told: dict[str, Any]) -> None:
    content = make(told, "qif")
    assert broken(content) == []
    tree = Tree.fromstring(content)
    for form in ("Position", "Flatness", "Perpendicularity", "Parallelism", "SurfaceProfile"):
        (one,) = tree.iter(f"{SPACE}{form}CharacteristicDefinition")
        assert one.findtext(f"{SPACE}ToleranceValue")
    (position,) = tree.iter(f"{SPACE}PositionCharacteristicDefinition")
    assert position.find(f"{SPACE}ZoneShape/{SPACE}DiametricalZone") is not None
    values = [float(e.text or 0) for e in tree.iterfind(f".//{SPACE}PositionCharacteristicMeasurement/{SPACE}Value")]
    assert values == pytest.approx([0.0, 0.2, 1.8], abs=1e-9)
    said = {e.get("name"): e.get("value") for e in tree.iter(f"{SPACE}AttributeStr")}
    assert said["released"] == "LE, 2026-03-10" and said["part number"] == "77-1"


def test_qif_names_datums_and_their_frames(told: dict[str, Any]) -> None:
    """ISO 23952: a datum is defined once, a frame says their order, a tolerance names its frame."""
    tree = Tree.fromstring(make(told, "qif"))
    letters = {e.get("id"): e.findtext(f"{SPACE}DatumLabel") for e in tree.iter(f"{SPACE}DatumDefinition")}
    assert sorted(letters.values(), key=str) == ["A", "B"]
    frames = {
        frame.get("id"): [
            (letters[datum.findtext(f".//{SPACE}DatumDefinitionId")], datum.findtext(f".//{SPACE}PrecedenceEnum"))
            for datum in frame.iterfind(f"{SPACE}Datums/{SPACE}Datum")
        ]
        for frame in tree.iter(f"{SPACE}DatumReferenceFrame")
    }
    assert sorted(frames.values()) == [[("A", "PRIMARY")], [("A", "PRIMARY"), ("B", "SECONDARY")]]
    for form, count in (("Position", 2), ("SurfaceProfile", 2), ("Parallelism", 1)):
        (one,) = tree.iter(f"{SPACE}{form}CharacteristicDefinition")
        assert len(frames[one.findtext(f"{SPACE}DatumReferenceFrameId")]) == count
    (flat,) = tree.iter(f"{SPACE}FlatnessCharacteristicDefinition")
    assert flat.find(f"{SPACE}DatumReferenceFrameId") is None
    assert "datums" not in {e.get("name") for e in tree.iter(f"{SPACE}AttributeStr")}


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("A B C", [[("A", "NONE")], [("B", "NONE")], [("C", "NONE")]]),
        ("a|b(M)|C \u24c1", None),  # a sign apart from its letter is no datum
        ("A|B(M)|C\u24c1", [[("A", "NONE")], [("B", "MAXIMUM")], [("C", "LEAST")]]),
        ("A-B, C", [[("A", "NONE"), ("B", "NONE")], [("C", "NONE")]]),
        ("A B A", None),
        ("A B C D E F", None),
        ("the flange", None),
        ("A1", None),
    ],
)
def test_datums_are_read_as_people_type_them(told: dict[str, Any], typed: str, read: Any) -> None:
    assert datums_of(typed) == read
    line = {**told["geometry"][0], "datums": typed}
    content = make({**told, "geometry": [line, {**line, "balloon": "G9", "datums": "B A"}]}, "qif")
    assert broken(content) == []
    assert ('name="datums"' in content.decode()) == (read is None)


@pytest.mark.parametrize("what", ["straightness", "roundness", "line_profile"])
def test_the_other_tolerances_are_valid_too(told: dict[str, Any], what: str) -> None:
    other = {**told, "geometry": [{**told["geometry"][1], "what": what, "round": what == "straightness"}]}
    assert broken(make(other, "qif")) == []


def test_a_flatness_that_was_read_as_such_goes_over_as_one(told: dict[str, Any]) -> None:
    line = {**told["features"][2], "quantity": "flatness", "lower": None, "upper": 0.4}
    content = make({**told, "features": [line], "geometry": []}, "qif")
    assert broken(content) == [] and b"<FlatnessCharacteristicMeasurement" in content
    without = make({**told, "features": [{**line, "upper": None}], "geometry": []}, "qif")
    assert broken(without) == [] and b"<LengthCharacteristicMeasurement" in without


@pytest.mark.parametrize("text", TEXTS)
def test_hostile_text_breaks_no_paper(told: dict[str, Any], text: str) -> None:
    hostile = everywhere(plain(3, 2), text)
    hostile["statement"] = hostile["not_covered"] = [text]
    hostile["dispositions"] = [
        {**line, "why": text, "agreed_by": text, "reference": text, "by": text} for line in told["dispositions"]
    ]
    hostile["geometry"] = [
        {**line, "name": text, "datums": text, "cells": [{**c, "method": text} for c in line["cells"]]}
        for line in told["geometry"]
    ]
    hostile["signs"] = [{**one, "name": text, "words": text} for one in told["signs"]]
    page = Page(make(hostile, "html"))
    assert not page.loads and "script" not in page.tags
    assert make(hostile, "pdf").startswith(b"%PDF-")
    assert broken(make(hostile, "qif")) == []
