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


def exchange(record: Record, where: str) -> str:
    """Exchange; what stopped it before all went through, or ''."""
    if where.startswith("postgresql://"):
        from inspect_tui.hub.exchange import sync_hub

        return sync_hub(record, where).wrong
    sync_folder(record, Path(where))
    return ""


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


def finisher(folder: Path, n: int, where: str) -> None:
    """Exchange until all went through; then print what this bench holds."""
    with opened(folder, n) as record:
        while exchange(record, where):
            time.sleep(0.5)
        print(content(record), record.counts()["reading"], flush=True)


class Trouble:
    """Kills and cuts, at random."""

    def __init__(self, benches: int, owner: str) -> None:
        self.rng, self.owner = random.Random(7), owner
        self.kills = self.cuts = 0
        self.most_kills = 4 * benches

    def make(self, running: list[subprocess.Popen[str]]) -> None:
        """Kill one of these now and then, and cut one of the lines to the hub."""
        if running and self.rng.random() < 0.1 and self.kills < self.most_kills:
            self.rng.choice(running).send_signal(signal.SIGKILL)
            self.kills += 1
        if self.owner and self.rng.random() < 0.2:
            import psycopg

            with psycopg.connect(self.owner, autocommit=True) as con:
                con.execute(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename LIKE 'bench%' "
                    "ORDER BY random() LIMIT 1"
                )
                self.cuts += 1


def all_benches(benches: int, command: list[str], address: list[str], trouble: Trouble) -> list[str]:
    """Run this for every bench at once, and again where it was killed; what each printed in the end."""
    running: dict[int, subprocess.Popen[str]] = {}
    said: dict[int, str] = {}
    while len(said) < benches:
        for n in set(range(benches)) - said.keys():
            if n not in running:
                with_n = [sys.executable, "-m", "tests.benchmarks.many_benches", *command, "--bench", str(n)]
                running[n] = subprocess.Popen([*with_n, "--where", address[n]], stdout=subprocess.PIPE, text=True)
            elif (status := running[n].poll()) is not None:
                assert status in (0, -signal.SIGKILL), f"bench {n} ended with {status}"
                printed = running.pop(n).communicate()[0]
                if status == 0:
                    said[n] = printed.strip()
        trouble.make([one for one in running.values() if one.poll() is None])
        time.sleep(0.5)
    return list(said.values())


def run(benches: int, readings: int, where: str, folder: Path, owner: str) -> None:
    for n in range(benches):
        (folder / f"bench-{n}").mkdir()
    address = [where.replace("BENCH", f"bench_{n}") for n in range(benches)]
    with opened(folder, 0) as record:
        furnish(record)
        exchange(record, address[0])
    started, trouble = time.time(), Trouble(benches, owner)
    of_all = ["--readings", str(readings), "--folder", str(folder)]
    all_benches(benches, ["--does", "log", *of_all], address, trouble)
    print(f"{benches} benches x {readings} readings: {time.time() - started:.0f} s until all had logged", flush=True)
    for round_ in (1, 2):  # what the last one sent in the first comes to the others in the second
        held = set(all_benches(benches, ["--does", "finish", *of_all], address, trouble))
        print(f"round {round_}: {time.time() - started:.0f} s, contents and readings {held}", flush=True)
    with opened(folder, benches - 1) as record:
        checked = record.verify()
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    print(f"{trouble.kills} kills, {trouble.cuts} cuts; verified: {checked.ok}; {time.time() - started:.0f} s")
    print(f"processor time {sum(one.ru_utime + one.ru_stime for one in used):.0f} s, ", end="")
    print(f"most memory of a bench {used[1].ru_maxrss / 1024:.0f} MB")
    assert len(held) == 1 and held.pop().endswith(f" {benches * readings}") and checked.ok


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--benches", type=int, default=10)
    parser.add_argument("--readings", type=int, default=100_000)
    parser.add_argument("--hub", action="store_true")
    parser.add_argument("--does", choices=("log", "finish"), help="of one bench, in a process of its own")
    parser.add_argument("--bench", type=int, default=0)
    parser.add_argument("--where", default="")
    parser.add_argument("--folder", default="")
    args = parser.parse_args()
    if args.does == "log":
        return writer(Path(args.folder), args.bench, args.readings, args.where)
    if args.does == "finish":
        return finisher(Path(args.folder), args.bench, args.where)
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
