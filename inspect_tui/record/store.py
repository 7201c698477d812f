"""The record of one bench: opens the file, adds to it durably, and keeps it: checkpoints, backups, migrations."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from time import gmtime, strftime

from inspect_tui import __version__
from inspect_tui.errors import InspectError, NotOurs, ReadOnly, RecordError
from inspect_tui.frozen import replace
from inspect_tui.model.changes import SameThing
from inspect_tui.model.measuring import Note, Reading, Session, Setup, Supersede
from inspect_tui.record.chain import ids as ids_
from inspect_tui.record.chain.clock import LEAP_US, ClockDoubt, believed_until, doubt_of
from inspect_tui.record.chain.ids import Clock, IdMaker
from inspect_tui.record.commit import Committer
from inspect_tui.record.conditions import marks_of
from inspect_tui.record.conditions import newest as newest_of
from inspect_tui.record.file import guard, place, schema
from inspect_tui.record.file.connect import check_version, connect_reader, connect_writer, pragma
from inspect_tui.record.file.lock import FileLock
from inspect_tui.record.file.state import state_dir as state_folder
from inspect_tui.record.file.trouble import explain
from inspect_tui.record.kinds import KINDS, kind_of
from inspect_tui.record.read import Reader

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable
    from tempfile import TemporaryDirectory
    from typing import Any, TypeVar

    from inspect_tui.record.chain.write import Transaction

    T = TypeVar("T")

_WATCHED_EVERY = 2_000  # rows between two words about how far a long writing is


class Record(Committer):
    """A record that is added to. One connection, for one thread; `reader()` gives other threads their own.

    Every write is one transaction, and it is on the disk when the call returns (WAL and synchronous=FULL).
    """

    version = 0  # of the schema that the file has
    _data_version: object = None  # what SQLite counts up when another connection wrote, as last seen
    _copy: TemporaryDirectory[str] | None = None  # of an older record that may only be read
    opening_said = ""  # what was done to the files when it was opened, in sentences

    # ---------------------------------------------------------------- open and close
    @classmethod
    def open(
        cls,
        path: str | Path,
        *,
        create: bool = False,
        read_only: bool = False,
        busy_s: float = 10.0,
        state_dir: Path | None = None,
        schema_dir: Path | None = None,
        bench: str | None = None,
        program: str | None = None,
        clock: Clock = ids_.now,
        ids: IdMaker | None = None,
        watch: Callable[[str], None] | None = None,
    ) -> Record:
        """Open a record; `create` makes it when there is none. `watch` is told how far an older one is brought forward.

        A file that may only be read is opened to read: `read_only` is then true and `read_only_why` says why.
        Raises NotOurs, TooNew, Busy, Damaged or RecordError with a sentence; the file is then untouched.
        """
        path = place.itself(Path(path).expanduser().absolute())
        there = place.look(path)
        if read_only and not there.read_only_why:
            there = replace(there, read_only_why=f"{path.name} was opened to read only.")
        steps = schema.migrations(schema_dir or schema.shipped())
        if there.exists:
            check_version(path, there.version, steps[-1][0])
        elif path.exists() and not create:
            raise NotOurs(f"{path.name} is empty: it is not a record of this program.")
        elif not create:
            raise RecordError(f"There is no record at {path}: check the name, or have a new one made there.")
        elif there.read_only_why:
            raise ReadOnly(f"No record can be made at {path}. {there.read_only_why}")
        names = (bench or machine(), program or f"inspect-tui {__version__}")
        ids = ids or (ids_.uuid7 if clock is ids_.now else IdMaker(clock))
        if not there.exists:
            from inspect_tui.record.file.create import create as create_record

            create_record(path, steps, busy_s, state_dir, clock, ids, *names)
        stray = None if there.read_only_why else _stray_log(path, busy_s, state_dir)
        key = place.opened(path)
        try:
            con = (connect_reader if there.read_only_why else connect_writer)(path, busy_s)
        except BaseException as error:
            place.closed(key)
            if isinstance(error, sqlite3.Error):
                raise explain(error, path, busy_s) from error
            raise
        record = cls(path, con, busy_s, key, there.read_only_why)
        if stray is not None:
            record.opening_said = (
                f"The log {path.name}-wal that lay beside {path.name} is not of this file: it was put aside as "
                f"{stray.name} and nothing of it was taken in. If readings are missing, keep it and have it looked at."
            )
        record._clock, record._ids, record._state_dir = clock, ids, state_dir
        record._bench, record._program = names
        try:
            if not record.read_only:
                record._lock = FileLock(Path(f"{path}.lock"), busy_s)
            record._migrate(steps, watch or (lambda _: None))
            record._stop_where_changed()
            if record.read_only:
                record.look_for_ones()
            else:
                record._ids_go_on()
        except BaseException:
            record.close()
            raise
        return record

    def _migrate(self, steps: Sequence[schema.Step], watch: Callable[[str], None]) -> None:
        try:
            self.version = int(str(pragma(self._con, "user_version")))
            check_version(self.path, self.version, steps[-1][0])
            pending = [step for step in steps if step[0] > self.version]
            if pending and self.read_only:
                watch(f"{self.path.name} is of version {self.version}: a copy is made to be shown")
                self._show_a_copy(pending, watch)
            elif pending:
                watch(f"{self.path.name} is of version {self.version}: a backup is made and proved first")
                before, kept = self.version, self.backup(label=f"version-{self.version}")
                with self._locked():
                    schema.apply_all(self._con, pending, watch=watch)
                self.version = pending[-1][0]
                self.opening_said = (
                    f"{self.opening_said} {self.path.name} was brought from version {before} to {self.version} of the "
                    f"record; as it was before it lies in {kept}."
                ).strip()
        except sqlite3.Error as error:
            wrong = explain(error, self.path, self.busy_s)
            stays = f" The record stays at version {self.version}." if self.version else ""
            raise type(wrong)(f"{wrong}{stays}") from error

    def _show_a_copy(self, pending: Sequence[schema.Step], watch: Callable[[str], None]) -> None:
        """Show an older record that may only be read: a copy of it is brought forward, and it stays as it is."""
        from tempfile import TemporaryDirectory

        self._copy = TemporaryDirectory(prefix="inspect-tui-")
        shown = Path(self._copy.name) / self.path.name
        new = sqlite3.connect(shown, isolation_level=None)
        try:
            self._con.backup(new)
            new.execute("PRAGMA synchronous=OFF")
            schema.apply_all(new, pending, proven=False, watch=watch)
        finally:
            new.close()
        self._con.close()
        self._con = connect_reader(shown, self.busy_s)
        self.read_only_why += (
            f" It is of version {self.version} of the record and shown as a copy brought to {pending[-1][0]}; it stays "
            "as it is."
        )
        self.version = pending[-1][0]

    def _stop_where_changed(self) -> None:
        """Write nothing more to a record whose tables or triggers are not as made: nobody knows what was done to it."""
        if self.read_only:
            return
        wrong = guard.misfit(self._con)
        if not wrong and self.version in guard.WHOLE:
            self._watch()
            return
        there = {name for (name,) in self._con.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'")}
        tables = ["entry", *(kind.table for kind in KINDS if kind.version <= self.version)]
        gone = [t for t in tables for what in ("update", "delete", "replace") if f"{t}_no_{what}" not in there]
        if gone:
            self.stop_writing(f"The guards of {gone[0]} that keep it append-only are missing.")
        elif wrong:
            self.stop_writing(wrong)
        else:
            self._watch()

    def _ids_go_on(self) -> None:
        """Ids that are given before anything is written rise too, whatever the clock says."""
        with suppress(sqlite3.Error):  # what is wrong with the file is said where it is read
            last = "SELECT id, EXISTS (SELECT 1 FROM same_thing) FROM entry ORDER BY id DESC LIMIT 1"
            for newest, any_same in self._con.execute(last).fetchall():
                if any_same:
                    self.look_for_ones()
                self._ids.not_before(newest)
                at_us = ids_.written_ms(newest) * 1000
                if self._clock is ids_.now and ids_.now()[0] > at_us + LEAP_US:  # an invented clock is not asked
                    self.clock_doubt()

    @property
    def read_only(self) -> bool:
        """True when nothing can be written; `read_only_why` is the reason as a sentence."""
        return bool(self.read_only_why)

    @property
    def device_id(self) -> bytes | None:
        """The device that this record writes as; None before the first write."""
        return self._device

    def close(self) -> None:
        """Fold the log into the file and close."""
        if self._lock is not None:
            with suppress(InspectError), self._lock:  # the last to close folds the log in by itself
                with suppress(sqlite3.Error):
                    self._con.execute("PRAGMA wal_checkpoint(PASSIVE)")
                super().close()
            self._lock.close()
            self._lock = None
        super().close()
        if self._copy is not None:
            self._copy.cleanup()
            self._copy = None
        if self._memory is not None:
            self._memory.close()
            self._memory = None

    def __enter__(self) -> Record:
        return self

    # ---------------------------------------------------------------- add
    def add(self, thing: Any, by: bytes | None = None) -> Any:
        """Write one thing (with its ends or steps) and return it with its ids; `by` is the person's id."""
        return self.add_all((thing,), by)[0]

    def add_all(
        self, things: Iterable[Any], by: bytes | None = None, watch: Callable[[int, int], None] | None = None
    ) -> list[Any]:
        """Write all of them in one transaction, or none. A thing may name another by an id from `new_id`.

        `watch` is told now and then how many of how many are written; what it raises leaves nothing behind.
        """
        todo = list(things)
        self._allow(todo, by)

        def put(tx: Transaction) -> list[Any]:
            stored = []
            for n, thing in enumerate(todo):
                if watch is not None and n % _WATCHED_EVERY == 0:
                    watch(n, len(todo))
                stored.append(tx.put(thing, by))
            return stored

        return self._as_one(self._write(put, todo))

    def _as_one(self, stored: list[Any]) -> list[Any]:
        """What was written, as it is seen; what is one thing is looked up again where this may say it."""
        if self._ones is None and not any(isinstance(thing, SameThing) for thing in stored):
            return stored
        if any(not isinstance(thing, (Reading, Setup, Session, Supersede, Note)) for thing in stored):
            self.look_for_ones()
        return [
            replace(thing, of_id=self.first_of(thing.of_id)) if kind_of(thing).versioned else thing for thing in stored
        ]

    def own_device(self) -> bytes:
        """The device that this record writes as; a restored or copied file becomes one of its own first."""
        if self._device is None:
            self._write(lambda _: None, ())
        assert self._device is not None
        return self._device

    def in_one_transaction(self, work: Callable[[Transaction], T]) -> T:
        """Run `work` in one durable transaction, or nothing of it: for those in `record/merge/`."""
        done = self._write(work, ())
        self.look_for_ones()
        return done

    def new_id(self) -> bytes:
        """An id for a thing that another thing in the same `add_all` refers to."""
        return self._ids()

    def append_reading(self, reading: Reading) -> Reading:
        """Log one reading: when this returns, it is on the disk."""
        stored: Reading = self._write(lambda tx: tx.put(reading, None), (reading,))
        return stored

    def append_readings(self, readings: Iterable[Reading]) -> list[Reading]:
        """Log many readings in one transaction, or none."""
        return self.add_all(readings)

    def revise(self, old: Any, by: bytes | None = None, **changes: Any) -> Any:
        """Write a new version of a versioned thing; the old one stays in the record.

        Where nothing changes nothing is written, and the old one is given back.
        """
        if not kind_of(old).versioned:
            raise RecordError(f"a {kind_of(old).what} is not changed: add another one.")
        if replace(old, **changes) == old and not self._edited_twice(old):
            return old
        return self.add(replace(old, **changes, id=b"", replaces_id=old.id), by)

    def _edited_twice(self, thing: Any) -> bool:
        """Whether another bench changed it too: saving it as it is then says that it holds."""
        kind = kind_of(thing)
        (newest,) = self._con.execute(
            f"SELECT count(*) FROM {kind.table} t WHERE t.of_id = ? AND {newest_of(kind.table)}", (thing.of_id,)
        ).fetchone()
        return bool(newest > 1)

    def supersede(
        self, target_id: bytes, reason: str, why: str, replacement_id: bytes | None = None, by: bytes | None = None
    ) -> Supersede:
        """Take a reading out of count: for another one that is already logged, or for none (void)."""
        what = Supersede(target_id=target_id, replacement_id=replacement_id, reason=reason, why=why)
        stored: Supersede = self.add(what, by)
        return stored

    def void(self, target_id: bytes, reason: str, why: str, by: bytes | None = None) -> Supersede:
        """Take a reading out of count; it stays visible."""
        return self.supersede(target_id, reason, why, None, by)

    def correct(
        self, target_id: bytes, reading: Reading, reason: str, why: str, by: bytes | None = None
    ) -> tuple[Reading, Supersede]:
        """Log a reading in place of another one, both in one transaction."""
        new = replace(reading, id=self._ids())
        what = Supersede(target_id=target_id, replacement_id=new.id, reason=reason, why=why)
        stored = self.add_all((new, what), by)
        return stored[0], stored[1]

    def written_elsewhere(self) -> bool:
        """Whether another connection, of whatever program, wrote since this was last asked; costs microseconds."""
        now = self._rows_of("PRAGMA data_version")[0][0]
        before, self._data_version = self._data_version, now
        if before is not None and before != now:
            self.look_for_ones()
        return before is not None and before != now

    def rebuild_summaries(self) -> None:
        """Make the cached summaries again from the readings (after an import or a merge)."""
        self._write(lambda tx: tx.rebuild_summaries(), ())

    # ---------------------------------------------------------------- care
    def reader(self) -> Reader:
        """A connection of its own to read with, for another thread: call this in that thread."""
        if self._copy is None:
            return Reader.of(self.path, self.busy_s)
        reader = Reader.of(Path(self._copy.name) / self.path.name, self.busy_s)
        reader.path = self.path  # pictures and papers lie beside the record itself
        return reader

    def checkpoint(self) -> bool:
        """Fold the log into the file; False when a reader is in the way (it is then done later)."""
        with self._locked():
            try:
                busy, in_log, done = self._con.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
            except sqlite3.Error as error:
                raise explain(error, self.path, self.busy_s) from error
            self._rows = 0
            return bool(busy == 0 and in_log == done)

    def backup(self, to_dir: str | Path | None = None, label: str = "") -> Path:
        """A verified copy in `to_dir` (or `backups` beside the file); returns its path."""
        folder = self.path.parent / "backups" if to_dir is None else Path(to_dir)
        at_us, tz_min = self._clock()
        stamp = strftime("%Y%m%d-%H%M%S", gmtime(at_us / 1e6 + tz_min * 60))
        from inspect_tui.record.file.backup import back_up

        return back_up(self._con, self.path, folder, stamp, label)

    def own_devices(self) -> list[bytes]:
        """Every device that this bench ever was in this record."""
        from inspect_tui.record.file import devices, state

        known, _ = devices.find(self._con, state.state_dir(self._state_dir), self.path)
        return devices.lineage(self._con, known.device) if known is not None else []

    def entered_at(self, ids: Sequence[bytes]) -> tuple[set[bytes], dict[bytes, str]]:
        """Which of these rows were entered at this bench (as any device it ever was), and at which bench each was."""
        own = self.own_devices()
        marks = marks_of(ids)
        rows = self._con.execute(
            f"SELECT e.id, e.device_id, d.bench FROM entry e JOIN device d ON d.id = e.device_id "
            f"WHERE e.id IN ({marks})",
            tuple(ids),
        ).fetchall()
        return {row[0] for row in rows if row[1] in own}, {row[0]: row[2] for row in rows}

    def clock_doubt(self) -> ClockDoubt | None:
        """What speaks against the wall clock: it ran back behind what is in the record, or years ahead of it."""
        now = self._clock()
        if self._believed_us is None:
            try:
                self._believed_us = believed_until(self._con, now[0])
            except sqlite3.Error as error:
                raise explain(error, self.path, self.busy_s) from error
        doubted = doubt_of(now, self._believed_us, self._in_use)
        if doubted is None:
            self._believed_us = max(self._believed_us or 0, now[0])
        elif not doubted.back:
            self._ids.rest_us = LEAP_US
        return doubted


def _stray_log(path: Path, busy_s: float, state: Path | None) -> Path | None:
    """Put a log that is not this file's aside before anything of it is read; returns where it lies now."""
    if not Path(f"{path}-wal").exists() or place.is_open(path):
        return None
    from inspect_tui.record.file import stray_log

    lock = FileLock(Path(f"{path}.lock"), busy_s)
    try:
        with lock:
            return None if stray_log.belongs(path, state_folder(state)) else stray_log.move_aside(path)
    except sqlite3.Error as error:
        raise explain(error, path, busy_s) from error
    finally:
        lock.close()


def machine() -> str:
    """What this machine is called."""
    if hasattr(os, "uname"):
        return os.uname().nodename[:80] or "bench"
    return os.environ.get("COMPUTERNAME", "bench")[:80] or "bench"
