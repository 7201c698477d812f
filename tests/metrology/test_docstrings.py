"""Every public function of the computations states shapes and units, names what it refuses, and says where it is from."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import inspect_tui.metrology

ROOT = Path(inspect_tui.metrology.__file__).parent
NUMBERS = re.compile(r"\b(float|Array|NDArray|Estimate|Values)\b")
UNITS = re.compile(
    r"\b(mm\d?|um|in(ch(es)?)?|m3?|deg(C|rees?)?|kelvin|rad(ians)?|kg|N(/mm2)?|newtons?|litres?|l/min|weeks?|days?|cores?"
    r"|dimensionless|fractions?|shares?|ratios?|factors?|numbers?|counts?|probabilit(y|ies)|chances?|p-values?|bits|logarithms?"
    r"|standard deviations?|degrees of freedom|percent|sign|unit|units)\b|°|%|/u\^2",
    re.IGNORECASE,
)


def public() -> list[tuple[str, ast.FunctionDef]]:
    """Public functions of modules and public methods of public classes, with where they stand."""
    found = []
    for file in sorted(ROOT.rglob("*.py")):
        if file.name.startswith("_") and file.name != "__init__.py":
            continue
        where = file.relative_to(ROOT).as_posix()
        for node in ast.parse(file.read_text("utf-8")).body:
            inside = node.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_") else [node]
            before = f"{node.name}." if isinstance(node, ast.ClassDef) else ""
            found += [
                (f"{where}: {before}{f.name}", f)
                for f in inside
                if isinstance(f, ast.FunctionDef) and not f.name.startswith("_")
            ]
    return found


PUBLIC = public()


def missing(function: ast.FunctionDef) -> list[str]:
    """What the docstring of a function leaves unsaid."""
    words = ast.get_docstring(function) or ""
    out = [] if len(words) > 20 else ["what it does"]
    if function.returns is not None and NUMBERS.search(ast.unparse(function.returns)) and not UNITS.search(words):
        out.append("the unit of what it returns, or that it has none")
    refused = {
        ast.unparse(node.exc.func if isinstance(node.exc, ast.Call) else node.exc)
        for node in ast.walk(function)
        if isinstance(node, ast.Raise) and node.exc is not None
    }
    out += [f"when it raises {error}" for error in sorted(refused) if error not in words and not error.startswith("_")]
    return out


def test_public_docstrings_say_units_and_errors() -> None:
    assert len(PUBLIC) > 300, "the search is wrong"
    wrong = [f"{where} does not say {', '.join(gaps)}" for where, f in PUBLIC if (gaps := missing(f))]
    assert not wrong, "\n".join(wrong)
