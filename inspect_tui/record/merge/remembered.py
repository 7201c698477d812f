"""How far a folder or hub was when it was last reached, kept beside the record: what is unsent can be told offline."""

from __future__ import annotations

from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from inspect_tui.record.merge.bundle import Frontier


def file_of(record: Path, where: str) -> Path:
    """What is remembered of a folder or address stands here; its name tells nothing of an address."""
    return record.with_name(f".{record.name}.shared-{sha256(where.encode()).hexdigest()[:16]}")


def remember(record: Path, where: str, frontier: Frontier) -> None:
    """That all of this is there; now."""
    text = "".join(f"{device.hex()} {seq}\n" for device, seq in sorted(frontier.items()))
    with suppress(OSError):  # then more is said to be unsent than is
        file_of(record, where).write_text(text)


def known(record: Path, where: str) -> tuple[Frontier, float | None]:
    """How far it was when it was last reached, and when that was (seconds since 1970; None: never)."""
    frontier: Frontier = {}
    file = file_of(record, where)
    with suppress(OSError, ValueError, IndexError):
        frontier = {
            bytes.fromhex(words[0]): int(words[1]) for line in file.read_text().splitlines() if (words := line.split())
        }
        return frontier, file.stat().st_mtime
    return {}, None


def unsent(own: Frontier, record: Path, where: str) -> int:
    """How many entries of this bench's own chains were not there when it was last reached."""
    there, _ = known(record, where)
    return sum(max(seq - there.get(device, 0), 0) for device, seq in own.items())
