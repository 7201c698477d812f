"""The first article as QIF 3.0 results (ISO 23952): features, characteristics and what was measured on each casting.

A feature is an "other shape" with the words of the job for its two ends: the paper knows sizes, not coordinates.
Datums are named by letters and stand in datum reference frames.
`combinedUncertainty` is the standard uncertainty. The document's id is made from its content. The schema knows no
empty list: what there is none of is left out.

The answers go over as PASS, FAIL, INDETERMINATE (undecided) and NOT_ANALYZED (no limits). What was not measured says
why in words, and so does a reading in question: it is neither a result nor undecided, so it goes over without `Value`
and nobody's statistics pick the figure up; what was read stays beside it, as typed and as `value in question`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from hashlib import sha256
from typing import Any
from uuid import NAMESPACE_URL, uuid5
from xml.etree import ElementTree as Tree

from inspect_tui.report.first_article import requirements, signed
from inspect_tui.report.words import visible
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.result import number_of
from inspect_tui.shop.first_article.signed.dispositions import decision_words
from inspect_tui.shop.first_article.snapshot import canonical_text

Plain = Mapping[str, Any]

NAMESPACE = "http://qifstandards.org/xsd/qif3"
KINDS = {
    "length": "Length",
    "width": "Width",
    "diameter": "Diameter",
    "radius": "Radius",
    "depth": "Depth",
    "wall": "Thickness",
    "step": "Height",
    "position": "Length",
    "flatness": "Length",
    "angle": "Angle",
}
FORMS = {
    "position": "Position",
    "line_profile": "LineProfile",
    "surface_profile": "SurfaceProfile",
    "straightness": "Straightness",
    "flatness": "Flatness",
    "roundness": "Circularity",
    "parallelism": "Parallelism",
    "perpendicularity": "Perpendicularity",
}
FRAMES_SINCE = 3  # reports of earlier formats name datums as attributes
ABOUT_DATUMS = ("Position", "LineProfile", "SurfaceProfile", "Parallelism", "Perpendicularity")  # by the schema
DATUM = re.compile(r"([A-Z]{1,2})\s*(\(M\)|\(L\)|\u24c2|\u24c1)?")  # ISO 5459: one letter, or the same twice
MATERIAL = {"": "NONE", "(M)": "MAXIMUM", "\u24c2": "MAXIMUM", "(L)": "LEAST", "\u24c1": "LEAST"}
PRECEDENCE = ("PRIMARY", "SECONDARY", "TERTIARY", "QUATERNARY", "QUINARY")
# the standard that the decision rule of a job follows: organization, designator, year, title
STANDARDS = {
    "proof95": (
        "ISO",
        "14253-1",
        "2017",
        "Geometrical product specifications (GPS) - Inspection by measurement of "
        "workpieces and measuring equipment - Part 1: Decision rules for verifying conformity or "
        "nonconformity with specifications",
    ),
}
OTHER_STANDARD = (
    "JCGM",
    "106",
    "2012",
    "Evaluation of measurement data - The role of measurement uncertainty in conformity assessment",
)
LISTED = ("ISO",)  # organizations that the schema has a word of its own for

STATUS = {
    Standing.CONFORMS: "PASS",
    Standing.DOES_NOT_CONFORM: "FAIL",
    Standing.UNDECIDED: "INDETERMINATE",
    Standing.NO_LIMITS: "NOT_ANALYZED",
}
OPEN = (
    Standing.UNDECIDED,
    Standing.IN_QUESTION,
    Standing.TO_MEASURE,
)  # while one of them stands, a casting has not passed


def content(plain: Plain) -> bytes:
    """The document as UTF-8: units, instruments, part, features, characteristics, results, in the schema's order."""
    ids = Ids()
    digest = sha256(canonical_text(dict(plain)).encode("utf-8")).hexdigest()
    root = Tree.Element("QIFDocument", {"xmlns": NAMESPACE, "versionQIF": "3.0.0", "idMax": "0"})
    text(root, "QPId", str(uuid5(NAMESPACE_URL, f"inspect-tui:first-article:{digest}")))
    lines = [line for line in requirements.named(plain["features"]) if line["quantity"] in KINDS]
    if not signed.is_first(plain):
        lines = [_with_form(line) for line in lines] + [_as_line(line) for line in plain["geometry"]]
    left_out = [line["balloon"] for line in plain["features"] if line["quantity"] not in KINDS]
    _about(root, plain, left_out)
    text(Tree.SubElement(Tree.SubElement(root, "Header"), "Application"), "Name", plain["identity"]["program"])
    standard = _standard(root, ids, plain["rule"]) if lines else ""
    _units(root)
    frames = _datums(root, ids, lines) if number_of(plain["format"]) >= FRAMES_SINCE else {}
    devices = _devices(root, ids, plain)
    _part(root, ids, plain)
    features, items = {}, {}
    if lines:
        features = _features(root, ids, lines)
        items = _characteristics(root, ids, lines, features, standard, frames)
    _results(root, ids, plain, [(line, _kind(line)) for line in lines], features, items, devices)
    root.set("idMax", str(ids.last))
    Tree.indent(root, " ")
    body: bytes = Tree.tostring(root, encoding="utf-8")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + body + b"\n"


