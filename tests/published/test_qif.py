"""The QIF document against the published schema of QIF 3.0 (ISO 23952:2020), by way of facts taken from it.

data/qif3_structure.json holds what was read in the standard's schema files, with source and status; qif_schema.py
builds an XML schema from it, and libxml2 judges. The files themselves are not shipped.
"""

from __future__ import annotations

import re
import shutil
from typing import Any
from xml.etree import ElementTree as Tree

import pytest

from inspect_tui.commands.demo import demo_file
from inspect_tui.record.store import Record
from inspect_tui.report.first_article.forms import make
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.result import to_plain
from tests.published.qif_schema import FACTS, SPACE, broken, schema_tree
from tests.worlds.hostile import STEERING, TEXTS, everywhere
from tests.worlds.report_samples import plain

RIGHT = make(plain(6, 2), "qif").decode()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    path = tmp_path_factory.mktemp("qif") / "demo.db"
    shutil.copyfile(demo_file(), path)
    record = Record.open(path)
    try:
        job = find.job(record, None)
        return {name: to_plain(first_article(record, job, name)) for name in ("S1", "S2", "S3")}
    finally:
        record.close()


def with_cell(told: dict[str, Any], **fields: Any) -> dict[str, Any]:
    """The same with other fields in the first cell of the first feature."""
    first, *rest = told["features"]
    cells = [{**first["cells"][0], **fields}, *first["cells"][1:]]
    return {**told, "features": [{**first, "cells": cells}, *rest]}


def cell_of(content: bytes) -> Tree.Element:
    """The first characteristic measurement of the document."""
    found = Tree.fromstring(content).find(f".//{SPACE}CharacteristicMeasurements")
    assert found is not None
    return found[0]


# ------------------------------------------------------------------------------ valid, whatever is in it
@pytest.mark.parametrize("sampling", ["S1", "S2", "S3"])
@pytest.mark.parametrize("annex", [True, False])
def test_the_demo_has_the_published_structure(demo: dict[str, dict[str, Any]], sampling: str, annex: bool) -> None:
    assert broken(make(demo[sampling], "qif", annex=annex)) == []


def test_every_answer_and_kind_of_feature_has_the_published_structure() -> None:
    told = plain(60, 3)
    cells = [cell for line in told["features"] for cell in line["cells"]]
    assert {cell["answer"] for cell in cells} >= {
        "conforms",
        "does not conform",
        "undecided",
        "no limits",
        "not measurable",
    }
    assert {line["unit"] for line in told["features"]} == {"mm", "deg"}
    content = make(told, "qif")
    assert broken(content) == []
    assert {e.tag for e in Tree.fromstring(content).iter() if "Characteristic" in e.tag} >= {
        f"{SPACE}{kind}CharacteristicMeasurement" for kind in ("Length", "Width", "Thickness", "Depth", "Angle")
    }
    for quantity in ("diameter", "radius", "step", "position", "flatness", "attribute"):
        told["features"][0]["quantity"] = quantity
        assert broken(make(told, "qif")) == [], quantity


@pytest.mark.parametrize("text", [*TEXTS, *STEERING])
def test_hostile_text_does_not_change_the_structure(text: str) -> None:
    assert broken(make(everywhere(plain(3, 2), text), "qif")) == []


@pytest.mark.parametrize("answer", ["in question", "to measure", "not measurable", "no limits", "undecided"])
@pytest.mark.parametrize("value", [None, 12.5, 1e-7, -3e8])
def test_a_cell_of_any_sort_is_valid(answer: str, value: float | None) -> None:
    told = with_cell(plain(2, 1), answer=answer, value=value, section=True, typed=["12,5", "<b>"], at=None, u=None)
    assert broken(make(told, "qif")) == []


@pytest.mark.parametrize("rule", ["proof95", "full_u", "plain"])
def test_the_standard_of_the_decision_rule_is_named(rule: str) -> None:
    """The schema wants the standard that characteristics are evaluated against."""
    told = plain(2, 1)
    content = make({**told, "rule": {**told["rule"], "name": rule}}, "qif")
    assert broken(content) == []
    root = Tree.fromstring(content)
    standard = root.find(f"{SPACE}StandardsDefinitions/{SPACE}Standard")
    assert standard is not None
    assert standard.get("id") == root.findtext(f"{SPACE}Characteristics/{SPACE}FormalStandardId")
    named = [e.text for e in standard.iter() if e.tag.rpartition("}")[2] in ("Designator", "Year")]
    assert named == (["14253-1", "2017"] if rule == "proof95" else ["106", "2012"])


