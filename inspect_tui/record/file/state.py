"""What this machine remembers of the records it writes, outside the records: device, last number, head of the chain.

A copied file would else go on writing the same numbers as its original, and a restored one would write numbers again
that had been given before. Both are seen when a file is opened, and a new device begins.

One small file for each device: a first line of fixed width (last number and hash) that is overwritten in place after
each commit, without a flush: it outlives the death of the program, and after a power cut it may only lag. A memory
that lags never says "restored", because the chain in the file is then merely ahead of it. The second line is the path,
the third what this machine is: a whole machine that was copied goes on as a device of its own.
"""

from __future__ import annotations

import os
import sys
from functools import cache
from pathlib import Path

from inspect_tui.frozen import frozen


@frozen
class Remembered:
    """The last commit of a device that this machine knows of."""

    path: Path
    seq: int
    head: bytes


def state_dir(given: Path | None = None) -> Path:
    """Where it is kept: given, or INSPECT_TUI_STATE, or the user's state directory."""
    if given is not None:
        return given
    named = os.environ.get("INSPECT_TUI_STATE")
    if named:
        return Path(named)
    if sys.platform == "linux":  # what platformdirs says there; importing it would cost 5 ms of every `log`
        state = os.environ.get("XDG_STATE_HOME", "").strip()
        return (Path(state) if state else Path.home() / ".local" / "state") / "inspect_tui"
    from platformdirs import user_state_dir

    return Path(user_state_dir("inspect_tui"))


def remembered(directory: Path, device: bytes) -> Remembered | None:
    """What is known of this device here; None when nothing is, or nothing readable."""
    try:
        text = (directory / "devices" / device.hex()).read_text("utf-8", "surrogateescape")
        first, path, *rest = text.split("\n")
        seq, head = first.split()
        if rest and rest[0] and rest[0] != machine_id():
            return None  # remembered by another machine, of which this one is a copy
        return Remembered(Path(path), int(seq), bytes.fromhex(head))
    except (OSError, ValueError):
        return None


@cache
def machine_id() -> str:
    """What tells this machine from a copy of it, as far as the system says; '' where it says nothing."""
    for name in ("/etc/machine-id", "/var/lib/dbus/machine-id"):
        try:
            said = Path(name).read_text("utf-8").strip()
        except (OSError, ValueError):
            continue
        if said:
            return said[:64]
    return ""


def all_remembered(directory: Path, path: Path) -> list[tuple[bytes, Remembered]]:
    """Every device that this machine remembers to have written as in the file at `path`, by its id."""
    here = []
    try:
        names = sorted(file.name for file in (directory / "devices").iterdir())
    except OSError:
        return []
    for name in names:
        try:
            device = bytes.fromhex(name)
            known = remembered(directory, device)
            if known is not None and (known.path == path or known.path.samefile(path)):
                here.append((device, known))
        except (OSError, ValueError):
            continue  # nothing readable, or of a file that is gone
    return here


class Memory:
    """The open file of one device; made and written only while the record's own lock is held.

    Several programs at one record share the file, so it is never put in another's place: who had it open would from
    then on write into a file without a name.
    """

    def __init__(self, directory: Path, device: bytes, path: Path, seq: int, head: bytes) -> None:
        self._fd = -1
        try:
            file = directory / "devices" / device.hex()
            file.parent.mkdir(parents=True, exist_ok=True)
            self._fd = os.open(file, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
            text = f"{_line(seq, head)}{path}\n{machine_id()}\n".encode("utf-8", "surrogateescape")
            if os.pread(self._fd, len(text) + 1, 0) != text:
                os.pwrite(self._fd, text, 0)
                os.ftruncate(self._fd, len(text))
            os.fsync(self._fd)
        except OSError:
            self.close()  # no place to remember: the next start begins a new device, which is harmless

    def note(self, seq: int, head: bytes) -> None:
        """Remember the last commit; a few microseconds."""
        if self._fd >= 0:
            try:
                os.pwrite(self._fd, _line(seq, head).encode(), 0)
            except OSError:
                self.close()

    def close(self) -> None:
        """Let go of the file."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1


def _line(seq: int, head: bytes) -> str:
    return f"{seq:020d} {head.hex()}\n"
