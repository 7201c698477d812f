"""The JSON schema of the first article, made from the classes of the result, so that it can never say something else.

`python -m inspect_tui.report.first_article.schema` prints it; what it prints is shipped beside the papers.
"""

from __future__ import annotations

import json
import sys
from enum import Enum
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from inspect_tui.model.signed import ACTS, DECISIONS, GEOMETRIES
from inspect_tui.shop.first_article import result

WORDS: dict[tuple[str, str], dict[str, Any]] = {
    ("RuleLine", "name"): {"enum": ["proof95", "full_u", "plain"]},
    ("CauseLine", "status"): {"enum": ["named", "cannot tell", "below scatter"]},
    ("Cell", "p_conform"): {"type": ["number", "null"], "minimum": 0, "maximum": 1},
    ("FeatureLine", "p_conform"): {"type": ["number", "null"], "minimum": 0, "maximum": 1},
    ("FeatureLine", "state"): {"enum": ["raw", "finished"]},
    ("Cell", "u"): {"type": ["number", "null"], "minimum": 0},
    ("GeometryCell", "p_conform"): {"type": ["number", "null"], "minimum": 0, "maximum": 1},
    ("GeometryLine", "what"): {"enum": list(GEOMETRIES)},
    ("GeometryLine", "state"): {"enum": ["raw", "finished"]},
    ("DispositionLine", "decision"): {"enum": ["", *DECISIONS]},
    ("SignLine", "act"): {"enum": list(ACTS)},
}
ADDED = {  # after the first reports were given out: those have it not, and still are right
    ("StockLine", "targets"),
    ("StockFace", "face"),
    ("FaceCut", "face"),
    ("FeatureLine", "state"),
    ("FirstArticle", "counts_finished"),
    ("PassageLine", "how"),
    ("PassageLine", "u_measured"),
    ("PassageLine", "u_assumed"),
    ("PassageLine", "in_units"),
    ("CauseLine", "names"),
    ("CauseLine", "tells"),
    ("CutLine", "changes"),
    ("CutLine", "rides"),
    ("CutLine", "u_share"),
    ("FaceCut", "face"),
    ("Cuts", "ticked"),
    ("PredictedLine", "u_before"),
    ("PredictedLine", "scatter"),
    ("PredictedLine", "lower"),
    ("PredictedLine", "upper"),
    ("PromiseLine", "allowed"),
    ("PromiseLine", "left_out"),
}
OF = {"": "FirstArticle", "identity": "Identity", "features": "FeatureLine"}
ADDED |= {(OF[part], name) for new in result.NEW_IN.values() for part, names in new.items() for name in names}
SIMPLE: dict[Any, str] = {str: "string", float: "number", int: "integer", bool: "boolean"}


def schema() -> dict[str, Any]:
    """The whole schema, draft 2020-12; sizes are mm or degrees, ratios fractions, probabilities 0 to 1."""
    kinds: dict[str, dict[str, Any]] = {}
    top = _record(result.FirstArticle, kinds)
    top["properties"] = {"format": {"enum": list(result.FORMATS)}, **top["properties"]}
    top["required"] = ["format", *top["required"]]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:inspect-tui:{result.FORMAT}",
        "title": "First article",
        **top,
        "$defs": dict(sorted(kinds.items())),
    }


def _record(cls: type, kinds: dict[str, dict[str, Any]]) -> dict[str, Any]:
    hints = get_type_hints(cls)
    properties = {name: WORDS.get((cls.__name__, name)) or _kind(hint, kinds) for name, hint in hints.items()}
    return {
        "description": " ".join((cls.__doc__ or "").split()),
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if (cls.__name__, name) not in ADDED],
        "additionalProperties": False,
    }


def _kind(hint: Any, kinds: dict[str, dict[str, Any]]) -> dict[str, Any]:
    origin, inside = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        options = [{"type": "null"} if option is NoneType else _kind(option, kinds) for option in inside]
        if all(list(option) == ["type"] and isinstance(option["type"], str) for option in options):
            return {"type": [option["type"] for option in options]}
        return {"anyOf": options}
    if origin is tuple:
        if inside[-1] is Ellipsis:
            return {"type": "array", "items": _kind(inside[0], kinds)}
        parts = [_kind(option, kinds) for option in inside]
        return {"type": "array", "prefixItems": parts, "minItems": len(parts), "maxItems": len(parts)}
    if issubclass(hint, Enum):
        return {"enum": [word.value for word in hint]}
    if hint in SIMPLE:
        return {"type": SIMPLE[hint]}
    if hint.__name__ not in kinds:
        kinds[hint.__name__] = {}  # before its own fields: they may name it again
        kinds[hint.__name__] = _record(hint, kinds)
    return {"$ref": f"#/$defs/{hint.__name__}"}


def text() -> str:
    """The schema as it is shipped."""
    return json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(text())
