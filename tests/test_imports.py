"""The warm path stays light: a fresh interpreter is asked which modules it has loaded."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.conftest import SmallShop

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


# every module that `inspect-tui log` of one reading imports, by its folder; each costs it 0.2 ms
LOG = {
    "": "cli errors frozen todo",
    "commands": "common log spelt_out todo",
    "metrology.judge": "_dist cut repeats uncertainty verdict",
    "metrology.sizes": "chain movement roughness tables tolerance",
    "metrology.typed": "_pattern parsed plain_text quantity show slip_kinds slips unit_names units",
    "model": "changes gauges measuring words work",
    "record": "commit conditions kinds read store text",
    "record.ask": "evidence gauges jobs readings",
    "record.chain": "canon clock ids rights write",
    "record.file": "connect devices guard lock place schema state trouble",
    "shop.bench": "clock line outcomes walk worklist",
    "shop.common": "corrections drawing_notes evidence faces_touched find gauges_then judging lineage sizes sound standing "
    "study_feed trusted",
    "shop.settings": "choices file",
}
COSTLY = set(
    [
        "argparse",
        "ast",
        "bisect",
        "bz2",
        "ctypes",
        "dataclasses",
        "dis",
        "gettext",
        "hashlib",
        "inspect",
        "logging",
        "lzma",
        "platform",
        "random",
        "selectors",
        "shutil",
        "signal",
        "socket",
        "statistics",
        "string",
        "subprocess",
        "tempfile",
        "textwrap",
        "tokenize",
        "tomllib",
        "typing",
        "uuid",
        "weakref",
        "zlib",
        "zoneinfo",
        "platformdirs",
        "textual",
        "rich",
    ]
)


def test_logging_a_reading_loads_what_it_needs_and_no_more(shop: SmallShop) -> None:
    shop.record.close()  # with its log beside it, it would be looked at more closely
    call = ["--record", str(shop.path), "log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1"]
    loaded = loaded_after(
        "import sys, io; sys.stdin = io.StringIO('F1 59.66'); from inspect_tui import cli; from inspect_tui.commands import log\n"
        f"log.back_up_when_due = str; sys.argv[1:] = {call}; assert cli.main() == 0"
    )
    assert not (HEAVY | COSTLY) & loaded
    known = {f"{folder}.{name}".lstrip(".") for folder in LOG for name in LOG[folder].split()}
    known |= {folder.rpartition(".")[0] for folder in LOG} | LOG.keys()
    assert {name for name in loaded if name.startswith("inspect_tui.")} <= {f"inspect_tui.{name}" for name in known}


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
