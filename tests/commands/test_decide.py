"""`decide`: what two benches said apart is listed with the ways to decide it, and decided by number and way."""

from __future__ import annotations

import json
from pathlib import Path

from inspect_tui.frozen import replace
from inspect_tui.record.merge.folder import sync_folder
from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_what_was_said_apart_is_listed_and_decided(cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    at = ("--record", str(shop.record.path))
    assert cli("decide", *at).err == "Nothing is to be decided.\n"
    (share := tmp_path / "share").mkdir()
    (tmp_path / "b").mkdir()
    sync_folder(shop.record, share)
    with Record.open(tmp_path / "b" / "r.db", create=True, state_dir=tmp_path / "b" / "s", bench="bench b") as other:
        sync_folder(other, share)
        for record in (shop.record, other):
            record.add(replace(shop.caliper, id=b"", of_id=b"", label="caliper 9"), shop.ab.id)
        sync_folder(other, share)
    sync_folder(shop.record, share)
    listed = cli("decide", *at)
    assert listed.status == 1 and "There are 2 gauges called caliper 9" in listed.out and "they are one" in listed.out
    beside = cli("gauge", "list", *at)
    assert "≠ There are 2 gauges called caliper 9" in beside.err and "≠" not in beside.out
    assert "1 to be decided: `inspect-tui decide` lists what may be done." in beside.err and "≠" not in listed.err
    (clash,) = json.loads(cli("decide", "--json", *at).out)
    assert (clash["number"], clash["sort"], clash["kind"]) == (1, "name", "instrument")
    assert [way["way"] for way in clash["ways"]] == ["same", "apart", "rename 1", "rename 2"]
    by = ("--by", "AB", *at)
    assert "no number 2" in cli("decide", "2", "same", "--why", "x", *by).err
    assert "--by" in cli("decide", "1", "same", "--why", "x", *at).err
    assert "Say why" in cli("decide", "1", "same", *by).err
    assert "one of: same, apart" in cli("decide", "1", "keep", "1", "--why", "x", *by).err
    done = cli("decide", "1", "rename", "2", "--name", "caliper 10", "--why", "the newer one", *by)
    assert done.status == 0 and done.out.endswith("is called caliper 10 from now on.\n")
    assert cli("decide", *at).status == 0 and "≠" not in cli("gauge", "list", *at).err
