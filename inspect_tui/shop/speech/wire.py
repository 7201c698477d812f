"""A gauge on a line of its own (serial, or USB that looks so): whole lines in, half ones and a lost cable said.

`pyserial` is imported when a line is opened. One thread reads; who listens is called from it.
"""

from __future__ import annotations

import errno
import os
import threading
from time import monotonic

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.gauge_line import heard

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    from inspect_tui.metrology.typed.gauge_line import Speech
    from inspect_tui.model.gauges import InstrumentProfile

USUAL_SPEED = 9600  # baud
WAIT_S = 0.1  # how long one look at the line lasts
HALF_S = 1.0  # a line that has no end after this time is a half one
AGAIN_S = 2.0  # a lost cable is looked for again
MOST = 4096  # bytes without an end: this is no gauge


def cut(buffer: bytes) -> tuple[list[str], bytes]:
    """The whole lines that stand in what came, and what is left of the last; CR, LF or both end a line."""
    *whole, rest = buffer.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    lines = [line.decode("ascii", "replace") for line in whole]
    return [line for line in lines if line.strip()], rest


class Wire:
    """An open line. `take` gets each reading as a person would type it, `say` a sentence about what went wrong.

    DataError with a sentence when the port is not there, another program has it, or the extra is not installed.
    """

    def __init__(
        self, profile: InstrumentProfile, speech: Speech, take: Callable[[str], object], say: Callable[[str], object]
    ) -> None:
        self.profile, self.speech, self.take, self.say = profile, speech, take, say
        self.port = _open(profile)
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._listen, name="gauge", daemon=True)
        self._thread.start()

    def ask(self) -> None:
        """Send what asks the gauge for a reading; DataError when it has no such words, or the cable is lost."""
        if not self.profile.request:
            raise DataError("Nobody has said what asks this gauge for a reading: its profile says nothing of it.")
        try:
            self.port.write(self.profile.request.encode("utf-8"))
        except Exception as problem:  # pyserial has errors of its own, and those of the system come through
            raise DataError(f"{self.profile.port} takes nothing ({problem}): look at the cable.") from None

    def close(self) -> None:
        """Let go of the port."""
        self._stop.set()
        self._thread.join(timeout=2.0)
        self.port.close()

    def _listen(self) -> None:
        buffer, since = b"", monotonic()
        while not self._stop.is_set():
            try:
                came = self.port.read(max(self.port.in_waiting, 1))
            except Exception:
                if self._stop.is_set() or not self._lost():
                    return
                buffer = b""
                continue
            if came:
                buffer, since = buffer + came, monotonic()
                lines, buffer = cut(buffer)
                for line in lines:
                    self._line(line)
            elif buffer and (monotonic() - since > HALF_S or len(buffer) > MOST):
                half, buffer = buffer.decode("ascii", "replace"), b""
                self.say(f"Only {half[:40]!r} came from {self.profile.port}: half a line is no reading. Read it again.")

    def _line(self, line: str) -> None:
        got = heard(line, self.speech, surely=True)
        if isinstance(got, Wrong):
            self.say(f"{line.strip()[:40]!r} came from {self.profile.port} and was not taken: {got}.")
        else:
            self.take(got)

    def _lost(self) -> bool:
        """Say that the cable is lost and wait until it is back; False when nobody listens any more."""
        self.say(f"The gauge at {self.profile.port} is gone: look at its cable. Readings can be typed meanwhile.")
        self.port.close()
        while not self._stop.wait(AGAIN_S):
            try:
                self.port = _open(self.profile)
            except DataError:
                continue
            self.say(f"The gauge at {self.profile.port} is there again.")
            return True
        return False


def _open(profile: InstrumentProfile) -> Any:
    try:
        import serial
    except ImportError:
        raise DataError("A gauge on a line of its own needs the extra `serial` (pip install '.[serial]').") from None
    try:
        return serial.Serial(
            profile.port, profile.speed or USUAL_SPEED, timeout=WAIT_S, write_timeout=1.0, exclusive=True
        )
    except ValueError as problem:
        raise DataError(f"{profile.port} cannot be set to {profile.speed} baud ({problem}).") from None
    except (serial.SerialException, OSError) as problem:
        if getattr(problem, "errno", None) in (errno.EAGAIN, errno.EBUSY):
            raise DataError(f"Another program has {profile.port}: end it there first. Readings can be typed.") from None
        raise DataError(f"There is no gauge at {profile.port} ({_plain(problem)}): look at its cable.") from None


def _plain(problem: Exception) -> str:
    number = getattr(problem, "errno", None)
    return os.strerror(number) if isinstance(number, int) else str(problem)[:80]
