"""`person`: somebody is added, changed and retired; two never go by the same initials."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def person(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    return lambda *words: cli("person", *words, "--record", str(shop.record.path))


def test_people_are_added_changed_and_listed(person: Callable[..., Ran], shop: SmallShop) -> None:
    assert person("add", "KT", "name=K. Toms", "role=Inspector").out == "KT added as inspector\n"
    assert person("change", "KT", "active=no", "role=lead", "--by", "AB").out == "KT: K. Toms, lead, retired\n"
    rows = {row["initials"]: row for row in json.loads(person("list", "--json").out)}
    assert rows["KT"] == {"initials": "KT", "name": "K. Toms", "role": "lead", "active": False}
    assert "retired" in person("list").out
    kt = next(p for p in shop.record.people() if p.initials == "KT")
    assert kt.replaces_id and shop.record.entered_by([kt.id])[kt.id][2] == "AB"


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("add", "ab"), "AB is there already: take other initials"),
        (("add", "TOOLONGNAME"), "initials: "),
        (("add", "KT", "role=boss"), "role: "),
        (("add", "KT", "initials=KX"), "The initials stand first already"),
        (("change", "AB", "--by", "AB"), "Say what changes"),
        (("change", "AB", "active=perhaps", "--by", "AB"), "active: "),
        (("change", "ZZ", "role=lead", "--by", "AB"), "no person 'ZZ'"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_written(
    person: Callable[..., Ran], shop: SmallShop, words: tuple[str, ...], why: str
) -> None:
    before = shop.record.heads()
    ran = person(*words)
    assert ran.status == 2 and why in ran.err and shop.record.heads() == before
