"""`import repairs` and the like: all of a file or nothing, asked first, with the columns in the help."""

from __future__ import annotations

import json
from pathlib import Path

from inspect_tui.commands import import_entered
from inspect_tui.shop.intake.entered import sorts
from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_the_words_of_the_command_are_the_tables_there_are() -> None:
    assert {sort.word: sort.about for sort in sorts.SORTS} == import_entered.WORDS


def test_a_table_is_checked_asked_about_and_taken_in(cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    file, at = tmp_path / "r.csv", ("--by", "AB", "--record", str(shop.record.path))
    file.write_text("tool;day;done\nbox 1;2020-03-01;lined\nbox 1;2020-03-01;drilled\n", "utf-8")
    checked = cli("import", "repairs", str(file), "--check", "--keep", *at)
    assert (checked.status, checked.out) == (0, "2 lines of repairs. Nothing was written.\n")
    asked = cli("import", "repairs", str(file), *at)
    assert asked.status == 1 and "with --keep" in asked.err and not asked.out
    taken = cli("import", "repairs", str(file), "--keep", "--json", *at)
    assert taken.status == 0 and json.loads(taken.out)["written"] and json.loads(taken.out)["lines"] == 2
    assert cli("import", "repairs", str(file), *at).out == "0 lines of repairs, 2 were there already.\n"
    file.write_text("tool;done\nbox 9;x\n", "utf-8")
    wrong = cli("import", "repairs", str(file), *at)
    assert wrong.status == 2 and "line 2: There is no tool 'box 9'" in wrong.err


def test_the_help_of_a_table_names_its_columns(cli: Run) -> None:
    told = cli("import", "weights", "--help").out
    assert "* casting" in told and "  u95" in told and "41.35" in told
