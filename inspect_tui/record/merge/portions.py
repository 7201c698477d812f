"""Takes in portion by portion what came from elsewhere: each is one transaction, and the record is whole after it.

The chains go on turn about, the one with the oldest entry first, and no entry comes in before what it points to is
here. So an exchange that is cut or stopped keeps what it has, holds some entries in memory and never all of them, and
who logs readings meanwhile waits for one portion.
"""

from __future__ import annotations

import sqlite3
import time
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence

from inspect_tui.errors import DataError, RecordError
from inspect_tui.frozen import replace
from inspect_tui.record import attachments
from inspect_tui.record.kinds import Kind
from inspect_tui.record.merge.bundle import frontier_of
from inspect_tui.record.merge.lines import Line
from inspect_tui.record.merge.take_in import Coming, TakenIn, closed, of_this_shop, proven, take_in_proven, waits
from inspect_tui.record.store import Record

ENTRIES = 2_000  # of a portion: about 100 ms
FURTHEST = 20_000  # entries that are looked through for what one of them points to: a file names its readings' session
PAUSE_S = 0.03  # between two portions: longer than who waits for the lock sleeps between two tries
_KNOWN = 200_000  # ids that are remembered as being here

Watch = Callable[[int], None]


def take_in_portions(
    record: Record,
    sources: Sequence[Coming],
    adopt: str = "",
    watch: Watch | None = None,
    counts: Counter[str] | None = None,
) -> TakenIn:
    """As `take_in`, in portions. What came in before something was wrong, or before it was stopped (what `watch` or a
    source raises), stays in: each chain goes on there the next time. `counts`, by table, are added to as they come."""
    counts = Counter() if counts is None else counts
    wrong: list[str] = []
    good = proven(record, sources, wrong)
    fitting = record.in_one_transaction(lambda tx: of_this_shop(tx, good, adopt, wrong))
    ready = closed(fitting, frontier_of(record.connection))
    for source in ready:
        for digest, content in source.pictures():  # on the disk before the rows that name them
            attachments.keep_bytes(record.path, digest, content)
    waiting = [source for source in fitting if source not in ready]
    waiting += _in_turn(record, _strands(ready), counts, wrong, watch)
    here = frontier_of(record.connection)
    return TakenIn(dict(counts), tuple(waits(source, here) for source in waiting), tuple(wrong))


def _strands(ready: Sequence[Coming]) -> list[_Strand]:
    """A strand for every chain of these, those of one device one behind the other."""
    parts: dict[bytes, list[Coming]] = {}
    for source in ready:  # in an order in which every chain goes on
        for device, until in source.manifest.until.items():
            if until > source.manifest.after.get(device, 0):
                parts.setdefault(device, []).append(source)
    return [_Strand(device, sources) for device, sources in parts.items()]


def _in_turn(
    record: Record, strands: list[_Strand], counts: Counter[str], wrong: list[str], watch: Watch | None
) -> list[Coming]:
    """Take in all that can be; returns the sources of what cannot."""
    ground = _Ground(record)
    stuck: list[_Strand] = []
    whole = True
    while strands:
        strand = min(strands, key=lambda one: one.at_us)
        strands.remove(strand)
        try:
            portion = strand.portion(ground)
        except DataError as problem:
            wrong.append(str(problem))
            whole = False
            continue
        if portion is None:
            if not strand.ended:
                stuck.append(strand)
            if not strands and stuck and not ground.loose:
                strands, stuck, ground.loose = stuck, [], True
            continue
        came = take_in_proven(record, [portion])
        counts.update(came.counts)
        if watch is not None:
            watch(counts.total())
        if came.wrong or came.waiting:
            wrong += [*came.wrong, *came.waiting]
            whole = False
            continue
        strands, stuck, ground.loose = [*strands, strand, *stuck], [], False
        time.sleep(PAUSE_S)
    left = list({id(part): part for strand in stuck for part in strand.left()}.values())
    if left and whole:  # where it points far ahead, as a file of very many rows does, all comes at once
        try:
            came = take_in_proven(record, left, watch)
        except RecordError as problem:
            if not isinstance(problem.__cause__, sqlite3.IntegrityError):
                raise
            return left  # something that it points to is nowhere
        counts.update(came.counts)
        wrong += came.wrong
        return []
    return left


