"""`verify`: a whole record is called whole, a changed one is not."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.conftest import SmallShop
from tests.record.file.released import VERSIONS, record_of


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


def test_verify_looks_at_the_head_of_a_paper(on_shop: Run) -> None:
    head = json.loads(on_shop("verify", "--json").out)["heads"][0]
    assert on_shop("verify", "--head", f"head {head}").status == 0
    ran = on_shop("verify", "--head", head[:-16] + "0" * 16)
    assert ran.status == 1 and "is not the one that the paper was made from" in ran.out


def test_what_is_no_head_says_nothing_of_the_record(on_shop: Run) -> None:
    ran = on_shop("verify", "--head", "page 3")
    assert ran.status == 2 and ran.out == "" and "“page 3” is no head" in ran.err and "Nothing was checked" in ran.err


def test_verify_of_the_tail_says_when_all_was_proved(on_shop: Run) -> None:
    whole = json.loads(on_shop("verify", "--tail", "--json").out)  # never proved yet: all of it
    assert whole["counts"]["feature"] == 6 and whole["notes"] == []
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    ran = on_shop("verify", "--tail")
    assert ran.status == 0 and "entries that came since it was last looked at were proved now." in ran.out
    assert "The record is whole." in ran.out


def test_verify_makes_summaries_again_that_are_off(on_shop: Run, shop: SmallShop) -> None:
    import sqlite3

    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    con = sqlite3.connect(shop.path)
    con.execute("UPDATE cache_summary SET n = 7")
    con.commit()
    con.close()
    ran = on_shop("verify", "--json")
    assert ran.status == 0
    assert json.loads(ran.out)["mended"] == [
        "1 summaries kept for speed were not those of the readings: they were made again. No reading was wrong."
    ]
    assert json.loads(on_shop("verify", "--json").out)["mended"] == []


def test_verify_of_no_record_and_of_another_file(cli: Run, tmp_path: Path) -> None:
    assert cli("--record", str(tmp_path / "none.db"), "verify").status == 2
    (tmp_path / "text.db").write_text("no record " * 50)
    assert cli("--record", str(tmp_path / "text.db"), "verify").status == 2


@pytest.mark.parametrize("version", VERSIONS)
def test_a_record_of_every_released_version_is_verified_as_it_is(version: int, cli: Run, tmp_path: Path) -> None:
    path = record_of(version, tmp_path / "old.db")
    before = path.read_bytes()
    ran = cli("--record", str(path), "verify")
    assert ran.status == 0 and "The record is whole." in ran.out + ran.err
    assert path.read_bytes() == before and not (tmp_path / "backups").exists()
