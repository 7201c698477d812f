"""`size`, `job`, `show`, `verify`: the same words and figures as on the screen."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui import __version__
from inspect_tui.cli import COMMANDS
from inspect_tui.shop.jobs import jobfile
from tests.commands.conftest import Run
from tests.conftest import JOB, SmallShop


def test_the_version(cli: Run) -> None:
    assert cli("--version").out == f"inspect-tui {__version__}\n"


def test_every_command_has_help(cli: Run) -> None:
    whole = cli("--help").out
    for command in COMMANDS:
        assert command in whole
        ran = cli(command, "--help")
        assert ran.status == 0 and "usage" in ran.out


def test_bad_usage_is_status_2(cli: Run) -> None:
    assert cli("log", "--nonsense").status == 2


def test_a_size_by_stated_contraction(cli: Run) -> None:
    """22 in at 1/8 in/ft: 22 + 22/12/8 = 22 11/48 in; the handbook rule of contraction rules, WE07 and WE08."""
    row = json.loads(cli("size", "22 in", "--contraction", "1/8 in/ft", "--json").out)
    assert row["cast_mm"] == pytest.approx(558.8)
    assert row["tool_mm"] == pytest.approx(558.8 * (1 + 1 / 96))
    assert row["u_mm"] == pytest.approx(558.8 * 0.0015)  # 0.15 %, a judgement
    assert "judgement" in row["source"]


def test_a_size_by_alloy_has_uncertainty_and_source(cli: Run) -> None:
    row = json.loads(cli("size", "59", "--alloy", "ductile iron", "--json").out)
    assert row["tool_mm"] == pytest.approx(59 * (1 + row["contraction"]))
    assert row["u_mm"] == pytest.approx(59 * row["u_contraction"])
    assert row["u_mm"] > 0 and row["source"]


def test_a_size_there_and_back_is_the_same(cli: Run) -> None:
    there = json.loads(cli("size", "59", "--contraction", "1.0%", "--json").out)
    back = json.loads(cli("size", str(there["tool_mm"]), "--contraction", "1.0%", "--from-tool", "--json").out)
    assert back["cast_mm"] == pytest.approx(59, abs=1e-6)


def test_stock_on_an_inside_size_takes_away(cli: Run) -> None:
    row = json.loads(cli("size", "62", "--contraction", "1 %", "--stock", "1.5", "--inside", "--json").out)
    assert row["cast_mm"] == pytest.approx(59)
    assert row["tool_mm"] == pytest.approx(59.59)


@pytest.mark.parametrize(
    "argv",
    [
        ("size", "abc", "--contraction", "1%"),
        ("size", "59"),
        ("size", "59", "--contraction", "10"),
        ("size", "59", "--alloy", "unobtainium"),
        ("size", "59 60", "--contraction", "1%"),
    ],
)
def test_what_cannot_be_understood_is_said(cli: Run, argv: tuple[str, ...]) -> None:
    ran = cli(*argv)
    assert ran.status == 2
    assert ran.err.strip() and ran.out == ""


def test_the_example_job_is_a_job(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    text = cli("job", "example").out
    assert jobfile.read(text).job.number == "PB-12"
    file = folder / "job.toml"
    file.write_text(text, "utf-8")
    record = str(folder / "new.db")
    ran = cli("--record", record, "job", "add", str(file))
    assert ran.status == 0 and "job PB-12 added" in ran.out
    again = cli("--record", record, "job", "add", str(file))
    assert again.status == 2 and "already" in again.err


def test_a_job_file_with_a_mistake_adds_nothing(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    file = folder / "job.toml"
    file.write_text(JOB.replace('limits = "±0.8"', 'limits = "about right"', 1), "utf-8")
    ran = cli("--record", str(folder / "new.db"), "job", "add", str(file))
    assert ran.status == 2 and "F1" in ran.err
    assert not (folder / "new.db").exists()


def test_a_job_file_that_is_not_there(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    ran = cli("--record", str(folder / "new.db"), "job", "add", str(folder / "none.toml"))
    assert ran.status == 2 and "cannot be read" in ran.err
    assert not Path(folder / "new.db").exists()


def test_show_names_job_tool_and_feature(on_shop: Run) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    rows = json.loads(on_shop("show", "--json").out)
    row = next(r for r in rows if r["tool"] == "stick 1" and r["feature"] == "F1")
    assert (row["job"], row["state"], row["n"], row["last"]) == ("PB-12", "conforms", 1, 59.60)
    assert "F1" in on_shop("show").out


def test_show_lists_every_reading_with_its_id(on_shop: Run) -> None:
    ran = on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60 59.61\n")
    acked = [line.split()[1] for line in ran.out.splitlines()]
    rows = json.loads(on_shop("show", "--readings", "--json").out)
    assert [row["id"] for row in rows] == acked


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


def test_stock_that_leaves_nothing_is_refused(cli: Run) -> None:
    ran = cli("size", "3", "--stock", "2", "--inside", "--contraction", "1%")
    assert ran.status == 2 and "leaves nothing" in ran.err


def test_a_job_file_with_a_mistake_begins_no_record(cli: Run, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    (folder / "job.toml").write_text("[job]\n", "utf-8")
    assert cli("--record", str(folder / "new.db"), "job", "add", str(folder / "job.toml")).status == 2
    assert not (folder / "new.db").exists()
