"""Ten benches, each a process of its own, log and exchange at once: nothing lost, nothing doubled, the same at each.

`python -m tests.benchmarks.many_benches [--benches 10] [--readings 100000] [--hub]`. Writers are killed at random and
started again; with `--hub` the connections of the hub are cut at random too.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import signal
import subprocess
import sys
import time
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

from inspect_tui.errors import InspectError
from inspect_tui.record.merge.folder import sync_folder
from inspect_tui.record.store import Record
from tests.record.conftest import Bench, furnish

BATCH = 500


def opened(folder: Path, n: int) -> Record:
    return Record.open(
        folder / f"bench-{n}" / "shop.db", create=True, state_dir=folder / f"bench-{n}", bench=f"bench_{n}"
    )


def exchange(record: Record, where: str) -> None:
    if where.startswith("postgresql://"):
        from inspect_tui.hub.exchange import sync_hub

        sync_hub(record, where)
    else:
        sync_folder(record, Path(where))


def writer(folder: Path, n: int, readings: int, where: str) -> None:
    """Log until there are so many readings of this bench, and exchange now and then."""
    rng = random.Random(f"{n} {os.getpid()}")
    with opened(folder, n) as record:
        while not record.jobs():
            exchange(record, where)
            time.sleep(0.2)
        things = things_of(record)
        (done,) = record.connection.execute(
            "SELECT count(*) FROM entry e JOIN reading r ON r.id = e.id WHERE e.device_id IN "
            "(SELECT id FROM device WHERE bench = ?)",
            (f"bench_{n}",),
        ).fetchone()
        while done < readings:
            record.append_readings(
                things.reading(10 * n + (done + k) / 1e6) for k in range(min(BATCH, readings - done))
            )
            done += min(BATCH, readings - done)
            if rng.random() < 0.02:
                with suppress(InspectError):
                    exchange(record, where)
        exchange(record, where)


def things_of(record: Record) -> Bench:
    """What the first bench furnished, as it came in."""
    (job,) = record.jobs()
    (revision,) = record.revisions(job.of_id)
    features = record.features(revision.id)
    (tool,) = record.tools(job.of_id)
    con = record.connection
    (setup,) = con.execute("SELECT id FROM setup ORDER BY id LIMIT 1").fetchone()

    class _Id:
        def __init__(self, row: bytes) -> None:
            self.id = row

    made = Bench.__new__(Bench)
    made.record, made.job, made.revision, made.features, made.tool = record, job, revision, features, tool
    made.tool_features = record.tool_features(tool.of_id)
    made.setup = _Id(setup)  # type: ignore[assignment]
    return made


def content(record: Record) -> str:
    """A hash over every entry: the same at every bench that knows the same."""
    made = sha256()
    for row in record.connection.execute("SELECT device_id, seq, hash FROM entry ORDER BY device_id, seq"):
        made.update(row[0] + row[1].to_bytes(8, "big") + row[2])
    return made.hexdigest()[:16]


def run(benches: int, readings: int, where: str, folder: Path, cut: str) -> None:
    for n in range(benches):
        (folder / f"bench-{n}").mkdir()
    address = [where.replace("BENCH", f"bench_{n}") for n in range(benches)]
    with opened(folder, 0) as record:
        furnish(record)
        exchange(record, address[0])
    rng, started, kills, cuts = random.Random(7), time.time(), 0, 0
    running: dict[int, subprocess.Popen[bytes]] = {}
    left = set(range(benches))
    while left:
        for n in list(left):
            if n not in running:
                command = [sys.executable, "-m", "tests.benchmarks.many_benches", "--writer", str(n)]
                command += ["--readings", str(readings), "--where", address[n], "--folder", str(folder)]
                running[n] = subprocess.Popen(command)
            elif (status := running[n].poll()) is not None:
                del running[n]
                assert status in (0, -signal.SIGKILL), f"bench {n} ended with {status}"
                if status == 0:
                    left.discard(n)
        if running and rng.random() < 0.1 and kills < 4 * benches:
            running[rng.choice(list(running))].send_signal(signal.SIGKILL)
            kills += 1
        if cut and rng.random() < 0.2:
            import psycopg

            with psycopg.connect(cut, autocommit=True) as con:
                con.execute(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename LIKE 'bench%' "
                    "ORDER BY random() LIMIT 1"
                )
                cuts += 1
        time.sleep(0.5)
    logged = time.time() - started
    hashes, counts = set(), set()
    for _ in range(2):
        hashes, counts = set(), set()
        for n in range(benches):
            with opened(folder, n) as record:
                exchange(record, address[n])
                hashes.add(content(record))
                counts.add(record.counts()["reading"])
    with opened(folder, benches - 1) as record:
        checked = record.verify()
    print(f"{benches} benches x {readings} readings: {logged:.0f} s until all had logged, {kills} kills, {cuts} cuts")
    print(f"readings at each bench: {counts}; content: {hashes}; verified: {checked.ok}; {time.time() - started:.0f} s")
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    print(
        f"processor time {sum(one.ru_utime + one.ru_stime for one in used):.0f} s, "
        f"most memory of a writer {used[1].ru_maxrss / 1024:.0f} MB, of who exchanged last {used[0].ru_maxrss / 1024:.0f} MB"
    )
    assert counts == {benches * readings} and len(hashes) == 1 and checked.ok


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--benches", type=int, default=10)
    parser.add_argument("--readings", type=int, default=100_000)
    parser.add_argument("--hub", action="store_true")
    parser.add_argument("--writer", type=int)
    parser.add_argument("--where", default="")
    parser.add_argument("--folder", default="")
    args = parser.parse_args()
    if args.writer is not None:
        writer(Path(args.folder), args.writer, args.readings, args.where)
        return
    with TemporaryDirectory(prefix="benches-") as kept:
        folder = Path(kept)
        if not args.hub:
            (folder / "share").mkdir()
            run(args.benches, args.readings, str(folder / "share"), folder, "")
            return
        from inspect_tui.hub import set_up
        from tests.hub import conftest

        servers = conftest.server.__wrapped__()  # the server of the tests
        server = next(servers)
        try:
            set_up.init(server.address("postgres"), "our shop", tuple(f"bench_{n}" for n in range(args.benches)))
            where = f"postgresql://BENCH@/postgres?host={server.folder}"
            run(args.benches, args.readings, where, folder, server.address("postgres"))
        finally:
            for _ in servers:
                pass


if __name__ == "__main__":
    main()
