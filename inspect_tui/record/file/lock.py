"""One lock for commits and checkpoints of all our programs at one file: `<file>.lock`.

SQLite 3.7.0 to 3.51.2 can, rarely, damage a file when one connection commits while another resets the log of a
checkpoint. Where all our commits and checkpoints take turns on this lock, that cannot happen. It costs a microsecond.
"""

from __future__ import annotations

import os
import time
from contextlib import suppress
from pathlib import Path

from inspect_tui.errors import Busy, ReadOnly, RecordError

try:
    import fcntl
except ImportError:  # Windows has no flock; SQLite's own locks still hold there
    fcntl = None  # type: ignore[assignment]


class FileLock:
    """An flock, waited for at most `wait_s`; it falls by itself when the process dies."""

    def __init__(self, path: Path, wait_s: float) -> None:
        self._path, self._wait_s = path, wait_s
        try:
            self._fd = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
        except OSError as error:
            raise ReadOnly(f"{path} cannot be made ({error.strerror}): nothing can be logged beside it.") from error

    def __enter__(self) -> None:
        if fcntl is None:
            return
        give_up, pause = 0.0, 0.0005
        while True:
            try:
                fcntl.flock(self._fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
                return
            except OSError as error:
                if not isinstance(error, BlockingIOError):  # a network drive that has no locks, or has none left
                    raise RecordError(
                        f"Not logged: the disk of {self._path.with_suffix('').name} gives no locks ({error.strerror}), "
                        "so two programs could write at once. Move the record to a disk of this machine.",
                        tells_fate=True,
                    ) from error
                at = time.monotonic()
                give_up = give_up or at + self._wait_s
                if at >= give_up:
                    break
                time.sleep(pause)
                pause = min(pause * 1.5, 0.02)
        raise Busy("Not logged: " + busy_sentence(self._path.with_suffix(""), self._wait_s), tells_fate=True)

    def __exit__(self, *_: object) -> None:
        if fcntl is not None:
            fcntl.flock(self._fd, fcntl.LOCK_UN)

    def close(self) -> None:
        """Give the file back; the lock file itself stays, other programs may hold it."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1


def busy_sentence(path: Path, waited_s: float) -> str:
    """Who is in the way, as far as the system tells."""
    holders = ", ".join(_holders(path)) or "another program"
    return (
        f"{holders} has been writing to {path.name} for more than {waited_s:g} s. "
        "Wait for it or close it, then try again."
    )


def _holders(path: Path) -> list[str]:
    """Names and numbers of other processes that hold a lock on the record or beside it (Linux; else nothing)."""
    try:
        wanted = set()
        for suffix in ("", "-shm", ".lock"):
            with suppress(OSError):
                wanted.add(Path(f"{path}{suffix}").stat().st_ino)
        pids = set()
        for line in Path("/proc/locks").read_text().splitlines():
            words = line.split()
            if "->" in words or "WRITE" not in words:
                continue
            pid, place = words[4], words[5]
            if int(place.rsplit(":", 1)[1]) in wanted and int(pid) not in (0, os.getpid()):
                pids.add(int(pid))
        return [f"{Path(f'/proc/{pid}/comm').read_text().strip()} (process {pid})" for pid in sorted(pids)]
    except (OSError, ValueError, IndexError):
        return []
