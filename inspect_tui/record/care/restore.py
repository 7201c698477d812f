"""Puts a good backup in the place of a record: what was there is moved aside and kept, and the difference is told."""

from __future__ import annotations

import glob
import sqlite3
from contextlib import suppress
from pathlib import Path

from inspect_tui.errors import DiskFull, NotOurs, RecordError
from inspect_tui.frozen import frozen
from inspect_tui.record.care.heads import Heads, heads_of, holds
from inspect_tui.record.file import place, schema, stray_log
from inspect_tui.record.file.backup import back_up, sync
from inspect_tui.record.file.connect import check_version, to_read, uri
from inspect_tui.record.file.lock import FileLock
from inspect_tui.record.kinds import KINDS
from inspect_tui.todo import Todo


@frozen
class Restored:
    """`aside`: where the old record lies now (None: there was none); `lacks`: something of it is not in the backup.

    `said` are sentences about that.
    """

    path: Path
    aside: Path | None
    lacks: bool
    said: tuple[str, ...]


def restore(backup: Path, record: Path, stamp: str, busy_s: float = 10.0) -> Restored:
    """Put a proved copy of `backup` at `record`. The backup stays; what was there is moved aside with its log.

    A new device begins with the next reading: this machine remembers what it had written before. Raises RecordError
    with a sentence, and then nothing was changed.
    """
    backup, record = place.itself(backup.absolute()), place.itself(record.absolute())
    look = place.look(backup)
    if not look.exists:
        raise RecordError(f"There is no backup at {backup}: nothing was changed.")
    check_version(backup, look.version, schema.migrations(schema.shipped())[-1][0])
    if record.exists() and backup.samefile(record):
        raise RecordError(
            f"{backup.name} is that record itself: name the backup, and the record in whose place it goes."
        )
    if not record.parent.is_dir():
        raise RecordError(f"There is no folder {record.parent}: make it first. Nothing was changed.")
    lock = FileLock(Path(f"{record}.lock"), busy_s)
    try:
        with lock:
            if record.exists() and (stray_log.in_use(record) or place.is_open(record)):
                raise RecordError(
                    f"{record.name} is open in another program: close it there first. Nothing was changed."
                )
            _take_back(record)
            new = _copy(backup, record, stamp)
            try:
                lacks, said = _difference(record, new)
                aside = _move_aside(record, stamp)
                new.rename(record)
                sync(record.parent)
            except BaseException:
                new.unlink(missing_ok=True)
                raise
    finally:
        lock.close()
    return Restored(record, aside, lacks, said)


_COMING = "coming"  # in the name of the copy until it has the record's


def _take_back(record: Path) -> None:
    """Where a restore was cut off between two names, the record gets its own again, with its log; its copy goes."""
    stem = glob.escape(record.stem)
    for copy in sorted(record.parent.glob(f"{stem}-*-{_COMING}*.db")):
        stamp = copy.name.removeprefix(f"{record.stem}-").partition(f"-{_COMING}")[0]
        aside = sorted(record.parent.glob(f"{stem}-before-{stamp}*{record.suffix}"), key=lambda p: (len(p.name), p))
        if aside and not record.exists():
            own, looked_at = Path(f"{record}-wal"), Path(f"{aside[-1]}-wal")
            if not own.exists():
                with suppress(FileNotFoundError):  # the log first: while it lacks, this is done again
                    looked_at.rename(own)
            elif looked_at.exists() and looked_at.stat().st_size:
                break  # somebody went on with what lies aside: nothing of it is touched
            aside[-1].rename(record)
        copy.unlink(missing_ok=True)


def _copy(backup: Path, record: Path, stamp: str) -> Path:
    con = sqlite3.connect(to_read(backup), uri=True)
    try:
        made = back_up(con, record, record.parent, stamp, _COMING)
    except DiskFull as wrong:
        raise DiskFull(
            f"Nothing was changed: {place.full(record)}, and a copy of {backup.name} "
            "has to stand beside what is there.",
            todo=Todo.FREE_SPACE,
        ) from wrong
    except RecordError as wrong:
        raise RecordError(f"{backup.name} is not whole, so nothing was changed. {wrong}") from wrong
    finally:
        con.close()
    return made


def _difference(record: Path, new: Path) -> tuple[bool, tuple[str, ...]]:
    """Whether the old record holds what the backup does not, and what, as far as the old one can be read."""
    if not record.exists():
        return False, ()
    try:
        old = sqlite3.connect(uri(record, "mode=ro"), uri=True)
        try:
            before, counts = heads_of(old), _counts(old)
        finally:
            old.close()
    except (sqlite3.Error, NotOurs):
        return True, ("What stood there could not be read, so nobody can say what the backup lacks of it.",)
    con = sqlite3.connect(uri(new, "immutable=1"), uri=True)
    try:
        after, now = heads_of(con), _counts(con)
        whole = holds(con, before)
    finally:
        con.close()
    if whole:
        return False, ("The backup holds all that stood there.",)
    said = [_lacking(before, after)]
    fewer = [f"{counts[table] - now[table]} {what}" for table, what in _WHAT.items() if counts[table] > now[table]]
    if fewer:
        said.append(f"That is {', '.join(fewer)}. Put it in again from the old file or from paper.")
    return True, tuple(said)


def _lacking(before: Heads, after: Heads) -> str:
    lacking = sum(max(seq - after.get(device, (0, b""))[0], 0) for device, (seq, _) in before.items())
    return (
        f"{lacking} entries that stood there are not in the backup."
        if lacking
        else "The backup is not of the same writing as what stood there: compare them before you go on."
    )


_WHAT = {kind.table: kind.what for kind in KINDS}


def _counts(con: sqlite3.Connection) -> dict[str, int]:
    counts = dict.fromkeys(_WHAT, 0)
    for table in _WHAT:
        with suppress(sqlite3.OperationalError):
            counts[table] = con.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
    return counts


def _move_aside(record: Path, stamp: str) -> Path | None:
    """Give what lies there another name, with its log beside it, so that it opens as it was."""
    if not record.exists():
        return None
    aside = record.with_name(f"{record.stem}-before-{stamp}{record.suffix}")
    again = 1
    while aside.exists():
        again += 1
        aside = record.with_name(f"{record.stem}-before-{stamp}-{again}{record.suffix}")
    record.rename(aside)  # first: a record without its log would open and lack what stands there
    with suppress(FileNotFoundError):
        Path(f"{record}-wal").rename(f"{aside}-wal")
    Path(f"{record}-shm").unlink(missing_ok=True)
    return aside