class _Strand:
    """A chain that goes on here, out of one source behind the other."""

    def __init__(self, device: bytes, parts: Sequence[Coming]) -> None:
        self.device, self.parts = device, list(parts)  # the first is the one that is read
        self._lines = self._read()
        self._ahead: deque[tuple[Coming, Line]] = deque()
        self._lacking: set[bytes] = set()  # where it could not go on: what was not here then
        self.at_us = 0  # when the last entry that came in was written
        self.ended = False

    def _read(self) -> Iterator[tuple[Coming, Line]]:
        while self.parts:
            part = self.parts[0]
            reached = part.manifest.after.get(self.device, 0)
            for line in part.lines(self.device):
                if line.seq != reached + 1:
                    raise self._lacks(part, f"entry {reached + 1} of device {self.device.hex()[:8]} is")
                reached = line.seq
                yield part, line
            if reached < part.manifest.until[self.device]:
                name = self.device.hex()[:8]
                raise self._lacks(part, f"entries of device {name} that its manifest names are")
            self.parts.pop(0)

    def _lacks(self, part: Coming, what: str) -> DataError:
        return DataError(f"{part.path.name} was not taken in: {what} missing in it. {part.left}")

    def left(self) -> list[Coming]:
        """The sources of the entries that did not come in."""
        return [*(part for part, _ in self._ahead), *self.parts]

    def _line(self, n: int) -> Line | None:
        """The nth of the entries to come."""
        while len(self._ahead) <= n:
            following = next(self._lines, None)
            if following is None:
                return None
            self._ahead.append(following)
        return self._ahead[n][1]

    def portion(self, ground: _Ground) -> _Portion | None:
        """The next entries that rest on what is here or on one another; None where not even the next one does."""
        if self._lacking and not ground.loose and not any(ground.is_here(id_) for id_ in self._lacking):
            return None
        lacking: set[bytes] = set()
        coming: set[bytes] = set()
        whole = n = 0
        while n < FURTHEST and (n < ENTRIES or not whole) and (line := self._line(n)) is not None:
            if n and line.seq <= self._ahead[n - 1][1].seq:
                break  # two sources speak of the same entries: the second is compared with what came of the first
            n += 1
            coming.add(line.id)
            lacking.discard(line.id)
            lacking.update(id_ for id_ in ground.under(line) if id_ not in coming and not ground.is_here(id_))
            if not lacking:
                whole = n
        self._lacking, self.ended = lacking, not n
        if not whole:
            return None
        taken = [self._ahead.popleft() for _ in range(whole)]
        self.at_us = taken[-1][1].at_us
        return _Portion(taken[0][0], self.device, [line for _, line in taken])


class _Portion:
    """Some entries of a chain, as if they were a bundle."""

    def __init__(self, part: Coming, device: bytes, lines: list[Line]) -> None:
        after = lines[0].seq - 1
        if after > part.manifest.after.get(device, 0):
            part.left = f"What stands before entry {after + 1} of device {device.hex()[:8]} stays."
        self.path, self.left = part.path, part.left
        self.manifest = replace(
            part.manifest,
            after={device: after},
            until={device: max(line.seq for line in lines)},
            needs={},
            members={},
        )
        self._lines = lines

    def prove(self) -> None:
        """The whole was proved before its first part."""

    def lines(self, of: bytes = b"") -> Iterator[Line]:
        """Its entries."""
        return iter(self._lines)

    def pictures(self) -> Iterator[tuple[str, bytes]]:
        """All pictures came before the first portion."""
        return iter(())


class _Ground:
    """What is here for further rows to rest on; `loose`: what is named without a key may come later."""

    def __init__(self, record: Record) -> None:
        self._record = record
        self._known: set[bytes] = set()
        self._keys: dict[Kind, list[int]] = {}
        self._names: dict[Kind, list[int]] = {}
        self.loose = False

    def under(self, line: Line) -> list[bytes]:
        """The ids that an entry points to."""
        kind = line.kind
        if kind not in self._keys:
            keyed = {row[3] for row in self._record.connection.execute(f"PRAGMA foreign_key_list({kind.table})")}
            self._keys[kind] = [at for at, name in enumerate(kind.names) if name in keyed]
            self._names[kind] = [at for at, name in enumerate(kind.names) if name == "about_id" and name not in keyed]
        pointing = self._keys[kind] if self.loose else self._keys[kind] + self._names[kind]
        under = [line.by, *(line.values[at] for at in pointing if at < len(line.values))]
        return [id_ for id_ in under if isinstance(id_, bytes)]

    def is_here(self, id_: bytes) -> bool:
        """Whether a row with this id is in the record."""
        if id_ in self._known:
            return True
        if self._record.connection.execute("SELECT 1 FROM entry WHERE id = ?", (id_,)).fetchone() is None:
            return False
        if len(self._known) > _KNOWN:
            self._known.clear()
        self._known.add(id_)
        return True
