"""Killed again and again, at any moment and at each step of whatever is done with a record; nothing is ever missing.

A few times at every run, more than 2,000 times with `--hypothesis-profile=long`.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.amounts import some
from tests.worlds import cut_off


def acknowledged(out: Path) -> list[str]:
    """Ids of whole lines: one cut off by the kill does not count."""
    return [line.split()[1].decode() for line in out.read_bytes().split(b"\n")[:-1] if line.startswith(b"ACK ")]


def run_and_kill(path: Path, out: Path, delay_s: float, from_first: bool) -> list[str]:
    with out.open("wb") as file:
        writer = subprocess.Popen(
            [sys.executable, "-m", "tests.worlds.writer_probe", path],
            stdout=file,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
    give_up = time.monotonic() + 20
    while from_first and not acknowledged(out) and writer.poll() is None and time.monotonic() < give_up:
        time.sleep(0.002)
    time.sleep(delay_s)
    assert writer.poll() is None, out.read_text()
    os.killpg(writer.pid, signal.SIGKILL)  # the group has the writer's own number: it was made for this writer
    writer.wait()
    return acknowledged(out)


def test_nothing_acknowledged_is_lost_when_the_writer_is_killed(tmp_path):
    chance = random.Random(20250331)
    path, said = tmp_path / "bench.db", []
    for n in range(some(8, 1000)):
        from_first = n % 4 != 0  # the others are also killed while opening, making and furnishing the file
        said += run_and_kill(path, tmp_path / "out", chance.uniform(0.0, 0.12), from_first)
        if not path.exists():
            assert said == []  # killed before there was a file
            continue
        with Record.open(path, read_only=True) as record:
            there = {r.reading.id.hex() for r in record.readings()}
            assert set(said) <= there
            checked = record.verify()
            assert checked.ok, checked.problems
    assert len(said) > 20
    with Record.open(path) as record:
        assert [d[0] for d in record._rows_of("SELECT why FROM device")] == ["new"]  # no death looks like a restore


@pytest.mark.parametrize("acts", [("log", "make", "restore", "sync"), ("migrate", "backup", "salvage")])
def test_cut_off_at_any_step_nothing_is_lost_and_it_is_done_again(acts, tmp_path):
    assert {*acts} < {*cut_off.ACTS}
    cuts, torn = some(2, 150), some(1, 20)
    done = subprocess.run(
        [
            *(sys.executable, "-m", "tests.worlds.cut_off", tmp_path, *acts),
            *("--cuts", str(cuts), "--torn", str(torn)),
        ],
        capture_output=True,
        text=True,
    )
    told = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 0, ([one for one in told if one["wrong"]], done.stderr)
    killed = [one["act"] for one in told if one["ended"] == "killed"]
    assert {*killed} == {*acts} and len(killed) >= min(cuts, 10) * len(acts)
