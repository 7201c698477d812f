"""The QIF document against the published structure of QIF 3.0 (ISO 23952:2020).

The schema files themselves are in no package registry, so the sequences, enumerations and references that the
document uses were taken from the published schema text into data/qif3_structure.json; source and status stand there.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as Tree

import pytest

from inspect_tui.report.first_article import make
from tests.report.hostile import TEXTS, everywhere
from tests.report.samples import plain

TOLD: dict[str, Any] = json.loads(Path(__file__).with_name("data").joinpath("qif3_structure.json").read_text("utf-8"))
SPACE = "{" + TOLD["namespace"] + "}"
KIND = re.compile(f"({'|'.join(TOLD['kinds'])})(Characteristic(Definition|Nominal|Item|Measurement))")
DECIMAL = re.compile(r"-?\d+(\.\d+)?")
TOKEN = re.compile(r"\S+( \S+)*")


def name_of(element: Tree.Element) -> str:
    """The element's name without its namespace; a Length, Width ... characteristic as Characteristic."""
    assert element.tag.startswith(SPACE), element.tag
    name = element.tag[len(SPACE) :]
    found = KIND.fullmatch(name)
    return found[2] if found else name


def broken(content: bytes) -> list[str]:
    """What in the document is not as published; empty when all is well."""
    root = Tree.fromstring(content)
    wrong = [] if name_of(root) == "QIFDocument" else ["root"]
    if root.get("versionQIF") != TOLD["version"]:
        wrong.append("versionQIF")
    ids: dict[str, str] = {}
    for element in root.iter():
        name = name_of(element)
        wrong += sequence(name, [name_of(child) for child in element])
        if name in TOLD["with_n"] and element.get("n") != str(len(element)):
            wrong.append(f"{name}: n is {element.get('n')}, there are {len(element)}")
        if name in TOLD["with_id"]:
            number = element.get("id", "")
            if number in ids or not number.isdigit():
                wrong.append(f"{name}: id {number!r}")
            ids[number] = name
        if name in TOLD["enumerations"] and element.text not in TOLD["enumerations"][name]:
            wrong.append(f"{name}: {element.text}")
        if name in ("Value", "MaxValue", "MinValue", "TargetValue", "Factor"):
            for number in (element.text or "", *element.attrib.values()):
                if not DECIMAL.fullmatch(number):
                    wrong.append(f"{name}: {number} is no xs:decimal")
        if name in ("FeatureName", "Designator") and not TOKEN.fullmatch(element.text or ""):
            wrong.append(f"{name}: {element.text!r} is no xs:token")
    if root.get("idMax") != str(max(map(int, ids))):
        wrong.append("idMax")
    for element in root.iter():
        wanted = TOLD["references"].get(name_of(element))
        said = [child.text for child in element] if len(element) else [element.text]
        wrong += [f"{name_of(element)} {number}" for number in said if wanted and ids.get(number or "") != wanted]
    return wrong


def sequence(name: str, children: list[str]) -> list[str]:
    """Whether the children stand in the published order, with everything that must be there."""
    order = TOLD["sequences"].get(name)
    if order is None:
        return []
    places = {entry.rstrip("!*"): index for index, entry in enumerate(order)}
    wrong = [f"{name}: {child} is not in it" for child in children if child not in places]
    at = [places[child] for child in children if child in places]
    wrong += [f"{name}: order {children}"] if at != sorted(at) else []
    for entry in order:
        bare = entry.rstrip("!*")
        if "!" in entry and bare not in children:
            wrong.append(f"{name}: {bare} is missing")
        if "*" not in entry and children.count(bare) > 1:
            wrong.append(f"{name}: {bare} more than once")
    return wrong


def test_the_document_has_the_published_structure() -> None:
    assert broken(make(plain(30, 3), "qif")) == []


@pytest.mark.parametrize("text", TEXTS)
def test_hostile_text_does_not_change_the_structure(text: str) -> None:
    assert broken(make(everywhere(plain(12, 2), text), "qif")) == []


def test_the_check_finds_what_is_wrong() -> None:
    """The check itself can fail: each of these is one small fault in a document that is right."""
    right = make(plain(6, 2), "qif").decode()
    for old, new in (
        ('versionQIF="3.0.0"', 'versionQIF="2.1"'),
        ("<CharacteristicStatusEnum>PASS", "<CharacteristicStatusEnum>GOOD"),
        ("<DefinedAsLimit>true</DefinedAsLimit>", ""),
        ('<PartSet n="1">', '<PartSet n="2">'),
        ("<QPId>", "<Version /><QPId>"),
        ("<FeatureDefinitionId>7<", "<FeatureDefinitionId>1<"),
        (' id="8"', ' id="7"'),
        ("<MaxValue>", "<MaxValue>1e"),
    ):
        assert old in right, old
        assert broken(right.replace(old, new, 1).encode()), (old, new)


def test_answers_and_uncertainties_go_over_as_the_standard_names_them() -> None:
    told = plain(30, 3)
    root = Tree.fromstring(make(told, "qif"))
    cells = [cell for line in told["features"] for cell in line["cells"]]
    status = [e.text for e in root.iter(f"{SPACE}CharacteristicStatusEnum")]
    for answer, word in (("conforms", "PASS"), ("does not conform", "FAIL"), ("undecided", "INDETERMINATE")):
        assert status.count(word) == sum(cell["answer"] == answer for cell in cells) > 0
    others = [e.text for e in root.iter(f"{SPACE}OtherCharacteristicStatus")]
    assert others == ["not measurable: only on a casting that is cut up: none is yet"] * 3
    values = {e.text: e.get("combinedUncertainty") for e in root.iter(f"{SPACE}Value")}
    assert set(values.values()) == {"0.045"}  # the standard uncertainty, not the expanded one
    units = {u.findtext(f"{SPACE}UnitName"): u.findtext(f"{SPACE}UnitConversion/{SPACE}Factor") for u in
             (*root.iter(f"{SPACE}LinearUnit"), *root.iter(f"{SPACE}AngularUnit"))}  # fmt: skip
    assert units == {"mm": "0.001", "degree": "0.017453292519943295"}  # SI: 1 degree = pi/180 rad


def test_a_casting_with_anything_open_does_not_pass() -> None:
    told = plain(3, 1)
    for answer, state in (("conforms", "PASS"), ("undecided", "UNKNOWN"), ("does not conform", "FAIL"),
                          ("to measure", "UNKNOWN")):  # fmt: skip
        lines = [{**line, "cells": [{**line["cells"][0], "answer": "conforms"}]} for line in told["features"]]
        lines[1]["cells"][0]["answer"] = answer
        root = Tree.fromstring(make({**told, "features": lines}, "qif"))
        assert root.findtext(f".//{SPACE}ActualComponent/{SPACE}Status/{SPACE}InspectionStatusEnum") == state


def test_the_same_content_has_the_same_document_id_and_another_content_another() -> None:
    def number(told: dict[str, Any]) -> str | None:
        return Tree.fromstring(make(told, "qif")).findtext(f"{SPACE}QPId")

    told = plain(3, 1)
    assert number(told) == number(plain(3, 1))
    assert number(told) != number(plain(3, 1, seed=5))
    assert re.fullmatch(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", number(told) or "")
