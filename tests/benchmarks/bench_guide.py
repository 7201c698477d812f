"""The setting guide of fourteen cores with fourteen photographs of 12 million dots. Budget: 5 s and 6 MB.

Run: python -m tests.benchmarks.bench_guide [--keep FILE.html]
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from pathlib import Path

from inspect_tui.record.store import Record
from inspect_tui.report.kit import guide as dressed
from inspect_tui.report.kit.phrases import phrases
from inspect_tui.shop.common import find
from inspect_tui.shop.kit.paper.guide import guide
from tests.benchmarks.guide_jobs import CORES, job_with_photographs


def measure(path: Path, folder: Path) -> bytes:
    """Print what each form takes, record to bytes; returns the page."""
    page = b""
    for form, make in (("html", dressed.html), ("pdf", dressed.pdf)):
        best = (float("inf"), float("inf"))
        for _ in range(3):
            with Record.open(path, read_only=True, state_dir=folder) as record:
                wall, cpu = time.perf_counter(), time.process_time()
                content = make(guide(record, find.job(record, "MANY")), phrases("de"))
                best = min(best, (time.process_time() - cpu, time.perf_counter() - wall))
        print(
            f"{form}: {best[0]:.2f} s of processor, {best[1]:.2f} s by the clock (load {os.getloadavg()[0]:.0f}), "
            f"{len(content) / 1e6:.2f} MB"
        )
        page = content if form == "html" else page
    return page


def main() -> None:
    """Make the job, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", type=Path, help="keep the page here")
    keep = parser.parse_args().keep
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ["INSPECT_TUI_STATE"] = name
        path = folder / "guide.db"
        with Record.open(path, create=True, state_dir=folder) as record:
            job_with_photographs(record, folder)
        size = sum(file.stat().st_size for file in folder.glob("core-*.jpg")) / CORES / 1e6
        print(f"{CORES} photographs of 12 million dots, {size:.1f} MB each")
        page = measure(path, folder)
        if keep is not None:
            keep.write_bytes(page)


if __name__ == "__main__":
    main()
