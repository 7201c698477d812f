"""The screen from the command line: without a terminal it is not opened."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.test_trouble import shell


@pytest.mark.parametrize("line", ["< /dev/null", "| cat", "2>&1 >/dev/null | cat", "demo | cat", "demo --copy-to d.db"])
def test_without_a_terminal_the_screen_says_that_it_needs_one(tmp_path: Path, line: str) -> None:
    status, out, err = shell(line, tmp_path, INSPECT_TUI_RECORD=str(tmp_path / "new.db"))
    assert status == 2
    assert "needs a terminal" in out + err and "inspect-tui show" in out + err
    assert list(tmp_path.iterdir()) == []  # nothing was begun
