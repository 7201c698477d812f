"""One entry of a chain with its row as a line of text: the canonical bytes that are hashed, a tab, the hash."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple
from inspect_tui.record.chain.canon import canonical
from inspect_tui.record.kinds import BY_NUMBER, Kind, Value

LONGEST = 64 << 10  # bytes of a line: the longest text that is kept, escaped, is shorter


class Line(NamedTuple):
    """An entry and the values of its row, as they go into the tables."""

    device: bytes
    seq: int
    kind: Kind
    fmt: int
    at_us: int
    tz_min: int
    by: bytes | None
    values: tuple[Value, ...]
    text: bytes
    hash: bytes

    @property
    def id(self) -> bytes:
        """The id of its row."""
        return bytes(self.values[0])  # type: ignore[arg-type]  # the first column of every table


def write(con: sqlite3.Connection, device: bytes, after: int, until: int) -> Iterator[bytes]:
    """The lines of a device's entries `after` + 1 to `until`, each with its newline."""
    entries = con.execute(
        "SELECT seq, kind, fmt, id, at_us, tz_min, by_id, hash FROM entry "
        "WHERE device_id = ? AND seq > ? AND seq <= ? ORDER BY seq",
        (device, after, until),
    )
    rows = con.cursor()
    for seq, number, fmt, row_id, at_us, tz_min, by, written in entries:
        kind = BY_NUMBER.get(number)
        names = kind.names_of(fmt) if kind is not None else None
        if kind is None or names is None:
            raise DataError(f"Entry {seq} is of a kind that this program does not know: use the newer program.")
        row = rows.execute(f"SELECT {', '.join(names)} FROM {kind.table} WHERE id = ?", (row_id,)).fetchone()
        if row is None:
            raise DataError(f"Entry {seq} has lost its {kind.what}: check the record before it is sent on.")
        yield canonical(number, fmt, device, seq, at_us, tz_min, by, row) + b"\t" + written.hex().encode() + b"\n"


def read(line: bytes) -> Line:
    """A line as it came from elsewhere. DataError where it is none that this program could have written."""
    text, _, hashed = line.rstrip(b"\n").rpartition(b"\t")
    try:
        form, number, fmt, device, seq, at_us, tz_min, by, *values = json.loads(text)
        kind = BY_NUMBER[number]
        names = kind.names_of(fmt)
        made = Line(
            device=bytes.fromhex(device),
            seq=int(seq),
            kind=kind,
            fmt=int(fmt),
            at_us=int(at_us),
            tz_min=int(tz_min),
            by=None if by is None else bytes.fromhex(by),
            values=tuple(
                [None if value is None else of(value) for of, value in zip(_readers(kind), values, strict=False)]
            ),
            text=text,
            hash=bytes.fromhex(hashed.decode("ascii")),
        )
        whole = form == "itui-1" and names is not None and len(values) == len(names) and len(made.device) == 16
        same = canonical(number, fmt, made.device, made.seq, made.at_us, made.tz_min, made.by, made.values) == text
        if not (whole and same and len(made.hash) == 32 and made.seq > 0):
            raise ValueError
    except KeyError as unknown:
        raise DataError(
            f"it holds entries of kind {unknown}, which this program does not know: use the newer one"
        ) from None
    except (ValueError, TypeError, AttributeError, OverflowError, RecursionError):
        raise DataError("it holds a line that is no entry") from None
    return made


@cache
def _readers(kind: Kind) -> tuple[Callable[[Any], Value], ...]:
    """What makes each of its columns' values of what JSON gives; all of them raise where it is something else."""
    return tuple(_READERS.get(column.type, _text) for column in kind.columns)


def _whole(value: object) -> Value:
    if type(value) is not int:  # no bool
        raise ValueError(value)
    return value


def _text(value: object) -> Value:
    if type(value) is not str:
        raise ValueError(value)
    return value


_READERS: dict[str, Callable[[Any], Value]] = {
    "b": bytes.fromhex,
    "r": float.fromhex,
    "i": _whole,
    "o": _whole,
}