# ------------------------------------------------------------------------------ what it is about
def _with_form(line: Plain) -> Plain:
    """A size that is a flatness as it was read goes over as one; reports of the first format called it a length."""
    flat = line["quantity"] == "flatness" and line["upper"] is not None and not line["lower"]
    return {**line, "form": "Flatness"} if flat else line


def _as_line(line: Plain) -> dict[str, Any]:
    """A geometrical tolerance in the shape of a feature's line: its limit is the width of its zone."""
    return {
        **{key: line[key] for key in ("balloon", "name", "state", "answer", "sheet", "zone", "characteristic")},
        "form": FORMS[line["what"]],
        "round": line["round"],
        "datums": line["datums"],
        "quantity": line["what"],
        "unit": "mm",
        "axis": "none",
        "ends": line["how"],
        "band_source": "drawing",
        "lower": None,
        "upper": line["tolerance"],
        "cells": [_as_cell(cell) for cell in line["cells"]],
    }


def _as_cell(cell: Plain) -> dict[str, Any]:
    """A geometrical tolerance on a casting in the shape of a feature's cell."""
    same = ("serial", "answer", "value", "u", "U", "p_conform", "by", "at", "reason")
    return {
        **{key: cell[key] for key in same},
        "k": 2.0 if cell["value"] is not None else None,
        "typed": (),
        "corrected": (),
        "notes": (cell["method"],) if cell["method"] else (),
        "question": cell["reason"],
        "instrument": None,
    }


def _about(root: Tree.Element, plain: Plain, left_out: list[str]) -> None:
    who, rule = plain["identity"], plain["rule"]
    cautions = [(f"caution {n}", line) for n, line in enumerate(plain["cautions"], 1)]
    attributes(
        root,
        [
            ("job", who["job"]),
            ("part", who["name"]),
            ("customer reference", who["customer_ref"]),
            *((name.casefold(), value) for name, value in signed.order(who)),
            ("material", who["alloy"]),
            ("sampling", who["round"]),
            ("heat", who["heat"]),
            ("poured on", who["poured_on"]),
            ("measured by", ", ".join(who["people"])),
            ("answer", plain["answer"]),
            ("decision rule", rule["words"]),
            ("uncertainty", rule["coverage"]),
            ("record chain heads", ", ".join(who["heads"])),
            ("snapshot", who["snapshot"]),
            ("features without a size, left out", ", ".join(left_out)),
            *((sign["act"], _signed(sign)) for sign in plain.get("signs", ())),
            *((f"statement {n}", line) for n, line in enumerate(plain.get("statement", ()), 1)),
            *((f"not covered {n}", line) for n, line in enumerate(plain.get("not_covered", ()), 1)),
            *((f"decision {n}", _decided(line)) for n, line in enumerate(plain.get("dispositions", ()), 1)),
            *cautions,
        ],
    )


def _signed(sign: Plain) -> str:
    stands = "" if sign["stands"] else " (something changed since: it does not stand)"
    return f"{sign['name'] or sign['initials']}, {sign['on']}{stands}"


def _decided(line: Plain) -> str:
    what = decision_words(line["decision"], line["quantity"], line["until_on"], line["closed"])
    by = f", {line['by']} {line['on']}: {line['why']}" if line["by"] else ""
    again = f"; measured again: {line['again']}" if line["again"] else ""
    return f"{line['balloon']} on {line['serial']}: {line['found']}; {what}{by}{again}"


