"""A bundle: what one bench knows beyond a frontier, in one file that any other bench can take in.

A ZIP of `manifest.json` (who, of which shop, from where to where, what it rests on, a SHA-256 of every member),
`rows.jsonl` (a line an entry) and `att/<SHA-256>` (pictures). Nothing in it is trusted: names must match, sizes are
counted while reading, nothing is unpacked by name, and every row must continue the chain of its device.
"""

from __future__ import annotations

import json
import os
import re
import sqlite3
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from errno import ENOSPC
from hashlib import sha256
from pathlib import Path

from inspect_tui.errors import DataError, DiskFull, RecordError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.record import attachments
from inspect_tui.record.care.heads import heads_of
from inspect_tui.record.file.backup import clear, sync
from inspect_tui.record.file.place import full
from inspect_tui.record.kinds import ATTACHMENT
from inspect_tui.record.merge import lines
from inspect_tui.record.merge.lines import Line

FORMAT = "itui-bundle-1"
MOST_MEMBERS = 20_000
MOST_BYTES = 4 << 30  # unpacked
MOST_RATIO = 200  # unpacked to packed: text of numbers packs to a fifth
MOST_MANIFEST = 4 << 20

_UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    OSError,
    ValueError,
    NotImplementedError,
    RuntimeError,
    KeyError,
)
_MEMBER = re.compile(r"manifest\.json|rows\.jsonl|att/[0-9a-f]{64}")
_DEVICE_ENDS = 64  # of a line: its form, its kind and its device stand before
_DEVICE = re.compile(r"[0-9a-f]{32}")

Frontier = dict[bytes, int]  # device -> number of its last entry


@frozen_by_name
class Manifest:
    """What a bundle says of itself. `after`, `until`: which entries of which devices; `needs`: what it rests on."""

    bench: str
    device: bytes
    shops: tuple[bytes, ...]
    schema: int
    after: Frontier
    until: Frontier
    needs: Frontier
    members: Mapping[str, str]


def frontier_of(con: sqlite3.Connection) -> Frontier:
    """What a record knows: the last number of every device."""
    return {device: seq for device, (seq, _) in heads_of(con).items()}


# ------------------------------------------------------------------------------ out
def pack(
    con: sqlite3.Connection,
    record: Path,
    to: Path,
    after: Frontier,
    until: Frontier,
    manifest: Manifest,
    watch: Callable[[int], None] | None = None,
) -> Path:
    """Write the entries behind `after` up to `until` with their pictures to `to`: whole and flushed, or not at all.

    It is read back and compared before it has its name. RecordError or DiskFull with a sentence.
    """
    new = to.with_name(f".{to.name}.{os.getpid()}")
    clear(to.parent, f".{manifest.device.hex()}-" if to.name.startswith(manifest.device.hex()) else f".{to.name}.")
    try:
        members = _write(con, record, new, after, until, manifest, watch)
        sync(new)
        again = Bundle(new)
        if dict(again.manifest.members) != members:
            raise RecordError(f"{to.name} was not written as it should be: the disk gives back something else.")
        again.prove()
        new.replace(to)
        sync(to.parent)
    except OSError as error:
        if error.errno == ENOSPC:
            raise DiskFull(f"No bundle: {full(to)}. Nothing was written.") from error
        raise RecordError(f"No bundle can be written to {to.parent} ({error.strerror}).") from error
    finally:
        new.unlink(missing_ok=True)
    return to


