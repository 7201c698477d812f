"""The first article as QIF 3.0 results (ISO 23952): features, characteristics and what was measured on each casting.

A feature is an "other shape" with the words of the job for its two ends: the paper knows sizes, not coordinates.
The answers go over as PASS, FAIL, INDETERMINATE (undecided) and NOT_ANALYZED (no limits); what was not measured says
why in its status. `combinedUncertainty` is the standard uncertainty. The document's id is made from its content.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from hashlib import sha256
from typing import Any
from uuid import NAMESPACE_URL, uuid5
from xml.etree import ElementTree as Tree

from inspect_tui.report.paper_words import visible
from inspect_tui.shop.report_snapshot import canonical_text

Plain = Mapping[str, Any]

NAMESPACE = "http://qifstandards.org/xsd/qif3"
KINDS = {
    "length": "Length", "width": "Width", "diameter": "Diameter", "radius": "Radius", "depth": "Depth",
    "wall": "Thickness", "step": "Height", "position": "Length", "flatness": "Length", "angle": "Angle",
}  # fmt: skip
STATUS = {
    "conforms": "PASS", "does not conform": "FAIL", "undecided": "INDETERMINATE", "not judged": "NOT_ANALYZED",
}  # fmt: skip


class _Document:
    """The tree and the numbers that its things refer to each other by."""

    def __init__(self) -> None:
        self.last = 0

    def id(self) -> str:
        """The next number; the largest one stands at the root."""
        self.last += 1
        return str(self.last)


def content(plain: Plain) -> bytes:
    """The document as UTF-8: units, instruments, part, features, characteristics, results, in the schema's order."""
    made = _Document()
    digest = sha256(canonical_text(dict(plain)).encode("utf-8")).hexdigest()
    root = Tree.Element("QIFDocument", {"xmlns": NAMESPACE, "versionQIF": "3.0.0", "idMax": "0"})
    _text(root, "QPId", str(uuid5(NAMESPACE_URL, f"inspect-tui:first-article:{digest}")))
    lines = [line for line in plain["features"] if line["quantity"] in KINDS]
    left_out = [line["balloon"] for line in plain["features"] if line["quantity"] not in KINDS]
    _about(root, plain, left_out)
    _text(Tree.SubElement(Tree.SubElement(root, "Header"), "Application"), "Name", plain["identity"]["program"])
    _units(root)
    devices = _devices(root, made, plain)
    _part(root, made, plain)
    features = _features(root, made, lines)
    items = _characteristics(root, made, lines, features)
    _results(root, made, plain, lines, features, items, devices)
    root.set("idMax", str(made.last))
    Tree.indent(root, " ")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + Tree.tostring(root, encoding="utf-8") + b"\n"


# ------------------------------------------------------------------------------ small pieces
def _text(parent: Tree.Element, name: str, words: str) -> Tree.Element:
    made = Tree.SubElement(parent, name)
    made.text = visible(words)
    return made


def _token(parent: Tree.Element, name: str, words: str) -> Tree.Element:
    """Text that the schema wants without line ends and double blanks."""
    return _text(parent, name, " ".join(words.split()))


def _number(parent: Tree.Element, name: str, value: float) -> Tree.Element:
    return _text(parent, name, decimal(value))


def decimal(value: float) -> str:
    """Full precision without an exponent, as xs:decimal wants it."""
    return format(Decimal(repr(float(value))), "f")


def _attributes(parent: Tree.Element, pairs: Iterable[tuple[str, object]]) -> None:
    """Named values beside what the schema has elements for; None is left out."""
    said = [(name, value) for name, value in pairs if value not in (None, "")]
    if said:
        box = Tree.SubElement(parent, "Attributes", {"n": str(len(said))})
        for name, value in said:
            words = decimal(value) if isinstance(value, float) else visible(str(value))
            Tree.SubElement(box, "AttributeStr", {"name": name, "value": words})


