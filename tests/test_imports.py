"""The warm path stays light: a fresh interpreter is asked which modules it has loaded."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = {"numpy", "scipy", "pint", "sqlite_utils", "pandas", "jinja2", "typst", "xlsxwriter"}


def loaded_after(code: str) -> set[str]:
    probe = f"{code}\nimport sys; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_version_loads_next_to_nothing() -> None:
    loaded = loaded_after("from inspect_tui.cli import main; main(['--version'])")
    assert not (HEAVY | {"textual", "rich", "argparse", "sqlite3", "dataclasses"}) & loaded


def test_help_loads_nothing_heavy() -> None:
    assert not (HEAVY | {"textual", "rich", "sqlite3"}) & loaded_after("import inspect_tui.cli as c; c.parser()")


def test_logging_loads_no_screen_and_nothing_heavy() -> None:
    code = "import inspect_tui.commands.log, inspect_tui.shop.bench.line"
    loaded = loaded_after(code)
    assert not (HEAVY | {"textual", "rich", "dataclasses", "inspect", "typing", "platformdirs"}) & loaded


def test_the_bench_loads_nothing_heavy() -> None:
    loaded = loaded_after("import inspect_tui.tui.app, inspect_tui.tui.bench.screen, inspect_tui.shop.bench.memory")
    assert "textual" in loaded
    assert not HEAVY & loaded
    sketch = {"inspect_tui.report.draw.mould", "inspect_tui.report.draw.sketch_cells", "inspect_tui.shop.kit.facts"}
    assert not sketch & loaded  # drawn when the hand rests


WARM = [
    "typed.quantity",
    "typed.slips",
    "sizes.contraction",
    "sizes.chain",
    "sizes.tolerance",
    "judge.uncertainty",
    "judge.verdict",
    "judge.cut",
]


@pytest.mark.parametrize("name", WARM)
def test_warm_computations_load_only_the_standard_library(name: str) -> None:
    loaded = loaded_after(f"import inspect_tui.metrology.{name}")
    assert not (HEAVY | {"textual", "rich", "sqlite3"}) & loaded
