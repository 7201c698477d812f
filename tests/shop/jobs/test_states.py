"""A job waits, is closed and goes on: with why, never twice; the only open job is meant where none is named."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError, NotFound
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs, states
from tests.conftest import SmallShop


def test_a_closed_job_stands_last_and_is_not_meant(shop: SmallShop) -> None:
    record = shop.record
    old = record.job("SV-12")
    jobs.new_job(record, "T-1", "cover", "ductile iron", None, None, "D1", "A")
    with pytest.raises(NotFound, match="Say which job"):
        find.job(record, None)
    states.say(record, old, "closed", "delivered", shop.ab)
    assert find.job(record, None).number == "T-1" and find.job(record, "SV-12").of_id == old.of_id
    lines = jobs.overview(record)
    assert [(line.job.number, line.state, line.why) for line in lines] == [
        ("T-1", "open", None),
        ("SV-12", "closed", "delivered"),
    ]
    states.say(record, record.job("T-1"), "closed", "delivered too", shop.ab)
    with pytest.raises(NotFound, match="Say which job"):
        find.job(record, None)
    assert states.say(record, old, "open", "one more", shop.ab).state == "reopened"
    assert find.job(record, None).number == "SV-12"
    assert next(line.state for line in jobs.overview(record) if line.job.number == "SV-12") == "open"


@pytest.mark.parametrize(
    ("state", "why", "said"),
    [
        ("open", "x", "is open already"),
        ("closed", " ", "say in a few words why"),
        ("closed", "x" * 401, "at most 400"),
        ("clsed", "x", "state: .*closed"),
    ],
)
def test_what_cannot_be_said_of_a_job(shop: SmallShop, state: str, why: str, said: str) -> None:
    before = shop.record.heads()
    with pytest.raises(DataError, match=said):
        states.say(shop.record, shop.record.job("SV-12"), state, why, shop.ab)
    assert shop.record.heads() == before
