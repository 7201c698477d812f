"""A folder that benches share (a share, a stick, a synced folder): each puts in what it wrote and takes what it lacks.

A bench writes only bundles of its own chains, under names that say which entries they hold, and never touches
another's. Whatever order they come in, and however often, every bench ends with the same record.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from inspect_tui.errors import RecordError
from inspect_tui.frozen import NamedTuple, frozen
from inspect_tui.record.file.connect import pragma
from inspect_tui.record.file.devices import lineage
from inspect_tui.record.merge import remembered
from inspect_tui.record.merge.bundle import Frontier, Manifest, frontier_of, pack
from inspect_tui.record.merge.portions import take_in_portions
from inspect_tui.record.merge.take_in import TakenIn, opened, shops_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.store import Record

SUFFIX = ".itui"
MOST_ENTRIES = 50_000  # in one bundle: one that is cut off on the way costs little

_NAME = re.compile(r"([0-9a-f]{32})-(\d{1,12})-(\d{1,12})\.itui")


class Named(NamedTuple):
    """A bundle by its name: entries `first` to `last` of a device."""

    device: bytes
    first: int
    last: int
    path: Path


@frozen
class Synced:
    """What came in, and the bundles that were written."""

    came: TakenIn
    written: tuple[Path, ...]


def bundles_in(folder: Path) -> list[Named]:
    """The bundles in a folder by their names; other files are none of ours."""
    named = []
    try:
        for path in sorted(folder.iterdir()):
            match = _NAME.fullmatch(path.name)
            if match and path.is_file():
                named.append(Named(bytes.fromhex(match[1]), int(match[2]), int(match[3]), path))
    except OSError as wrong:
        raise RecordError(f"The folder {folder} cannot be read ({wrong.strerror}): nothing was exchanged.") from wrong
    return named


def sync_folder(record: Record, folder: Path, adopt: str = "", watch: Callable[[int], None] | None = None) -> Synced:
    """Take in what the folder has and this record lacks, then put in what it lacks of this bench's own.

    RecordError with a sentence; what came in before stays in. Done again it changes nothing.
    """
    if not folder.is_dir():
        raise RecordError(f"There is no folder {folder}: make it, or put the stick in. Nothing was exchanged.")
    record.own_device()
    named = bundles_in(folder)
    here = frontier_of(record.connection)
    wrong: list[str] = []
    lacking = opened((one.path for one in named if one.last > here.get(one.device, 0)), wrong)
    came = take_in_portions(record, lacking, adopt, watch)
    here = frontier_of(record.connection)  # what is logged meanwhile is not said to be sent
    written = put_in(record, folder, named, watch)
    remembered.remember(record.path, str(folder), here)
    return Synced(TakenIn(came.counts, came.waiting, (*wrong, *came.wrong)), tuple(written))


def put_in(record: Record, folder: Path, named: list[Named], watch: Callable[[int], None] | None = None) -> list[Path]:
    """Write bundles of this bench's chains from where those in the folder end; returns them."""
    con = record.connection
    here = frontier_of(con)
    written = []
    for device in lineage(con, record.own_device()):
        after = covered([one for one in named if one.device == device])
        while after < here.get(device, 0):
            last = min(after + MOST_ENTRIES, here[device])
            path = folder / f"{device.hex()}-{after + 1}-{last}{SUFFIX}"
            needs = {other: seq for other, seq in here.items() if other != device}
            manifest = manifest_of(record, device, {device: after}, {device: last}, needs)
            written.append(pack(con, record.path, path, manifest.after, manifest.until, manifest, watch))
            after = last
    return written


def own_chains(record: Record) -> Frontier:
    """How far this bench's own chains are."""
    here = frontier_of(record.connection)
    return {device: here.get(device, 0) for device in record.own_devices()}


def unsent(record: Record, where: str) -> int:
    """How many entries of this bench were not in that folder or at that hub when it was last reached."""
    return remembered.unsent(own_chains(record), record.path, where)


def covered(named: list[Named]) -> int:
    """Up to which entry the bundles of a device follow one another without a gap."""
    reached = 0
    for part in sorted(named):
        if part.first <= reached + 1:
            reached = max(reached, part.last)
    return reached


def manifest_of(record: Record, device: bytes, after: Frontier, until: Frontier, needs: Frontier) -> Manifest:
    """What a bundle of this record says of itself."""
    con = record.connection
    row = con.execute("SELECT bench FROM device WHERE id = ?", (device,)).fetchone()
    return Manifest(
        bench=row[0] if row else "?",
        device=device,
        shops=tuple(sorted(shops_of(con))),
        schema=int(str(pragma(con, "user_version"))),
        after=after,
        until=until,
        needs=needs,
        members={},
    )
