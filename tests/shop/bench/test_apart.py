"""Lines that wait outlive the program, belong to the tool they were typed for, and are taken over once."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from inspect_tui.record.file.state import state_dir
from inspect_tui.shop.bench import apart
from inspect_tui.shop.bench.line import Bench
from tests.conftest import SmallShop


def waits(bench: Bench) -> list[tuple[str, str]]:
    return [(line.balloon, line.text) for line in bench.waiting]


def attended(shop: SmallShop, on: str = "stick 1") -> Bench:
    bench = shop.bench(on)
    apart.attend(bench)
    return bench


def test_what_waits_is_there_again_after_the_program_was_killed_until_it_is_dropped(shop: SmallShop) -> None:
    first = attended(shop)
    first.take("abc")
    first.take("212.1x")
    again = attended(shop)  # nothing was closed or left: as after a kill
    assert waits(again) == [("F3", "abc"), ("F1", "212.1x")]
    again.drop(again.waiting[0])
    assert waits(attended(shop)) == [("F1", "212.1x")]
    again.drop(again.waiting[0])
    assert waits(attended(shop)) == []
    assert not list((state_dir() / "waiting").glob("*.json"))


def test_what_is_asked_about_outlives_a_kill_too(shop: SmallShop) -> None:
    bench = attended(shop)
    bench.goto("F1")
    bench.take("95.59")
    again = attended(shop)
    assert waits(again) == [("F1", "95.59")]
    again.take("")  # taken up: asked about again
    assert again.pending is not None
    again.take("")
    assert [row.slip for row in shop.record.readings()] == ["asked_kept"]
    assert waits(attended(shop)) == []


def test_lines_wait_for_the_tool_they_were_typed_for(shop: SmallShop) -> None:
    attended(shop, "box 1").take("abc")
    stick = attended(shop)
    assert waits(stick) == [] and apart.waiting_elsewhere(shop.record, stick) == ["box 1"]
    assert waits(attended(shop, "box 1")) == [("F3", "abc")]


def test_lines_of_a_program_that_lives_are_left_alone_and_taken_over_when_it_is_gone(shop: SmallShop) -> None:
    folder = state_dir() / "waiting"
    folder.mkdir(parents=True)
    key = f"{shop.path}\nSV-12\nstick 1"
    holds = (
        "import fcntl, os, sys; fd = os.open(sys.argv[1], os.O_RDWR | os.O_CREAT); fcntl.flock(fd, fcntl.LOCK_EX);"
        "print('held', flush=True); sys.stdin.read()"
    )
    other = subprocess.Popen(
        [sys.executable, "-c", holds, str(folder / "77.lock")], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert other.stdout and other.stdin and other.stdout.readline() == "held\n"
    (folder / "77.json").write_text(json.dumps({key: [["F2", "hello"]]}), "utf-8")
    assert waits(attended(shop)) == []
    other.stdin.close()
    assert other.wait() == 0
    other.stdout.close()
    assert waits(attended(shop)) == [("F2", "hello")]
    assert not (folder / "77.json").exists() and (folder / f"{os.getpid()}.json").exists()


@pytest.mark.parametrize("content", ["", "[1]", '{"a": 1}', '{"a": [["x"]]}'])
def test_a_spoiled_file_stops_no_work(shop: SmallShop, content: str) -> None:
    folder = state_dir() / "waiting"
    folder.mkdir(parents=True)
    (folder / "5.json").write_text(content, "utf-8")
    assert waits(attended(shop)) == []


def test_where_nothing_can_be_written_the_lines_stand_on_the_screen(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = shop.path.with_name("a file")
    blocked.write_text("")
    monkeypatch.setenv("INSPECT_TUI_STATE", str(blocked / "below"))
    bench = attended(shop)
    bench.take("abc")
    assert waits(bench) == [("F3", "abc")]


def test_while_we_live_no_other_program_takes_our_lines(shop: SmallShop) -> None:
    attended(shop).take("abc")
    lock = state_dir() / "waiting" / f"{os.getpid()}.lock"
    tries = "import fcntl, os, sys; fd = os.open(sys.argv[1], os.O_RDWR);fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)"
    done = subprocess.run([sys.executable, "-c", tries, str(lock)], capture_output=True, text=True)
    assert done.returncode != 0 and "BlockingIOError" in done.stderr
