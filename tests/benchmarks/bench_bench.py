"""Start-up, key to verdict, durable append and command start, each as a ratio to a bare yardstick in the same run.

python -m tests.benchmarks.bench_bench [--runs 20]
"""

from __future__ import annotations

import argparse
import json
import os
import shlex
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import inspect_tui
from inspect_tui.commands.demo import START, demo_file
from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find

HERE = Path(__file__).parent
PYTHON = sys.executable
GAP = "0.30"  # what the gap of the trial assembly should read


def probe(folder: Path, *words: str) -> dict:
    """One call of the pty probe."""
    done = subprocess.run(
        [PYTHON, str(HERE / "pty_probe.py"), *words],
        capture_output=True,
        text=True,
        env={**os.environ, "INSPECT_TUI_STATE": str(folder)},
    )
    return json.loads(done.stdout)


def alternating(commands: dict[str, list[str]], runs: int, env: dict[str, str]) -> dict[str, float]:
    """Median seconds of whole commands, run turn about."""
    took: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(runs + 1):
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run(command, check=True, capture_output=True, input=b"F08 141.14\n", env=env)
            took[name].append(time.perf_counter() - start)
    return {name: statistics.median(times[1:]) for name, times in took.items()}


def start_and_keys(folder: Path, runs: int) -> list[str]:
    """First paint and Enter to verdict against the bare app."""
    record = folder / "demo.db"
    shutil.copyfile(demo_file(), record)
    (folder / "bench.json").write_text(json.dumps({str(record): START}))
    ours = f"{shlex.quote(PYTHON)} -m inspect_tui --record {shlex.quote(str(record))}"
    bare = f"{shlex.quote(PYTHON)} {shlex.quote(str(HERE / 'bare_textual.py'))}"
    first = probe(
        folder,
        "start",
        "--cmd",
        ours,
        "--marker",
        "F10 places",
        "--runs",
        str(runs),
        "--versus",
        bare,
        "--versus-marker",
        "READY",
    )
    one = {**START, "subject": "trial assembly"}  # a tool with one feature: the list does not move on
    (folder / "bench.json").write_text(json.dumps({str(record): one}))
    with_row = f"{bare} --row {shlex.quote(str(folder / 'bare_row.db'))}"
    ratios, against_row = [], []
    for _ in range(3):
        p95 = [
            probe(
                folder,
                "keys",
                "--cmd",
                command,
                "--ready",
                ready,
                "--send",
                f"{GAP}\\r",
                "--expect",
                seen,
                "--runs",
                str(4 * runs),
            )["cmd"]["p95"]
            for command, ready, seen in (
                (bare, "READY", f"ECHO {{n}} {GAP}"),
                (with_row, "READY", f"ECHO {{n}} {GAP}"),
                (ours, "F10 places", "logged"),
            )
        ]
        ratios.append(p95[2] / p95[0])
        against_row.append(p95[2] / p95[1])
    return [
        f"first paint of Bench on demo.db / bare Textual: {first['ratio']:.2f}",
        f"Enter to verdict p95 / bare echo p95: {' '.join(f'{ratio:.2f}' for ratio in ratios)}",
        f"Enter to verdict p95 / bare echo with a durable row p95: {' '.join(f'{r:.2f}' for r in against_row)}",
    ]


def append(folder: Path, rounds: int = 300) -> str:
    """One durable reading against one bare row under the same WAL and FULL, turn about."""
    path = folder / "append.db"
    shutil.copyfile(demo_file(), path)
    record = Record.open(path, state_dir=folder)
    job = find.job(record, START["job"])
    bench = Bench(
        record,
        job,
        find.subject(record, job, START["subject"]),
        find.person(record, START["person"]),
        find.instrument(record, START["instrument"]),
    )
    bench.goto("F08")
    taken = bench.take("141.14")
    reading = replace(taken.readings[0], id=b"")  # type: ignore[union-attr]
    bare = sqlite3.connect(folder / "bare.db", isolation_level=None)
    bare.execute("PRAGMA journal_mode=WAL")
    bare.execute("PRAGMA synchronous=FULL")
    bare.execute("CREATE TABLE t (id INTEGER PRIMARY KEY, value REAL)")
    ours, theirs = [], []
    for _ in range(rounds):
        start = time.perf_counter()
        record.append_reading(reading)
        middle = time.perf_counter()
        bare.execute("BEGIN IMMEDIATE")
        bare.execute("INSERT INTO t (value) VALUES (141.14)")
        bare.execute("COMMIT")
        theirs.append(time.perf_counter() - middle)
        ours.append(middle - start)
    record.close()
    return f"durable append / bare row: {statistics.median(ours) / statistics.median(theirs):.2f} (median of {rounds})"


def commands(folder: Path, runs: int) -> list[str]:
    """--version and log against `python -c "import sqlite3"`."""
    record = folder / "log.db"
    shutil.copyfile(demo_file(), record)
    base = [PYTHON, "-c", "from inspect_tui.cli import program; program()"]  # as installed
    took = alternating(
        {
            "sqlite3": [PYTHON, "-c", "import sqlite3"],
            "what it needs": [PYTHON, "-c", "import argparse, json, pathlib, sqlite3"],
            "version": [*base, "--version"],
            "log": [
                *base,
                "--record",
                str(record),
                "log",
                "--job",
                START["job"],
                "--on",
                START["subject"],
                "--by",
                START["person"],
                "--with",
                START["instrument"],
            ],
        },
        runs,
        {**os.environ, "INSPECT_TUI_STATE": str(folder)},
    )
    return [
        *(f"{name} / import sqlite3: {took[name] / took['sqlite3']:.2f}" for name in ("version", "log")),
        f"log / import argparse, json, pathlib, sqlite3: {took['log'] / took['what it needs']:.2f}",
    ]


def main() -> None:
    """Print every ratio."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=20)
    runs = parser.parse_args().runs
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # as installed: with its bytecode beside it
    subprocess.run([PYTHON, "-m", "compileall", "-q", str(Path(inspect_tui.__file__).parent)], check=True)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for line in (append(folder), *commands(folder, runs), *start_and_keys(folder, runs)):
            print(line)


if __name__ == "__main__":
    main()
