"""The way to the disk: one lock, one transaction, the end of the chain, and what to do when the disk says no."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

from inspect_tui.errors import InspectError, NotAllowed, ReadOnly, RecordError
from inspect_tui.record.chain import ids as ids_
from inspect_tui.record.chain import rights
from inspect_tui.record.chain.canon import genesis
from inspect_tui.record.chain.clock import LEAP_US
from inspect_tui.record.chain.ids import Clock, IdMaker
from inspect_tui.record.chain.write import Transaction
from inspect_tui.record.conditions import newest
from inspect_tui.record.file import place
from inspect_tui.record.file.connect import connect_writer
from inspect_tui.record.file.devices import ChainEnd, end_of, find
from inspect_tui.record.file.guard import Guard, end_fits
from inspect_tui.record.file.lock import FileLock
from inspect_tui.record.file.state import Memory, state_dir
from inspect_tui.record.file.trouble import IOERR, explain, primary
from inspect_tui.record.kinds import PERSON, Device, kind_of
from inspect_tui.record.read import Reader
from inspect_tui.todo import Todo

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any, TypeVar

    from inspect_tui.model.measuring import Person

    T = TypeVar("T")


_LOG_BYTES = 4 << 20  # the log is made this long at once and then written over again and again
_LONG_AFTER = 16  # writes: who only notes one thing is not kept waiting for it
_ROOMY_MB = 200.0  # below this the log grows only as it must
_ROWS_A_CHECKPOINT = 128  # about what fits in it: a row and its entry touch eight pages of 4 KiB


class Committer(Reader):
    """A connection that can run one write transaction after another, each durable when it returns."""

    def __init__(
        self, path: Path, con: sqlite3.Connection, busy_s: float, key: tuple[int, int], read_only_why: str = ""
    ) -> None:
        super().__init__(path, con, busy_s, key)
        self.read_only_why = read_only_why
        self.read_only_todo: Todo | None = None
        self._lock: FileLock | None = None
        self._memory: Memory | None = None
        self._device: bytes | None = None
        self._seen = 0  # the last number of our chain that we saw committed, and its hash
        self._seen_head = b""
        self._guard: Guard | None = None
        self._unlocked: set[bytes] = set()  # people who gave their PIN during this stay
        self.ask_pin: Callable[[str], str | None] = lambda _: None  # of somebody's initials; a face may set it
        self._rows = 0  # since the last checkpoint
        self._writes = 0  # on this connection
        self._tool_of: dict[bytes, bytes] = {}
        self._clock: Clock = ids_.now
        self._ids: IdMaker = ids_.uuid7
        self._believed_us: int | None = None  # until when the record is believed, once somebody asked
        self._state_dir: Path | None = None
        self._bench = self._program = ""

    def _in_use(self, now_us: int) -> bool:
        """Whether files tell that this machine was in use lately by its clock; they know nothing of another one."""
        if self._clock is not ids_.now:
            return False
        from inspect_tui.record.file import traces

        return traces.in_use(traces.usual_folders(self.path), now_us, LEAP_US, self.path)

    # ---------------------------------------------------------------- who may decide
    def locked(self, person: Person) -> bool:
        """Whether this person decides with a PIN that was not given yet."""
        return bool(person.pin_hash) and person.of_id not in self._unlocked

    def unlock(self, person: Person, pin: str) -> bool:
        """Give somebody's PIN, for as long as this record is open; False where it is another one."""
        fitting = bool(person.pin_hash) and rights.fits(pin, person.pin_hash or "")
        if fitting:
            self._unlocked.add(person.of_id)
        return fitting

    def _allow(self, things: Sequence[Any], by: bytes | None) -> None:
        """Raise NotAllowed where one of these things decides something that `by` may not, or not without a PIN."""
        deciding = [what for thing in things if (what := rights.decides(kind_of(thing), thing))]
        if not deciding or by is None:
            return
        person = self._person(by)
        if person is None:
            return  # the record itself says that nobody is there
        wrong = rights.may(person, deciding[0])
        if wrong:
            raise NotAllowed(f"Nothing was written: {wrong}", tells_fate=True)
        if self.locked(person):
            pin = self.ask_pin(person.initials)
            if pin is None or not self.unlock(person, pin):
                why = "which was not given" if pin is None else "and that was another one"
                raise NotAllowed(
                    f"Nothing was written: {person.initials} decides with a PIN, {why}.",
                    todo=Todo.GIVE_PIN,
                    about=person.initials,
                    tells_fate=True,
                )

    def _person(self, by: bytes) -> Person | None:
        """The person as of now whom an id of one of their versions means."""
        if self._ones is not None:
            people = self._current(PERSON, "t.of_id = (SELECT of_id FROM person WHERE id = ?)", (by,), gone=True)
            return people[0] if people else None
        select = PERSON.select("t")
        row = self._con.execute(
            f"SELECT {select} FROM person t WHERE t.of_id = (SELECT of_id FROM person WHERE id = ?) "
            f"AND {newest('person')} ORDER BY t.id DESC LIMIT 1",
            (by,),
        ).fetchone()
        return None if row is None else PERSON.thing(row)

    def stop_writing(self, why: str) -> None:
        """From now on this record is only read; `why` is a sentence."""
        self.read_only_why = (
            f"{why} Writing has stopped: keep this file as it is, have it checked, and go on with the newest good "
            "backup."
        )
        self.read_only_todo = Todo.CHECK_RECORD

    def _locked(self) -> FileLock:
        if self._lock is None or self.read_only_why:
            raise ReadOnly(
                f"Not logged. {self.read_only_why or 'The record is closed.'}",
                todo=self.read_only_todo,
                tells_fate=True,
            )
        return self._lock

    def _write(self, work: Callable[[Transaction], T], things: Sequence[Any]) -> T:
        """Run `work` in one transaction: all of it is on the disk when this returns, or none and an error is raised."""
        with self._locked():
            tx: Transaction | None = None
            try:
                guard = self._guarded()
                con = self._con
                con.execute("BEGIN IMMEDIATE")
                try:
                    self._writes += 1
                    if self._writes == _LONG_AFTER:
                        self._make_log_long()
                    guard.tables(con)
                    tx = self._begin()
                    start = tx.seq
                    result = work(tx)
                    con.execute("COMMIT")
                except BaseException:
                    if con.in_transaction:
                        with suppress(sqlite3.Error):
                            con.execute("ROLLBACK")
                    raise
            except sqlite3.Error as error:
                raise self._wrong(error, tx, things) from error
            self._still_there(guard, tx)
            self._committed(tx, tx.seq - start)
            return result

    def _guarded(self) -> Guard:
        """The guard of the open file, after it looked: nothing is written into a file that its path does not name."""
        guard = self._guard
        if guard is not None:
            guard.file()
        if guard is None or self._closed_by_trouble():
            return self._reopen() if guard is not None else self._watch()
        return self._fold_in() if guard.log_is_away() else guard

    def _watch(self) -> Guard:
        assert self._key is not None
        self._guard = Guard(self.path, self._con, self._key)
        return self._guard

    def _fold_in(self) -> Guard:
        """The log was taken away from beside the file while we have it open: what it holds goes into the file."""
        self._con.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
        return self._reopen()

    def _still_there(self, guard: Guard, tx: Transaction) -> None:
        """After the commit: the file and its log still have their names, so that the next to open them finds it."""
        try:
            guard.file()
            if guard.log_is_away():
                self._fold_in()
                end = end_of(self._con, tx.device)
                if (end.seq, end.head) != (tx.seq, tx.head):
                    raise RecordError("its log was deleted.")
        except RecordError as wrong:
            raise RecordError(
                f"{self.path.name} was taken away at the very moment of logging: what was typed may stand in it or "
                "not. Look at its last readings before typing it again.",
                tells_fate=True,
            ) from wrong

    def _begin(self) -> Transaction:
        """The end of our chain. Read inside the transaction: another program may share the file."""
        if self._device is not None:
            end = end_of(self._con, self._device)
            if end.seq > self._seen or (end.seq == self._seen and end.head == self._seen_head):
                return self._at(end)
        known, why = find(self._con, state_dir(self._state_dir), self.path)
        if known is not None:
            self._ids.not_before(known.id)
            if not end_fits(self._con, known.device):
                self.stop_writing("Its newest entry is not what was written.")
                raise ReadOnly(f"Not logged. {self.read_only_why}", todo=self.read_only_todo, tells_fate=True)
            if not why:
                return self._at(known)
        return self._new_device(why, known)

    def _at(self, end: ChainEnd) -> Transaction:
        return Transaction(
            self._con, end.device, end.seq, end.head, self._clock, self._ids, self._tool_of, self._in_use
        )

    def _new_device(self, why: str, parent: ChainEnd | None) -> Transaction:
        shop, parent_id, parent_seq = self._ids(), None, None
        if parent is not None:
            parent_id, parent_seq = parent.device, parent.seq
            shop = self._con.execute("SELECT shop_id FROM device WHERE id = ?", (parent.device,)).fetchone()[0]
        device = self._ids()
        tx = self._at(ChainEnd(device, 0, genesis(device)))
        tx.put(
            Device(
                id=device,
                bench=self._bench,
                shop_id=shop,
                parent_id=parent_id,
                parent_seq=parent_seq,
                why=why,
                program=self._program,
            ),
            None,
        )
        return tx

    def _committed(self, tx: Transaction, rows: int) -> None:
        self._seen, self._seen_head = tx.seq, tx.head
        if tx.clock_believed:
            self._believed_us = self._clock()[0]
        if self._device == tx.device and self._memory is not None:
            self._memory.note(tx.seq, tx.head)
        else:
            self._device = tx.device
            if self._memory is not None:
                self._memory.close()
            self._memory = Memory(state_dir(self._state_dir), tx.device, self.path, tx.seq, tx.head)
        self._rows += rows
        if self._rows >= _ROWS_A_CHECKPOINT:
            self._rows = 0
            with suppress(sqlite3.Error):  # what is committed stays in the log; the next one tries again
                self._con.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()

    def _make_log_long(self) -> None:
        """Make the log file long before it is needed, inside a write transaction.

        A commit that makes a file longer costs the file system a commit of its own: a third of the whole, measured.
        SQLite ends the log at the first frame whose checksum is not right, so zeros behind it mean nothing.
        """
        if os.name == "nt":
            return
        with suppress(OSError):
            fd = os.open(f"{self.path}-wal", os.O_WRONLY)
            try:
                size = os.fstat(fd).st_size
                if size < _LOG_BYTES and place.free_mb(self.path) > _ROOMY_MB:
                    os.pwrite(fd, bytes(_LOG_BYTES - size), size)
            finally:
                os.close(fd)

    # ---------------------------------------------------------------- trouble
    def _wrong(self, error: sqlite3.Error, tx: Transaction | None, things: Sequence[Any]) -> InspectError:
        if isinstance(error, sqlite3.IntegrityError):
            return RecordError(self._refused(error, things), tells_fate=True)
        if primary(error) == IOERR:
            return self._after_disk_error(error, tx)
        return explain(error, self.path, self.busy_s, writing=True)

    def _refused(self, error: sqlite3.IntegrityError, things: Sequence[Any]) -> str:
        what = kind_of(things[0]).what if things else "row"
        if error.sqlite_errorname == "SQLITE_CONSTRAINT_TRIGGER":  # the guard of the table: a row is never replaced
            return f"Not logged: this {what} is already in the record. To change it, add a new version."
        if error.sqlite_errorname != "SQLITE_CONSTRAINT_FOREIGNKEY":
            return f"Not logged: the record refuses this {what} ({error})."
        for thing in things:
            kind = kind_of(thing)
            for row in self._con.execute(f"PRAGMA foreign_key_list({kind.table})").fetchall():
                parent, column = row[2], row[3]
                named = getattr(thing, column)
                if (
                    named
                    and column not in ("of_id", "replaces_id")
                    and not self._con.execute(f"SELECT 1 FROM {parent} WHERE id = ?", (named,)).fetchone()
                ):
                    parent = parent.replace("_", " ")
                    return f"Not logged: the {parent} that this {kind.what} names is not in the record."
        return f"Not logged: something that this {what} names is not in the record."

    def _after_disk_error(self, error: sqlite3.Error, tx: Transaction | None) -> InspectError:
        """Never try again on the same handle: after a failed flush a second one may say yes and lie."""
        wrong = explain(error, self.path, self.busy_s, writing=True)
        with suppress(sqlite3.Error, InspectError):  # if it does not open now, it is tried before the next write
            self._reopen()
            if tx is not None and tx.seq > 0:
                end = end_of(self._con, tx.device)
                if (end.seq, end.head) == (tx.seq, tx.head):
                    return RecordError(
                        f"The disk reported an error while logging ({error}), but {self.path.name} was opened again "
                        "and holds what was typed. Look at the last readings before typing it again, and have the "
                        "disk looked at.",
                        tells_fate=True,
                    )
        return wrong

    def _reopen(self) -> Guard:
        with suppress(sqlite3.Error):
            self._con.close()
        self._writes = 0
        self._con = connect_writer(self.path, self.busy_s)
        if self._ones is not None:
            self._ones.tell(self._con)
        return self._watch()

    def _rows_of(self, sql: str, values: Sequence[Any] = ()) -> list[Any]:
        """As any reader; where a disk error closed the file and the disk is well again, it is opened again first."""
        if self._guard is not None and self._lock is not None and self._closed_by_trouble():
            with suppress(sqlite3.Error, InspectError):
                self._reopen()
        return super()._rows_of(sql, values)

    def _closed_by_trouble(self) -> bool:
        try:
            return self._con.total_changes < 0
        except sqlite3.ProgrammingError:
            return True
