"""An XML schema built from the published facts of QIF 3.0 in data/qif3_structure.json, and the check against it.

The facts say what stands in the schema files of the standard; the schema that is built from them is judged by libxml2,
not by code of ours. What no XML schema can say (a list's count, the largest id) is looked at here.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from lxml import etree

FACTS: dict[str, Any] = json.loads(Path(__file__).with_name("data").joinpath("qif3_structure.json").read_text("utf-8"))
SPACE = "{" + FACTS["namespace"] + "}"
XS = "{http://www.w3.org/2001/XMLSchema}"
TIMES = {"?": {"minOccurs": "0"}, "+": {"maxOccurs": "unbounded"}, "": {}}


def broken(content: bytes) -> list[str]:
    """What in the document is not as published, with its line; empty when all is well."""
    try:
        root = etree.fromstring(content)
    except etree.XMLSyntaxError as error:
        return [str(error)]
    schema = schema_of_the_facts()
    schema.validate(root)
    wrong = [f"line {error.line}: {error.message.replace(SPACE, '')}" for error in schema.error_log]
    return wrong + list(_beside_the_schema(root))


def _beside_the_schema(root: etree._Element) -> list[str]:
    wrong = []
    numbers = [int(one) for one in root.xpath("//@id") if one.isdigit()]
    if root.get("idMax") != str(max(numbers, default=0)):
        wrong.append("idMax is not the largest id")
    for element in root.iter(etree.Element):
        name = etree.QName(element).localname
        if "n" in element.attrib and element.get("n") != str(len(element)):
            wrong.append(f"line {element.sourceline}: {name} counts {element.get('n')}, there are {len(element)}")
        if ("combinedUncertainty" in element.attrib) != ("meanError" in element.attrib):
            wrong.append(f"line {element.sourceline}: {name} has one of combinedUncertainty and meanError alone")
        if name == "Attributes":
            names = [one.get("name") for one in element]
            wrong += [f"line {element.sourceline}: {one} twice" for one in set(names) if names.count(one) > 1]
    return wrong


# ------------------------------------------------------------------------------ the schema
@cache
def schema_of_the_facts() -> etree.XMLSchema:
    """The schema, built once."""
    return etree.XMLSchema(schema_tree())


def schema_tree() -> etree._Element:
    """The facts as an XML schema."""
    space = FACTS["namespace"]
    top = etree.Element(
        f"{XS}schema", targetNamespace=space, elementFormDefault="qualified", nsmap={"xs": XS[1:-1], "t": space}
    )
    root = etree.SubElement(top, f"{XS}element", name=FACTS["root"], type=_type(FACTS["root"]))
    _identities(root)
    for name, facts in FACTS["simple"].items():
        made = etree.SubElement(top, f"{XS}simpleType", name=_plain(name))
        restriction = etree.SubElement(made, f"{XS}restriction", base=f"xs:{facts['base']}")
        for facet in ("pattern", "minInclusive", "minExclusive"):
            if facet in facts:
                etree.SubElement(restriction, f"{XS}{facet}", value=facts[facet])
        for word in facts.get("enumeration", ()):
            etree.SubElement(restriction, f"{XS}enumeration", value=word)
    for name, facts in FACTS["types"].items():
        made = etree.SubElement(top, f"{XS}complexType", name=_plain(name))
        into = made
        if "text" in facts:
            into = etree.SubElement(made, f"{XS}simpleContent")
            into = etree.SubElement(into, f"{XS}extension", base=_type(facts["text"]))
        else:
            _group(made, "sequence", facts["content"], "")
        for said in facts.get("attributes", ()):
            attribute, kind = said.split()
            use = "required" if attribute.endswith("!") else "optional"
            etree.SubElement(into, f"{XS}attribute", name=attribute.rstrip("!"), type=_type(kind), use=use)
    return top


def _group(parent: etree._Element, how: str, parts: list[Any], times: str) -> None:
    into = etree.SubElement(parent, f"{XS}{how}", TIMES[times])
    for part in parts:
        if isinstance(part, list):
            _group(into, "sequence", part, "")
        elif isinstance(part, dict):
            inner = "choice" if "choice" in part else "sequence"
            _group(into, inner, part[inner], part.get("times", ""))
        elif part.startswith("@"):
            _group(into, "sequence", FACTS["shared"][part], "")
        else:
            for said in _kinds(part):
                _element(into, said)


def _element(into: etree._Element, said: str) -> None:
    name, _, kind = said.partition(" ")
    bare = name.rstrip("?+")
    etree.SubElement(into, f"{XS}element", {"name": bare, "type": _type(kind or bare), **TIMES[name[len(bare) :]]})


def _kinds(said: str) -> list[str]:
    """The same once for every kind of characteristic, where it speaks of kinds."""
    if "{kind}" not in said:
        return [said]
    out = []
    for kind, family in FACTS["kinds"].items():
        name = said.replace("{kind}", kind)
        own = name.replace("{family}", family)
        known = own.partition(" ")[2] in FACTS["types"]
        out.append(own if known or "{family}" not in name else name.replace("{family}", "Linear"))
    return out


def _identities(root: etree._Element) -> None:
    """Ids are unique, and every reference leads to a thing of the right sort."""
    _identity(root, "unique", {"name": "ids"}, FACTS["unique"].replace("*", "t:*"), "@id")
    for at, facts in enumerate(FACTS["references"]):
        for target, *sources in zip(_kinds(facts["to"]), *(_kinds(one) for one in facts["from"]), strict=True):
            name = f"{at}-{target.rpartition('/')[2].replace('*', 'any')}"
            _identity(root, "key", {"name": f"key{name}"}, _path(target), "@id")
            for number, source in enumerate(sources):
                ends = {"name": f"ref{name}-{number}", "refer": f"t:key{name}"}
                _identity(root, "keyref", ends, _path(source), ".")


def _identity(root: etree._Element, how: str, ends: dict[str, str], selector: str, field: str) -> None:
    made = etree.SubElement(root, f"{XS}{how}", ends)
    etree.SubElement(made, f"{XS}selector", xpath=selector)
    etree.SubElement(made, f"{XS}field", xpath=field)


def _path(path: str) -> str:
    return "/".join(f"t:{step}" for step in path.split("/"))


def _plain(name: str) -> str:
    return "NotDescribed" if name == "-" else f"{name}Type"


def _type(name: str) -> str:
    return f"t:{_plain(name)}" if name in FACTS["types"] or name in FACTS["simple"] else f"xs:{name}"
