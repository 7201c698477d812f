"""Passages of a kit: what the tools or a casting give, against what was drawn and what is wanted."""

from __future__ import annotations

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.kit import passages
from tests.shop.kit.test_check_demo import (
    at,
    record,  # noqa: F401  a fixture
)


def test_the_throat_of_the_first_castings_is_a_few_percent_under_and_says_so(record: Record) -> None:
    data = at(record, None)
    (throat,) = data.passages
    items = {i.serial: i for i in record.items(data.job.of_id)}
    first = passages.on_casting(data, throat, items["S1-1"])
    # scenario, section 7: area 3706.9 mm2, flow 44.3 of 46.0, below the minimum of 45.0
    assert first.now.value == pytest.approx(3706.9, abs=15)
    assert first.capacity.value == pytest.approx(44.3, abs=0.2)
    assert first.capacity.level == "under by a few percent"
    assert first.misses
    assert "% under" in first.sentence and "below the minimum of 45.0" in first.sentence
    assert first.buys[0].feature == "F55"
    third = passages.on_casting(data, throat, items["S3-2"])
    assert third.capacity.level == "as rated"
