"""The kit check of 100 cores, every print, seat and box read, bodies given, all turns and sweeps. Budget: 500 ms.

Run: python -m tests.benchmarks.bench_kit
"""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.kit import check as kit
from tests.worlds.kit_jobs import many_cores
from tests.worlds.kit_random import give_body

CORES = 100


def measure(folder: Path, step: float, rounds: int = 5) -> tuple[float, kit.KitCheck]:
    """Best processor time of a whole check, facts read from the record each time; other work beside it counts less."""
    path = folder / f"many-{step:g}.db"
    with Record.open(path, create=True, state_dir=folder) as record:
        made = many_cores(record, CORES, step)
        for n in made.core:  # two boxes a core, in rows that leave each its way in
            x, y = 60.0 * n, 40.0 * (n % 5)
            give_body(made, n, (x, x + 50.0), (y, y + 30.0), (0.0, 30.0))
            give_body(made, n, (x, x + 20.0), (y, y + 30.0), (30.0, 50.0))
    best = float("inf")
    with Record.open(path, read_only=True, state_dir=folder) as record:
        job = find.job(record, "MANY")
        for _ in range(rounds):
            start = time.process_time()
            checked = kit.check(record, job)
            best = min(best, time.process_time() - start)
    return best, checked


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ["INSPECT_TUI_STATE"] = folder
        for step in (3.1, 0.7):  # cores that differ, and cores of which each goes into its neighbours' seats
            seconds, checked = measure(Path(folder), step)
            print(
                f"kit check of {CORES} cores: {1000 * seconds:.0f} ms of processor time ({len(checked.lines)} fits, "
                f"{len(checked.walls)} walls, {len(checked.look_alikes)} look-alikes, "
                f"{sum(body.given for body in checked.bodies.values())} bodies); budget 500 ms"
            )
