"""Plain drawn pictures for the demo: a core as a block with its prints and its number, and the casting; as PNG the
same to the byte.

They stand where a shop puts photographs. The file is written with stored (not compressed) blocks, so that its bytes
do not depend on a version of the compressing library.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256
from pathlib import Path
from struct import pack
from zlib import adler32, crc32

from inspect_tui.demo import scenario as job
from inspect_tui.record.attachments import stored_at

WIDTH, HEIGHT = 240, 160
PALETTE = ((250, 250, 246), (205, 180, 140), (120, 95, 60), (30, 30, 30))  # paper, sand, print, ink
DIGITS = {  # rows of a 5 by 7 figure
    "0": "01110 10001 10011 10101 11001 10001 01110",
    "1": "00100 01100 00100 00100 00100 00100 01110",
    "2": "01110 10001 00001 00110 01000 10000 11111",
    "3": "11110 00001 00001 01110 00001 00001 11110",
    "4": "00010 00110 01010 10010 11111 00010 00010",
    "5": "11111 10000 11110 00001 00001 10001 01110",
    "6": "00110 01000 10000 11110 10001 10001 01110",
    "7": "11111 00001 00010 00100 01000 01000 01000",
    "8": "01110 10001 10001 01110 10001 10001 01110",
    "9": "01110 10001 10001 01111 00001 00010 01100",
}
# body (x, y, width, height) and prints of each core, in dots of the picture
SHAPES: dict[int, tuple[tuple[int, int, int, int], tuple[tuple[int, int, int, int], ...]]] = {
    1: ((20, 60, 200, 50), ((45, 110, 24, 16), (171, 110, 24, 16))),
    2: ((80, 40, 80, 80), ((105, 120, 30, 16),)),
    3: ((20, 40, 200, 40), ((35, 80, 20, 40), (85, 80, 20, 40), (135, 80, 20, 40), (185, 80, 20, 40))),
    4: ((40, 55, 130, 45), ((170, 60, 40, 35), (25, 70, 15, 15))),
    5: ((20, 50, 200, 50), ((40, 100, 14, 12), (90, 100, 14, 12), (140, 100, 14, 12), (190, 100, 14, 12))),
    6: ((95, 40, 50, 90), ((100, 24, 40, 16), (105, 130, 30, 14))),
    7: ((60, 45, 120, 70), ((80, 115, 60, 18),)),
}


CASTING = "the casting.png"
# the casting from above, in dots: flange, branches to the ports, body, outlet neck and flange, water outlet and inlet
PARTS = (
    ((10, 118, 220, 20), 1),
    *(((x, 84, 22, 34), 1) for x in (24, 72, 120, 168)),
    ((14, 44, 180, 40), 1),
    ((194, 50, 26, 28), 1),
    ((220, 40, 12, 48), 2),
    ((150, 22, 30, 22), 2),
    ((160, 28, 10, 10), 0),
    ((60, 58, 10, 10), 0),
)
NUMBERS = "F59 69 21; F60 27 39; F61 15 60; F62 5 84; F63 53 66; F64 64 17; G3 40 85; G4 95 32"


def casting() -> bytes:
    """The picture of the casting."""
    canvas = [bytearray(WIDTH) for _ in range(HEIGHT)]
    for box, colour in PARTS:
        _block(canvas, *box, colour)
    return png(canvas, PALETTE)


def drawn(number: int) -> bytes:
    """The picture of one core."""
    canvas = [bytearray(WIDTH) for _ in range(HEIGHT)]
    body, prints = SHAPES[number]
    for x, y, w, h in prints:
        _block(canvas, x, y, w, h, 2)
    _block(canvas, *body, 1)
    _figure(canvas, str(number), body[0] + 8, body[1] + 6, 4)
    return png(canvas, PALETTE)


def _block(canvas: Sequence[bytearray], x: int, y: int, w: int, h: int, colour: int) -> None:
    for row in range(y, y + h):
        for column in range(x, x + w):
            edge = row in (y, y + h - 1) or column in (x, x + w - 1)
            canvas[row][column] = 3 if edge else colour


def _figure(canvas: Sequence[bytearray], text: str, x: int, y: int, size: int) -> None:
    for n, digit in enumerate(text):
        for r, bits in enumerate(DIGITS[digit].split()):
            for c, bit in enumerate(bits):
                if bit == "1":
                    for dy in range(size):
                        for dx in range(size):
                            canvas[y + r * size + dy][x + (6 * n + c) * size + dx] = 3


def png(rows: Sequence[bytes | bytearray], palette: Sequence[tuple[int, int, int]]) -> bytes:
    """A PNG of up to four colours, two bits a dot. Source: W3C Portable Network Graphics; RFC 1950 and 1951."""
    width = len(rows[0])
    raw = bytearray()
    for row in rows:
        raw.append(0)  # no filter
        padded = bytes(row) + bytes(-width % 4)
        raw += bytes(
            padded[i] << 6 | padded[i + 1] << 4 | padded[i + 2] << 2 | padded[i + 3] for i in range(0, len(padded), 4)
        )
    header = pack(">IIBBBBB", width, len(rows), 2, 3, 0, 0, 0)
    colours = b"".join(bytes(colour) for colour in palette)
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        _chunk(kind, data)
        for kind, data in ((b"IHDR", header), (b"PLTE", colours), (b"IDAT", _stored(bytes(raw))), (b"IEND", b""))
    )


def _chunk(kind: bytes, data: bytes) -> bytes:
    return pack(">I", len(data)) + kind + data + pack(">I", crc32(kind + data))


def _stored(raw: bytes) -> bytes:
    out = bytearray(b"\x78\x01")
    blocks = [raw[i : i + 65535] for i in range(0, len(raw), 65535)] or [b""]
    for n, block in enumerate(blocks):
        out += pack("<BHH", n == len(blocks) - 1, len(block), 0xFFFF - len(block)) + block
    return bytes(out + pack(">I", adler32(raw)))


def every() -> Iterable[tuple[int, str, bytes]]:
    """(core number, name as shown, bytes) of the pictures of cores."""
    for core in sorted(job.CORES, key=lambda c: c.number):
        yield core.number, f"core {core.number} {core.name}.png", drawn(core.number)


def put_beside(record_path: Path) -> int:
    """Put the pictures where a record at this path looks for them; returns how many were written."""
    count = 0
    for content in (*(drawn for _, _, drawn in every()), casting()):
        target = stored_at(record_path, sha256(content).hexdigest())
        if not target.is_file():
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
            count += 1
    return count
