"""`demo` gives everybody a working copy with its pictures, and leaves the record that it copies alone."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

import pytest

from inspect_tui.commands import demo, screen
from inspect_tui.record import attachments
from inspect_tui.record.store import Record
from tests.commands.conftest import Run


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, object]]:
    """What the screen was opened with, in place of a screen; a reading more stands in the copy afterwards."""
    calls: list[dict[str, object]] = []

    def run(args: Namespace, fallback: dict[str, str] | None = None, today: str | None = None) -> int:
        with Record.open(Path(args.record)) as record:
            pictures = len(record.attachments()) - len(attachments.missing(record))
            jobs = [job.number for job in record.jobs()]
        assert today == demo.TODAY
        calls.append({"record": Path(args.record), "fallback": fallback, "pictures": pictures, "jobs": jobs})
        return 7

    monkeypatch.setattr(screen, "need_terminal", lambda: None)
    monkeypatch.setattr(screen, "run", run)
    return calls


def test_a_working_copy_is_opened_at_the_bench_and_gone_afterwards(cli: Run, opened: list[dict[str, object]]) -> None:
    before = demo.demo_file().read_bytes()
    ran = cli("demo")
    assert ran.status == 7
    assert "working copy of the demo record; it is gone now" in ran.out + ran.err
    (call,) = opened
    copy = call.pop("record")
    assert call == {"fallback": demo.START, "pictures": 8, "jobs": [demo.START["job"]]}
    assert isinstance(copy, Path) and copy != demo.demo_file() and not copy.parent.exists()
    assert demo.demo_file().read_bytes() == before


def test_a_copy_can_be_kept(cli: Run, opened: list[dict[str, object]], tmp_path: Path) -> None:
    kept = tmp_path / "mine.db"
    ran = cli("demo", "--copy-to", str(kept))
    assert ran.status == 7 and "gone" not in ran.out + ran.err
    assert opened[0]["record"] == kept and opened[0]["fallback"] == demo.START and opened[0]["pictures"] == 8
    assert kept.is_file() and (tmp_path / "att").is_dir()


def test_nothing_that_is_there_is_written_over(cli: Run, opened: list[dict[str, object]], tmp_path: Path) -> None:
    (tmp_path / "mine.db").write_text("mine")
    ran = cli("demo", "--copy-to", str(tmp_path / "mine.db"))
    assert ran.status == 2 and opened == []
    assert "is there already and stays as it is; choose another name" in ran.err
    assert (tmp_path / "mine.db").read_text() == "mine" and [p.name for p in tmp_path.iterdir()] == ["mine.db"]


def test_without_a_terminal_nothing_is_copied(cli: Run, tmp_path: Path) -> None:
    ran = cli("demo", "--copy-to", str(tmp_path / "mine.db"))
    assert ran.status == 2 and "needs a terminal" in ran.err
    assert list(tmp_path.iterdir()) == []


def test_a_copy_alone_needs_no_terminal_and_is_whole(cli: Run, tmp_path: Path) -> None:
    kept = tmp_path / "mine.db"
    assert cli("demo", "--copy-to", str(kept), "--no-screen").status == 0
    assert cli("--record", str(kept), "verify").status == 0
    ran = cli("demo", "--no-screen")
    assert ran.status == 2 and "--copy-to FILE" in ran.err
