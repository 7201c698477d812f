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


def test_a_memory_of_another_machine_is_none(bench, tmp_path, monkeypatch) -> None:
    from inspect_tui.record.file import state

    device = b"\x22" * 16
    state.Memory(tmp_path, device, bench.record.path, 7, b"\x01" * 32).close()
    assert state.remembered(tmp_path, device) is not None
    monkeypatch.setattr(state, "machine_id", lambda: "another machine")
    assert state.remembered(tmp_path, device) is None
    text = (tmp_path / "devices" / device.hex()).read_text()
    (tmp_path / "devices" / device.hex()).write_text("\n".join(text.split("\n")[:2]) + "\n")  # of an older program
    assert state.remembered(tmp_path, device) is not None
