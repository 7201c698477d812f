"""`restore` puts a backup in place and tells what it lacks."""

from __future__ import annotations

import json
from pathlib import Path

from tests.commands.conftest import Run
from tests.conftest import SmallShop

LOG = ("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")


def test_a_backup_goes_in_place_and_what_it_lacks_is_told(on_shop: Run, shop: SmallShop) -> None:
    backup = on_shop("backup").out.strip()
    on_shop(*LOG, stdin="F1 59.60\n")
    shop.record.close()
    ran = on_shop("restore", backup, "--to", str(shop.path))
    assert ran.status == 1 and ran.out.strip() == str(shop.path)
    assert "what lay there is kept as" in ran.err and "1 reading" in ran.err
    assert "59.60" not in on_shop("show", "--on", "stick 1", "--readings").out
    again = json.loads(on_shop("restore", backup, "--to", str(shop.path), "--json").out)
    assert again["lacks"] is False and Path(again["aside"]).is_file()


def test_no_backup_there(on_shop: Run, shop: SmallShop, tmp_path: Path) -> None:
    ran = on_shop("restore", str(tmp_path / "none.db"), "--to", str(shop.path))
    assert ran.status == 2 and "nothing was changed" in ran.err
