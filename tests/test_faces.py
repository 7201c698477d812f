"""Below the faces nobody names a key, an option or a command, and nobody anywhere finds out by looking into a sentence.

A face is what people touch: `tui/`, `commands/`, `cli.py`. What they could do next is a `Todo` (inspect_tui/todo.py);
what an answer means stands in its fields. Both are held here by a walk over the syntax tree of every module.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import pytest

import inspect_tui
from inspect_tui.todo import Todo

HOUSE = Path(inspect_tui.__file__).parent
LOWER = ("model", "metrology", "record", "hub", "shop", "report", "demo")
KEY = re.compile(
    r"(?<!\w)F(?:[1-9]|1[0-2])(?!\w)|Ctrl\+|(?i:shift\+)|\bEsc\b|\b[Pp]ress Enter\b|\bEnter (?:keeps|writes)\b|(?<=\s)\([a-z]\)"
)
OPTION = re.compile(r"(?<![\w-])--[a-z]")
COMMAND = re.compile(r"inspect-tui [a-z]+\b")
PLACE = re.compile(r"\b(?:at|on) the (?:Jobs|Gauges|Trends|Kit|Feature) (?:screen|place)\b")

# balloons of features look like keys: a string that is nothing but one, or one that is shown as an example
LABEL = re.compile(r"F\d{1,3}")
EXAMPLE = re.compile(r"[Ss]uch as \"?F\d{1,2}\"?|2 F01 is clear")
NO_SENTENCES = {
    ("demo/write.py", "inspect-tui demo"),  # the name of the program that wrote the record
}

# what the house calls a sentence; the names stand before `.replace(` and behind `in`
SENTENCES = {
    "sentence",
    "message",
    "said",
    "wrong",
    "problem",
    "error",
    "why",
    "question",
    "refused",
    "remark",
    "complaint",
}
MENDS = {
    "replace",
    "removeprefix",
    "removesuffix",
    "partition",
    "rpartition",
    "startswith",
    "endswith",
}

BESIDE = re.compile(r"""["']\s+[rf]*["']""")
LOOK = re.compile(rf"""(?:{"|".join(SENTENCES)}|\))\s*\.\s*(?:{"|".join(MENDS)})\(|["']\s+(?:not\s+)?in\s""")


@cache
def texts() -> dict[str, str]:
    """The text of every module by its path inside the package; literals that stand side by side are one."""
    found = {}
    for path in sorted(HOUSE.rglob("*.py")):
        found[path.relative_to(HOUSE).as_posix()] = BESIDE.sub("", path.read_text("utf-8"))
    return found


@cache
def parsed(place: str) -> ast.Module:
    """The syntax tree of a module by its path inside the package."""
    return ast.parse((HOUSE / place).read_text("utf-8"))


def modules(holding: Iterable[re.Pattern[str]], *floors: str) -> Iterator[tuple[str, ast.Module]]:
    """Modules of these floors (all without any) whose text holds one of the patterns: the others need no closer look."""
    for place, text in texts().items():
        if (not floors or place.split("/")[0] in floors) and any(pattern.search(text) for pattern in holding):
            yield place, parsed(place)


def strings(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Every string that can be shown, with its line: all but docstrings."""
    docs = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                docs.add(first.value)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in docs:
            yield node.lineno, node.value


def names_a_face(text: str) -> str | None:
    """The key, option or command that a string names; None when it names none."""
    if LABEL.fullmatch(text):
        return None
    plain = EXAMPLE.sub("", text)
    found = next((m for what in (KEY, OPTION, COMMAND, PLACE) if (m := what.search(plain))), None)
    return found[0] if found else None


def looks_into(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Where a sentence is mended, or decides: `said.replace(...)`, `"…" in str(problem)`, `"…" not in found.wrong`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr in MENDS and is_sentence(node.func.value):
                yield node.lineno, ast.unparse(node)[:90]
        elif isinstance(node, ast.Compare) and seeks(node) and any(is_sentence(one) for one in node.comparators):
            yield node.lineno, ast.unparse(node)[:90]


def seeks(node: ast.Compare) -> bool:
    """Whether a comparison seeks a string as written in something."""
    written = isinstance(node.left, ast.Constant) and isinstance(node.left.value, str)
    return written and any(isinstance(op, ast.In | ast.NotIn) for op in node.ops)


def is_sentence(node: ast.expr) -> bool:
    """Whether an expression is a sentence by its name, or the text of an error."""
    if isinstance(node, ast.Call):
        return (
            isinstance(node.func, ast.Name)
            and node.func.id == "str"
            and bool(node.args)
            and _names_trouble(node.args[0])
        )
    if isinstance(node, ast.Attribute):
        return node.attr in SENTENCES
    return isinstance(node, ast.Name) and node.id in SENTENCES


def _names_trouble(node: ast.expr) -> bool:
    return isinstance(node, ast.Name) and node.id in SENTENCES | {"exc", "e", "reason"}


@pytest.mark.parametrize("floor", LOWER)
def test_no_key_no_option_and_no_command_stands_below_the_faces(floor: str) -> None:
    found = [
        f"{place}:{line}: {face} in {text!r}"
        for place, tree in modules((KEY, OPTION, COMMAND, PLACE), floor)
        for line, text in strings(tree)
        if (face := names_a_face(text)) and (place, text) not in NO_SENTENCES
    ]
    assert not found, "say it as a Todo:\n" + "\n".join(found)


def test_everything_that_can_be_done_is_said_by_somebody_below_the_faces() -> None:
    said = {
        node.attr
        for _, tree in modules((re.compile(r"\bTodo\."),), *LOWER)
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "Todo"
    }
    assert {one.name for one in Todo} == said


def test_nothing_is_decided_or_mended_by_looking_into_a_sentence() -> None:
    found = [f"{place}:{line}: {what}" for place, tree in modules((LOOK,)) for line, what in looks_into(tree)]
    assert not found, "give the answer a field for it:\n" + "\n".join(found)


@pytest.mark.parametrize(
    ("text", "face"),
    [
        ("Choose an instrument first (F4).", "F4"),
        ("Ctrl+L asks again.", "Ctrl+"),
        ("Say it with --unit in.", "--u"),
        ("inspect-tui verify", "inspect-tui verify"),
        ("Free space, press Enter again.", "press Enter"),
        ("12.4 or 14.2? Enter keeps it.", "Enter keeps"),
        ("add features on the Jobs screen", "on the Jobs screen"),
        ("trace it back over earlier readings (b).", "(b)"),
        ("F12", None),
        ("balloon: such as F12", None),
        ("pip install 'inspect-tui[report]'", None),
        ("a gap of 3 -- or 4", None),
    ],
)
def test_what_counts_as_a_key_or_an_option(text: str, face: str | None) -> None:
    assert names_a_face(text) == face


@pytest.mark.parametrize(
    ("code", "n"),
    [
        ("x = outcome.sentence.replace(' Enter keeps it.', '')", 1),
        ("x = 'fits several' in str(problem)", 1),
        ("wrote(said, 'NOT' not in said)", 1),
        ("x = 'there already' in found.wrong", 1),
        ("x = text.replace(',', '.')", 0),
        ("x = why in reasons", 0),
        ("x = 'nominal' in row", 0),
    ],
)
def test_what_counts_as_looking_into_a_sentence(code: str, n: int) -> None:
    assert len(list(looks_into(ast.parse(code)))) == n