def _standard(root: Tree.Element, ids: Ids, rule: Plain) -> str:
    """The standard of the decision rule: characteristics have to say against which one they are evaluated."""
    organization, designator, year, title = STANDARDS.get(rule["name"], OTHER_STANDARD)
    number_of_it = ids.next()
    element = Tree.SubElement(many(root, "StandardsDefinitions", 1), "Standard", {"id": number_of_it})
    named = "StandardsOrganizationEnum" if organization in LISTED else "OtherStandardsOrganization"
    text(Tree.SubElement(element, "Organization"), named, organization)
    token(element, "Designator", designator)
    text(element, "Year", year)
    text(element, "Title", title)
    text(element, "Description", rule["words"])
    return number_of_it


def _units(root: Tree.Element) -> None:
    primary = Tree.SubElement(Tree.SubElement(root, "FileUnits"), "PrimaryUnits")
    for kind, si, name, factor in (
        ("AngularUnit", "radian", "degree", "0.017453292519943295"),
        ("LinearUnit", "meter", "mm", "0.001"),
    ):
        unit = Tree.SubElement(primary, kind)
        text(unit, "SIUnitName", si)
        text(unit, "UnitName", name)
        text(Tree.SubElement(unit, "UnitConversion"), "Factor", factor)


def _devices(root: Tree.Element, ids: Ids, plain: Plain) -> dict[str, str]:
    gauges = {gauge["label"]: gauge for gauge in plain["instruments"]}
    if not gauges:
        return {}
    box = many(Tree.SubElement(root, "MeasurementResources"), "MeasurementDevices", len(gauges))
    made = {}
    for label, gauge in gauges.items():
        made[label] = ids.next()
        device = Tree.SubElement(box, "MeasurementDevice", {"id": made[label]})
        token(device, "Name", label)
        text(device, "Description", gauge["kind"].replace("_", " "))
        if gauge["serial"]:
            text(device, "SerialNumber", gauge["serial"])
        attributes(
            device,
            [
                ("resolution mm", float(gauge["resolution_mm"])),
                ("calibrated on", gauge["calibrated_on"]),
                ("due on", gauge["due_on"]),
                ("calibration result", gauge["result"]),
                ("expanded uncertainty mm", float(gauge["u95_mm"])),
                ("k", float(gauge["k"])),
                ("calibration reference", gauge["reference"]),
                ("remark", gauge["remark"]),
            ],
        )
    return made


def _part(root: Tree.Element, ids: Ids, plain: Plain) -> None:
    who = plain["identity"]
    part = Tree.SubElement(many(Tree.SubElement(root, "Product"), "PartSet", 1), "Part", {"id": ids.next()})
    text(part, "UUID", str(uuid5(NAMESPACE_URL, f"inspect-tui:part:{who['job']}")))
    text(part, "ModelNumber", who["job"])
    text(part, "Version", who["revision"])
    external = Tree.SubElement(part, "DefinitionExternal", {"id": ids.next(), "n": "1"})
    drawing = Tree.SubElement(external, "PrintedDrawing", {"id": ids.next()})
    text(drawing, "Name", who["name"])
    text(drawing, "Version", who["revision"])
    text(drawing, "DrawingNumber", who["drawing"])


# ------------------------------------------------------------------------------ datums
Datums = list[list[tuple[str, str]]]  # in their order; several letters that make one datum together: A-B


def datums_of(words: str) -> Datums | None:
    """The datums of a frame as people type it (A B C, A|B(M)|C, A-B C), each letter with its material condition.

    None for what is no frame of one to five datums: it goes over as it was typed.
    """
    made: Datums = []
    for part in re.split(r"[\s,;|]+", words.strip().upper()):
        together = [DATUM.fullmatch(letter) for letter in re.split(r"[-\u2013]", part)]
        if not all(together):
            return None
        made.append([(found[1], MATERIAL[found[2] or ""]) for found in together if found])
    letters = [letter for part in made for letter, _ in part]
    return made if len(made) <= len(PRECEDENCE) and len(set(letters)) == len(letters) else None


