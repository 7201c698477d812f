"""Looks at a file before SQLite touches it: is it a record of ours, may it be written, does it lie on this machine?"""

from __future__ import annotations

import os
import stat
from _thread import allocate_lock  # threading, which is made of it, would cost 0.6 ms of every `log`
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from inspect_tui.errors import NotOurs, RecordError
from inspect_tui.frozen import frozen

APPLICATION_ID = 0x49545549
NETWORK = {
    "nfs",
    "nfs4",
    "cifs",
    "smb",
    "smb2",
    "smb3",
    "smbfs",
    "9p",
    "sshfs",
    "fuse.sshfs",
    "davfs",
    "fuse.davfs",
    "webdav",
    "afs",
    "ncpfs",
    "fuse.rclone",
}

# Closing any handle of a file drops all locks this process holds on it (POSIX), also those of SQLite. So a file that
# is open as a record in this process is not opened a second time by hand.
_open_files: Counter[tuple[int, int]] = Counter()
_open_lock = allocate_lock()


@frozen
class Look:
    """What was found: `read_only_why` is empty where the file may be written."""

    exists: bool
    version: int
    read_only_why: str


def look(path: Path, mounts: Iterable[str] | None = None) -> Look:
    """Look at the file and its folder; RecordError or NotOurs says why it cannot be a record."""
    if path.is_dir():
        raise RecordError(f"{path} is a folder, not a record: name a file in it.")
    if _is_no_file(path):  # renaming a new record to it would put a file in place of the device
        raise NotOurs(f"{path} is a device or a pipe, not a record: name a file. It was not touched.")
    if not path.parent.is_dir():
        raise RecordError(f"There is no folder {path.parent}: make it first, or name another place.")
    network = network_type(path, mounts)
    why = ""
    if network:
        why = (
            f"{path.name} lies on a network drive ({network}), where a record cannot be written without risk. "
            "Copy it to this machine."
        )
    try:
        exists = path.exists()
    except PermissionError as error:
        raise RecordError(
            f"There is no right to look into {path.parent}: ask for it, or name another place."
        ) from error
    if not os.access(path.parent, os.W_OK | os.X_OK):
        why = why or f"The folder {path.parent} may be read only, so nothing can be logged there."
    if not exists or path.stat().st_size == 0:
        return Look(False, 0, why)
    if not os.access(path, os.R_OK):
        raise RecordError(f"There is no right to read {path}: ask its owner, or copy it where you may.")
    if not os.access(path, os.W_OK):
        why = why or f"{path.name} may be read only, so nothing can be logged in it."
    with _open_lock:
        if _open_files[_inode(path)]:
            return Look(True, 0, why)
        with path.open("rb") as file:
            head = file.read(100)
    if not head.startswith(b"SQLite format 3\0") or len(head) < 100:
        raise NotOurs(f"{path.name} is not a record of this program; it was not touched.")
    if int.from_bytes(head[68:72], "big") != APPLICATION_ID:
        raise NotOurs(f"{path.name} belongs to another program; it was not touched.")
    return Look(True, int.from_bytes(head[60:64], "big"), why)


def _is_no_file(path: Path) -> bool:
    try:
        return not stat.S_ISREG(path.stat().st_mode)
    except (FileNotFoundError, NotADirectoryError, PermissionError):
        return False  # what that means is said below


def network_type(path: Path, mounts: Iterable[str] | None = None) -> str:
    """The file system of a network drive, '' for a local one; `mounts` are lines as in /proc/mounts."""
    if mounts is None:
        try:
            mounts = Path("/proc/mounts").read_text("utf-8", "replace").splitlines()
        except OSError:
            return ""
    place, best, filesystem = str(path.resolve()), -1, ""
    for line in mounts:
        words = line.split()
        if len(words) < 3:
            continue
        point = words[1].replace("\\040", " ").replace("\\011", "\t").replace("\\134", "\\").rstrip("/")
        if len(point) >= best and (place == point or place.startswith(point + "/")):
            best, filesystem = len(point), words[2]
    return filesystem if filesystem in NETWORK else ""


def full(path: Path) -> str:
    """`the disk is full (1.4 MB free)`, where the file lies."""
    return f"the disk is full ({free_mb(path):.1f} MB free)"


def free_mb(path: Path) -> float:
    """Free megabytes where the file lies."""
    try:
        if hasattr(os, "statvfs"):
            disk = os.statvfs(path.parent)
            return disk.f_bavail * disk.f_frsize / 1e6
        import shutil

        return shutil.disk_usage(path.parent).free / 1e6
    except OSError:
        return 0.0


def itself(path: Path) -> Path:
    """The file that a symbolic link points to: lock, log, attachments and backups lie beside the record itself."""
    return path.resolve() if path.is_symlink() else path


def is_open(path: Path) -> bool:
    """Whether this process has the file open as a record."""
    try:
        key = _inode(path)
    except OSError:
        return False
    with _open_lock:
        return _open_files[key] > 0


def opened(path: Path) -> tuple[int, int]:
    """Remember that this process has the file open as a record."""
    with _open_lock:
        key = _inode(path)
        _open_files[key] += 1
        return key


def closed(key: tuple[int, int]) -> None:
    """Forget it again."""
    with _open_lock:
        _open_files[key] -= 1
        if _open_files[key] <= 0:
            del _open_files[key]


def _inode(path: Path) -> tuple[int, int]:
    stat = path.stat()
    return stat.st_dev, stat.st_ino
