"""`kit trial`: written down, put right, listed, shown, its checklist printed, filled in and taken in again."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from inspect_tui.commands import kit_trial
from inspect_tui.demo.pictures import drawn
from inspect_tui.record.store import Record
from tests.commands.conftest import Ran, Run
from tests.shop.kit.test_check import proven
from tests.worlds.trials import mould

TODAY = date.today().isoformat()
Call = Callable[..., Ran]


@pytest.fixture
def kit(cli: Run, tmp_path: Path) -> Call:
    path = tmp_path / "kit.db"
    with Record.open(path, create=True) as record:
        mould(proven(record))
    return lambda *words: cli(*words, "--record", str(path))


def add(kit: Call, *words: str) -> Ran:
    return kit("kit", "trial", "add", "trying in", "--inside", "sticks", "--by", "TK", *words)


def test_a_trial_is_written_down_and_what_it_proves_is_said(kit: Call) -> None:
    assert kit_trial.__doc__
    ran = add(kit, "--mould", "mould 1", "--cores", "1-2", "--found", "K1=+", "--found", "F1=8.1 clay")
    assert ran.status == 0, ran.err
    assert f"trying in of {TODAY}: 2 cores, 2 answers" in ran.out
    assert f"proven together on {TODAY} (trying in), sticks of cores 1 and 2 in mould 1" in ran.out
    told = json.loads(kit("kit", "check", "--json").out)
    assert told["proven"]["trials"][0]["cores"] == [1, 2]
    assert "8.10 mm by clay" in next(wall["tried"] for wall in told["walls"] if wall["label"] == "F1")
    assert "goes" in next(fit["tried"] for fit in told["fits"] if fit["fit"] == "K1")
    assert "proven together on" in kit("kit", "check").out


def test_nothing_is_written_where_something_is_wrong_or_asked(kit: Call) -> None:
    ran = add(kit, "--cores", "1-9")
    assert ran.status == 2 and "job TK-1 has no core 3; there are: 1, 2. Nothing was written" in ran.err
    ran = kit("kit", "trial", "add", "trying in", "--inside", "sticks", "--cores", "all")
    assert ran.status == 2 and "Say who writes it down: --by INITIALS" in ran.err
    ran = add(kit, "--cores", "all", "--found", "K1=3.4")
    assert ran.status == 2 and "beyond what feeler takes" in ran.err and "With --keep it is written" in ran.err
    ran = add(kit, "--found", "K1")
    assert ran.status == 2 and "WHAT=FOUND" in ran.err
    assert "no trial of this kit" in kit("kit", "trial", "list").err
    assert add(kit, "--cores", "all", "--found", "K1=3.4", "--keep").status == 0


def test_it_is_listed_shown_put_right_and_withdrawn(kit: Call) -> None:
    add(
        kit,
        "--cores",
        "all",
        "--found",
        "K2=rubs, at the neck",
        "--order",
        "2 1",
        "--note",
        "cold",
        "--who",
        "J. Moser",
    )
    (told,) = json.loads(kit("kit", "trial", "list", "--json").out)
    assert (told["trial"], told["who"], told["proven_together"]) == (f"trying in of {TODAY}", "J. Moser", [])
    assert told["not_proven"] == [{"core": 2, "why": "rubbed at K2"}]
    assert "rubs, at the neck" in kit("kit", "trial", "show").out
    assert "setting order not followed: 2 1" in kit("kit", "trial", "show").out
    ran = kit(
        "kit", "trial", "change", f"trying in of {TODAY}", "--found", "K2=t", "--found", "F1=8.2 ±0.2", "--by", "TK"
    )
    assert ran.status == 0 and "sticks of cores 1 and 2" in ran.out
    shown = json.loads(kit("kit", "trial", "show", "--json").out)
    assert [(line["of"], line["result"], line["u_mm"]) for line in shown["lines"][2:]] == [
        ("K2", "tight", None),
        ("F1", None, pytest.approx(0.1)),
    ]
    assert shown["note"] == "cold" and shown["who"] == "J. Moser"
    assert "cold" in kit("kit", "trial", "show").out and "by J. Moser" in kit("kit", "trial", "show").out
    assert kit("kit", "trial", "show", "yesterday's").status == 2
    name = f"trying in of {TODAY}"
    assert kit("withdraw", "trial", name, "--why", "another kit", "--by", "TK").status == 0
    assert json.loads(kit("kit", "trial", "list", "--json").out) == []
    assert kit("withdraw", "trial", name, "--back", "--why", "it was this one", "--by", "TK").status == 0
    assert f"trying in of {TODAY}" in kit("kit", "trial", "list").out


def test_the_checklist_is_printed_filled_in_and_taken_in(kit: Call, tmp_path: Path) -> None:
    for form in ("pdf", "html", "xlsx", "csv"):
        ran = kit("kit", "trial", "sheet", "trial closing", "--to", str(tmp_path / f"c.{form}"))
        assert ran.status == 0, ran.err
    assert kit("kit", "trial", "sheet", "trial closing", "--to", str(tmp_path / "c.csv")).status == 2  # it is there
    assert kit("kit", "trial", "sheet", "pouring", "--to", str(tmp_path / "d.csv")).status == 2
    assert kit("kit", "trial", "sheet", "trying in", "--to", str(tmp_path / "d.txt")).status == 2
    rows = list(csv.reader((tmp_path / "c.csv").open(encoding="utf-8-sig")))
    filled = {"day": TODAY, "who": "F. Former", "mould": "A7", "cores": "all", "K2": "rubs", "closing": "0"}
    for row in rows:
        row[7] = filled.get(row[3], row[7])
    with (tmp_path / "c.csv").open("w", newline="") as file:
        csv.writer(file).writerows(rows)
    looked = kit("import", "answers", str(tmp_path / "c.csv"), "--check")
    assert looked.status == 0 and "nothing was written" in looked.out and "rubs" in looked.out
    plain = json.loads(kit("import", "answers", str(tmp_path / "c.csv"), "--check", "--json").out)
    assert plain["already"] is False and plain["asked"] == []
    ran = kit("import", "answers", str(tmp_path / "c.csv"))
    assert ran.status == 0 and f"trial closing of {TODAY}: 2 cores, 2 answers, job TK-1 taken in" in ran.out
    assert "is in the record already" in kit("import", "answers", str(tmp_path / "c.csv")).err
    (told,) = json.loads(kit("kit", "trial", "list", "--json").out)
    assert told["mould"] == "the foundry's mould A7" and told["edition"].startswith("K")


def test_a_picture_is_of_the_trial(kit: Call, tmp_path: Path) -> None:
    add(kit, "--cores", "all")
    (tmp_path / "rub.png").write_bytes(drawn(1))
    name = f"trying in of {TODAY}"
    ran = kit("picture", "add", str(tmp_path / "rub.png"), "--on", name, "--by", "TK")
    assert ran.status == 0, ran.err
    assert name in kit("picture", "list").out
