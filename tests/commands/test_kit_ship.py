"""`kit ship`, `kit back`: everything that is here leaves, asked why with points open; counted when it comes back."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest

from inspect_tui.commands import kit_ship
from inspect_tui.model.measuring import Person
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from tests.commands.conftest import Ran, Run
from tests.shop.kit.test_cores import core_job

Call = Callable[..., Ran]


@pytest.fixture
def kit(cli: Run, tmp_path: Path) -> Call:
    path = tmp_path / "kit.db"
    with Record.open(path, create=True) as record:
        record.add(Person(initials="JM", name="J. Moser"))
        made = core_job(record)
        edit.set_tool_detail(record, made.job, made.tool["box 1"], loose_pieces=3)
    return lambda *words: cli(*words, "--record", str(path))


@pytest.fixture
def bad(cli: Run, tmp_path: Path) -> Call:
    """A kit that one size speaks against."""
    path = tmp_path / "bad.db"
    with Record.open(path, create=True) as record:
        record.add(Person(initials="JM", name="J. Moser"))
        made = core_job(record)
        made.read("box 1", {"W": 103.0, "H": 60.6})
    return lambda *words: cli(*words, "--record", str(path))


SHIP = ("kit", "ship", "--to", "a foundry", "--on", "2026-03-01", "--by", "jm")


def test_all_that_is_here_leaves_and_comes_back(kit: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "160")
    went = kit(*SHIP)
    assert (went.status, went.out, went.err) == (0, "3 things shipped to a foundry on 2026-03-01\n", "")
    assert "everything has been shipped" in kit(*SHIP).err
    listed = json.loads(kit("kit", "ship", "--list", "--json").out)
    assert [(row["way"], row["who"], row["on"], row["why_open"]) for row in listed] == [
        ("out", "a foundry", "2026-03-01", None)
    ]
    assert listed[0]["what"][2] == {"what": "box 1", "count": 1, "loose_pieces": 3, "condition": None}
    came = kit("kit", "back", "--on", "2026-05-01", "--what", "BOX 1:2", "--by", "JM", "--condition", "one broken")
    assert came.out == "1 thing back from a foundry on 2026-05-01\n"
    assert came.err.splitlines() == [
        "drag pattern did not come back",
        "cope pattern did not come back",
        "box 1: 2 of 3 loose pieces came back",
    ]
    assert "is out" in kit("kit", "back", "--by", "JM").err
    table = kit("kit", "ship", "--list").out
    assert "to a foundry" in table and "back from a foundry" in table and "one broken" in table


def test_only_what_is_named_leaves(kit: Call) -> None:
    made = json.loads(kit(*SHIP, "--what", "box 1", "--what", "crate:2", "--json").out)
    assert [(line["what"], line["loose_pieces"]) for line in made["what"]] == [("box 1", 3), ("crate", 2)]
    assert made["speaks_against"] == [] and made["job"]
    back = json.loads(kit("kit", "back", "--left", "2026-03-01", "--on", "2026-03-02", "--by", "JM", "--json").out)
    assert back["left"] == "2026-03-01" and back["short"] == [] and back["way"] == "back"


def test_with_points_open_it_takes_a_word_why(bad: Call) -> None:
    asked = bad(*SHIP)
    assert asked.status == 1 and "1 thing speaks against the kit" in asked.err and "W size W on box 1" in asked.err
    assert "--why" in asked.err and json.loads(bad("kit", "ship", "--list", "--json").out) == []
    went = bad(*SHIP, "--why", "for a first trial")
    assert went.status == 0 and went.out.endswith(", with 1 point open: for a first trial\n")
    (change,) = [c for c in json.loads(bad("changes", "--json").out) if c["what"].startswith("shipment")]
    assert (change["what"], change["change"]) == ("shipment 2026-03-01 to a foundry", "left with points open")
    assert (change["why"], change["by"]) == ("for a first trial", "JM")
    assert "for a first trial" in bad("kit", "ship", "--list").out


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("typed", "status", "written"), [("for a first trial\n", 0, 1), ("\n", 1, 0)])
def test_at_a_terminal_it_asks(
    bad: Call, monkeypatch: pytest.MonkeyPatch, typed: str, status: int, written: int
) -> None:
    with monkeypatch.context() as at_terminal:
        at_terminal.setattr(kit_ship, "sys", SimpleNamespace(stdin=_Terminal(typed), stderr=_Terminal()))
        ran = bad(*SHIP)
    assert ran.status == status and "why is it shipped all the same?" in ran.err
    shipped = json.loads(bad("kit", "ship", "--list", "--json").out)
    assert [row["why_open"] for row in shipped] == ["for a first trial"] * written


def test_a_shipment_that_was_written_wrong_is_withdrawn_and_comes_back(kit: Call) -> None:
    kit(*SHIP)
    kit("kit", "back", "--on", "2026-03-02", "--by", "JM")
    name = "2026-03-01 to a foundry"
    gone = kit("withdraw", "shipment", name, "--why", "another day", "--by", "JM")
    assert gone.status == 0 and "is withdrawn" in gone.out
    assert json.loads(kit("kit", "ship", "--list", "--json").out) == []  # and what came back of it
    assert kit(*SHIP).status == 0  # it is all here
    assert kit("withdraw", "shipment", name, "--back", "--why", "right", "--by", "JM").status == 2  # one is there
    kit("withdraw", "shipment", name, "--why", "twice", "--by", "JM")
    words = kit("changes", "shipment").out
    assert "another day" in words and name in words


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("kit", "ship", "--to", "a foundry"), "Say who does it"),
        (("kit", "ship", "--by", "JM"), "Say to whom it goes"),
        ((*SHIP, "--what", "box 1:many"), "4 loose pieces"),
        ((*SHIP, "A", "--job", "B"), "two jobs"),
        (("kit", "ship", "--to", "x", "--on", "soon", "--by", "JM"), "--on"),
        (("kit", "back", "--left", "2026-03-09", "--by", "JM"), "that left on 2026-03-09"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_written(kit: Call, words: tuple[str, ...], said: str) -> None:
    ran = kit(*words)
    assert ran.status == 2 and said in ran.err
    assert json.loads(kit("kit", "ship", "--list", "--json").out) == []
