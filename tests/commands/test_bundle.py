"""`bundle out` and `bundle in`: by hand, on a stick, also only what the receiver lacks."""

from __future__ import annotations

import json
from pathlib import Path

from tests.commands.conftest import Run
from tests.conftest import SmallShop

LOG = ("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")


def test_out_and_in_and_back_only_what_is_new(on_shop: Run, cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    other = str(tmp_path / "other" / "shop.db")
    on_shop(*LOG, stdin="F1 59.60\n")
    first = tmp_path / "first.itui"
    ran = on_shop("bundle", "out", str(first))
    assert ran.status == 0 and ran.out.strip() == str(first) and "read back and is whole" in ran.err
    assert on_shop("bundle", "out", str(first)).status == 2
    ran = cli("--record", other, "bundle", "in", str(first), str(tmp_path / "none.itui"))
    assert ran.status == 1 and "1 reading among them" in ran.out and "none.itui is no file" in ran.out
    cli("--record", other, *LOG, stdin="F1 59.62\nF1 59.63\n")
    back = tmp_path / "back.itui"
    told = json.loads(cli("--record", other, "bundle", "out", str(back), "--beyond", str(first), "--json").out)
    assert told["entries"] < 12
    ran = on_shop("bundle", "in", str(back), "--json")
    assert json.loads(ran.out)["came"]["reading"] == 2 and ran.status == 0
    assert json.loads(on_shop("bundle", "in", str(back), "--json").out)["came"] == {}


def test_another_shop_is_adopted_by_its_benchs_name(on_shop: Run, cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    other = str(tmp_path / "other.db")
    assert cli("--record", other, "sync", str(tmp_path)).status == 0  # begins a record
    cli("--record", other, "person", "add", "KB", "name=K.")
    bundle = tmp_path / "b.itui"
    cli("--record", other, "bundle", "out", str(bundle))
    ran = on_shop("bundle", "in", str(bundle))
    assert ran.status == 1 and "of another shop" in ran.out
    name = ran.out.split("“")[1].split("”")[0]
    assert on_shop("bundle", "in", str(bundle), "--adopt", name).status == 0
