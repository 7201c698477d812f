"""Pictures beside the record: bytes in att/ab/abcd..., named by their hash, on the disk before the row naming them."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from struct import unpack
from tempfile import NamedTemporaryFile
from typing import TYPE_CHECKING

from inspect_tui.errors import DiskFull, RecordError
from inspect_tui.model.kit import Attachment
from inspect_tui.record.file.backup import clear, sync
from inspect_tui.record.heic import as_jpeg, is_heic, refuse_too_many
from inspect_tui.record.text import clean

if TYPE_CHECKING:
    from inspect_tui.record.store import Record

MOST_BYTES = 25 << 20
MOST_PIXELS = 100_000  # a side
_PNG = b"\x89PNG\r\n\x1a\n"
_FRAMES = set(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # JPEG markers that carry a picture's size


def folder_of(record_path: Path) -> Path:
    """Where the pictures of a record lie."""
    return record_path.parent / "att"


def stored_at(record_path: Path, digest: str) -> Path:
    """Where the bytes with this SHA-256 lie, whether or not they are there. RecordError for what is no hash."""
    if not re.fullmatch("[0-9a-f]{64}", digest):
        raise RecordError("That is no SHA-256 of a picture.")
    return folder_of(record_path) / digest[:2] / digest


def look(data: bytes) -> tuple[str, int, int]:
    """Media type, width and height of a JPEG or PNG by its content. RecordError for anything else."""
    if data.startswith(_PNG) and len(data) >= 33 and data[12:16] == b"IHDR":
        width, height = unpack(">II", data[16:24])
        if b"IEND" not in data[-16:]:
            raise RecordError("The picture is cut off: its end is missing. Copy it again.")
        return _sized("image/png", width, height)
    if data.startswith(b"\xff\xd8\xff"):
        return _sized("image/jpeg", *_jpeg_size(data))
    raise RecordError("That is no picture: JPEG and PNG are kept, told by their content and not by their name.")


def _sized(media: str, width: int, height: int) -> tuple[str, int, int]:
    if not (0 < width <= MOST_PIXELS and 0 < height <= MOST_PIXELS):
        raise RecordError(f"The picture says that it is {width} by {height} dots: that is no photograph.")
    refuse_too_many(width, height)
    return media, width, height


def _jpeg_size(data: bytes) -> tuple[int, int]:
    at = 2
    while at + 9 <= len(data):
        if data[at] != 0xFF:
            break
        marker = data[at + 1]
        if marker == 0xFF:
            at += 1
            continue
        if marker in _FRAMES:
            height, width = unpack(">HH", data[at + 5 : at + 9])
            return width, height
        if marker in (0xD8, 0x01) or 0xD0 <= marker <= 0xD7:
            at += 2
            continue
        if marker in (0xDA, 0xD9):
            break
        at += 2 + max(unpack(">H", data[at + 2 : at + 4])[0], 2)
    raise RecordError("The picture cannot be read: a JPEG without its size. Copy it again.")


def shown_name(name: str) -> str:
    """A name as people may see it: the last part of a path, without control characters, at most 120 long."""
    last = re.split(r"[\\/]", clean(name.replace("\x00", ""), newline=False))[-1].strip().strip(".")
    if not last:
        return "picture"
    stem, dot, suffix = last.rpartition(".")
    if len(last) > 120 and dot and len(suffix) <= 5:
        return f"{stem[: 119 - len(suffix)]}.{suffix}"
    return last[:120]


def read_picture(path: Path) -> bytes:
    """The bytes of a picture file, of HEIC as JPEG; RecordError when it is missing, no file, huge, or not readable."""
    try:
        if not path.is_file():
            raise RecordError(f"{shown_name(str(path))} is not a file: check the name.")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise RecordError(
                f"{shown_name(str(path))} has {size / 1048576:.0f} MB; at most 25 MB are kept. Make it smaller first."
            )
        content = path.read_bytes()
    except OSError as problem:
        raise RecordError(f"{shown_name(str(path))} cannot be read: {problem.strerror or problem}.") from problem
    return as_jpeg(content, shown_name(path.name)) if is_heic(content) else content


def keep(record: Record, data: bytes, name: str, by: bytes | None = None) -> Attachment:
    """Put a picture beside the record and write its row; the same content is kept once.

    The bytes go to a temporary name, are flushed to the disk and renamed, before the row is written: a row never names
    bytes that are not there. Raises RecordError with a sentence, and nothing is kept then.
    """
    made, known = put(record, data, name)
    return made if known else record.add(made, by)


def put(record: Record, data: bytes, name: str) -> tuple[Attachment, bool]:
    """Put a picture's bytes beside the record; its row, and whether that is in the record already.

    A new row carries its id and is still to be written. Raises RecordError with a sentence.
    """
    if record.read_only:
        raise RecordError(f"The picture was not kept. {record.read_only_why}")
    if len(data) > MOST_BYTES:
        size = f"{len(data) / 1048576:.0f} MB"
        raise RecordError(f"The picture has {size}; at most 25 MB are kept. Make it smaller first.")
    media, width, height = look(data)
    digest = sha256(data).hexdigest()
    _put(stored_at(record.path, digest), data)
    known = record.attachments(digest)
    if known:
        return known[-1], True
    made = Attachment(
        id=record.new_id(),
        sha256=digest,
        bytes=len(data),
        media=media,
        width_px=width,
        height_px=height,
        shown_name=shown_name(name),
    )
    return made, False


def _put(target: Path, data: bytes) -> None:
    if target.is_file() and sha256(target.read_bytes()).hexdigest() == target.name:
        return
    temporary = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        clear(target.parent, ".")
        with NamedTemporaryFile(dir=target.parent, prefix=".new-", suffix=f".{os.getpid()}", delete=False) as file:
            temporary = Path(file.name)
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(target)
        with suppress(OSError):  # the name itself is on the disk only when its folder is
            sync(target.parent)
    except OSError as problem:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()
        raise DiskFull(f"The picture was not kept: {problem.strerror or problem}.") from problem


def keep_bytes(record_path: Path, digest: str, data: bytes) -> None:
    """Put bytes that came with another bench's rows beside the record, once. RecordError where they are not that."""
    if sha256(data).hexdigest() != digest:
        raise RecordError("A picture is not what its name says: it was not kept.")
    target = stored_at(record_path, digest)
    if not target.is_file():
        _put(target, data)


def missing(record: Record) -> list[Attachment]:
    """Pictures whose bytes are not beside the record, or are not what they were."""
    gone = []
    for picture in record.attachments():
        path = stored_at(record.path, picture.sha256)
        if not path.is_file() or path.stat().st_size != picture.bytes:
            gone.append(picture)
    return gone
