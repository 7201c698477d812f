"""The way from Enter to the disk imports sqlite3 and json, and nothing heavy."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

CODE = """
import sys
from inspect_tui.record.store import Record
from tests.worlds.writer_probe import furnish
with Record.open(sys.argv[1], create=True) as record:
    reading = furnish(record)
    record.void(record.append_reading(reading).id, "test", "trial")
    assert record.verify().ok and record.readings() and record.backup()
print(" ".join(sorted(sys.modules)))
"""
HEAVY = {
    "numpy",
    "scipy",
    "sqlite_utils",
    "pint",
    "textual",
    "rich",
    "asyncio",
    "importlib.metadata",
    "importlib.resources",
    "platformdirs",
    "logging",
    "tempfile",
    "subprocess",
    "shutil",
}


def test_the_record_imports_nothing_heavy(tmp_path: Path):
    done = subprocess.run(
        [sys.executable, "-c", CODE, tmp_path / "bench.db"],
        capture_output=True,
        text=True,
        check=True,
        timeout=30,
    )
    loaded = set(done.stdout.split())
    assert {"sqlite3", "json"} <= loaded
    plain = subprocess.run(
        [sys.executable, "-c", "import sys, sqlite3, json; print(' '.join(sorted(sys.modules)))"],
        capture_output=True,
        text=True,
        check=True,
        timeout=30,
    )
    assert loaded & HEAVY <= set(plain.stdout.split())
