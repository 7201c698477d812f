"""Summaries of many features at once, kept and made again, against DuckDB's GROUP BY on the same rows in memory.

python -m tests.benchmarks.bench_summaries [--readings 1000000] [--features 1000] [--runs 9] [--keep FILE]
"""

from __future__ import annotations

import argparse
import os
import platform
import tempfile
from array import array
from itertools import chain
from pathlib import Path

import duckdb
import numpy as np

from inspect_tui.metrology.spread import statistics
from inspect_tui.record.ask import series
from inspect_tui.record.read import Reader
from tests.benchmarks.bench_feature import turn_about
from tests.benchmarks.many_readings import make

SQL = "SELECT feature, count(*), avg(value), stddev_samp(value), min(value), max(value) FROM rows GROUP BY feature"


def main() -> None:
    """Print the ratios."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--readings", type=int, default=1_000_000)
    parser.add_argument("--features", type=int, default=1_000)
    parser.add_argument("--runs", type=int, default=9)
    parser.add_argument("--keep", type=Path, help="make the record here, or use the one that is here")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["INSPECT_TUI_STATE"] = folder
        path = args.keep or Path(folder) / "many.db"
        if not path.exists():
            print(f"making {args.readings} readings of {args.features} features …", flush=True)
            make(path, args.readings, args.features)
        with Reader.of(path) as reader:
            measure(reader, args.runs)


def measure(reader: Reader, runs: int) -> None:
    """The same rows for all: in the order of the record, by feature."""
    rows = reader._con.execute("SELECT feature_id, value FROM reading ORDER BY feature_id, id")
    flat = list(chain.from_iterable(rows))
    ids, values = flat[::2], np.frombuffer(array("d", flat[1::2]))
    places = {one: i for i, one in enumerate(dict.fromkeys(ids))}
    codes = np.fromiter((places[one] for one in ids), np.int64, len(ids))
    mixed = np.random.default_rng(1).permutation(len(ids))
    con = duckdb.connect()
    orders = {"by feature": (codes, values), "in the order of measuring": (codes[mixed], values[mixed])}
    work = {}
    for name, (c, v) in orders.items():
        table = f"t{len(work)}"
        con.register("given", {"feature": c, "value": v})
        con.execute(f"CREATE TABLE {table} AS SELECT * FROM given")
        sql = SQL.replace("rows", table)
        work[f"DuckDB GROUP BY in memory, {name}"] = lambda s=sql: con.execute(s).fetchall()
        work[f"made again from the rows, {name}"] = lambda a=c, b=v: statistics.by_group(a, b, len(places))
    work["kept in the record, read and merged"] = lambda: series.kept_by_feature(reader)
    check(con, reader, places, codes, values)
    found = turn_about(work, runs)
    print(
        f"{platform.node()}, {platform.python_version()}, DuckDB {duckdb.__version__} with "
        f"{con.execute('SELECT current_setting($$threads$$)').fetchone()[0]} threads; {len(ids)} readings of "
        f"{len(places)} features; median (least) of {runs} runs turn about, milliseconds"
    )
    yard = min(ms for name, (ms, _) in found.items() if name.startswith("DuckDB"))
    for name, (ms, best) in found.items():
        print(f"{name:<55} {ms:8.1f} ({best:7.1f})   {ms / yard:5.2f} x the quickest DuckDB")


def check(con: duckdb.DuckDBPyConnection, reader: Reader, places: dict[bytes, int], codes, values) -> None:  # type: ignore[no-untyped-def]
    """All three say the same, before any of them is timed."""
    theirs = {row[0]: row[1:] for row in con.execute(SQL.replace("rows", "t0")).fetchall()}
    ours, kept = statistics.by_group(codes, values, len(places)), series.kept_by_feature(reader)
    for feature, i in places.items():
        n, mean, s, low, high = theirs[i]
        for one, sd in ((ours[i], ours[i].s), (kept[feature], (kept[feature].m2 / (kept[feature].n - 1)) ** 0.5)):
            assert (one.n, one.min, one.max) == (n, low, high)
            assert sd is not None and abs(one.mean - mean) < 1e-9 and abs(sd - s) < 1e-9


if __name__ == "__main__":
    main()
