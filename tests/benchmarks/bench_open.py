"""The Bench on a tool with very many readings beside one with few: opened turn about, plain and with a known bias.

python -m tests.benchmarks.bench_open [--many 1000000] [--few 10000] [--features 40] [--runs 9] [--keep FOLDER]
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
from pathlib import Path
from time import process_time

from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from tests.benchmarks.many_readings import make

DAY = "2026-01-01"


def opened(path: Path) -> float:
    """Milliseconds of processor time until the list with its states stands, of a record that is open."""
    with Record.open(path, read_only=True) as record:
        start = process_time()
        job = find.job(record, "MANY")
        subject, person = find.subject(record, job, "stick 1"), find.person(record, "AB")
        Bench(record, job, subject, person, find.instrument(record, "caliper 1"), today=DAY)
        return 1000 * (process_time() - start)


def ratio(few: Path, many: Path, runs: int) -> str:
    """Both turn about, after one of each that warms up."""
    took: dict[Path, list[float]] = {few: [], many: []}
    for _ in range(runs + 1):
        for path, times in took.items():
            times.append(opened(path))
    middle = {path: statistics.median(times[1:]) for path, times in took.items()}
    return f"{middle[many] / middle[few]:.2f} ({middle[many]:.1f} against {middle[few]:.1f} ms)"


def main() -> None:
    """Print the ratios."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--many", type=int, default=1_000_000)
    parser.add_argument("--few", type=int, default=10_000)
    parser.add_argument("--features", type=int, default=40)
    parser.add_argument("--runs", type=int, default=9)
    parser.add_argument("--keep", type=Path, help="make the records here, or use those that are here")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        os.environ["INSPECT_TUI_STATE"] = name
        folder = args.keep or Path(name)
        few, many = folder / f"open-{args.few}.db", folder / f"open-{args.many}.db"
        for path, readings in ((few, args.few), (many, args.many)):
            if not path.exists():
                print(f"making {readings} readings of {args.features} features …", flush=True)
                make(path, readings, args.features)
        print(f"Bench opens on {args.many} readings / on {args.few}: {ratio(few, many, args.runs)}")
        for path in (few, many):
            with Record.open(path) as record:
                gauge = find.instrument(record, "caliper 2")
                if not record.biases(gauge.of_id):
                    bias = InstrumentBias(
                        instrument_of_id=gauge.of_id,
                        from_on=DAY,
                        bias_mm=0.06,
                        u_mm=0.01,
                        why="benchmark",
                        found_from="stated",
                    )
                    record.add(bias, by=find.person(record, "AB").id)
        print(f"the same with a bias of one of the gauges: {ratio(few, many, args.runs)}")


if __name__ == "__main__":
    main()
