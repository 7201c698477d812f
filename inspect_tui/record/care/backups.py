"""Backups by the clock: after work and hourly while readings come; 24 hourly, 14 daily and 12 monthly ones are kept.

A backup is made by SQLite's backup interface, never by copying a file, and it has its name only when it was proved.
The pictures lie in `att/` beside the backups, each once. Nothing older goes before the new one is there.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterable
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from inspect_tui.errors import InspectError, RecordError
from inspect_tui.frozen import NamedTuple, frozen, replace
from inspect_tui.record import attachments
from inspect_tui.record.care.heads import Heads, heads_of, holds
from inspect_tui.record.file import place
from inspect_tui.record.file.backup import back_up, clear, private, sync
from inspect_tui.record.file.connect import uri
from inspect_tui.record.read import Reader

HOURS, DAYS, MONTHS = 24, 14, 12
HOURLY = timedelta(hours=1)
OLD = timedelta(hours=24)  # of work without a backup: said in red

# without a word behind it: made by the clock; the second one of the same second is counted
_STAMP = re.compile(r"-(\d{8}-\d{6})(?:-(\d{1,5}))?\.db")


class Backup(NamedTuple):
    """One backup that was made by the clock, and when."""

    at: datetime
    path: Path


@frozen
class Standing:
    """The newest good backup (None: there is none), whether all that is logged is in it, and whether it is too old."""

    newest: Backup | None
    complete: bool
    old: bool


@frozen
class Made:
    """What was done: the new backup, the second one, what went; `wrong` says why there is no second one."""

    path: Path
    second: Path | None
    gone: tuple[Path, ...]
    wrong: str


def folder_beside(record: Path) -> Path:
    """Where the backups of a record lie."""
    return record.parent / "backups"


def by_the_clock(folder: Path, stem: str) -> list[Backup]:
    """The backups of a record that were made by the clock, newest first; files with a word in their name are others."""
    made = []
    with suppress(OSError):
        for file in folder.iterdir():
            stamp = _STAMP.fullmatch(file.name.removeprefix(stem)) if file.name.startswith(stem) else None
            with suppress(ValueError):
                if stamp:
                    at = datetime.strptime(stamp[1], "%Y%m%d-%H%M%S")
                    made.append(Backup(at.replace(microsecond=int(stamp[2] or 1)), file))
    return sorted(made, reverse=True)


def to_keep(backups: Iterable[Backup]) -> set[Path]:
    """Of all backups those that stay: the newest of each of the last 24 hours, 14 days and 12 months that have one.

    All of the last hour stay, too.
    """
    ordered = sorted(backups, reverse=True)
    stay = {path for at, path in ordered if ordered[0].at - at < HOURLY}
    for form, most in (("%Y%m%d%H", HOURS), ("%Y%m%d", DAYS), ("%Y%m", MONTHS)):
        newest_of: dict[str, Path] = {}
        for at, path in ordered:
            newest_of.setdefault(at.strftime(form), path)
        stay.update(list(newest_of.values())[:most])
    return stay


def standing(record: Path, now: datetime, folder: Path | None = None) -> Standing:
    """How it stands with the backups of a record; reads the ends of the chains only."""
    made = by_the_clock(folder or folder_beside(record), record.stem)
    with Reader.of(record) as reader:
        current = heads_of(reader.connection)
        first_us = _begun_us(reader.connection)
    if not made:
        waiting = now - _local(first_us, now) if first_us else timedelta(0)
        return Standing(None, not current, waiting > OLD)
    newest = made[0]
    complete = _heads_in(newest.path) == current
    return Standing(newest, complete, not complete and now - newest.at > OLD)


def due(record: Path, now: datetime, folder: Path | None = None) -> bool:
    """Whether an hour has gone since the newest backup (or since the record was begun) and readings have come since."""
    made = by_the_clock(folder or folder_beside(record), record.stem)
    if made and timedelta(0) <= now - made[0].at < HOURLY:
        return False
    if made:
        return not standing(record, now, folder).complete
    with suppress(OSError):
        begun = min(record.stat().st_mtime, Path(f"{record}.lock").stat().st_mtime)
        return now - datetime.fromtimestamp(begun) >= HOURLY
    return True


def when_due(record: Path, now: datetime, second: str = "", *, work_done: bool = False) -> Made | None:
    """Make a backup where it is due, and with `work_done` also where the newest one lacks something; else None.

    `second` is the second place as it is set, empty for none. Raises as `make`.
    """
    if not (due(record, now) or (work_done and not standing(record, now).complete)):
        return None
    return make(record, now, second=Path(second).expanduser() if second else None)


def make(record: Path, now: datetime, to: Path | None = None, second: Path | None = None, word: str = "") -> Made:
    """Make one backup in `to` (or beside the record) and one in `second`; older ones go as the clock wants it.

    Raises RecordError or DiskFull where there is no first one; what is wrong with the second is told. A `word` in its
    name keeps it for ever.
    """
    folder = to or folder_beside(record)
    with Reader.of(record) as reader:
        con = reader.connection
        path = _one(con, record, folder, now, word)
        gone = _rotate(folder, record.stem)
        other, wrong = None, ""
        if second is not None:
            try:
                other = _one(con, record, second, now, word)
                gone += _rotate(second, record.stem)
            except InspectError as problem:
                wrong = f"There is no second backup: {problem}"
    return Made(path, other, tuple(gone), wrong)


def called(made: Made, name: Path) -> Made:
    """The backup under a name of its own in the folder where it was made: no later one takes its place."""
    made.path.rename(name)
    sync(name.parent)
    return replace(made, path=name)


def _one(con: sqlite3.Connection, record: Path, folder: Path, now: datetime, word: str) -> Path:
    before = by_the_clock(folder, record.stem)
    # the first one of a week is proved from the start, the others from where the one before them ends
    of_this_week = bool(before) and before[0].at.isocalendar()[:2] == now.isocalendar()[:2]
    proved = _proved_before(con, before[0].path) if of_this_week else {}
    path = back_up(con, record, folder, now.strftime("%Y%m%d-%H%M%S"), word, proved)
    for row in con.execute("SELECT DISTINCT sha256 FROM attachment").fetchall() if _has_pictures(con) else ():
        _keep_picture(attachments.stored_at(record, row[0]), folder / "att" / row[0][:2] / row[0])
    return path


def _has_pictures(con: sqlite3.Connection) -> bool:
    return con.execute("SELECT 1 FROM sqlite_schema WHERE name = 'attachment'").fetchone() is not None


def _proved_before(con: sqlite3.Connection, earlier: Path) -> dict[bytes, int]:
    """Up to which entries the newest backup proved what `con` holds too: only what came since is proved again."""
    heads = _heads_in(earlier)
    return {device: seq for device, (seq, _) in heads.items()} if heads and holds(con, heads) else {}


def _heads_in(backup: Path) -> Heads:
    try:
        con = sqlite3.connect(uri(backup, "immutable=1"), uri=True)
        try:
            return heads_of(con)
        finally:
            con.close()
    except sqlite3.Error:
        return {}


def _rotate(folder: Path, stem: str) -> list[Path]:
    made = by_the_clock(folder, stem)
    stay = to_keep(made)
    gone = [path for _, path in made if path not in stay]
    for path in gone:
        with suppress(OSError):
            path.unlink()
    return gone


def _keep_picture(source: Path, target: Path) -> None:
    """Copy a picture once; a missing one is no reason to have no backup of the rest: `verify` tells of it."""
    if target.exists():
        return
    new = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        content = source.read_bytes()
    except OSError:
        return
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        clear(target.parent, ".")
        private(new)
        new.write_bytes(content)
        sync(new)
        new.replace(target)
        sync(target.parent)
    except OSError as error:
        raise RecordError(
            f"The backup of the readings is there, but a picture could not be copied ({error.strerror}; "
            f"{round(place.free_mb(target))} MB free)."
        ) from error
    finally:
        new.unlink(missing_ok=True)


def _begun_us(con: sqlite3.Connection) -> int | None:
    row = con.execute("SELECT at_us FROM entry ORDER BY id LIMIT 1").fetchone()
    return None if row is None else int(row[0])


def _local(at_us: int, now: datetime) -> datetime:
    try:
        return datetime.fromtimestamp(at_us / 1e6)
    except (OverflowError, OSError, ValueError):
        return now
