"""`note`: words to a tool, a casting or its newest reading of a size, and the list of them."""

from __future__ import annotations

import json

from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_a_note_is_written_and_listed(cli: Run, shop: SmallShop) -> None:
    at = ("--record", str(shop.record.path))
    bench = shop.bench("stick 1")
    bench.take("59.66")
    bench.keep_pending()
    balloon = shop.record.feature(shop.record.readings()[0].reading.feature_id).balloon
    assert cli("note", "list", *at).err == "There are no notes yet.\n"
    noted = cli("note", "add", "stick 1", "smooth", "--feature", balloon, "--by", "AB", *at)
    assert noted.out == f"noted: stick 1, {balloon}\n"
    assert cli("note", "add", "box 1", "as new", "--by", "AB", *at).status == 0
    rows = json.loads(cli("note", "list", "--json", *at).out)
    assert [(row["about"], row["text"], row["by"]) for row in rows] == [
        ("tool", "as new", "AB"),
        ("reading", "smooth", "AB"),
    ]
    assert "as new" in cli("note", "list", *at).out
    assert cli("note", "add", "box 9", "x", "--by", "AB", *at).status == 2
