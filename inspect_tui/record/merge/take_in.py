"""Takes in what other benches wrote: each chain goes on from where it ends here, all in one transaction, or nothing."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Protocol

from inspect_tui.errors import DataError, InspectError, RecordError
from inspect_tui.frozen import frozen
from inspect_tui.model.changes import ShopAdopted
from inspect_tui.record import attachments
from inspect_tui.record.chain.canon import link
from inspect_tui.record.chain.write import ADD_ENTRY, KEY, Transaction
from inspect_tui.record.file.devices import ChainEnd, end_of
from inspect_tui.record.kinds import DEVICE, READING, SHOP_ADOPTED, SUPERSEDE, WITHDRAWAL
from inspect_tui.record.merge.bundle import Bundle, Frontier, Manifest, frontier_of
from inspect_tui.record.merge.lines import Line

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.store import Record

# the readings whose summaries a row that came in touches: those that a correction answers, those of a file
_ANSWERED = (
    "supersede a ON a.id = c.id CROSS JOIN supersede s ON s.target_id = a.target_id "
    "CROSS JOIN reading r ON r.id IN (s.target_id, s.replacement_id)"
)
_TAKEN_BACK = (
    "withdrawal w ON w.id = c.id CROSS JOIN import_file f ON f.id = w.about_id "
    "CROSS JOIN setup s ON s.session_id = f.session_id CROSS JOIN reading r ON r.setup_id = s.id"
)
_AT_ONCE = 1_000  # rows of one table in one statement
_KEYS_ONE_BY_ONE = 2_000  # summaries made again one by one; where more are touched, all are made again


class _Misfit(DataError):
    """What does not fit in a bundle, as words to go on with after its name."""


class Coming(Protocol):
    """What can be taken in: a bundle, or the hub as if it were one."""

    path: Path
    left: str  # what became of it where something in it is wrong, as a sentence

    @property
    def manifest(self) -> Manifest:
        """What it says of itself."""

    def prove(self) -> None:
        """Look at all of it before anything is used."""

    def lines(self, of: bytes = b"") -> Iterator[Line]:
        """Every entry in it, or those `of` a device."""

    def pictures(self) -> Iterator[tuple[str, bytes]]:
        """SHA-256 and bytes of each picture."""


@frozen
class TakenIn:
    """Rows that came, by table; what of the bundles has to wait, and what was wrong, in sentences."""

    counts: dict[str, int]
    waiting: tuple[str, ...]
    wrong: tuple[str, ...]

    @property
    def rows(self) -> int:
        """How many entries came."""
        return sum(self.counts.values())


def shops_of(con: sqlite3.Connection) -> set[bytes]:
    """The ids that this record takes for its own shop: that of its devices, and those that were adopted.

    Devices that came in with bundles are of a shop that was adopted, or they would not have come in.
    """
    shops = {row[0] for row in con.execute("SELECT DISTINCT shop_id FROM device")}
    return shops | {row[0] for row in con.execute("SELECT shop_id FROM shop_adopted")}


def is_bare(con: sqlite3.Connection) -> bool:
    """Whether nothing was entered here yet: such a record joins the shop whose bundles it reads first."""
    return con.execute("SELECT 1 FROM entry WHERE kind <> ? LIMIT 1", (DEVICE.number,)).fetchone() is None


def take_in(
    record: Record,
    bundles: Sequence[Coming],
    adopt: str = "",
    watch: Callable[[int], None] | None = None,
) -> TakenIn:
    """Take in the bundles that can be: whole ones, of this shop, that rest on nothing that is not there.

    `adopt` is the name of a bench of another shop whose rows are to be taken for this shop's. A bundle that is broken
    or does not fit (also one of a device that was written twice) is told and leaves nothing; the others come in.
    """
    wrong: list[str] = []
    good = proven(record, bundles, wrong)

    def work(tx: Transaction) -> TakenIn:
        return _all(tx, record, of_this_shop(tx, good, adopt, wrong), wrong, watch)

    return record.in_one_transaction(work)


def take_in_proven(record: Record, bundles: Sequence[Coming], watch: Callable[[int], None] | None = None) -> TakenIn:
    """The same of bundles that were proved and are known to be of this shop."""
    return record.in_one_transaction(lambda tx: _all(tx, record, bundles, [], watch))


def proven(record: Record, bundles: Sequence[Coming], wrong: list[str]) -> list[Coming]:
    """Those that are what they say they are, for a record that may be written to; what is wrong with others is told."""
    if record.read_only:
        raise RecordError(f"Nothing was taken in. {record.read_only_why}")
    good: list[Coming] = []
    for bundle in bundles:
        try:
            bundle.prove()
        except DataError as problem:
            wrong.append(str(problem))
            continue
        good.append(bundle)
    return good


def _all(
    tx: Transaction,
    record: Record,
    bundles: Sequence[Coming],
    wrong: list[str],
    watch: Callable[[int], None] | None,
) -> TakenIn:
    con = tx.con
    con.execute("PRAGMA defer_foreign_keys=ON")  # rows of one bundle may rest on those of another that comes after it
    taken = _Taken(con, record, watch)
    pending = list(bundles)
    while ready := closed(pending, frontier_of(con)):
        before = dict(taken.counts)
        con.execute("SAVEPOINT bundles")  # what is wrong with one keeps only those out that rest on it
        broken = _first_broken(con, taken, ready, wrong)
        if broken is None:
            pending = [bundle for bundle in pending if bundle not in ready]
        else:
            con.execute("ROLLBACK TO bundles")
            taken.drop()
            taken.counts = before
            pending.remove(broken)
        con.execute("RELEASE bundles")
    here = frontier_of(con)
    waiting = [waits(bundle, here) for bundle in pending]
    taken.summaries(tx)
    return TakenIn(taken.counts, tuple(waiting), tuple(wrong))


def of_this_shop(tx: Transaction, bundles: Sequence[Coming], adopt: str, wrong: list[str]) -> list[Coming]:
    """The bundles of this shop: of its own id, of one that it adopts, and of benches that adopted it in turn.

    One person decides once: a later bundle of a bench says that this shop is its own, and takes its earlier ones along.
    """
    ours, bare = shops_of(tx.con), is_bare(tx.con)
    fitting: list[Coming] = []
    others = list(bundles)
    while others:
        near = [bundle for bundle in others if ours & set(bundle.manifest.shops)]
        decided = not near and (bare or bool(adopt))
        if decided:
            near = [b for b in others if bare or b.manifest.bench.casefold() == adopt.casefold()][:1]
            bare = False
        if not near:
            break
        for bundle in near:
            others.remove(bundle)
            fitting.append(bundle)
            for shop in set(bundle.manifest.shops) - ours if decided else ():  # else its rows say so themselves
                row = SHOP_ADOPTED.row(ShopAdopted(shop_id=shop, name=bundle.manifest.bench or "?"), tx.new_id())
                tx.insert(SHOP_ADOPTED, row, None)
            ours |= set(bundle.manifest.shops)
    for bundle in others:
        wrong.append(
            f"{bundle.path.name} was not taken in: it comes from the bench “{bundle.manifest.bench}” of another shop. "
            "If that is one shop with this one, adopt it by that name."
        )
    return fitting


def closed(pending: Sequence[Coming], here: Frontier) -> list[Coming]:
    """The most bundles that can come in together, in an order in which every chain goes on.

    Two may rest on one another: a record that was copied goes on as a new device, and its older chain is sent later on.
    """
    kept = list(pending)
    while kept:
        reached, ordered, rest = dict(here), [], kept
        while on := [b for b in rest if all(reached.get(d, 0) >= b.manifest.after.get(d, 0) for d in b.manifest.until)]:
            for bundle in on:
                for device, seq in bundle.manifest.until.items():
                    reached[device] = max(reached.get(device, 0), seq)
            ordered += on
            rest = [bundle for bundle in rest if bundle not in on]
        closed = [b for b in ordered if all(reached.get(d, 0) >= seq for d, seq in b.manifest.needs.items())]
        if len(closed) == len(kept):
            return closed
        kept = closed
    return []


def _first_broken(con: sqlite3.Connection, taken: _Taken, ready: Sequence[Coming], wrong: list[str]) -> Coming | None:
    """Take these in; the first that is not what it should be, with what is wrong told, or None."""
    for bundle in ready:
        try:
            _one(con, taken, bundle)
        except RecordError as problem:
            wrong.append(str(problem))
            return bundle
    return None


def waits(bundle: Coming, here: Frontier) -> str:
    """What a bundle waits for, in a sentence."""
    said = bundle.manifest
    for device, seq in [*said.after.items(), *said.needs.items()]:
        if max(here.get(device, 0), said.until.get(device, 0) if device in said.needs else 0) < seq:
            return (
                f"{bundle.path.name} waits for entries {here.get(device, 0) + 1} to {seq} of device "
                f"{device.hex()[:8]}, which are not here yet."
            )
    return f"{bundle.path.name} waits for what it rests on."


class _Taken:
    """What came in so far."""

    def __init__(self, con: sqlite3.Connection, record: Record, watch: Callable[[int], None] | None) -> None:
        self.con, self.record, self._watch = con, record, watch
        self.counts: dict[str, int] = {}
        self._done = 0
        self._lines: list[Line] = []  # of one form, to be written with one statement
        con.execute(
            "CREATE TEMP TABLE IF NOT EXISTS came_in (id BLOB PRIMARY KEY, kind INTEGER NOT NULL) WITHOUT ROWID"
        )
        con.execute("DELETE FROM temp.came_in")

    def row(self, line: Line) -> None:
        """Take in a row with its entry; it is in the record after `write`."""
        if self._lines and (
            line.kind is not self._lines[0].kind or line.fmt != self._lines[0].fmt or len(self._lines) >= _AT_ONCE
        ):
            self.write()
        self._lines.append(line)

    def write(self) -> None:
        """Write the rows that are still to be written."""
        lines, self._lines = self._lines, []
        if not lines:
            return
        kind, fmt = lines[0].kind, lines[0].fmt
        names = kind.names_of(fmt) or ()
        insert = f"INSERT INTO {kind.table} ({', '.join(names)}) VALUES ({','.join('?' * len(names))})"
        entries = [(x.device, x.seq, kind.number, fmt, x.id, x.at_us, x.tz_min, x.by, x.hash) for x in lines]
        for statement, rows in ((insert, [line.values for line in lines]), (ADD_ENTRY, entries)):
            if self.con.executemany(statement, rows).rowcount != len(lines):
                raise RecordError("The record took a row and kept nothing: have it checked. Nothing was taken in.")
        if kind in (READING, SUPERSEDE, WITHDRAWAL):
            self.con.executemany("INSERT INTO temp.came_in VALUES (?, ?)", [(line.id, kind.number) for line in lines])
        self.counts[kind.table] = self.counts.get(kind.table, 0) + len(lines)
        before, self._done = self._done, self._done + len(lines)
        if self._watch is not None and self._done // 5_000 > before // 5_000:
            self._watch(self._done)

    def drop(self) -> None:
        """Forget the rows that are still to be written."""
        self._lines = []

    def summaries(self, tx: Transaction) -> None:
        """Move the summaries along: readings are added to theirs, what answers to others came for is made again."""
        again = {
            key
            for kind, what in ((SUPERSEDE, _ANSWERED), (WITHDRAWAL, _TAKEN_BACK))
            for key in self.con.execute(
                f"SELECT DISTINCT {KEY} FROM temp.came_in c CROSS JOIN {what} LEFT JOIN tool t ON t.id = r.tool_id "
                "WHERE c.kind = ?",
                (kind.number,),
            )
        }
        if len(again) > _KEYS_ONE_BY_ONE:
            tx.rebuild_summaries()
        else:
            counted = self.con.execute(
                "SELECT r.subject_id, r.feature_id, r.value, r.id, e.at_us FROM temp.came_in c "
                "CROSS JOIN reading_that_counts r ON r.id = c.id JOIN entry e ON e.id = c.id WHERE c.kind = ?",
                (READING.number,),
            ).fetchall()
            tx.add_to_summaries(counted)
            tx.summarise(again)
        self.con.execute("DELETE FROM temp.came_in")


def _one(con: sqlite3.Connection, taken: _Taken, bundle: Coming) -> None:
    """The rows of one bundle; what is here already is compared and skipped."""
    for digest, content in bundle.pictures():  # on the disk before the row that names them
        attachments.keep_bytes(taken.record.path, digest, content)
    ends: dict[bytes, ChainEnd] = {}
    promised = bundle.manifest.until
    try:
        for line in bundle.lines():
            if line.seq > promised.get(line.device, 0):
                raise _Misfit("it holds entries that its manifest does not name")
            end = ends[line.device] = ends.get(line.device) or end_of(con, line.device)
            if line.seq <= end.seq:
                taken.write()
                _same(con, line)
                continue
            if line.seq != end.seq + 1:
                raise _Misfit(f"entry {end.seq + 1} of device {line.device.hex()[:8]} is missing in it")
            if link(end.head, line.text) != line.hash:
                raise _Misfit(f"entry {line.seq} of device {line.device.hex()[:8]} is not what was written")
            taken.row(line)
            ends[line.device] = ChainEnd(line.device, line.seq, line.hash)
        taken.write()
        for device, seq in promised.items():
            if (ends.get(device) or end_of(con, device)).seq < seq:
                raise _Misfit(f"entries of device {device.hex()[:8]} that its manifest names are missing in it")
    except _Misfit as problem:
        raise RecordError(f"{bundle.path.name} was not taken in: {problem}. {bundle.left}") from problem
    except DataError as problem:
        raise RecordError(str(problem)) from problem
    except sqlite3.IntegrityError as problem:
        raise RecordError(
            f"{bundle.path.name} was not taken in: the record refuses a row of it ({problem}). {bundle.left}"
        ) from problem


def _same(con: sqlite3.Connection, line: Line) -> None:
    (written,) = con.execute(
        "SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (line.device, line.seq)
    ).fetchone()
    if written != line.hash:
        name = line.device.hex()[:8]
        raise RecordError(
            f"Device {name} was written twice: its entry {line.seq} is {written.hex()[:16]} here and "
            f"{line.hash.hex()[:16]} there. A record was copied and both went on. Nothing of it was taken in: "
            "open one of the two at its own machine, so that it begins a new device, and enter again what it had "
            "written since."
        )


def opened(paths: Iterable[object], wrong: list[str]) -> list[Bundle]:
    """Those of the files that are bundles; what is wrong with the others is told."""
    bundles = []
    for path in paths:
        assert isinstance(path, Path)
        try:
            bundles.append(Bundle(path))
        except InspectError as problem:
            wrong.append(str(problem))
    return bundles
