"""The canonical bytes of a row and the chain of hashes over them.

hash = SHA-256(hash before || bytes); before the first stands SHA-256("itui-genesis" || device id). The bytes are a
JSON array without blanks in UTF-8: ["itui-1",kind,fmt,device,seq,at_us,tz_min,by,column,...]; blobs as lower-case
hex, REAL as C99 hexadecimal floating point (float.hex), absent values as null.
These bytes must never change: old files are checked with them.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

TYPE_CHECKING = False
if TYPE_CHECKING:
    from hashlib import sha256 as sha256  # offered from here

    from inspect_tui.record.kinds import Value
else:
    try:  # the interpreter's own SHA-256; hashlib would load OpenSSL for it, 2 ms of every `log`
        from _sha256 import sha256
    except ImportError:
        from hashlib import sha256

_encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode


def canonical(
    kind: int, fmt: int, device: bytes, seq: int, at_us: int, tz_min: int, by: bytes | None, values: Sequence[Value]
) -> bytes:
    """The bytes that the hash of this row is made from; `values` in schema order, the row's id first."""
    row: list[str | int | None] = ["itui-1", kind, fmt, device.hex(), seq, at_us, tz_min]
    for value in (by, *values):
        if isinstance(value, bytes):
            row.append(value.hex())
        elif isinstance(value, float):
            row.append((value + 0.0).hex())  # a REAL column gives -0.0 back as 0.0
        else:
            row.append(value)
    return _encode(row).encode()


def genesis(device: bytes) -> bytes:
    """What stands before the first hash of a device."""
    return sha256(b"itui-genesis" + device).digest()


def link(before: bytes, row: bytes) -> bytes:
    """The next hash of the chain."""
    return sha256(before + row).digest()


def head_text(device: bytes, seq: int, head: bytes) -> str:
    """`device·seq·first 16 hex of the hash`: what a report prints, so that the end of the chain is known outside."""
    return f"{device.hex()}·{seq}·{head.hex()[:16]}"
