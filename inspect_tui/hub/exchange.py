"""Pushes what a bench wrote to the hub and pulls what it lacks; cut off at any moment it goes on where it was."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import RecordError
from inspect_tui.frozen import frozen
from inspect_tui.hub import ddl
from inspect_tui.hub.chain import chain
from inspect_tui.hub.connect import HubError, NotReached, opened
from inspect_tui.hub.ddl import quoted
from inspect_tui.record import attachments
from inspect_tui.record.file.devices import lineage
from inspect_tui.record.kinds import ATTACHMENT, Kind
from inspect_tui.record.merge import lines, remembered
from inspect_tui.record.merge.bundle import Frontier, Manifest, frontier_of
from inspect_tui.record.merge.folder import own_chains, unsent
from inspect_tui.record.merge.lines import Line
from inspect_tui.record.merge.portions import take_in_portions
from inspect_tui.record.merge.take_in import TakenIn, shops_of
from inspect_tui.record.store import Record

if TYPE_CHECKING:
    import psycopg

    Watch = Callable[[int], None]

BATCH = 20_000  # entries in one transaction of a push
TRIES = 5  # in one call, each going on where the last one was cut


@frozen
class Exchanged:
    """What came in, how many entries were sent, and how many are still to be sent (the line was cut)."""

    came: TakenIn
    sent: int
    unsent: int
    wrong: str


def sync_hub(record: Record, address: str, watch: Watch | None = None) -> Exchanged:
    """Push, then pull. A line that is cut is tried again a few times; what cannot be sent now is sent next time."""
    record.own_device()
    counts: Counter[str] = Counter()
    came, sent, wrong = TakenIn({}, (), ()), 0, ""
    for _ in range(TRIES):
        wrong = ""
        try:
            with opened(address) as con:
                check_version(con)
                own = own_chains(record)  # what is logged meanwhile is not said to be sent
                for entries in push(record, con, watch):
                    sent += entries
                remembered.remember(record.path, address, {**remembered.known(record.path, address)[0], **own})
                came, known = pull(record, con, watch, counts)
                remembered.remember(record.path, address, known)
                break
        except NotReached as cut:
            wrong = str(cut)
            if not cut.cut:
                break
    came = TakenIn(dict(counts), came.waiting, came.wrong)
    return Exchanged(came, sent, unsent(record, address) if wrong else 0, wrong)


def check_version(con: psycopg.Connection[Any]) -> None:
    """Raise HubError where the hub is of another version."""
    row = con.execute("SELECT number FROM hub.version").fetchone()
    number = row[0] if row else 0
    if number != ddl.VERSION:
        newer = "the hub has to be brought forward first" if number < ddl.VERSION else "use the newer program"
        raise HubError(f"The hub is of version {number} and this program of {ddl.VERSION}: {newer}. Nothing was sent.")


# ------------------------------------------------------------------------------ push
def push(record: Record, con: psycopg.Connection[Any], watch: Watch | None = None) -> Iterator[int]:
    """Send this bench's own chains from where the hub ends, batch by batch; gives back how many entries each held."""
    local = record.connection
    here = frontier_of(local)
    done = 0
    for device in lineage(local, record.own_device()):
        row = con.execute(
            "SELECT seq, hash FROM hub.entry WHERE device_id = %s ORDER BY seq DESC LIMIT 1", (device,)
        ).fetchone()
        after = row[0] if row else 0
        if row is not None:
            _same_chain(record, device, after, bytes(row[1]), here)
        while after < here.get(device, 0):
            last = min(after + BATCH, here[device])
            read = [lines.read(line) for line in lines.write(local, device, after, last)]
            with con.transaction():
                _send(record, con, read)
            done += len(read)
            if watch is not None:
                watch(done)
            after = last
            yield len(read)


