"""`salvage` saves what can be read and says what is missing."""

from __future__ import annotations

import json
from pathlib import Path

from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_a_sound_record_is_saved_whole(on_shop: Run, cli: Run, shop: SmallShop) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    shop.record.close()
    before = shop.path.read_bytes()
    ran = on_shop("salvage")
    assert ran.status == 0 and "1 readings among them" in ran.err
    saved = Path(ran.out.strip())
    assert saved.name == f"{shop.path.stem}-salvaged.db" and shop.path.read_bytes() == before
    assert cli("--record", str(saved), "verify").status == 0
    ran = on_shop("salvage")
    assert ran.status == 2 and "is there already" in ran.err


def test_what_is_missing_is_listed(on_shop: Run, shop: SmallShop, tmp_path: Path) -> None:
    shop.record.close()
    content = bytearray(shop.path.read_bytes())
    at = content.find(b"passage width") // 4096 * 4096
    content[at : at + 16] = b"\xff" * 16
    shop.path.write_bytes(content)
    ran = on_shop("salvage", "--to", str(tmp_path / "saved.db"), "--json")
    told = json.loads(ran.out)
    assert ran.status == 1 and told["path"] == str(tmp_path / "saved.db")
    assert any("feature" in line for line in told["missing"])
