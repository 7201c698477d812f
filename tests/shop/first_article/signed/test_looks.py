"""A geometrical tolerance looked at by another way: what is asked for, the last word, taken back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.errors import InspectError, NotFound
from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.signed import looks
from tests.worlds.signed_shop import GOOD, made, sampling, who

TODAY = "2026-03-10"
SAID = {"geometry": "G3", "casting": "C1", "accepted": "yes", "method": "square"}


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with made(tmp_path / "l.db", {"C1": GOOD}) as record:
        yield record


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"geometry": "G9"}, "no geometrical tolerance G9; there are: G1, G2"),
        ({"casting": "C9"}, "C9"),
        ({"accepted": "perhaps"}, "type yes where it was accepted"),
        ({"accepted": ""}, "type yes"),
        ({"method": " "}, "say how it was looked at"),
        ({"day": "2999-01-01"}, "day: "),
    ],
)
def test_what_is_wrong_is_said(record: Record, changes: dict[str, str], why: str) -> None:
    with pytest.raises(InspectError, match=why):
        looks.read(sampling(record), {**SAID, **changes}, who(record, "IN"), TODAY)


def test_the_last_word_counts_and_can_be_taken_back(record: Record) -> None:
    inspector = who(record, "IN")
    for accepted in ("no", "yes"):
        now = sampling(record)
        looks.put(record, now, looks.read(now, {**SAID, "accepted": accepted}, inspector, TODAY), inspector)
    (one,) = sampling(record).looks
    assert one.accepted
    now = sampling(record)
    looks.take_back(record, now, "G3", now.casting("C1"), inspector)
    assert sampling(record).looks == []
    now = sampling(record)
    with pytest.raises(NotFound, match="nothing to take back"):
        looks.take_back(record, now, "G3", now.casting("C1"), inspector)
