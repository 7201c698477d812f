"""JSON is printed whole or not at all; a record that is opened to be written to says when the clock is wrong."""

from __future__ import annotations

import json
import time
from argparse import Namespace
from types import SimpleNamespace

import pytest

from inspect_tui.commands.common import open_record, pairs, print_json, progress, reading_progress
from inspect_tui.errors import DataError
from tests.conftest import SmallShop


@pytest.mark.parametrize("wrong", [float("nan"), float("inf")])
def test_a_result_that_is_no_json_leaves_nothing_on_stdout(wrong: float, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(DataError, match="not finite"):
        print_json({"fine": 1.0, "later": [1, 2, wrong]})
    assert capsys.readouterr().out == ""


def test_every_figure_is_whole(capsys: pytest.CaptureFixture[str]) -> None:
    print_json({"µ": 0.1 + 0.2})
    assert json.loads(capsys.readouterr().out) == {"µ": 0.30000000000000004}


def test_a_wrong_clock_is_said_where_something_is_written(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.record.close()
    args = Namespace(record=str(shop.path))
    open_record(args).close()
    assert capsys.readouterr().err == ""
    now = time.time_ns()
    wall = SimpleNamespace(time_ns=lambda: now - 3653 * 86_400 * 10**9, localtime=time.localtime)
    monkeypatch.setattr("inspect_tui.record.chain.ids.time", wall)
    open_record(args).close()
    assert "set the clock right" in capsys.readouterr().err
    open_record(args, read_only=True).close()
    open_record(Namespace(record=str(shop.path), day=None)).close()  # says it itself, with the day that was given
    assert capsys.readouterr().err == ""


def test_a_day_before_the_end_of_the_record_is_told_so(shop: SmallShop, capsys: pytest.CaptureFixture[str]) -> None:
    newest = shop.record.newest_day()
    shop.record.close()
    assert newest is not None
    for day, said in ((None, False), (newest, False), ("2099-01-01", False), ("2019-01-01", True)):
        open_record(Namespace(record=str(shop.path), today=day), read_only=True).close()
        assert (f"goes on to {newest}" in capsys.readouterr().err) is said


@pytest.mark.parametrize("terminal", [False, True])
def test_what_takes_a_while_is_told_and_what_does_not_is_not(
    terminal: bool, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: terminal)
    clock = iter((0.0, 0.5, 1.5, 1.6))
    with progress(lambda: next(clock)) as tell:
        assert tell("A-1 (1 of 3)")
        assert capsys.readouterr().err == ""
        assert tell("A-2 (2 of 3)") and tell("A-3 (3 of 3)")
    err = capsys.readouterr().err
    assert "at job A-2 (2 of 3)" in err or terminal
    assert ("A-3 (3 of 3)" in err) is terminal
    assert err.endswith("\r\x1b[K") is terminal
    with progress(lambda: 0.0):
        pass
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("terminal", [True, False])
def test_how_far_a_file_is_goes_again_at_a_terminal_and_is_said_once_in_a_pipe(
    terminal: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: terminal)
    clock = iter((0.0, 0.5, 1.5, 1.6))
    with reading_progress(lambda: next(clock)) as watch:
        watch("read", 0, 9)
        assert capsys.readouterr().err == ""
        watch("checked", 3, 9)
        watch("written", 6, 9)
    err = capsys.readouterr().err
    assert "checked 3 of 9" in err and ("written 6 of 9 (Ctrl+C stops, and leaves nothing)" in err) is terminal
    assert err.endswith("\r\x1b[K") is terminal


def test_pairs_of_an_option_have_both_sides() -> None:
    assert pairs(["a = b=c", "d=e"], "--map", "WHAT=HEAD") == (("a", "b=c"), ("d", "e"))
    for wrong in ("a", "=b", "a="):
        with pytest.raises(DataError, match=f"--map {wrong} is not understood: write WHAT=HEAD"):
            pairs([wrong], "--map", "WHAT=HEAD")