def _ids(parent: Tree.Element, name: str, ids: Iterable[str]) -> None:
    wanted = list(ids)
    box = Tree.SubElement(parent, name, {"n": str(len(wanted))})
    for one in wanted:
        _text(box, "Id", one)


def _many(parent: Tree.Element, name: str, count: int) -> Tree.Element:
    return Tree.SubElement(parent, name, {"n": str(count)})


# ------------------------------------------------------------------------------ what it is about
def _about(root: Tree.Element, plain: Plain, left_out: list[str]) -> None:
    who, rule = plain["identity"], plain["rule"]
    cautions = [(f"caution {n}", line) for n, line in enumerate(plain["cautions"], 1)]
    _attributes(root, [
        ("job", who["job"]), ("part", who["name"]), ("customer reference", who["customer_ref"]),
        ("material", who["alloy"]), ("sampling", who["round"]), ("heat", who["heat"]), ("poured on", who["poured_on"]),
        ("measured by", ", ".join(who["people"])), ("answer", plain["answer"]), ("decision rule", rule["words"]),
        ("uncertainty", rule["coverage"]), ("record chain heads", ", ".join(who["heads"])),
        ("snapshot", who["snapshot"]), ("features without a size, left out", ", ".join(left_out)), *cautions,
    ])  # fmt: skip


def _units(root: Tree.Element) -> None:
    primary = Tree.SubElement(Tree.SubElement(root, "FileUnits"), "PrimaryUnits")
    for kind, si, name, factor in (
        ("AngularUnit", "radian", "degree", "0.017453292519943295"), ("LinearUnit", "meter", "mm", "0.001"),
    ):  # fmt: skip
        unit = Tree.SubElement(primary, kind)
        _text(unit, "SIUnitName", si)
        _text(unit, "UnitName", name)
        _text(Tree.SubElement(unit, "UnitConversion"), "Factor", factor)


def _devices(root: Tree.Element, made: _Document, plain: Plain) -> dict[str, str]:
    gauges = {gauge["label"]: gauge for gauge in plain["instruments"]}
    if not gauges:
        return {}
    box = _many(Tree.SubElement(root, "MeasurementResources"), "MeasurementDevices", len(gauges))
    ids = {}
    for label, gauge in gauges.items():
        ids[label] = made.id()
        device = Tree.SubElement(box, "MeasurementDevice", {"id": ids[label]})
        _attributes(device, [
            ("resolution mm", float(gauge["resolution_mm"])), ("calibrated on", gauge["calibrated_on"]),
            ("due on", gauge["due_on"]), ("calibration result", gauge["result"]),
            ("expanded uncertainty mm", float(gauge["u95_mm"])), ("k", float(gauge["k"])),
            ("calibration reference", gauge["reference"]), ("remark", gauge["remark"]),
        ])  # fmt: skip
        _text(device, "Name", label)
        _text(device, "Description", gauge["kind"].replace("_", " "))
        if gauge["serial"]:
            _text(device, "SerialNumber", gauge["serial"])
    return ids


def _part(root: Tree.Element, made: _Document, plain: Plain) -> None:
    who = plain["identity"]
    product = Tree.SubElement(root, "Product")
    part = Tree.SubElement(_many(product, "PartSet", 1), "Part", {"id": made.id()})
    _text(part, "UUID", str(uuid5(NAMESPACE_URL, f"inspect-tui:part:{who['job']}")))
    _text(part, "ModelNumber", who["job"])
    _text(part, "Version", who["revision"])
    external = Tree.SubElement(part, "DefinitionExternal", {"id": made.id(), "n": "1"})
    drawing = Tree.SubElement(external, "PrintedDrawing", {"id": made.id()})
    _text(drawing, "Name", who["name"])
    _text(drawing, "Version", who["revision"])
    _text(drawing, "DrawingNumber", who["drawing"])


