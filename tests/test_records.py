"""One way to make a record: frozen ones, by name over five fields; standard dataclasses only for what changes."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import inspect_tui
from inspect_tui.shop.common.standing import Standing

MOST_BY_PLACE = 5
# six figures in the order of the axes, as they are written on a list; a table of the tests with six columns
SIX_IN_ORDER = {"Box", "Doors"}
PACKAGE = Path(inspect_tui.__file__).parent
TESTS = Path(__file__).parent


KINDS = (ast.ClassDef, ast.Import, ast.ImportFrom, ast.Call, ast.Compare, ast.Dict)


@cache
def texts() -> dict[str, str]:
    """The text of every module of the package and its tests, by dotted name."""
    found = {}
    for root in (PACKAGE, TESTS):
        for file in sorted(root.rglob("*.py")):
            parts = [*file.relative_to(root.parent).with_suffix("").parts]
            found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = file.read_text("utf-8")
    return found


@cache
def nodes(module: str) -> list[ast.AST]:
    """What the tests look at in the syntax tree of a module."""
    return [node for node in ast.walk(ast.parse(texts()[module])) if isinstance(node, KINDS)]


def naming(words: Iterable[str]) -> Iterator[tuple[str, list[ast.AST]]]:
    """Modules in whose text one of these words stands, with their nodes: no other has to be read."""
    any_ = re.compile(rf"(?<!\w)({'|'.join(map(re.escape, words))})(?!\w)")
    for module, text in texts().items():
        if any_.search(text):
            yield module, nodes(module)


def classes(kinds: tuple[str, ...]) -> Iterator[tuple[str, ast.ClassDef, list[str]]]:
    """Module, class and field names of the classes that one of these words makes (a decorator or the base)."""
    for module, here in naming(kinds):
        for node in here:
            if isinstance(node, ast.ClassDef):
                by = [ast.unparse(d).partition("(")[0] for d in node.decorator_list] + [
                    ast.unparse(b) for b in node.bases
                ]
                if set(by) & set(kinds):
                    yield module, node, [n.target.id for n in node.body if isinstance(n, ast.AnnAssign)]


@cache
def imported(module: str) -> dict[str, tuple[str, str]]:
    """Where each name that a module imports comes from: the module and the name there ("" for a whole module)."""
    here: dict[str, tuple[str, str]] = {}
    for node in nodes(module):
        if isinstance(node, ast.ImportFrom) and node.module:
            for name in node.names:
                whole = f"{node.module}.{name.name}"
                here[name.asname or name.name] = (whole, "") if whole in texts() else (node.module, name.name)
        elif isinstance(node, ast.Import):
            here |= {name.asname: (name.name, "") for name in node.names if name.asname}
    return here


def test_over_five_fields_are_given_by_name() -> None:
    wrong = [
        f"{module}.{node.name}: @frozen with {len(names)} fields"
        for module, node, names in classes(("frozen",))
        if len(names) > MOST_BY_PLACE
    ]
    assert not wrong


def test_a_named_tuple_over_five_fields_is_made_by_name_or_from_a_whole_row() -> None:
    long = {(m, node.name) for m, node, names in classes(("NamedTuple",)) if len(names) > MOST_BY_PLACE}
    assert long, "none is found: the search is wrong"
    wrong = []
    for module, there in naming(name for _, name in long):
        for node in there:
            if not isinstance(node, ast.Call) or not node.args or any(isinstance(a, ast.Starred) for a in node.args):
                continue
            if isinstance(node.func, ast.Name):
                made = imported(module).get(node.func.id, (module, node.func.id))
            elif isinstance(node.func, ast.Attribute) and isinstance(node.func.value, ast.Name):
                made = (imported(module).get(node.func.value.id, ("", ""))[0], node.func.attr)
            else:
                continue
            if made in long and made[1] not in SIX_IN_ORDER:
                wrong.append(f"{module}:{node.lineno}: {made[1]} by place")
    assert not wrong


def test_standard_dataclasses_are_kept_for_what_changes() -> None:
    wrong = [
        f"{module}.{node.name}"
        for module, node, _ in classes(("dataclass", "dataclasses.dataclass"))
        if module.startswith("inspect_tui") and "frozen=True" in ast.unparse(node.decorator_list[0])
    ]
    assert not wrong, "inspect_tui.frozen makes what does not change"
    typed = [
        module
        for module, _ in naming(["NamedTuple"])
        if module.startswith("inspect_tui.") and ("typing", "NamedTuple") in imported(module).values()
    ]
    assert typed == ["inspect_tui.frozen"]


def test_verdicts_are_compared_as_their_enum() -> None:
    words = {answer.value for answer in Standing} | {"rubs", "does not go"}
    wrong = []
    for module, there in naming(words):
        if not module.startswith("inspect_tui."):
            continue
        for node in there:
            of = [node.left, *node.comparators] if isinstance(node, ast.Compare) else []
            of += [key for key in node.keys if key] if isinstance(node, ast.Dict) else []
            of += [e for part in of if isinstance(part, ast.Tuple | ast.List | ast.Set) for e in part.elts]
            wrong += [
                f"{module}:{e.lineno}: {e.value!r}" for e in of if isinstance(e, ast.Constant) and e.value in words
            ]
    assert not wrong