def test_what_there_is_none_of_is_left_out() -> None:
    """The schema knows no empty list: no features, no castings, no instruments, nothing read yet."""
    told = plain(4, 2)
    nothing = {"answer": "to measure", "value": None, "u": None, "at": None, "typed": [], "instrument": None, "U": None}
    unread = [{**line, "cells": [{**cell, **nothing} for cell in line["cells"]]} for line in told["features"]]
    nobody = {**told["identity"], "serials": []}
    bare = [{**line, "cells": []} for line in told["features"]]
    for changes, gone, there in (
        ({"features": unread}, ("MeasuredFeatures", "Value"), ("Results", "CharacteristicMeasurements")),
        ({"features": bare, "identity": nobody}, ("Results",), ("Characteristics", "Features")),
        (
            {"features": []},
            ("Characteristics", "Features", "StandardsDefinitions", "MeasuredCharacteristics"),
            ("Results", "ActualComponent"),
        ),
        ({"features": [], "identity": nobody, "instruments": []}, ("Results", "MeasurementResources"), ("Product",)),
    ):
        content = make({**told, **changes}, "qif")
        assert broken(content) == []
        names = {element.tag.removeprefix(SPACE) for element in Tree.fromstring(content).iter()}
        assert not names & set(gone)
        assert names >= set(there)


# ------------------------------------------------------------------------------ the check itself
@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        ('versionQIF="3.0.0"', 'versionQIF="2.1"', "versionQIF"),
        ("qifstandards.org/xsd/qif3", "qifstandards.org/xsd/qif2", "No matching global"),
        ("</QIFDocument>", "", "EndTag|Premature"),
        ("<QPId>", "<QPId>x", "QPIdType|pattern"),
        ("<QPId>", "<Version /><QPId>", "not expected"),
        ("<Header>", "<Header><Author>AB</Author>", "not described|not expected"),
        ("<CharacteristicStatusEnum>PASS", "<CharacteristicStatusEnum>GOOD", "enumeration"),
        ("<InspectionStatusEnum>", "<InspectionStatusEnum>NEARLY_", "enumeration"),
        ("<DefinedAsLimit>true</DefinedAsLimit>", "", "DefinedAsLimit"),
        ("<DefinedAsLimit>true", "<DefinedAsLimit>yes", "boolean"),
        ("<MaxValue>", "<MaxValue>1e", "decimal"),
        ("<FormalStandardId>1</FormalStandardId>", "", "FormalStandardId"),
        ("<FormalStandardId>1<", "<FormalStandardId>2<", "key-sequence"),
        ("<FeatureDefinitionId>8<", "<FeatureDefinitionId>1<", "key-sequence"),
        ("<FeatureItemId>20<", "<FeatureItemId>8<", "key-sequence"),
        ("<CharacteristicItemId>", "<CharacteristicItemId>9", "key-sequence"),
        (' id="9"', ' id="8"', "Duplicate"),
        (' id="9"', ' id="09"', "pattern"),
        (' id="9"', "", "required"),
        ('<PartSet n="1">', '<PartSet n="2">', "counts 2, there are 1"),
        ('<PartSet n="1">', '<PartSet n="0">', "minInclusive|minimum"),
        ('idMax="', 'idMax="1', "idMax"),
        ('combinedUncertainty="', 'combinedUncertainty="-', "NonNegativeDecimal|minInclusive"),
        (' meanError="0"', "", "alone"),
        ("<TimeStamp>2025-05-26T10:12:00", "<TimeStamp>26.05.2025 10:12", "dateTime"),
        ("<Value ", '<Value colour="red" ', "not allowed"),
        ('name="job"', 'name="part"', "twice"),
        ("<SIUnitName>meter", "<SIUnitName>foot", "enumeration"),
        ("<Factor>0.001", "<Factor>0", "minExclusive"),
    ],
)
def test_the_check_refuses_a_document_with_one_small_fault(old: str, new: str, complaint: str) -> None:
    assert broken(RIGHT.encode()) == []
    assert old in RIGHT, old
    assert any(re.search(complaint, line) for line in broken(RIGHT.replace(old, new, 1).encode())), complaint


def test_the_check_refuses_a_document_in_another_order() -> None:
    """Instruments had their named values first, characteristics no standard: both were wrong once."""
    parts = r"<MeasurementDevice [^>]*>\s*(<Name>.*?</Name>)(.*?)(\s*<Attributes .*?</Attributes>)"
    device = re.search(parts, RIGHT, re.S)
    assert device is not None
    name, rest, named = device.groups()
    turned = RIGHT.replace(name + rest + named, named + name + rest, 1)
    assert any("Attributes" in one for one in broken(turned.encode()))
    groups = re.search(r"(<FeatureNominals .*?</FeatureNominals>)\s*(<FeatureItems .*?</FeatureItems>)", RIGHT, re.S)
    assert groups is not None
    assert broken(RIGHT.replace(groups[0], groups[2] + groups[1], 1).encode())


