"""The drawn pictures of the demo are pictures, each of its own core, the same every time."""

from __future__ import annotations

import zlib
from hashlib import sha256
from pathlib import Path
from struct import unpack

from inspect_tui.demo import pictures
from inspect_tui.record import attachments
from inspect_tui.record.store import Record


def test_a_picture_is_a_whole_png_of_its_size(tmp_path: Path) -> None:
    data = pictures.drawn(3)
    assert attachments.look(data) == ("image/png", pictures.WIDTH, pictures.HEIGHT)
    at, chunks = 8, {}
    while at < len(data):
        length, kind = unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + length]
        assert unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + body)
        chunks[kind] = body
        at += 12 + length
    # PNG specification: two bits a dot, every row with its filter byte
    assert len(zlib.decompress(chunks[b"IDAT"])) == pictures.HEIGHT * (1 + pictures.WIDTH // 4)
    assert list(chunks) == [b"IHDR", b"PLTE", b"IDAT", b"IEND"]


def test_pictures_of_cores_differ_and_come_out_the_same_every_time() -> None:
    every = {sha256(data).hexdigest() for _, _, data in pictures.every()}
    assert len(every) == 7
    assert every == {sha256(data).hexdigest() for _, _, data in pictures.every()}


def test_pictures_of_the_record_can_be_put_beside_it(record: Record, tmp_path: Path) -> None:
    assert len(attachments.missing(record)) == 8
    assert pictures.put_beside(tmp_path / "demo.db") == 8
    assert pictures.put_beside(tmp_path / "demo.db") == 0
    for one in record.attachments():
        path = attachments.stored_at(tmp_path / "demo.db", one.sha256)
        assert sha256(path.read_bytes()).hexdigest() == one.sha256
        assert path.stat().st_size == one.bytes
