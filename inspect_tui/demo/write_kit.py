"""The kit of the demo: pictures of its cores, drawn here, its trials, when it was shipped; the rest is in its tables.

Places, directions, weights and marks of `shop_files` are invented. Planted and to be found: core 1 goes into its own
seats turned end for end, because its two drag prints are alike; the written loop ST2 leaves out the play of core 2.
The sticks were tried in a mould off the drag pattern, where seat 3 of K6 stopped core 5 (P20); the reworked boxes in a
trial closing before the second sampling.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from inspect_tui.demo import pictures
from inspect_tui.demo import workshop as shop
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, Job
from inspect_tui.record.kinds import CORE
from inspect_tui.record.store import Record
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.proving import enter
from inspect_tui.shop.kit.proving.enter import Draft
from inspect_tui.shop.pictures.attach import attach

TO_WHOM = "a foundry two days away"
SHIPPED_ON = shop.project_day(-1, 3)
TRIED_ON = shop.project_day(-2, 1)
CLOSED_ON = shop.project_day(6, 2)
TRYING_IN = Draft(
    sort="trying in",
    inside="sticks",
    mould="mould 1",
    cores="all",
    order="1 2 7 3 4 5 6",
    who="bench 1",
    day=TRIED_ON.isoformat(),
    note="core 6 was tried in the cope half by hand",
    found=(
        ("K1-1", "goes"),
        ("K1-2", "goes"),
        ("K2", "goes"),
        ("K4", "loose, core 4 can be turned by hand"),
        ("K5", "goes"),
        ("K6-1", "goes"),
        ("K6-2", "tight"),
        ("K6-3", "stops, its seat in stick 1 is too narrow"),
        ("K6-4", "goes"),
        ("remark", "rub marks on the third key of stick 5"),
    ),
)
CLOSING = Draft(
    sort="trial closing",
    inside="cores",
    mould="trial 2",
    place=TO_WHOM,
    cores="all",
    order="yes",
    who="foundry contact",
    day=CLOSED_ON.isoformat(),
    found=(
        ("core 5", "goes"),
        ("K4", "goes 0.5 feeler"),
        ("K6-3", "goes"),
        ("K7", "tight, eased with a file on the core"),
        ("F46", "7.1 clay"),
        ("F48", "7.2 clay, outlet end"),
        ("closing", "goes 0"),
    ),
)


def try_in(record: Record, job: Job, draft: Draft, by: Id) -> None:
    """A trial as its form writes it down."""
    checked = enter.read(record, KitFacts(record, job), draft, draft.day)
    enter.refuse_wrong(checked)
    enter.write(record, checked, by)


def show_pictures(record: Record, cores: Mapping[int, Core], by: Id, folder: Path) -> None:
    """A picture of each core; its bytes do not go with the record, which is one file."""
    for number, name, drawn in pictures.every():
        path = folder / name
        path.write_bytes(drawn)
        attach(record, path, CORE.number, cores[number].of_id, f"core {number}, drawn", by)
