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


def test_a_pin_is_set_asked_for_and_taken_away(on_shop: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    assert on_shop("person", "pin", "AB", "--by", "AB").status == 2  # no terminal, nothing in the environment
    monkeypatch.setenv("INSPECT_TUI_NEW_PIN", "12")
    assert "4 to 64" in on_shop("person", "pin", "AB", "--by", "AB").err
    monkeypatch.setenv("INSPECT_TUI_NEW_PIN", "4711")
    assert on_shop("person", "pin", "AB", "--by", "AB").out == "AB decides with a PIN\n"
    away = ("withdraw", "tool", "stick 1", "--why", "scrapped", "--by", "AB", "--yes")
    ran = on_shop(*away)
    assert ran.status == 2 and "AB decides with a PIN, which was not given. Set INSPECT_TUI_PIN" in ran.err
    monkeypatch.setenv("INSPECT_TUI_PIN", "4711")
    assert on_shop(*away).status == 0
    on_shop("person", "add", "KB", "role=maker")
    monkeypatch.setenv("INSPECT_TUI_NEW_PIN", "")
    assert "Only AB or the lead" in on_shop("person", "pin", "AB", "--by", "KB").err
    assert on_shop("person", "pin", "AB", "--by", "AB").out == "AB has no PIN any more\n"
