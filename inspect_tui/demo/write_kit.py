"""The kit of the demo: pictures of its cores, drawn here, and when it was shipped; the rest stands in its tables.

Places, directions, weights and marks of `shop_files` are invented. Planted and to be found: core 1 goes into its own
seats turned end for end, because its two drag prints are alike; the written loop ST2 leaves out the play of core 2.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from inspect_tui.demo import pictures
from inspect_tui.demo import workshop as shop
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core
from inspect_tui.record.kinds import CORE
from inspect_tui.record.store import Record
from inspect_tui.shop.pictures.attach import attach

TO_WHOM = "a foundry two days away"
SHIPPED_ON = shop.project_day(-1, 3)


def show_pictures(record: Record, cores: Mapping[int, Core], by: Id, folder: Path) -> None:
    """A picture of each core; its bytes do not go with the record, which is one file."""
    for number, name, drawn in pictures.every():
        path = folder / name
        path.write_bytes(drawn)
        attach(record, path, CORE.number, cores[number].of_id, f"core {number}, drawn", by)
