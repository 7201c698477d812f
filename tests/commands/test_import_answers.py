"""`import answers`: a sheet that was printed, filled in and taken in; what is asked, with the option that answers it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Ran, Run
from tests.shop.answers.conftest import FILLED, as_file, filled, guide, prepared, saved
from tests.worlds.kit_jobs import Kit, two_cores

On = Callable[..., Ran]


@pytest.fixture
def kit(tmp_path: Path) -> Iterator[Kit]:
    with Record.open(tmp_path / "kit.db", create=True) as record:
        yield prepared(two_cores(record))


@pytest.fixture
def on(cli: Run, kit: Kit) -> On:
    return lambda *words: cli("--record", str(kit.record.path), *words)


def test_a_sheet_is_checked_then_taken_in_and_listed(on: On, kit: Kit, tmp_path: Path) -> None:
    file = saved(tmp_path / "back.csv", filled(kit, FILLED))
    call = ("import", "answers", str(file), "--with", "caliper of TK-1", "--day", "2026-11-18")
    looked = on(*call, "--check")
    assert looked.status == 0, looked.err
    assert "back.csv: 2 sizes, 2 answers of 1 sand core, job TK-1; nothing was written" in looked.out
    assert "S4-1-C1 (new) W 101.3, L 60.58; check throat (T-1): 1.42 mm, within 1.00 to 2.00 mm" in looked.out
    assert kit.record.readings() == []
    assert json.loads(on(*call, "--check", "--json").out)["new_sand_cores"] == ["S4-1-C1"]
    assert on(*call).out == "back.csv: 2 sizes, 2 answers of 1 sand core, job TK-1 taken in\n"
    again = on(*call)
    assert again.status == 2 and "All of back.csv is in the record already. Nothing was added." in again.err
    listed = on("sand-core", "list").out
    assert "S4-1-C1" in listed and "S4" in listed
    whole = on("sand-core", "list", "s4-1-c1").out
    assert "2026-11-18  check throat (T-1): 1.42 mm, within 1.00 to 2.00 mm, TK" in whole
    assert "key rubbed at the lower end" in whole


def test_the_guides_file_is_taken_in(on: On, kit: Kit, tmp_path: Path) -> None:
    file = as_file(tmp_path / "answers.json", guide(kit))
    done = json.loads(on("import", "answers", str(file), "--json").out)
    assert (done["sizes"], done["answers"], done["pictures"]) == (2, 7, 1)
    assert "the mould S4-1  2026-11-18  check closing height: 412.50 mm, TK" in on("sand-core", "list").out
    named = on("--record", str(kit.record.path), "picture", "list").out
    assert "c1.png" in named
    assert on("withdraw", "import", "answers.json", "--why", "not ours", "--by", "TK", "--yes").status == 0
    assert on("sand-core", "list").err.startswith("job TK-1 has no sand cores yet")


def test_what_is_asked_names_the_option_that_answers_it(on: On, kit: Kit, tmp_path: Path) -> None:
    rows = filled(kit, {(1, "W"): "100.1", (1, "L"): "59.95"}, casting="", by="Weber")
    file = saved(tmp_path / "back.csv", rows)
    call = ("import", "answers", str(file), "--with", "caliper")
    unnamed = on(*call)
    assert unnamed.status == 2 and "--mould" in unnamed.err
    assert "--name 'Weber=NAME'" in on(*call, "--mould", "S4-1").err
    asked = on(*call, "--mould", "S4-1", "--name", "Weber=TK")
    assert (
        asked.status == 2
        and "was the casting measured in the sand core's place?" in asked.err
        and "--keep" in asked.err
    )
    assert kit.record.readings() == []
    assert on(*call, "--mould", "S4-1", "--name", "Weber=TK", "--keep").status == 0
    assert len(kit.record.readings()) == 2


def test_a_file_that_is_neither_is_a_sentence(on: On, kit: Kit, tmp_path: Path) -> None:
    (tmp_path / "other.csv").write_text("Casting,F2\nC1,40.1\n")
    refused = on("import", "answers", str(tmp_path / "other.csv"))
    assert refused.status == 2 and "is no come-back sheet" in refused.err and "Traceback" not in refused.err
