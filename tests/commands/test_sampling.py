"""`sampling`: begun with its castings under any name, and listed."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def sampling(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    return lambda *words: cli("sampling", *words, "--record", str(shop.record.path))


def test_a_sampling_is_begun_and_listed(sampling: Callable[..., Ran], shop: SmallShop) -> None:
    begun = sampling("add", "trial", "T-1", "T-2", "--poured", "2026-03-01", "--heat", "H7", "--by", "AB")
    assert begun.out == "trial begun with 2 castings\n"
    rows = {row["sampling"]: row for row in json.loads(sampling("list", "--json").out)}
    assert rows["trial"] == {
        "sampling": "trial",
        "poured_on": "2026-03-01",
        "heat": "H7",
        "castings": ["T-1", "T-2"],
    }
    assert "T-1, T-2" in sampling("list").out
    before = shop.record.heads()
    again = sampling("add", "Trial", "T-3", "--by", "AB")
    assert again.status == 2 and "is there already" in again.err and shop.record.heads() == before


def test_how_many_were_poured_is_said_where_it_is_more_than_those_named(
    sampling: Callable[..., Ran], shop: SmallShop
) -> None:
    assert sampling("add", "L1", "L1-1", "--quantity", "40", "--by", "AB").status == 0
    assert sampling("add", "L2", "L2-1", "L2-2", "--by", "AB").status == 0
    few = sampling("add", "L3", "L3-1", "L3-2", "--quantity", "1", "--by", "AB")
    assert few.status == 2 and "2 castings are named, so not 1" in few.err
    lots = shop.record.lots(shop.record.job("SV-12").of_id)
    assert [(lot.label, lot.quantity) for lot in lots] == [("L1", 40), ("L2", 2)]
