"""The kit check on random kits: never an exception, a right kit never refused, what is planted always named.

Long profile, 60 kits of anything with 1 to 60 cores at five widths: no exception. 60 right kits: none refused, no
pitch, hand, look-alike or block said of any. 60 kits each with a pitch off by 0.15 to 1.5 mm more than both plays, a
hand reversed, a core that goes in turned, a body over another's way in: named 60 of 60 each.
"""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

import pytest
from hypothesis import settings

from inspect_tui.commands.kit import _json
from inspect_tui.record.store import Record
from inspect_tui.report.term import kit as term_kit
from inspect_tui.report.term import kit_pages
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.paper.setting_sheet import setting_sheet
from tests.worlds.kit_random import PLANTS, anything, right

LONG = settings.get_current_profile_name() == "long"
WIDTHS = (40, 60, 78, 118, 200)
SAID = {"pitch": "pitch", "hand": "hand", "turn": "lookalike", "block": "blocked"}


def opened(folder: Path, seed: int) -> Record:
    return Record.open(folder / f"{seed}.db", create=True, state_dir=folder)


@pytest.mark.parametrize("seed", range(60 if LONG else 3))
def test_no_facts_end_the_check_its_pages_or_its_paper_with_an_exception(tmp_path: Path, seed: int) -> None:
    random = Random(seed)
    with opened(tmp_path, seed) as record:
        made = anything(
            record, random, 14 if seed == 0 else random.choice([1, 2, 5, 8, 15, 25, 40, 60] if LONG else [5, 15])
        )
        check = kit.check(record, made.job)
        assert bool(check.sequence) == (not check.order.computed.rings)
        for width in WIDTHS:
            picture = term_kit.side_view(check, width, "1").plain
            assert max(map(len, picture.splitlines())) <= width
            for row in (*term_kit.tree(check, width), *kit_pages.order_rows(check, width)):
                assert row[1].cell_len <= width
            kit_pages.about_order(check, width, "1")
            for core in check.facts.cores[:3]:
                kit_pages.about_core(check, str(core.number), None, width)
        setting_sheet(record, made.job, check)
        json.dumps(_json(check, None), allow_nan=False)


def kinds(folder: Path, seed: int, plant: str) -> tuple[set[tuple[str, tuple[str, ...]]], str]:
    """(kind, cores) of all that is said, and the core on which something was planted."""
    with opened(folder, seed) as record:
        made, wrong = right(record, Random(seed), plant=plant)
        check = kit.check(record, made.job)
        return {(t.kind, t.cores) for t in (*check.found, *check.open)}, wrong


@pytest.mark.parametrize("seed", range(60 if LONG else 2))
def test_a_kit_built_right_is_never_refused(tmp_path: Path, seed: int) -> None:
    said, _ = kinds(tmp_path, seed, "")
    assert {kind for kind, _ in said} <= {"missing", "held"}


@pytest.mark.parametrize("plant", PLANTS)
@pytest.mark.parametrize("seed", range(60 if LONG else 1))
def test_what_is_planted_is_always_named(tmp_path: Path, seed: int, plant: str) -> None:
    said, wrong = kinds(tmp_path, 100 + seed, plant)
    told = {kind for kind, cores in said if wrong in cores} - {"missing", "held"}
    assert told == {SAID[plant]}
    assert {kind for kind, cores in said if wrong not in cores} <= {"missing", "held"}