def _same_chain(record: Record, device: bytes, seq: int, written: bytes, here: Frontier) -> None:
    row = record.connection.execute("SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (device, seq)).fetchone()
    if row is not None and row[0] != written:
        raise HubError(
            f"Device {device.hex()[:8]} was written twice: its entry {seq} is {row[0].hex()[:16]} here and "
            f"{written.hex()[:16]} at the hub. A record was copied and both went on. Nothing was sent: open one of the "
            "two at its own machine, so that it begins a new device."
        )
    if row is None and here.get(device, 0) > seq:
        raise RecordError(f"Entry {seq} of device {device.hex()[:8]} is missing here: check the record.")


def _send(record: Record, con: psycopg.Connection[Any], read: list[Line]) -> None:
    by_kind: dict[Kind, list[Line]] = {}
    for line in read:
        by_kind.setdefault(line.kind, []).append(line)
    for kind, of_kind in by_kind.items():
        rows = [line.values + (None,) * (len(kind.names) - len(line.values)) for line in of_kind]
        _union(con, kind.table, kind.names, rows, key="id")
        if kind is ATTACHMENT:
            _send_pictures(record, con, [str(line.values[kind.names.index("sha256")]) for line in of_kind])
    entries = [(x.device, x.seq, x.kind.number, x.fmt, x.values[0], x.at_us, x.tz_min, x.by, x.hash) for x in read]
    _union(con, "entry", tuple(ddl.ENTRY), entries, key="device_id, seq")


def _union(
    con: psycopg.Connection[Any], table: str, names: Sequence[str], rows: Iterable[Sequence[Any]], key: str
) -> None:
    """Add rows that are not there and compare those that are: what stands there must be what was sent."""
    columns = ", ".join(quoted(name) for name in names)
    target, coming = f"hub.{quoted(table)}", f"coming_{table}"
    con.execute(f"CREATE TEMP TABLE {coming} (LIKE {target}) ON COMMIT DROP")
    con.execute(f"ALTER TABLE {coming} ALTER of_shop DROP NOT NULL")
    with con.cursor().copy(f"COPY {coming} ({columns}) FROM STDIN (FORMAT BINARY)") as copy:
        copy.set_types(ddl.types(table)[: len(names)])
        for values in rows:
            copy.write_row(values)
    con.execute(f"INSERT INTO {target} ({columns}) SELECT {columns} FROM {coming} ON CONFLICT DO NOTHING")
    there = ", ".join(f"t.{quoted(name)}" for name in names)
    sent = ", ".join(f"c.{quoted(name)}" for name in names)
    differing = con.execute(
        f"SELECT count(*) FROM {coming} c LEFT JOIN {target} t USING ({key}) "
        f"WHERE row({there}) IS DISTINCT FROM row({sent})"
    ).fetchone()
    if differing is None or differing[0]:
        raise HubError(f"The hub holds other rows of {table} under the same ids: nothing was sent. Check both records.")


def _send_pictures(record: Record, con: psycopg.Connection[Any], digests: list[str]) -> None:
    for digest in digests:
        file = attachments.stored_at(record.path, digest)
        if file.is_file():
            con.execute(
                "INSERT INTO hub.picture (sha256, content) VALUES (%s, %s) ON CONFLICT DO NOTHING",
                (digest, file.read_bytes()),
            )


# ------------------------------------------------------------------------------ pull
def pull(
    record: Record, con: psycopg.Connection[Any], watch: Watch | None = None, counts: Counter[str] | None = None
) -> tuple[TakenIn, Frontier]:
    """Take in all that the hub has of this shop and this record lacks, portion by portion; and the hub's frontier.

    The hub is read some thousand entries at a time, each lot with its rows as they stand at one moment; rows never
    change there, so the lots fit. Where the line is cut, what came in stays (also in `counts`).
    """
    import psycopg

    con.isolation_level = psycopg.IsolationLevel.REPEATABLE_READ
    con.read_only = True
    try:
        source = Source(record, con)
        came = TakenIn({}, (), ())
        if source.manifest.until != source.manifest.after:
            came = take_in_portions(record, [source], watch=watch, counts=counts)
    finally:
        con.isolation_level, con.read_only = None, None
    return came, source.manifest.until


class Source:
    """The hub as a bundle: what it has beyond what the record knows.

    `shop`: of this one alone, for a login that reads all of them; a bench sees its own in any case.
    """

    def __init__(self, record: Record, con: psycopg.Connection[Any], shop: int | None = None) -> None:
        self._con, self._shop = con, shop
        self.path, self.left = Path("hub"), "Nothing of it was used."
        here = frontier_of(record.connection)
        there = {
            bytes(device): int(seq)
            for device, seq in con.execute(
                "SELECT d.id, (SELECT max(e.seq) FROM hub.entry e WHERE e.device_id = d.id) FROM hub.device d "
                "WHERE of_shop = coalesce(%s, of_shop)",  # every chain begins with its device: no need to count all
                (shop,),
            ).fetchall()
        }
        self._pictures = _pictures_here(record)
        self.manifest = Manifest(
            bench="hub",
            device=b"\0" * 16,
            shops=tuple(shops_of(record.connection)),
            schema=0,
            after={device: min(here.get(device, 0), seq) for device, seq in there.items()},
            until=there,
            needs={},
            members={},
        )

    def prove(self) -> None:
        """Nothing to read beforehand: every row is proved by its chain."""

    def lines(self, of: bytes = b"") -> Iterator[Line]:
        """Every entry that is lacking, chain by chain, or those `of` a device."""
        after = self.manifest.after
        for device in [of] if of else sorted(after):
            for held in chain(self._con, device, after[device]):
                if held.kind is None:
                    raise HubError(f"The hub holds entries of kind {held.number}, which only a newer program knows.")
                if held.line is None:
                    raise HubError(
                        f"The hub has lost rows of {held.kind.table}: have it checked. Nothing was taken in."
                    )
                yield held.line

    def pictures(self) -> Iterator[tuple[str, bytes]]:
        """Pictures of the shop that are not beside the record."""
        wanted = [
            row[0]
            for row in self._con.execute(
                "SELECT DISTINCT sha256 FROM hub.picture WHERE of_shop = coalesce(%s, of_shop)", (self._shop,)
            ).fetchall()
            if row[0] not in self._pictures
        ]
        for digest in wanted:
            row = self._con.execute("SELECT content FROM hub.picture WHERE sha256 = %s", (digest,)).fetchone()
            if row is not None:
                yield digest, bytes(row[0])


def _pictures_here(record: Record) -> set[str]:
    folder = attachments.folder_of(record.path)
    return {file.name for file in folder.glob("??/*")} if folder.is_dir() else set()
