"""A record that is moved, deleted or replaced while `log` reads its lines: nothing is acknowledged that is not in it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from inspect_tui.cli import main
from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.conftest import SmallShop

ARGUMENTS = ("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")


class Lines:
    """Standard input that is slow: something is done to the record before the last lines are read."""

    def __init__(self, act: Callable[[], object]) -> None:
        self._lines = self._given(act)

    def _given(self, act: Callable[[], object]) -> Iterator[str]:
        yield "F1 59.60\n"
        yield "F2 40.40\n"
        act()
        yield "F3 212.10\n"
        yield "\n"
        yield "F1 59.61\n"

    def readline(self, _: int) -> str:
        return next(self._lines, "")


def replaced(path: Path) -> None:
    shutil.copy(path, path.with_name("other.db"))
    path.with_name("other.db").rename(path)


@pytest.mark.parametrize(
    ("act", "said"),
    [
        (lambda path: path.rename(path.with_name("away.db")), "is no longer in"),
        (lambda path: path.unlink(), "is no longer in"),
        (replaced, "another file was put in the place of shop.db"),
        (lambda path: path.parent.rename(path.parent.with_name("elsewhere")), "is no longer in"),
    ],
)
def test_what_comes_after_is_not_logged_and_counted(
    cli: Run, shop: SmallShop, monkeypatch, capsys, act: Callable[[Path], object], said: str
) -> None:
    folder = shop.path.parent / "kept"
    folder.mkdir()
    shop.record.close()
    path = shop.path.rename(folder / "shop.db")
    monkeypatch.setattr("sys.stdin", Lines(lambda: act(path)))
    assert main(["--record", str(path), *ARGUMENTS]) == 2
    told = capsys.readouterr()
    acknowledged = [line.split()[1] for line in told.out.splitlines()]
    assert len(acknowledged) == 2
    assert "line 3: " in told.err and said in told.err and "2 lines were not logged: run them again." in told.err
    for kept in (folder.with_name("elsewhere") / "shop.db", folder / "away.db"):
        if kept.exists():
            with Record.open(kept) as record:
                assert [logged.reading.value for logged in record.readings()] == [59.60, 40.40] and record.verify().ok
