"""The results half of a QIF document: what was measured on each casting, its answers, and the castings themselves.

The answers go over as PASS, FAIL, INDETERMINATE (undecided) and NOT_ANALYZED (no limits). What was not measured says
why in words, and so does a reading in question: it is neither a result nor undecided, so it goes over without `Value`
and nobody's statistics pick the figure up; what was read stays beside it, as typed and as `value in question`.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from xml.etree import ElementTree as Tree

from inspect_tui.report.first_article.qif_pieces import Ids, attributes, decimal, many, number, references, text

Plain = Mapping[str, Any]

IN_QUESTION = "in question"
STATUS = {
    "conforms": "PASS",
    "does not conform": "FAIL",
    "undecided": "INDETERMINATE",
    "not judged": "NOT_ANALYZED",
}
OPEN = ("undecided", IN_QUESTION, "to measure")  # while one of them stands, a casting has not passed


def results(
    root: Tree.Element,
    ids: Ids,
    plain: Plain,
    lines: list[tuple[Plain, str]],
    features: dict[str, str],
    items: dict[str, str],
    devices: dict[str, str],
) -> None:
    """One set of results for each casting; nothing where there is no casting. `lines` come with their kind."""
    serials = plain["identity"]["serials"]
    if not serials:
        return
    into = Tree.SubElement(root, "Results")
    parts = {serial: ids.next() for serial in serials}
    box = many(into, "MeasurementResultsSet", len(serials))
    states = {}
    for serial in serials:
        cells = [(line, kind, cell) for line, kind in lines for cell in line["cells"] if cell["serial"] == serial]
        one = Tree.SubElement(box, "MeasurementResults", {"id": ids.next()})
        measured = _measured_features(one, ids, cells, features, parts[serial])
        if cells:
            group = many(Tree.SubElement(one, "MeasuredCharacteristics"), "CharacteristicMeasurements", len(cells))
            for line, kind, cell in cells:
                into_one = Tree.SubElement(group, f"{kind}CharacteristicMeasurement", {"id": ids.next()})
                _measurement(into_one, line, cell, items, measured, devices, parts[serial])
        states[serial] = state([_answer(line, cell) for line, _, cell in cells])
        text(Tree.SubElement(one, "InspectionStatus"), "InspectionStatusEnum", states[serial])
        references(one, "ActualComponentIds", [parts[serial]])
    group = many(many(into, "ActualComponentSets", 1), "ActualComponentSet", len(serials))
    for serial in serials:
        part = Tree.SubElement(group, "ActualComponent", {"id": parts[serial]})
        text(part, "SerialNumber", serial)
        text(Tree.SubElement(part, "Status"), "InspectionStatusEnum", states[serial])


def stands(cell: Plain) -> bool:
    """Whether the cell has a value that counts."""
    return cell["value"] is not None and cell["answer"] != IN_QUESTION


def _measured_features(
    parent: Tree.Element, ids: Ids, cells: list[tuple[Plain, str, Plain]], features: dict[str, str], part: str
) -> dict[str, str]:
    read = [line["balloon"] for line, _, cell in cells if stands(cell)]
    if not read:
        return {}
    made = {}
    box = many(parent, "MeasuredFeatures", len(read))
    for balloon in read:
        made[balloon] = ids.next()
        one = Tree.SubElement(box, "OtherShapeFeatureMeasurement", {"id": made[balloon]})
        text(one, "FeatureItemId", features[balloon])
        text(one, "ActualComponentId", part)
    return made


def _measurement(
    one: Tree.Element,
    line: Plain,
    cell: Plain,
    items: dict[str, str],
    measured: dict[str, str],
    devices: dict[str, str],
    part: str,
) -> None:
    doubted = None if stands(cell) else cell["value"]
    attributes(
        one,
        [
            ("typed", "; ".join(cell["typed"])),
            ("value in question", doubted),
            ("expanded uncertainty", cell["U"]),
            ("k", cell["k"]),
            ("probability of conforming", cell["p_conform"]),
            ("answer", cell["answer"]),
            ("measured by", cell["by"]),
            ("corrected", "; ".join(cell["corrected"])),
            ("notes", "; ".join(cell["notes"])),
            ("question", cell["question"]),
        ],
    )
    status = Tree.SubElement(one, "Status")
    if cell["answer"] in STATUS:
        text(status, "CharacteristicStatusEnum", STATUS[cell["answer"]])
    else:
        why = cell["question"] if cell["answer"] == IN_QUESTION else cell["reason"]
        text(status, "OtherCharacteristicStatus", f"{cell['answer']}: {why}" if why else cell["answer"])
    text(one, "CharacteristicItemId", items[line["balloon"]])
    if cell["at"]:
        text(one, "TimeStamp", datetime.fromisoformat(cell["at"]).isoformat())
    if line["balloon"] in measured:
        references(one, "FeatureMeasurementIds", [measured[line["balloon"]]])
    text(one, "ActualComponentId", part)
    if cell["instrument"] in devices:
        references(one, "MeasurementDeviceIds", [devices[cell["instrument"]]])
    if stands(cell):
        value = number(one, "Value", cell["value"])
        if cell["u"] is not None:
            value.set("combinedUncertainty", decimal(cell["u"]))
            value.set("meanError", "0")  # the schema wants both or none; every error that is known was corrected


def _answer(line: Plain, cell: Plain) -> str:
    """The answer of a cell for its casting: a feature that still waits for a casting to be cut up stays open."""
    waits = cell["answer"] == "not measurable" and line["answer"] == "to measure"
    return "to measure" if waits else str(cell["answer"])


def state(answers: list[str]) -> str:
    """The state of one casting; whatever is undecided, in question or still to measure leaves it open."""
    if "does not conform" in answers:
        return "FAIL"
    if not any(answer in STATUS or answer == IN_QUESTION for answer in answers):
        return "NOT_MEASURED"
    if any(answer in OPEN for answer in answers):
        return "UNKNOWN"
    return "PASS" if "conforms" in answers else "NOT_CALCULATED"  # measured, but nothing has limits
