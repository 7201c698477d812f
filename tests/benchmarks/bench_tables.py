"""Tables that come in: the one reader against openpyxl's streaming, and against calamine alone, on the same workbooks.

Processor time of this process and of the other one that reads workbooks; by the clock the ratios are much the same
where nothing else runs, and nothing worth where it does.

python -m tests.benchmarks.bench_tables [--rows 200 10000 100000] [--columns 12] [--runs 3]
"""

from __future__ import annotations

import argparse
import io
import platform
import random
import resource
import statistics
import tempfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import xlsxwriter
from python_calamine import CalamineWorkbook

from inspect_tui.shop.common.tables import file as table_file
from tests.worlds import tables


def main() -> None:
    """Print the times and ratios."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rows", type=int, nargs="+", default=[200, 10_000, 100_000])
    parser.add_argument("--columns", type=int, default=12)
    parser.add_argument("--runs", type=int, default=3)
    args = parser.parse_args()
    print(f"{platform.node()}, {platform.python_version()}; middle of {args.runs} runs, seconds of the processor")
    with tempfile.TemporaryDirectory() as folder:
        for rows in args.rows:
            measure(Path(folder), rows - 1, args.columns, args.runs)


def measure(folder: Path, rows: int, columns: int, runs: int) -> None:
    """The same rows in four kinds of files; every reader has to find all of them."""
    chance = random.Random(1)
    table = [["Casting", *(f"F{n}" for n in range(1, columns))]]
    table += [[f"C{n}", *(round(chance.uniform(10, 400), 2) for _ in range(1, columns))] for n in range(rows)]
    written = {
        "xlsx": streamed(table),
        "csv": "\n".join(";".join(map(str, row)) for row in table).encode(),
        "ods": tables.ods(*table),
    } | ({"xls": tables.xls(*table)} if rows < 65_536 else {})
    paths = {kind: folder / f"{rows}.{kind}" for kind in written}
    for kind, raw in written.items():
        paths[kind].write_bytes(raw)
    raw = written["xlsx"]
    work: dict[str, Callable[[], int]] = {
        "XLSX, openpyxl streaming": lambda: len(by_openpyxl(raw)),
        "XLSX, calamine alone": lambda: len(
            CalamineWorkbook.from_filelike(io.BytesIO(raw)).get_sheet_by_index(0).to_python()
        ),
    }
    work |= {f"{kind.upper()}, the reader": lambda p=path: len(table_file.read(p).rows) for kind, path in paths.items()}
    took: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(runs):
        for name, one in work.items():
            before = spent()
            assert one() == rows + 1
            took[name].append(spent() - before)
    middle = {name: statistics.median(times) for name, times in took.items()}
    print(f"{rows + 1:,} rows of {columns} cells".replace(",", " "))
    for name, seconds in middle.items():
        print(
            f"  {name:<28} {seconds:7.3f}   {middle['XLSX, openpyxl streaming'] / seconds:6.1f} x as fast as openpyxl"
        )


def by_openpyxl(raw: bytes) -> list[list[str]]:
    """Rows of texts as tables were read before: the cells streamed, each told as text."""
    page = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, keep_links=False).active
    page.reset_dimensions()
    return [
        ["" if cell is None else f"{cell:.12g}" if isinstance(cell, float) else str(cell) for cell in row]
        for row in page.iter_rows(values_only=True)
    ]


def streamed(table: list[list[object]]) -> bytes:
    """An XLSX of these rows, written without holding them twice."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"constant_memory": True})
    sheet = book.add_worksheet()
    for n, row in enumerate(table):
        sheet.write_row(n, 0, row)
    book.close()
    return out.getvalue()


def spent() -> float:
    """Processor time of this process and of those it waited for."""
    both = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(used.ru_utime + used.ru_stime for used in both)


if __name__ == "__main__":
    main()
