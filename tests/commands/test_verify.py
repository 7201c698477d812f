"""`verify`: a whole record is called whole, a changed one is not."""

from __future__ import annotations

import json

from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_verify_finds_a_whole_record_whole(on_shop: Run) -> None:
    ran = on_shop("verify", "--json")
    assert ran.status == 0
    assert json.loads(ran.out)["ok"] is True


def test_verify_finds_a_changed_reading(on_shop: Run, shop: SmallShop) -> None:
    import sqlite3

    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    con = sqlite3.connect(shop.path)
    con.execute("DROP TRIGGER reading_no_update")
    con.execute("UPDATE reading SET value = 59.50")
    con.commit()
    con.close()
    ran = on_shop("verify")
    assert ran.status == 1
    assert "NOT whole" in ran.out
