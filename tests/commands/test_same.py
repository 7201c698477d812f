"""`same`: two people are one, then are not; said with why and listed."""

from __future__ import annotations

import json

from inspect_tui.model.measuring import Person
from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_two_people_are_said_to_be_one_and_after_all_are_not(cli: Run, shop: SmallShop) -> None:
    at = ("--record", str(shop.record.path))
    shop.record.add(Person(initials="A.B", role="maker"), shop.ab.id)
    said = ("person", "AB", "A.B", "--by", "AB", *at)
    assert cli("same", "list", *at).err == "Nothing was said of two things yet.\n"
    assert cli("same", "apart", *said, "--why", "no").status == 2
    assert cli("same", "say", *said, "--why", "entered twice").out == "AB and A.B are one\n"
    assert "already" in cli("same", "say", *said, "--why", "again").err
    (row,) = json.loads(cli("same", "list", "--json", *at).out)
    assert row == {"kind": "person", "this": "AB", "that": "A.B", "state": "same", "why": "entered twice"}
    assert cli("same", "apart", *said, "--why", "two people").out == "AB and A.B are two\n"
    assert "apart" in cli("same", "list", *at).out
    assert "one and the same" in cli("changes", *at).out
