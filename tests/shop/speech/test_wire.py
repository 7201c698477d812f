"""A gauge on a line of its own, played by a pseudo-terminal: whole and half lines, a lost cable, a second program."""

from __future__ import annotations

import os
import pty
import tty
from collections.abc import Iterator
from pathlib import Path
from queue import Queue

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.gauge_line import Speech
from inspect_tui.model.gauges import InstrumentProfile
from inspect_tui.shop.speech import wire
from inspect_tui.shop.speech.wire import Wire, cut

SPEECH = Speech(prefix="01A", units={"M": "mm", "I": "in"})
PATIENCE_S = 5.0


@pytest.fixture
def gauge() -> Iterator[tuple[int, str]]:
    """The gauge's end of a line, and the name of ours."""
    theirs, ours = pty.openpty()
    tty.setraw(ours)
    name = os.ttyname(ours)
    os.close(ours)
    yield theirs, name
    os.close(theirs)


def listening(port: str, **said: object) -> tuple[Wire, Queue[str], Queue[str]]:
    taken: Queue[str] = Queue()
    told: Queue[str] = Queue()
    profile = InstrumentProfile(instrument_of_id=b"g" * 16, port=port, **said)  # type: ignore[arg-type]
    return Wire(profile, SPEECH, taken.put, told.put), taken, told


@pytest.mark.parametrize(
    ("came", "lines", "rest"),
    [
        (b"1.0\r\n2.0\r3.0\n4.", ["1.0", "2.0", "3.0"], b"4."),
        (b"\r\n\r\n", [], b""),
        (b"\xff1\n", ["\ufffd1"], b""),
    ],
)
def test_lines_are_cut_where_they_end(came: bytes, lines: list[str], rest: bytes) -> None:
    assert cut(came) == (lines, rest)


def test_readings_come_in_whole_and_what_is_spoiled_is_said(
    gauge: tuple[int, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(wire, "HALF_S", 0.05)
    theirs, port = gauge
    line, taken, told = listening(port, request="?\r")
    try:
        os.write(theirs, b"01A+0059.66M\r\n01A+002.3488I\r01A+00")
        assert [taken.get(timeout=PATIENCE_S) for _ in range(2)] == ["59.66 mm", "2.3488 in"]
        assert told.get(timeout=PATIENCE_S).startswith("Only '01A+00' came from")
        os.write(theirs, b"01A5\x009.7M\r")
        assert "a part of what the gauge sent was lost" in told.get(timeout=PATIENCE_S)
        line.ask()
        assert os.read(theirs, 10) == b"?\r"
        assert taken.empty()
    finally:
        line.close()


def test_a_second_program_and_a_port_that_is_not_there_are_said(gauge: tuple[int, str], tmp_path: Path) -> None:
    line, _, _ = listening(gauge[1])
    try:
        with pytest.raises(DataError, match="Another program has"):
            listening(gauge[1])
        with pytest.raises(DataError, match="Nobody has said what asks"):
            line.ask()
    finally:
        line.close()
    with pytest.raises(DataError, match=r"There is no gauge at .*No such file"):
        listening(str(tmp_path / "none"))


def test_a_lost_cable_is_said_and_found_again(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(wire, "AGAIN_S", 0.02)
    port = tmp_path / "port"

    def plug_in() -> int:
        theirs, ours = pty.openpty()
        tty.setraw(ours)
        port.unlink(missing_ok=True)
        port.symlink_to(os.ttyname(ours))
        os.close(ours)
        return theirs

    theirs = plug_in()
    line, taken, told = listening(str(port))
    try:
        os.close(theirs)
        assert "is gone: look at its cable" in told.get(timeout=PATIENCE_S)
        theirs = plug_in()
        assert "is there again" in told.get(timeout=PATIENCE_S)
        os.write(theirs, b"01A1.5\n")
        assert taken.get(timeout=PATIENCE_S) == "1.5 mm"
    finally:
        line.close()
        os.close(theirs)
