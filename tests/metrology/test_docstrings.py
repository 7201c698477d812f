"""Every public function of the computations states units and names what it refuses; each module says where it is from."""

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
# A standard, a handbook or paper by its year, or plainly that there is none.
SOURCE = re.compile(
    r"\b(?:ISO|IEC|ASTM|ASME|EN|DIN|VDG|JCGM|GUM|VIM|NIST|JIS|BS)\b[ /-]?(?:[A-Z]+ ?)?\d|\bGUM\b|[Hh]andbook|textbook"
    r"|\((?:[A-Z][\w' -]+,? )*(?:18|19|20)\d\d\)|\b[A-Z]\w+ (?:18|19|20)\d\d\b"
    r"|[Oo]wn derivation|[Dd]erived here|[Cc]ommon practice|[Ff]rom memory|no source|[Rr]ecalled|[Ss]ource:"
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


def computing() -> list[str]:
    """Modules with a public function that answers with more than words, and that name no source in any docstring."""
    silent = []
    for file in sorted(ROOT.rglob("*.py")):
        tree = ast.parse(file.read_text("utf-8"))
        functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")]
        answers = {ast.unparse(f.returns) for f in functions if f.returns is not None}
        if file.name.startswith("_") or answers <= {"str", "str | None", "None"}:
            continue
        said = [
            ast.get_docstring(n) or ""
            for n in [tree, *functions, *(n for n in tree.body if isinstance(n, ast.ClassDef))]
        ]
        if not any(map(SOURCE.search, said)):
            silent.append(file.relative_to(ROOT).as_posix())
    return silent


def test_every_module_that_computes_says_where_its_method_is_from() -> None:
    assert computing() == []


def test_a_source_is_known_from_other_words() -> None:
    for words in ("ISO 8062-3", "JCGM 101:2008", "own derivation", "(Hodges 1974)", "Common practice, no source."):
        assert SOURCE.search(words), words
    for words in ("", "Sizes in mm.", "EN route", "200 of 2000 draws", "the GUMMED label"):
        assert not SOURCE.search(words), words