def _datums(root: Tree.Element, ids: Ids, lines: list[Plain]) -> dict[str, str]:
    """Every datum and every datum reference frame, each once; the id of a frame by the words that name it."""
    frames: dict[str, Datums] = {}
    for line in lines:
        words = line.get("datums") or ""
        if line.get("form") in ABOUT_DATUMS and (read := datums_of(words)):
            frames[words] = read
    letters = sorted({letter for read in frames.values() for part in read for letter, _ in part})
    if not letters:
        return {}
    defined: dict[str, str] = {}
    box = many(root, "DatumDefinitions", len(letters))
    for letter in letters:
        defined[letter] = ids.next()
        text(Tree.SubElement(box, "DatumDefinition", {"id": defined[letter]}), "DatumLabel", letter)
    made: dict[str, str] = {}  # what two people typed otherwise is one frame
    kinds = {repr(read): (words, read) for words, read in frames.items()}
    box = many(root, "DatumReferenceFrames", len(kinds))
    for key, (words, read) in kinds.items():
        made[key] = ids.next()
        frame = Tree.SubElement(box, "DatumReferenceFrame", {"id": made[key]})
        group = many(frame, "Datums", len(read))
        for part, place in zip(read, PRECEDENCE, strict=False):
            datum = Tree.SubElement(group, "Datum")
            if len(part) == 1:
                _datum(datum, defined, *part[0])
            else:
                compound = many(datum, "CompoundDatum", len(part))
                for count, one in enumerate(part, 1):
                    member = Tree.SubElement(compound, "Datum")
                    _datum(member, defined, *one)
                    text(member, "SequenceNumber", str(count))
            text(Tree.SubElement(datum, "Precedence"), "PrecedenceEnum", place)
        token(frame, "Name", words)
    return {words: made[repr(read)] for words, read in frames.items()}


def _datum(parent: Tree.Element, defined: Mapping[str, str], letter: str, material: str) -> None:
    """A datum of one letter, established from the feature as it was measured."""
    simple = Tree.SubElement(parent, "SimpleDatum")
    text(simple, "DatumDefinitionId", defined[letter])
    text(simple, "MaterialModifier", material)
    text(simple, "ReferencedComponent", "ACTUAL")


# ------------------------------------------------------------------------------ features and characteristics
def _features(root: Tree.Element, ids: Ids, lines: list[Plain]) -> dict[str, str]:
    box = Tree.SubElement(root, "Features")
    definitions, nominals, items = {}, {}, {}
    group = many(box, "FeatureDefinitions", len(lines))
    for line in lines:
        definitions[line["balloon"]] = ids.next()
        element = Tree.SubElement(group, "OtherShapeFeatureDefinition", {"id": str(ids.last)})
        along = f", along {line['axis']}" if line["axis"] in ("x", "y", "z") else ""
        text(element, "Description", f"{line['name']}: {line['ends']}{along}")
    group = many(box, "FeatureNominals", len(lines))
    for line in lines:
        nominals[line["balloon"]] = ids.next()
        element = Tree.SubElement(group, "OtherShapeFeatureNominal", {"id": str(ids.last)})
        token(element, "Name", line["name"])
        text(element, "FeatureDefinitionId", definitions[line["balloon"]])
    group = many(box, "FeatureItems", len(lines))
    for line in lines:
        items[line["balloon"]] = ids.next()
        element = Tree.SubElement(group, "OtherShapeFeatureItem", {"id": str(ids.last)})
        text(element, "FeatureNominalId", nominals[line["balloon"]])
        token(element, "FeatureName", f"{line['balloon']} {line['name']}")
        checked = Tree.SubElement(Tree.SubElement(element, "DeterminationMode"), "Checked")
        Tree.SubElement(Tree.SubElement(checked, "CheckDetails"), "Measured")
    return items


