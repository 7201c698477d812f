"""Summary and chart of one feature with many readings, from the record to the result, against the bare indexed fetch.

python -m tests.benchmarks.bench_feature [--readings 100000] [--void 0] [--runs 15] [--keep FILE]
"""

from __future__ import annotations

import argparse
import os
import platform
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from inspect_tui.record.read import Reader
from inspect_tui.shop.common import find
from inspect_tui.shop.feature import findings as feature_findings
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.feature.view import CHARTS, view
from tests.benchmarks.many_readings import make


def turn_about(work: dict[str, Callable[[], object]], runs: int) -> dict[str, tuple[float, float]]:
    """Median and least milliseconds by the clock of each, run turn about after one run to warm up."""
    took: dict[str, list[float]] = {name: [] for name in work}
    for run in range(runs + 1):
        for name, one in work.items():
            start = time.perf_counter()
            one()
            if run:
                took[name].append(1e3 * (time.perf_counter() - start))
    return {name: (statistics.median(times), min(times)) for name, times in took.items()}


def main() -> None:
    """Print the ratios."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--readings", type=int, default=100_000)
    parser.add_argument("--void", type=int, default=0)
    parser.add_argument("--runs", type=int, default=15)
    parser.add_argument("--keep", type=Path, help="make the record here, or use the one that is here")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["INSPECT_TUI_STATE"] = folder
        path = args.keep or Path(folder) / "many.db"
        if not path.exists():
            print(f"making {args.readings} readings ({args.void} voided) …", flush=True)
            make(path, args.readings, voided=args.void)
        with Reader.of(path) as reader:
            measure(reader, args.runs)


def measure(reader: Reader, runs: int) -> None:
    """Everything turn about on one connection."""
    chosen = feature_data.pick(reader, find.job(reader, "MANY"), "stick 1", "F1")  # type: ignore[arg-type]
    feature = chosen.feature.id
    material = feature_data.material(reader, chosen)

    def bare() -> object:
        return reader._con.execute("SELECT value FROM reading WHERE feature_id = ? ORDER BY id", (feature,)).fetchall()

    work: dict[str, Callable[[], object]] = {
        "bare indexed fetch of the values": bare,
        "values off the index, as the view takes them": lambda: feature_data.material(reader, chosen),
        "record -> summary and chart (individuals)": lambda: view(feature_data.material(reader, chosen)),
    }
    for kind in list(CHARTS)[1:]:
        work[f"record -> summary and chart ({kind})"] = lambda k=kind: view(feature_data.material(reader, chosen), k)
    work["histogram of values at hand"] = lambda: feature_findings.histogram(material)
    found = turn_about(work, runs)
    yard, least = found["bare indexed fetch of the values"]
    print(
        f"{platform.node()}, {os.cpu_count()} cores, Python {platform.python_version()}, {len(material.values)} "
        f"readings count, {material.n_out} do not; median (least) of {runs} runs turn about, milliseconds"
    )
    for name, (ms, best) in found.items():
        print(f"{name:<50} {ms:8.1f} ({best:6.1f})   {ms / yard:5.2f} x ({best / least:5.2f} x) the bare fetch")


if __name__ == "__main__":
    main()
