"""`backup` makes a proved copy and says how it stands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui.record.read import Reader
from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_a_backup_beside_the_record_and_its_list(on_shop: Run, shop: SmallShop) -> None:
    ran = on_shop("backup")
    assert ran.status == 0
    made = Path(ran.out.strip())
    assert made.is_file() and made.parent == shop.path.parent / "backups"
    listed = on_shop("backup", "--list")
    assert listed.status == 0 and str(made) in listed.out and "Last good backup just now" in listed.out
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    told = json.loads(on_shop("backup", "--list", "--json").out)
    assert (told["complete"], told["old"]) == (False, False) and told["backups"][0]["path"] == str(made)


def test_to_a_stick_with_a_word(on_shop: Run, tmp_path: Path) -> None:
    ran = on_shop("backup", "--to", str(tmp_path / "stick"), "--word", "before the move", "--json")
    told = json.loads(ran.out)
    assert ran.status == 0 and told["path"].endswith("-before-the-move.db") and told["second"] is None


def test_under_a_name_of_its_own_and_never_over_another(on_shop: Run, tmp_path: Path) -> None:
    name = tmp_path / "stick" / "before the stocktaking.db"
    ran = on_shop("backup", "--to", str(name))
    assert (ran.status, ran.out) == (0, f"{name}\n")
    with Reader.of(name) as reader:
        assert reader.verify().ok and reader.counts()["feature"] == 6
    before = name.read_bytes()
    again = on_shop("backup", "--to", str(name))
    assert (again.status, again.out) == (2, "") and "is there already: nothing was written over" in again.err
    assert name.read_bytes() == before and [path.name for path in name.parent.glob("*.db")] == [name.name]


def test_a_name_of_its_own_among_those_of_the_clock_takes_the_place_of_none(on_shop: Run, shop: SmallShop) -> None:
    folder = shop.path.parent / "backups"
    folder.mkdir()
    by_the_clock = [folder / f"{shop.path.stem}-20260105-{hour:02}0000.db" for hour in range(24)]  # as many as stay
    for path in by_the_clock:
        path.touch()
    assert on_shop("backup", "--to", str(folder / "mine.db")).status == 0
    assert sorted(folder.glob("*.db")) == [folder / "mine.db", *by_the_clock]


def test_the_second_place_of_the_settings(on_shop: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("INSPECT_TUI_CONFIG", str(tmp_path))
    on_shop("settings", "set", "backup.second", str(tmp_path / "share"))
    ran = on_shop("backup")
    assert ran.status == 0
    first, second = ran.out.split()
    assert Path(second).parent == tmp_path / "share" and Path(first).name == Path(second).name
    (tmp_path / "blocked").write_text("")
    on_shop("settings", "set", "backup.second", str(tmp_path / "blocked" / "in"))
    ran = on_shop("backup")
    assert ran.status == 1 and "There is no second backup" in ran.err and Path(ran.out.strip()).is_file()


def test_of_no_record(cli: Run, tmp_path: Path) -> None:
    ran = cli("--record", str(tmp_path / "none.db"), "backup")
    assert ran.status == 2 and "nothing to back up" in ran.err
