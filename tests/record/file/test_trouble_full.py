"""The disk fills up at any moment of whatever is done with a record: a sentence, nothing lost, and it is done again.

A small disk of its own in memory where this machine lets one be made; elsewhere files may not become longer than so much.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.amounts import some
from tests.worlds import cut_off


@pytest.fixture(scope="module")
def small_disk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    folder = tmp_path_factory.mktemp("disk")
    try:
        made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64m", "tmpfs", folder], capture_output=True)
        mounted = made.returncode == 0
    except OSError:
        mounted = False
    yield folder
    if mounted:
        subprocess.run(["umount", "-l", folder], check=True)


def test_on_a_full_disk_all_is_refused_in_a_sentence_and_done_again(small_disk: Path) -> None:
    many = some(3, 60)
    done = subprocess.run(
        [sys.executable, "-m", "tests.worlds.cut_off", small_disk, *cut_off.ACTS, "--full", str(many)],
        capture_output=True,
        text=True,
    )
    told = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 0, ([one for one in told if one["wrong"]], done.stderr)
    refused = [one["act"] for one in told if one["ended"] == "refused"]
    assert len(told) == many * len(cut_off.ACTS) and {*refused} >= {"log", "make", "migrate", "backup", "restore"}
    for said in done.stderr.splitlines():
        assert "disk is full" in said or not small_disk.is_mount(), said