def _characteristics(
    root: Tree.Element,
    ids: Ids,
    lines: list[Plain],
    features: dict[str, str],
    standard: str,
    frames: Mapping[str, str],
) -> dict[str, str]:
    box = Tree.SubElement(root, "Characteristics")
    text(box, "FormalStandardId", standard)
    definitions, nominals, items = {}, {}, {}
    group = many(box, "CharacteristicDefinitions", len(lines))
    for line in lines:
        definitions[line["balloon"]] = ids.next()
        element = Tree.SubElement(group, f"{_kind(line)}CharacteristicDefinition", {"id": str(ids.last)})
        frame = frames.get(line.get("datums") or "") if line.get("form") in ABOUT_DATUMS else None
        named = None if frame else line.get("datums")
        attributes(element, [("source of the limits", line["band_source"]), ("datums", named)])
        if "form" in line:
            _zone(element, line, frame)
            continue
        if line["lower"] is None and line["upper"] is None:
            text(element, "NonTolerance", "MEASURED")
            continue
        band = Tree.SubElement(element, "Tolerance")
        if line["upper"] is not None:
            number(band, "MaxValue", line["upper"])
        if line["lower"] is not None:
            number(band, "MinValue", line["lower"])
        text(band, "DefinedAsLimit", "true")
    group = many(box, "CharacteristicNominals", len(lines))
    for line in lines:
        nominals[line["balloon"]] = ids.next()
        element = Tree.SubElement(group, f"{_kind(line)}CharacteristicNominal", {"id": str(ids.last)})
        text(element, "CharacteristicDefinitionId", definitions[line["balloon"]])
        if "form" not in line:
            number(element, "TargetValue", requirements.size(line))
    group = many(box, "CharacteristicItems", len(lines))
    for line in lines:
        items[line["balloon"]] = ids.next()
        element = Tree.SubElement(group, f"{_kind(line)}CharacteristicItem", {"id": str(ids.last)})
        attributes(element, [(key, line.get(key)) for key in ("sheet", "zone", "characteristic")])
        finished = requirements.state(line) == requirements.FINISHED
        text(element, "Description", f"{line['quantity']}, {'finished' if finished else 'as cast'}")
        token(element, "Name", line["name"])
        token(Tree.SubElement(element, "CharacteristicDesignator"), "Designator", line["balloon"])
        references(element, "FeatureItemIds", [features[line["balloon"]]])
        text(element, "CharacteristicNominalId", nominals[line["balloon"]])
    return items


def _zone(element: Tree.Element, line: Plain, frame: str | None) -> None:
    """Width of the zone of a geometrical tolerance, its datum reference frame and shape, in the schema's order."""
    number(element, "ToleranceValue", line["upper"])
    form = line["form"]
    if frame is not None:
        text(element, "DatumReferenceFrameId", frame)
    if form in ("Parallelism", "Perpendicularity", "Position"):
        text(element, "MaterialCondition", "NONE")
    shapes = {
        "Parallelism": "PlanarZone",
        "Perpendicularity": "PlanarZone",
        "Position": "NonDiametricalZone",
        "Straightness": "NonDiametricalZone",
    }
    if form in shapes:
        shape = "DiametricalZone" if line.get("round") else shapes[form]
        Tree.SubElement(Tree.SubElement(element, "ZoneShape"), shape)


def _kind(line: Plain) -> str:
    if "form" in line:
        return str(line["form"])
    return "Angle" if line["unit"] in ("deg", "°") else KINDS[line["quantity"]]


