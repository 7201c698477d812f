"""Every page of a record torn, every byte order of it cut short: it is never shown as whole, and the rest is saved.

Some pages of each sort at every run, all of them with `--hypothesis-profile=long`.
"""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.errors import InspectError
from inspect_tui.record import attachments
from inspect_tui.record.care.salvage import salvage
from inspect_tui.record.file.connect import to_read
from inspect_tui.record.store import Record
from tests.amounts import some
from tests.record.care.test_whole import DOT
from tests.record.conftest import furnish

PAGE = 4096


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A closed record with 400 readings, some taken out, notes that are longer than a page, and a picture's row."""
    folder = tmp_path_factory.mktemp("pages")
    path = folder / "shop.db"
    with Record.open(path, create=True, state_dir=folder) as made:
        bench = furnish(made)
        logged = made.append_readings([bench.reading(59 + n / 1000, n % 2) for n in range(400)])
        for one in logged[::40]:
            made.void(one.id, "misread", "drawn " * 60, bench.person.id)
        attachments.keep(made, DOT, "seat.png", bench.person.id)
    return path.read_bytes()


def values(path: Path) -> dict[bytes, float]:
    con = sqlite3.connect(to_read(path), uri=True)
    try:
        return dict(con.execute("SELECT id, value FROM reading").fetchall())
    finally:
        con.close()


def torn(content: bytes, page: int, dice: random.Random) -> bytes:
    """The head of a page, its middle or all of it is something else."""
    start, length = dice.choice(((0, 16), (dice.randrange(8, PAGE - 64), 64), (0, PAGE), (0, 1)))
    at = (
        page * PAGE + start + (100 if page == 0 and start == 0 else 0)
    )  # the first has the name of the format before it
    filling = dice.choice((b"\0", b"\xff", b"\xa5")) * length
    return content[:at] + filling + content[at + length :][: len(content) - at - length]


def cut(content: bytes, page: int, _: random.Random) -> bytes:
    """It ends where a page begins."""
    return content[: page * PAGE]


def sort_of(content: bytes, page: int) -> int:
    return 1 if page == 0 else content[page * PAGE]


def chosen(content: bytes, dice: random.Random) -> list[int]:
    """Pages of every sort: inner and leaf of tables and indexes, and those that only go on."""
    by_sort: dict[int, list[int]] = {}
    for page in range(len(content) // PAGE):
        by_sort.setdefault(sort_of(content, page), []).append(page)
    return [page for pages in by_sort.values() for page in dice.sample(pages, min(len(pages), some(3, 10_000)))]


@pytest.mark.parametrize("spoil", [torn, cut])
def test_what_is_damaged_is_never_whole_and_the_rest_is_saved(
    record: bytes, tmp_path: Path, spoil: Callable[[bytes, int, random.Random], bytes]
) -> None:
    dice = random.Random(20261129)
    whole = tmp_path / "whole.db"
    whole.write_bytes(record)
    written = values(whole)
    saved_all = 0
    pages = chosen(record, dice)
    assert {0x02, 0x05, 0x0A, 0x0D} & {sort_of(record, page) for page in pages} >= {0x02, 0x0A, 0x0D}
    for page in pages:
        damaged, saved = tmp_path / f"damaged-{page}.db", tmp_path / f"saved-{page}.db"
        damaged.write_bytes(content := spoil(record, page, dice))
        if content == record:
            continue
        try:
            with Record.open(damaged, read_only=True, state_dir=tmp_path) as opened:
                checked = opened.verify()
            assert not checked.ok or values(damaged) == written, page
        except InspectError as said:
            assert str(said), page
        try:
            done = salvage(damaged, saved, tmp_path / "state", "bench", "test")
        except InspectError as said:
            assert str(said) and not saved.exists(), page
        else:
            with Record.open(saved, state_dir=tmp_path / "state") as opened:
                found = opened.verify()
            there = values(saved)
            assert set(there) <= set(written), page
            changed = {one for one in there if there[one] != written[one]}
            assert not changed or not found.ok, page
            assert there == written or done.missing or not found.ok, page
            saved_all += there == written
        assert damaged.read_bytes() == content, page
        for path in (damaged, saved):
            for end in ("", "-wal", "-shm", ".lock"):
                Path(f"{path}{end}").unlink(missing_ok=True)
    assert saved_all > len(pages) // 3 or spoil is cut  # most pages hold no readings
