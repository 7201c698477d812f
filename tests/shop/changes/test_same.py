"""Two tools are said to be one: with why, once, of two things; what is withdrawn keeps its name in the list."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.changes import same, things, withdraw
from tests.conftest import SmallShop


def test_a_pair_has_one_last_word(shop: SmallShop) -> None:
    record, job = shop.record, shop.record.job("SV-12")
    this, that, *_ = things.standing(record, things.sort_of("tool"), job)
    for wrong, why in (((this, this, "same", "x"), "name two"), ((this, that, "same", " "), "Say why")):
        with pytest.raises(DataError, match=why):
            same.say(record, *wrong, shop.ab)
    with pytest.raises(DataError, match="Nobody said"):
        same.say(record, this, that, "apart", "x", shop.ab)
    same.say(record, this, that, "same", "one box", shop.ab)
    same.say(record, that, this, "apart", "two boxes", shop.ab)
    with pytest.raises(DataError, match=r"said of .* already"):
        same.say(record, this, that, "apart", "x", shop.ab)
    withdraw.withdraw(record, that, "gone", shop.ab)
    (pair,) = same.pairs(record)
    assert (pair.this.name, pair.that.name, pair.state, pair.why) == (that.name, this.name, "apart", "two boxes")
    assert same.pairs(record, job) == [pair]