# ------------------------------------------------------------------------------ features and characteristics
def _features(root: Tree.Element, made: _Document, lines: list[Plain]) -> dict[str, str]:
    box = Tree.SubElement(root, "Features")
    ids: dict[str, dict[str, str]] = {part: {} for part in ("definition", "nominal", "item")}
    definitions = _many(box, "FeatureDefinitions", len(lines))
    for line in lines:
        ids["definition"][line["balloon"]] = made.id()
        one = Tree.SubElement(definitions, "OtherShapeFeatureDefinition", {"id": str(made.last)})
        along = f", along {line['axis']}" if line["axis"] in ("x", "y", "z") else ""
        _text(one, "Description", f"{line['name']}: {line['ends']}{along}")
    nominals = _many(box, "FeatureNominals", len(lines))
    for line in lines:
        ids["nominal"][line["balloon"]] = made.id()
        one = Tree.SubElement(nominals, "OtherShapeFeatureNominal", {"id": str(made.last)})
        _token(one, "Name", line["name"])
        _text(one, "FeatureDefinitionId", ids["definition"][line["balloon"]])
    items = _many(box, "FeatureItems", len(lines))
    for line in lines:
        ids["item"][line["balloon"]] = made.id()
        one = Tree.SubElement(items, "OtherShapeFeatureItem", {"id": str(made.last)})
        _text(one, "FeatureNominalId", ids["nominal"][line["balloon"]])
        _token(one, "FeatureName", f"{line['balloon']} {line['name']}")
        checked = Tree.SubElement(Tree.SubElement(one, "DeterminationMode"), "Checked")
        Tree.SubElement(Tree.SubElement(checked, "CheckDetails"), "Measured")
    return ids["item"]


def _characteristics(
    root: Tree.Element, made: _Document, lines: list[Plain], features: dict[str, str]
) -> dict[str, str]:
    box = Tree.SubElement(root, "Characteristics")
    definitions: dict[str, str] = {}
    nominals: dict[str, str] = {}
    items: dict[str, str] = {}
    group = _many(box, "CharacteristicDefinitions", len(lines))
    for line in lines:
        definitions[line["balloon"]] = made.id()
        one = Tree.SubElement(group, f"{_kind(line)}CharacteristicDefinition", {"id": str(made.last)})
        _attributes(one, [("source of the limits", line["band_source"])])
        if line["lower"] is None and line["upper"] is None:
            _text(one, "NonTolerance", "MEASURED")
            continue
        band = Tree.SubElement(one, "Tolerance")
        if line["upper"] is not None:
            _number(band, "MaxValue", line["upper"])
        if line["lower"] is not None:
            _number(band, "MinValue", line["lower"])
        _text(band, "DefinedAsLimit", "true")
    group = _many(box, "CharacteristicNominals", len(lines))
    for line in lines:
        nominals[line["balloon"]] = made.id()
        one = Tree.SubElement(group, f"{_kind(line)}CharacteristicNominal", {"id": str(made.last)})
        _text(one, "CharacteristicDefinitionId", definitions[line["balloon"]])
        _number(one, "TargetValue", line["as_cast"])
    group = _many(box, "CharacteristicItems", len(lines))
    for line in lines:
        items[line["balloon"]] = made.id()
        one = Tree.SubElement(group, f"{_kind(line)}CharacteristicItem", {"id": str(made.last)})
        _text(one, "Description", f"{line['quantity']}, as cast")
        _token(one, "Name", line["name"])
        _token(Tree.SubElement(one, "CharacteristicDesignator"), "Designator", line["balloon"])
        _ids(one, "FeatureItemIds", [features[line["balloon"]]])
        _text(one, "CharacteristicNominalId", nominals[line["balloon"]])
    return items


def _kind(line: Plain) -> str:
    return "Angle" if line["unit"] in ("deg", "°") else KINDS[line["quantity"]]


