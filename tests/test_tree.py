"""The tree of the tests mirrors that of the program, and no folder of the program grows into a heap."""

from __future__ import annotations

import re
from pathlib import Path

import tests.worlds

TESTS = Path(__file__).parent
PACKAGE = TESTS.parent / "inspect_tui"
MOST = 15  # modules in one folder; more than a person takes in at a glance
ONE_KIND = {"commands"}  # many of one kind are no heap: a module for each command


def has_functions(module: Path) -> bool:
    return re.search(r"^\s*(?:async )?def \w", module.read_text("utf-8"), re.M) is not None


def mirrored(module: Path) -> bool:
    """Whether tests/a/test_b.py or tests/a/test_b_something.py stands there for inspect_tui/a/b.py."""
    where, name = TESTS / module.parent.relative_to(PACKAGE), f"test_{module.stem.strip('_')}"
    return (where / f"{name}.py").is_file() or any(where.glob(f"{name}_*.py"))


def test_every_module_that_does_something_has_its_test_at_the_same_path() -> None:
    modules = [m for m in PACKAGE.rglob("*.py") if m.name not in ("__init__.py", "__main__.py")]
    assert len(modules) > 100
    without = {m.relative_to(PACKAGE).as_posix() for m in modules if has_functions(m) and not mirrored(m)}
    assert sorted(without) == []


def test_the_index_of_the_worlds_names_each_once() -> None:
    lines = [line.partition(": ") for line in (tests.worlds.__doc__ or "").splitlines()[2:]]
    named = [name for name, _, told in lines if told]
    assert named == sorted(m.stem for m in (TESTS / "worlds").glob("*.py") if m.stem != "__init__")


def test_no_folder_is_a_heap() -> None:
    folders = [PACKAGE, *(f for f in PACKAGE.rglob("*") if f.is_dir())]
    crowded = {
        f.relative_to(PACKAGE).as_posix()
        for f in folders
        if sum(m.name != "__init__.py" for m in f.glob("*.py")) > MOST
    }
    assert sorted(crowded - ONE_KIND) == []
