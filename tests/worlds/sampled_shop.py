"""The invented shop's record up to a day: its tooling log and samplings, for any seed and any set of planted faults."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from random import Random
from shutil import copyfile

import pytest

from inspect_tui.demo.clock import Clock
from inspect_tui.demo.truth import PLANTS, SEED
from inspect_tui.demo.write import _Event, _Story
from inspect_tui.record.chain.ids import IdMaker, uuid7
from inspect_tui.record.store import Record
from tests.worlds.kept import kept

AFTER_S1, AFTER_S3 = date(2023, 9, 11), date(2023, 12, 1)


class _Beginning(_Story):
    until: date

    def _events(self) -> Iterable[_Event]:
        return [event for event in super()._events() if event.day < self.until]


def shop_until(path: Path, until: date, seed: int = SEED, plants: Iterable[str] = PLANTS) -> tuple[Record, Clock]:
    """The record as it stood that morning, open to write; its clock goes on from there."""
    clock = Clock(seed)
    ids = IdMaker(clock.microseconds, Random(f"{seed}|ids").randbytes)
    record = Record.open(
        path, create=True, clock=clock, ids=ids, state_dir=path.parent / "state", bench="b", program="t"
    )
    folder = path.parent / "sheets"
    folder.mkdir()
    story = _Beginning(record, clock, seed, frozenset(plants), folder)
    story.until = until
    with uuid7.given_by(ids):
        story.tell()
    clock.set(until, 12, 0, 1.0)
    return record, clock


def kept_shop(factory: pytest.TempPathFactory, until: date, seed: int = SEED) -> Path:
    """The record as it stood that morning, made once a run: to be read only."""
    return kept(factory, f"shop-{until}-{seed}.db", lambda path: shop_until(path, until, seed)[0].close())


def copy_of_shop(factory: pytest.TempPathFactory, folder: Path, until: date) -> Record:
    """A copy of the record as it stood that morning, open to write; its clock goes on from there."""
    copyfile(kept_shop(factory, until), folder / "shop.db")
    clock = Clock(SEED)
    clock.set(until, 12, 0, 1.0)
    ids = IdMaker(clock.microseconds, Random(f"{SEED}|copy").randbytes)
    return Record.open(folder / "shop.db", clock=clock, ids=ids, state_dir=folder / "state", bench="b", program="t")
