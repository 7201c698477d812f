"""Reads a device's entries at the hub with the rows they speak of, in order, some thousands at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import NamedTuple
from inspect_tui.hub import ddl
from inspect_tui.hub.ddl import quoted
from inspect_tui.record.chain.canon import canonical
from inspect_tui.record.kinds import BY_NUMBER, Kind
from inspect_tui.record.merge.lines import Line

if TYPE_CHECKING:
    import psycopg

READ_AT_ONCE = 2_000


class Held(NamedTuple):
    """An entry; `kind` is None where only a newer program knows it, `line` too where its row is not there."""

    seq: int
    number: int
    id: bytes
    hash: bytes
    kind: Kind | None
    line: Line | None


def chain(con: psycopg.Connection[Any], device: bytes, after: int = 0) -> Iterator[Held]:
    """The entries of a device behind number `after`."""
    while True:
        with con.transaction():
            entries = con.execute(
                f"SELECT {', '.join(ddl.ENTRY)} FROM hub.entry WHERE device_id = %s AND seq > %s ORDER BY seq LIMIT %s",
                (device, after, READ_AT_ONCE),
            ).fetchall()
            rows = _rows(con, entries)
        if not entries:
            return
        for _, seq, number, fmt, row_id, at_us, tz_min, by, written in entries:
            kind = BY_NUMBER.get(number)
            names = kind.names_of(fmt) if kind is not None else None
            there = rows.get(number, {}).get(bytes(row_id))
            line = None
            if kind is not None and names is not None and there is not None:
                who, values = None if by is None else bytes(by), there[: len(names)]
                line = Line(
                    device=device,
                    seq=seq,
                    kind=kind,
                    fmt=fmt,
                    at_us=at_us,
                    tz_min=tz_min,
                    by=who,
                    values=values,
                    text=canonical(number, fmt, device, seq, at_us, tz_min, who, values),
                    hash=bytes(written),
                )
            known = kind if names is not None else None
            yield Held(seq=seq, number=number, id=bytes(row_id), hash=bytes(written), kind=known, line=line)
        after = entries[-1][1]


def _rows(con: psycopg.Connection[Any], entries: list[tuple[Any, ...]]) -> dict[int, dict[bytes, tuple[Any, ...]]]:
    """The rows of these entries by number of their kind and id."""
    ids: dict[int, list[bytes]] = {}
    for entry in entries:
        ids.setdefault(entry[2], []).append(bytes(entry[4]))
    rows: dict[int, dict[bytes, tuple[Any, ...]]] = {}
    for number, wanted in ids.items():
        kind = BY_NUMBER.get(number)
        if kind is None:
            continue
        columns = ", ".join(quoted(name) for name in kind.names)
        read = con.execute(f"SELECT {columns} FROM hub.{quoted(kind.table)} WHERE id = ANY(%s)", (wanted,)).fetchall()
        rows[number] = {
            bytes(row[0]): tuple(bytes(v) if isinstance(v, bytes | memoryview) else v for v in row) for row in read
        }
    return rows
