"""How long papers take, each beside the bare library doing the same amount of work in the same run.

python -m tests.benchmarks.bench_papers [--runs 7]
"""

from __future__ import annotations

import argparse
import io
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import typst
import xlsxwriter
from PIL import Image

from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.rows import COLUMNS
from inspect_tui.report.kit.forms import make as make_of_forms
from tests.worlds import kit_samples
from tests.worlds.report_samples import plain

BARE_PDF = b"""#set page(paper: "a4")
#for n in range(60) { grid(columns: 4, [F#n], [name], rect(width: 60mm, height: 12mm), [82.13 0.09 0.13]) }
"""


def median(work: Callable[[], object], runs: int) -> float:
    """Median seconds of `runs` calls after one that warms up."""
    work()
    took = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        took.append(time.perf_counter() - start)
    return statistics.median(took)


def bare_workbook(rows: int, columns: int) -> bytes:
    """As many cells by xlsxwriter alone, half numbers, half text."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet()
    for row in range(rows):
        for column in range(0, columns, 2):
            sheet.write_number(row, column, row * 0.01)
            sheet.write_string(row, column + 1, "caliper 2")
    book.close()
    return out.getvalue()


def bare_photographs(paths: list[Path]) -> int:
    """Every photograph opened whole, scaled and written as JPEG."""
    total = 0
    for path in paths:
        out = io.BytesIO()
        with Image.open(path) as picture:
            picture.thumbnail((1400, 1400))
            picture.save(out, "JPEG", quality=80)
        total += len(out.getvalue())
    return total


def first_run(features: int) -> float:
    """Seconds of a whole process that writes one PDF, imports and all."""
    code = (
        "from tests.worlds.report_samples import plain; from inspect_tui.report.first_article.forms import make\n"
        f"make(plain({features}, 3), 'pdf')"
    )
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, cwd=Path(__file__).parents[2])
    return time.perf_counter() - start


def line(name: str, ours: float, bare: float, what: str, limit: str) -> None:
    """One result: ours, the yardstick, the ratio, what is allowed."""
    print(f"{name:<44}{ours:7.2f} s {bare:7.2f} s  {ours / bare:5.1f} x  {limit:<11}{what}")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=7)
    runs = parser.parse_args().runs
    sixty, many = plain(60, 3), plain(1000, 5)
    print(f"{'paper':<44}{'ours':>9} {'bare':>9}  {'ratio':>7}  {'allowed':<11}yardstick")
    bare = median(lambda: typst.compile(BARE_PDF, ignore_system_fonts=True), runs)
    line("PDF, 60 features, 3 castings", median(lambda: make(sixty, "pdf"), runs), bare, "bare typst grid", "2 s")
    line("  the same as a whole process", statistics.median(first_run(60) for _ in range(3)), bare, "", "2 s")
    cells = median(lambda: bare_workbook(5000, len(COLUMNS)), runs)
    line("XLSX, 5 000 rows", median(lambda: make(many, "xlsx"), runs), cells, "as many bare cells", "2 s")
    for form in ("html", "csv", "json", "qif"):
        line(f"{form.upper()}, 5 000 rows", median(lambda form=form: make(many, form), runs), cells, "the same", "")
    with tempfile.TemporaryDirectory() as folder:
        photos = tuple(
            kit_samples.photograph(Path(folder) / f"{n}.jpg", seed=n + 1) for n in range(14)
        )  # 2300 x 1740: 4 MP
        sheet = kit_samples.setting_sheet(14, photos)
        bare = median(lambda: bare_photographs([photo.path for photo in photos if photo.path]), 3)
        for form in ("pdf", "html"):
            size = len(make_of_forms(sheet, form)) / 1e6
            ours = median(lambda form=form: make_of_forms(sheet, form), 3)
            line(
                f"setting sheet {form}, 14 photographs of 4 MP",
                ours,
                bare,
                f"bare scaling; file {size:.1f} MB",
                "5 s, 5 MB",
            )


if __name__ == "__main__":
    main()
