"""A person's initials are not given twice, also not those of somebody who is withdrawn."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError, NotFound
from inspect_tui.shop.changes import people, things, withdraw
from inspect_tui.shop.common import find
from tests.conftest import SmallShop


def test_initials_of_somebody_withdrawn_stay_theirs(shop: SmallShop) -> None:
    kt = people.add(shop.record, {"initials": " KT ", "name": ""}, shop.ab)
    assert (kt.initials, kt.name, kt.role, kt.active) == ("KT", None, "maker", True)
    thing = things.named(shop.record, things.sort_of("person"), "KT", None)
    withdraw.withdraw(shop.record, thing, "left", shop.ab)
    with pytest.raises(DataError, match="KT is there already, and is withdrawn"):
        people.add(shop.record, {"initials": "kt"})
    with pytest.raises(NotFound, match="KT is withdrawn: take it back first"):
        find.person_or_new(shop.record, "kt")
    with pytest.raises(DataError, match="AB is there already: take"):
        people.change(shop.record, kt, {"initials": "AB"}, shop.ab)
    assert people.change(shop.record, kt, {"initials": "KT", "role": "lead"}, shop.ab).role == "lead"