def _write(
    con: sqlite3.Connection,
    record: Path,
    new: Path,
    after: Frontier,
    until: Frontier,
    manifest: Manifest,
    watch: Callable[[int], None] | None,
) -> dict[str, str]:
    members: dict[str, str] = {}
    pictures: set[str] = set()
    done = 0
    with zipfile.ZipFile(new, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        digest = sha256()
        with archive.open("rows.jsonl", "w", force_zip64=True) as rows:
            for device in sorted(until):
                for line in lines.write(con, device, after.get(device, 0), until[device]):
                    rows.write(line)
                    digest.update(line)
                    done += 1
                    if watch is not None and done % 5_000 == 0:
                        watch(done)
                    if b'["itui-1",' + _ATTACHMENT in line[:24]:
                        pictures.add(_picture_of(line))
        members["rows.jsonl"] = digest.hexdigest()
        for picture in sorted(pictures):
            source = attachments.stored_at(record, picture)
            if source.is_file():  # a lost one is no reason to keep the rest back; verify tells of it
                archive.write(source, f"att/{picture}", compress_type=zipfile.ZIP_STORED)
                members[f"att/{picture}"] = picture
        archive.writestr("manifest.json", _manifest_text(manifest, members))
    return members


_ATTACHMENT = b"%d," % ATTACHMENT.number


def _picture_of(line: bytes) -> str:
    made = lines.read(line)
    return str(made.values[made.kind.names.index("sha256")])


def _manifest_text(manifest: Manifest, members: dict[str, str]) -> str:
    def plain(frontier: Frontier) -> dict[str, int]:
        return {device.hex(): seq for device, seq in sorted(frontier.items())}

    return json.dumps(
        {
            "format": FORMAT,
            "bench": manifest.bench,
            "device": manifest.device.hex(),
            "shops": [shop.hex() for shop in manifest.shops],
            "schema": manifest.schema,
            "after": plain(manifest.after),
            "until": plain(manifest.until),
            "needs": plain(manifest.needs),
            "members": members,
        },
        indent=1,
    )


# ------------------------------------------------------------------------------ in
class Bundle:
    """A bundle that is read; DataError with what is wrong with it, in words that go on after `NAME: `."""

    def __init__(self, path: Path) -> None:
        self.path, self.left = path, "Nothing of it was used."
        with self._opened() as archive:
            self._sizes = self._looked_at(archive)
        self.manifest = self._manifest()

    def _opened(self) -> zipfile.ZipFile:
        """The file, open for one reading: a folder may hold thousands of bundles, more than may be open at once."""
        try:
            if not self.path.is_file():  # a pipe would be waited for
                raise DataError(f"{self.path.name} is no file: name the bundle (.itui) that another bench wrote.")
            return zipfile.ZipFile(self.path)
        except (OSError, zipfile.BadZipFile, ValueError, NotImplementedError) as wrong:
            why = getattr(wrong, "strerror", None) or wrong
            raise DataError(f"{self.path.name} is no bundle, or not all of it is there yet ({why}).") from wrong

    def _wrong(self, why: str) -> DataError:
        return DataError(f"{self.path.name} was not taken in: {why}. {self.left}")

    def _looked_at(self, archive: zipfile.ZipFile) -> dict[str, int]:
        """Names and promised sizes; both are only a first look, what is read is counted again."""
        infos = archive.infolist()
        if len(infos) > MOST_MEMBERS:
            raise self._wrong(f"it holds {len(infos)} files, and at most {MOST_MEMBERS} are read")
        names = [info.filename for info in infos]
        for name in names:
            if not _MEMBER.fullmatch(name):
                raise self._wrong(f"it holds a file that does not belong in one ({name[:60]!r})")
        if len(set(names)) != len(names):
            raise self._wrong("it holds two files of one name")
        packed = self.path.stat().st_size
        total = sum(info.file_size for info in infos)
        if total > MOST_BYTES or total > MOST_RATIO * max(packed, 1):
            raise self._wrong(f"{packed} bytes would become {total}")
        return {info.filename: info.file_size for info in infos}

    def _read(self, name: str, most: int) -> Iterator[bytes]:
        """The bytes of a member in pieces, never more than `most` of them."""
        done = 0
        try:
            with self._opened() as archive, archive.open(name) as member:
                while piece := member.read(1 << 18):
                    done += len(piece)
                    if done > most:
                        raise self._wrong(f"{name} is longer than it may be")
                    yield piece
        except _UNREADABLE as wrong:
            raise self._wrong(f"{name} cannot be read ({wrong})") from wrong

    def _manifest(self) -> Manifest:
        try:
            said = json.loads(b"".join(self._read("manifest.json", MOST_MANIFEST)))
            if said["format"] != FORMAT:
                raise self._wrong(f"its form is {str(said['format'])[:40]!r}, and this program reads {FORMAT}")
            members = {str(name): str(digest) for name, digest in said["members"].items()}
            return Manifest(
                bench=str(said["bench"])[:80],
                device=_device(said["device"]),
                shops=tuple(_device(shop) for shop in said["shops"]),
                schema=int(said["schema"]),
                after=_frontier(said["after"]),
                until=_frontier(said["until"]),
                needs=_frontier(said["needs"]),
                members=members,
            )
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as wrong:
            raise self._wrong("its manifest is not one") from wrong

    def prove(self) -> None:
        """Read all of it once and compare every member with its SHA-256."""
        promised = dict(self.manifest.members)
        there = self._sizes.keys() - {"manifest.json"}
        if there != promised.keys():
            raise self._wrong("it does not hold what its manifest names")
        for name, digest in promised.items():
            made = sha256()
            for piece in self._read(name, MOST_BYTES if name == "rows.jsonl" else attachments.MOST_BYTES):
                made.update(piece)
            if made.hexdigest() != digest or (name.startswith("att/") and name[4:] != digest):
                raise self._wrong(f"{name} is not what the manifest says")

    def lines(self, of: bytes = b"") -> Iterator[Line]:
        """Every entry in it, or those `of` a device."""
        rest, beginning = b"", of.hex().encode()
        for piece in self._read("rows.jsonl", MOST_BYTES):
            *whole, rest = (rest + piece).split(b"\n")
            if len(rest) > lines.LONGEST or any(len(line) > lines.LONGEST for line in whole):
                raise self._wrong("it holds a line that is too long")
            for line in whole:
                if beginning not in line[:_DEVICE_ENDS]:
                    continue
                try:
                    yield lines.read(line)
                except DataError as wrong:
                    raise self._wrong(str(wrong)) from wrong
        if rest:
            raise self._wrong("its last line is cut off")

    def pictures(self) -> Iterator[tuple[str, bytes]]:
        """SHA-256 and bytes of each picture."""
        for name in self.manifest.members:
            if name.startswith("att/"):
                yield name[4:], b"".join(self._read(name, attachments.MOST_BYTES))


def _device(text: object) -> bytes:
    if not isinstance(text, str) or not _DEVICE.fullmatch(text):
        raise ValueError(text)
    return bytes.fromhex(text)


def _frontier(said: Mapping[str, int]) -> Frontier:
    return {_device(device): int(seq) for device, seq in said.items()}
