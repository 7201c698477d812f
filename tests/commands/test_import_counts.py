"""`import counts`: columns and days as the foundry writes them; a figure too many is asked about."""

from __future__ import annotations

from pathlib import Path

from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_columns_are_mapped_and_days_read_in_the_order_said(cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    file = tmp_path / "shots.csv"
    file.write_text("Shot no;Werktag;Kasten\n900;3/4/25;box 1\n1100;4/4/25;box 1\n", "utf-8")
    call = ("--record", str(shop.path), "import", "counts", str(file), "--by", "AB")
    call += ("--map", "count=Shot no", "--map", "day=Werktag", "--map", "tool=Kasten")
    unclear = cli(*call)
    assert unclear.status == 1 and "may be two days" in unclear.err
    looked = cli(*call, "--days", "d/m/y", "--check")
    assert looked.status == 0 and looked.out == "2 counts taken; nothing was written.\n"
    assert cli(*call, "--days", "d/m/y").out == "2 counts taken.\n"
    assert "2025-04-04" in cli("--record", str(shop.path), "count", "list").out


def test_a_figure_too_many_is_asked_about_before_anything_is_taken(cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    file = tmp_path / "counts.csv"
    file.write_text("date,count\n2025-04-03,900\n2025-04-10,11000\n2025-04-17,1300\n", "utf-8")
    call = ("--record", str(shop.path), "import", "counts", str(file), "--by", "AB", "--on", "box 1")
    asked = cli(*call)
    assert asked.status == 1 and asked.out.startswith("Nothing was taken: 1 count is asked about.")
    assert "line 3: box 1: 11 000 on 2025-04-10 after 900: a figure too many, 1 100?" in asked.err
    assert "--keep" in asked.err
    assert cli(*call, "--keep").out == "3 counts taken.\n"


def test_what_is_no_column_and_no_order_is_said(cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    file = tmp_path / "counts.csv"
    file.write_text("tool,date,count\nbox 1,2025-04-03,900\n", "utf-8")
    call = ("--record", str(shop.path), "import", "counts", str(file), "--by", "AB")
    assert "colour is no column of counts" in cli(*call, "--map", "colour=tool").err
    assert "There is no column Wann" in cli(*call, "--map", "day=Wann").err
    assert "never is no order of a day" in cli(*call, "--days", "never").err


def test_the_plain_import_of_counts_asks_too(cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    file = tmp_path / "counts.csv"
    file.write_text("tool,date,count\nbox 1,2025-04-03,900\nbox 1,2025-04-10,11000\nbox 1,2025-04-17,1300\n", "utf-8")
    call = ("--record", str(shop.path), "count", "import", str(file), "--by", "AB")
    asked = cli(*call)
    assert asked.status == 1 and "a figure too many" in asked.err and "--keep" in asked.err
    file.write_text(file.read_text("utf-8").replace("11000", "1100"), "utf-8")
    assert cli(*call).out == "3 counts taken.\n"
    lone = ("--record", str(shop.path), "count", "add", "box 1", "14500", "--date", "2025-04-18", "--by", "AB")
    assert "a figure too many" in cli(*lone).err
