"""What people name when they put something right: every sort of the demo's things, by what they are called."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError, NotFound, Several
from inspect_tui.record.store import Record
from inspect_tui.shop.changes import things
from inspect_tui.shop.common import find

DEMO = Path(__file__).parents[3] / "demo.db"
FIRST = {
    "job": "EXM-4",
    "person": "SL",
    "gauge": "caliper 1 (CAL1)",
    "certificate": "caliper 1 (CAL1) 2023-05-22",
    "study": "G1 port 1 width",
    "feature": "F01",
    "core": "core 1",
    "tool": "drag pattern",
    "sampling": "S1",
    "casting": "S1-1",
    "sand": "L001-C3",
    "import": "S1-1.csv",
    "fit": "K1-1",
    "loop": "ST1",
    "passage": "T1",
    "picture": "core 1 lower jacket.png of core 1",
    "shipment": "2023-08-31 to a foundry two days away",
    "trial": "trying in of 2023-08-22",
    "count": "box 3 2023-11-29 40",
    "repair": "box 2 2023-10-03 line",
    "limit": "box 3 F29",
}


def test_every_sort_of_thing_is_called_as_people_call_it() -> None:
    record = Record.open(DEMO, read_only=True)
    try:
        job = find.job(record, None)
        firsts = {}
        for sort in things.SORTS:
            listed = things.standing(record, sort, job if sort.of_job else None)
            if sort.word in ("profile", "answer"):  # the gauges of the demo ask nothing, its foundry answered nothing
                assert not listed
                continue
            firsts[sort.word] = listed[0].name
            assert things.named(record, sort, listed[0].name, listed[0].job) == listed[0]
            assert things.withdrawn(record, sort, listed[0].job) == []
        assert firsts == FIRST
        with pytest.raises(Several):
            things.named(record, things.sort_of("repair"), "box 2", job)
        with pytest.raises(NotFound, match="nearest: "):
            things.named(record, things.sort_of("gauge"), "calliper 1", None)
    finally:
        record.close()


def test_sorts_go_by_their_other_words_too() -> None:
    assert things.sort_of(" Instrument").word == "gauge" and things.sort_of("seat").word == "fit"
    with pytest.raises(DataError, match="nearest: passage"):
        things.sort_of("pasage")
    with pytest.raises(DataError, match="there are: job, person"):
        things.sort_of("zzz")