def test_the_facts_describe_every_element_that_is_written() -> None:
    """Nothing passes because it is unknown: each name in the documents is declared, and nothing undescribed is used."""
    declared = {e.get("name") for e in schema_tree().iter("{http://www.w3.org/2001/XMLSchema}element")}
    written = {e.tag.removeprefix(SPACE) for e in Tree.fromstring(make(plain(60, 3), "qif")).iter()}
    assert written <= declared
    assert {one["status"] for one in FACTS["references"]} == {"found", "inferred"}


# ------------------------------------------------------------------------------ what goes over
def test_answers_and_uncertainties_go_over_as_the_standard_names_them() -> None:
    told = plain(30, 3)
    root = Tree.fromstring(make(told, "qif"))
    cells = [cell for line in told["features"] for cell in line["cells"]]
    status = [e.text for e in root.iter(f"{SPACE}CharacteristicStatusEnum")]
    for answer, word in (
        ("conforms", "PASS"),
        ("does not conform", "FAIL"),
        ("undecided", "INDETERMINATE"),
        ("no limits", "NOT_ANALYZED"),
    ):
        assert status.count(word) == sum(cell["answer"] == answer for cell in cells) > 0
    others = [e.text for e in root.iter(f"{SPACE}OtherCharacteristicStatus")]
    assert others == ["not measurable: only on a casting that is cut up: none is yet"] * 3
    values = {e.text: (e.get("combinedUncertainty"), e.get("meanError")) for e in root.iter(f"{SPACE}Value")}
    assert set(values.values()) == {("0.045", "0")}  # the standard uncertainty, not the expanded one
    units = {
        u.findtext(f"{SPACE}UnitName"): u.findtext(f"{SPACE}UnitConversion/{SPACE}Factor")
        for u in (*root.iter(f"{SPACE}LinearUnit"), *root.iter(f"{SPACE}AngularUnit"))
    }
    assert units == {"mm": "0.001", "degree": "0.017453292519943295"}  # SI: 1 degree = pi/180 rad


def test_a_reading_in_question_goes_over_without_a_value() -> None:
    """Who works on with the document must not take a doubted figure for a result; it is not lost either."""
    why = "12.5 written as mm? In cm it is 125.00 mm."
    told = with_cell(plain(2, 1), answer="in question", value=12.5, typed=["12.5"], question=why, p_conform=None)
    content = make(told, "qif")
    assert broken(content) == []
    cell = cell_of(content)
    assert cell.findtext(f"{SPACE}Status/{SPACE}OtherCharacteristicStatus") == f"in question: {why}"
    assert cell.find(f"{SPACE}Value") is None
    assert cell.find(f"{SPACE}FeatureMeasurementIds") is None
    said = {e.get("name"): e.get("value") for e in cell.iter(f"{SPACE}AttributeStr")}
    assert (said["typed"], said["value in question"], said["question"]) == ("12.5", "12.5", why)
    measured = Tree.fromstring(content).find(f".//{SPACE}MeasuredFeatures")
    assert measured is not None
    assert len(measured) == 1  # the other feature
    again = cell_of(make(with_cell(told, answer="conforms", question=None), "qif"))  # measured again, it stands
    assert again.findtext(f"{SPACE}Value") == "12.5"
    assert "value in question" not in {e.get("name") for e in again.iter(f"{SPACE}AttributeStr")}


def test_in_the_demo_a_casting_with_a_reading_in_question_has_not_passed(demo: dict[str, dict[str, Any]]) -> None:
    told = demo["S3"]
    open_ones = {
        cell["serial"] for line in told["features"] for cell in line["cells"] if cell["answer"] == "in question"
    }
    parts = Tree.fromstring(make(told, "qif")).iter(f"{SPACE}ActualComponent")
    states = {
        part.findtext(f"{SPACE}SerialNumber"): part.findtext(f"{SPACE}Status/{SPACE}InspectionStatusEnum")
        for part in parts
    }
    assert open_ones
    assert all(states[serial] == "UNKNOWN" for serial in open_ones)


def test_the_source_of_the_facts_stands_beside_them() -> None:
    assert "ISO 23952:2020" in FACTS["source"]
    for word in ("found:", "found-earlier:", "inferred:"):
        assert word in FACTS["status"]
