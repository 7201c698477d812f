"""Where this machine's memory lies: the short way on Linux says what the well-kept library says."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.record.file.state import state_dir


@pytest.mark.parametrize("home", [None, "/tmp/somewhere"])
def test_the_short_way_agrees_with_the_library(home: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    from platformdirs import user_state_dir

    monkeypatch.delenv("INSPECT_TUI_STATE", raising=False)
    monkeypatch.delenv("XDG_STATE_HOME", raising=False)
    if home:
        monkeypatch.setenv("XDG_STATE_HOME", home)
    assert state_dir() == Path(user_state_dir("inspect_tui"))