# ------------------------------------------------------------------------------ results
def _results(
    root: Tree.Element, made: _Document, plain: Plain, lines: list[Plain], features: dict[str, str],
    items: dict[str, str], devices: dict[str, str],
) -> None:  # fmt: skip
    serials = plain["identity"]["serials"]
    results = Tree.SubElement(root, "Results")
    parts = {serial: made.id() for serial in serials}
    box = _many(results, "MeasurementResultsSet", len(serials))
    states = {}
    for serial in serials:
        cells = [(line, cell) for line in lines for cell in line["cells"] if cell["serial"] == serial]
        one = Tree.SubElement(box, "MeasurementResults", {"id": made.id()})
        read = [(line, cell) for line, cell in cells if cell["value"] is not None]
        measured = _measured_features(one, made, read, features, parts[serial])
        group = _many(Tree.SubElement(one, "MeasuredCharacteristics"), "CharacteristicMeasurements", len(cells))
        for line, cell in cells:
            _measurement(group, made, line, cell, items, measured, devices, parts[serial])
        states[serial] = _state([cell["answer"] for _, cell in cells])
        _text(Tree.SubElement(one, "InspectionStatus"), "InspectionStatusEnum", states[serial])
        _ids(one, "ActualComponentIds", [parts[serial]])
    group = _many(_many(results, "ActualComponentSets", 1), "ActualComponentSet", len(serials))
    for serial in serials:
        part = Tree.SubElement(group, "ActualComponent", {"id": parts[serial]})
        _text(part, "SerialNumber", serial)
        _text(Tree.SubElement(part, "Status"), "InspectionStatusEnum", states[serial])


def _measured_features(
    parent: Tree.Element, made: _Document, read: list[tuple[Plain, Plain]], features: dict[str, str], part: str
) -> dict[str, str]:
    if not read:
        return {}
    ids = {}
    box = _many(parent, "MeasuredFeatures", len(read))
    for line, _ in read:
        ids[line["balloon"]] = made.id()
        one = Tree.SubElement(box, "OtherShapeFeatureMeasurement", {"id": str(made.last)})
        _text(one, "FeatureItemId", features[line["balloon"]])
        _text(one, "ActualComponentId", part)
    return ids


def _measurement(
    group: Tree.Element, made: _Document, line: Plain, cell: Plain, items: dict[str, str], measured: dict[str, str],
    devices: dict[str, str], part: str,
) -> None:  # fmt: skip
    one = Tree.SubElement(group, f"{_kind(line)}CharacteristicMeasurement", {"id": made.id()})
    _attributes(one, [
        ("typed", "; ".join(cell["typed"])), ("expanded uncertainty", cell["U"]), ("k", cell["k"]),
        ("probability of conforming", cell["p_conform"]), ("answer", cell["answer"]), ("measured by", cell["by"]),
        ("corrected", "; ".join(cell["corrected"])), ("notes", "; ".join(cell["notes"])),
        ("question", cell["question"]),
    ])  # fmt: skip
    status = Tree.SubElement(one, "Status")
    if cell["answer"] in STATUS:
        _text(status, "CharacteristicStatusEnum", STATUS[cell["answer"]])
    else:
        why = f": {cell['reason']}" if cell["reason"] else ""
        _text(status, "OtherCharacteristicStatus", f"{cell['answer']}{why}")
    _text(one, "CharacteristicItemId", items[line["balloon"]])
    if cell["at"]:
        _text(one, "TimeStamp", datetime.fromisoformat(cell["at"]).isoformat())
    if line["balloon"] in measured:
        _ids(one, "FeatureMeasurementIds", [measured[line["balloon"]]])
    _text(one, "ActualComponentId", part)
    if cell["instrument"] in devices:
        _ids(one, "MeasurementDeviceIds", [devices[cell["instrument"]]])
    if cell["value"] is not None:
        value = _number(one, "Value", cell["value"])
        if cell["u"] is not None:
            value.set("combinedUncertainty", decimal(cell["u"]))


def _state(answers: list[str]) -> str:
    """The state of one casting; anything undecided or still to measure leaves it open."""
    if "does not conform" in answers:
        return "FAIL"
    if not any(answer in STATUS for answer in answers):
        return "NOT_MEASURED"
    return "UNKNOWN" if "undecided" in answers or "to measure" in answers else "PASS"
