"""Jobs and readings that come in: a large job file, the same as a workbook, a workbook of 2,000 features, a spreadsheet.

Processor time of this process and of the one that reads workbooks, beside what the same file takes to be read alone.
What is wanted: a job of 14 cores, 110 features and 40 seats in a second, a workbook of 2,000 features in three, 50,000
readings of tools in ten.

python -m tests.benchmarks.bench_doors [--runs 3]
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.record.store import Record
from inspect_tui.report.export import job_workbook
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.intake import take_in, tool_take_in
from inspect_tui.shop.intake.rows import Options
from inspect_tui.shop.jobs import job_tables, jobfile, jobs
from inspect_tui.shop.jobs.file import add, write
from tests.benchmarks.bench_tables import spent, streamed

CORES, FEATURES, SEATS, MANY = 14, 110, 40, 2000
TOOLS, DAYS, SIZES = 10, 500, 10


def job_text(features: int, cores: int = CORES, seats: int = SEATS) -> str:
    """A job with cores, a stick and a box of each, sizes of the cores and of the drag, and seats in the drag."""
    parts = [
        '[job]\nnumber = "BIG-1"\nname = "wide box"\nalloy = "grey iron"\ncontraction = "1.0 %"\n',
        '[drawing]\nnumber = "BIG-1-01"\nrev = "A"\n',
        '[[tool]]\nlabel = "drag pattern"\nkind = "pattern_drag"\n',
    ]
    for n in range(1, cores + 1):
        parts.append(f'[[core]]\nnumber = {n}\nname = "core no {n}"\nset = {n}\nvolume_dm3 = 1.5\n')
        parts.append(f'[[tool]]\nlabel = "stick {n}"\nkind = "core_stick"\ncore = {n}\n')
        parts.append(f'[[tool]]\nlabel = "box {n}"\nkind = "core_box"\ncore = {n}\nmade_from = "stick {n}"\n')
    for n in range(1, features + 1):
        core = 1 + n % cores
        parts.append(
            f'[[feature]]\nballoon = "F{n}"\nname = "size {n}"\naxis = "{"xyz"[n % 3]}"\nnominal = {20 + n % 300}\n'
            f'limits = "±0.8"\na = "core {core}"\nb = "core {core}"\nbetween = "space"\nat = [10, {30 + n % 300}]\n'
        )
    for n in range(1, seats + 1):
        parts.append(
            f'[[seat]]\nlabel = "K{n}"\nkind = "print"\ncore = {1 + n % cores}\nin = "drag"\naxis = "x"\nsize = 30\n'
            f'clearance = 0.30\nclearance_limits = [0.2, 0.5]\nat = {{ x = {20 + n}, y = 10, z = 10 }}\nholds = "x y"\n'
        )
    return "\n".join(parts)


def main() -> None:
    """Print the times."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=3)
    runs = parser.parse_args().runs
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        big = home / "big.toml"
        big.write_text(job_text(FEATURES), "utf-8")
        tell("a job file of 14 cores, 110 features, 40 seats", runs, lambda: add_job(home, big))
        for features in (FEATURES, MANY):
            book = workbook(home, features)
            tell(f"  the same job with {features} features as a workbook", runs, lambda book=book: add_job(home, book))
            tell("    that workbook read alone", runs, lambda book=book: len(table_file.sheets(book)))
        sheet = spreadsheet(home)
        tell(f"{TOOLS * DAYS * SIZES} readings of tools", runs, lambda: take_tools(home, sheet))
        tell("    that file read alone", runs, lambda: len(table_file.read(sheet).rows))


def tell(what: str, runs: int, work: Callable[[], object]) -> None:
    """Print the middle of some runs."""
    took = []
    for _ in range(runs):
        before = spent()
        work()
        took.append(spent() - before)
    print(f"{statistics.median(took):7.2f} s  {what}")


def fresh(home: Path) -> Record:
    """An empty record."""
    for old in home.glob("new.db*"):
        old.unlink()
    return Record.open(home / "new.db", create=True, state_dir=home / "state")


def add_job(home: Path, path: Path) -> None:
    """The file into an empty record."""
    with fresh(home) as record:
        add.add(record, job_tables.read([path]) if path.suffix == ".xlsx" else jobfile.read(path.read_text("utf-8")))


def workbook(home: Path, features: int) -> Path:
    """A job written as a workbook by the program itself."""
    path = home / f"job-{features}.xlsx"
    job_workbook.workbook(path, job_tables.lay_out(write.rows(jobfile.read(job_text(features)))))
    return path


def spreadsheet(home: Path) -> Path:
    """Two years of a spreadsheet: a row a tool and day, its sizes across."""
    path = home / "tools.xlsx"
    rows: list[list[object]] = [["tool", "day", "by", "instrument", *(f"F{n}" for n in range(1, SIZES + 1))]]
    first = date(2024, 1, 1)
    for day in range(DAYS):
        for tool in range(1, TOOLS + 1):
            sizes = [round((20 + n) * 1.01 + 0.001 * day + 0.01 * tool, 2) for n in range(1, SIZES + 1)]
            rows.append([f"stick {tool}", str(first + timedelta(days=day)), "AB", "caliper 1", *sizes])
    path.write_bytes(streamed(rows))
    return path


def take_tools(home: Path, path: Path) -> None:
    """The spreadsheet into a job with ten sticks that carry the same ten sizes."""
    with fresh(home) as record:
        jobs.add_from_file(record, tools_text())
        record.add(Person(initials="AB"))
        gauge = record.add(Instrument(label="caliper 1", unit="mm", resolution=0.01, range_hi=300.0))
        record.add(Calibration(instrument_of_id=gauge.of_id, done_on="2023-01-05", u95_mm=0.04))
        (job,) = record.jobs()
        grid = take_in.read(record, path)
        checked = tool_take_in.check_tools(record, job, grid, Options(keep=True))
        tool_take_in.write_tools(record, job, checked)
        assert record.counts()["reading"] == TOOLS * DAYS * SIZES


def tools_text() -> str:
    """One core with ten sticks."""
    parts = ['[job]\nnumber = "T-1"\nalloy = "grey iron"\ncontraction = "1.0 %"\n']
    parts.append('[drawing]\nnumber = "T-1-01"\nrev = "A"\n[[core]]\nnumber = 1\nname = "core"\n')
    parts += [f'[[tool]]\nlabel = "stick {n}"\nkind = "core_stick"\ncore = 1\n' for n in range(1, TOOLS + 1)]
    parts += [
        f'[[feature]]\nballoon = "F{n}"\nname = "size {n}"\naxis = "x"\nnominal = {20 + n}\nlimits = "±0.8"\n'
        'a = "core 1"\nb = "core 1"\nbetween = "space"\n'
        for n in range(1, SIZES + 1)
    ]
    return "\n".join(parts)


if __name__ == "__main__":
    main()