# ------------------------------------------------------------------------------ what was measured
def _results(
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
        element = Tree.SubElement(box, "MeasurementResults", {"id": ids.next()})
        measured = _measured_features(element, ids, cells, features, parts[serial])
        if cells:
            group = many(Tree.SubElement(element, "MeasuredCharacteristics"), "CharacteristicMeasurements", len(cells))
            for line, kind, cell in cells:
                into_one = Tree.SubElement(group, f"{kind}CharacteristicMeasurement", {"id": ids.next()})
                _measurement(into_one, line, cell, items, measured, devices, parts[serial])
        states[serial] = state([_answer(line, cell) for line, _, cell in cells])
        text(Tree.SubElement(element, "InspectionStatus"), "InspectionStatusEnum", states[serial])
        references(element, "ActualComponentIds", [parts[serial]])
    group = many(many(into, "ActualComponentSets", 1), "ActualComponentSet", len(serials))
    for serial in serials:
        part = Tree.SubElement(group, "ActualComponent", {"id": parts[serial]})
        text(part, "SerialNumber", serial)
        text(Tree.SubElement(part, "Status"), "InspectionStatusEnum", states[serial])


def stands(cell: Plain) -> bool:
    """Whether the cell has a value that counts."""
    return cell["value"] is not None and cell["answer"] != Standing.IN_QUESTION


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
        element = Tree.SubElement(box, "OtherShapeFeatureMeasurement", {"id": made[balloon]})
        text(element, "FeatureItemId", features[balloon])
        text(element, "ActualComponentId", part)
    return made


def _measurement(
    element: Tree.Element,
    line: Plain,
    cell: Plain,
    items: dict[str, str],
    measured: dict[str, str],
    devices: dict[str, str],
    part: str,
) -> None:
    doubted = None if stands(cell) else cell["value"]
    attributes(
        element,
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
    status = Tree.SubElement(element, "Status")
    if cell["answer"] in STATUS:
        text(status, "CharacteristicStatusEnum", STATUS[cell["answer"]])
    else:
        why = cell["question"] if cell["answer"] == Standing.IN_QUESTION else cell["reason"]
        text(status, "OtherCharacteristicStatus", f"{cell['answer']}: {why}" if why else cell["answer"])
    text(element, "CharacteristicItemId", items[line["balloon"]])
    if cell["at"]:
        text(element, "TimeStamp", datetime.fromisoformat(cell["at"]).isoformat())
    if line["balloon"] in measured:
        references(element, "FeatureMeasurementIds", [measured[line["balloon"]]])
    text(element, "ActualComponentId", part)
    if cell["instrument"] in devices:
        references(element, "MeasurementDeviceIds", [devices[cell["instrument"]]])
    if stands(cell):
        value = number(element, "Value", cell["value"])
        if cell["u"] is not None:
            value.set("combinedUncertainty", decimal(cell["u"]))
            value.set("meanError", "0")  # the schema wants both or none; every error that is known was corrected


def _answer(line: Plain, cell: Plain) -> str:
    """The answer of a cell for its casting: a feature that still waits for a casting to be cut up stays open."""
    waits = cell["answer"] == Standing.NOT_MEASURABLE and line["answer"] == Standing.TO_MEASURE
    return Standing.TO_MEASURE.value if waits else str(cell["answer"])


def state(answers: list[str]) -> str:
    """The state of one casting; whatever is undecided, in question or still to measure leaves it open."""
    if Standing.DOES_NOT_CONFORM in answers:
        return "FAIL"
    if not any(answer in STATUS or answer == Standing.IN_QUESTION for answer in answers):
        return "NOT_MEASURED"
    if any(answer in OPEN for answer in answers):
        return "UNKNOWN"
    return "PASS" if Standing.CONFORMS in answers else "NOT_CALCULATED"  # measured, but nothing has limits


# ------------------------------------------------------------------------------ pieces
class Ids:
    """The numbers that the document's things refer to each other by."""

    def __init__(self) -> None:
        self.last = 0

    def next(self) -> str:
        """The next number; the largest one stands at the root."""
        self.last += 1
        return str(self.last)


def text(parent: Tree.Element, name: str, words: str) -> Tree.Element:
    """An element with words in it."""
    made = Tree.SubElement(parent, name)
    made.text = visible(words)
    return made


def token(parent: Tree.Element, name: str, words: str) -> Tree.Element:
    """Text that the schema wants without line ends and double blanks."""
    return text(parent, name, " ".join(words.split()))


def number(parent: Tree.Element, name: str, value: float) -> Tree.Element:
    """An element with a figure in it, at full precision."""
    return text(parent, name, decimal(value))


def decimal(value: float) -> str:
    """Full precision without an exponent, as xs:decimal wants it."""
    return format(Decimal(repr(float(value))), "f")


def attributes(parent: Tree.Element, pairs: Iterable[tuple[str, object]]) -> None:
    """Named values beside what the schema has elements for; None and nothing are left out."""
    said = [(name, value) for name, value in pairs if value not in (None, "")]
    if said:
        box = many(parent, "Attributes", len(said))
        for name, value in said:
            words = decimal(value) if isinstance(value, float) else visible(str(value))
            Tree.SubElement(box, "AttributeStr", {"name": name, "value": words})


def references(parent: Tree.Element, name: str, ids: Iterable[str]) -> None:
    """A list of the ids of other things."""
    wanted = list(ids)
    box = many(parent, name, len(wanted))
    for other in wanted:
        text(box, "Id", other)


def many(parent: Tree.Element, name: str, count: int) -> Tree.Element:
    """A list; the schema knows no empty one, so it is made only where `count` is at least 1."""
    return Tree.SubElement(parent, name, {"n": str(count)})
