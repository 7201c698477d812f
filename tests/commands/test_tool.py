"""`tool`: repairs, states, limits and details go in by the fields of their forms."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


@pytest.fixture
def tool(cli: Run, shop: SmallShop) -> Callable[..., Ran]:
    return lambda *words: cli("tool", *words, "--record", str(shop.record.path))


def test_what_is_said_of_a_tool_is_entered_and_listed(tool: Callable[..., Ran], shop: SmallShop) -> None:
    by = ("--by", "AB")
    repaired = tool("repair", "box 1", "what=lined face B", "action=line", "feature=F2", "amount=0.3", *by)
    assert repaired.out == "box 1: repair entered\n"
    assert tool("limit", "box 1", "feature=F2", "lower=40", "why=agreed with the foundry", *by).status == 0
    assert tool("state", "box 1", "state=retired", "since_on=2026-03-01", "why=split", *by).status == 0
    assert tool("detail", "box 1", "weight=850 g", "dowels=4", "mark=red", "grain=X", *by).status == 0
    assert tool("detail", "box 1", "mark=", *by).status == 0
    (row,) = [row for row in json.loads(tool("list", "--json").out) if row["tool"] == "box 1"]
    assert (row["state"], row["since"], row["repairs"], row["limits"]) == ("retired", "2026-03-01", 1, 1)
    assert (row["weight_kg"], row["dowels"], row["mark"]) == (0.85, 4, None)
    of = shop.record.tools(shop.record.job("SV-12").of_id)[1].of_id
    (repair,) = shop.record.tool_repairs(of)
    assert (repair.what, repair.action, repair.amount_mm) == ("lined face B", "line", 0.3)
    assert shop.record.wear_limits(of)[0].lower == 40.0
    assert "retired" in tool("list").out


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("repair", "box 1", "action=line"), "Say in a few words what was done"),
        (("state", "box 1", "state=revived"), "only a retired tool is revived"),
        (("limit", "box 1", "feature=F2"), "Give a lower or an upper limit"),
        (("detail", "box 1", "dowels=some"), "dowels: "),
        (("detail", "box 1", "grain=w"), "grain: "),
        (("repair", "box 9", "what=x"), "no tool 'box 9'"),
        (("repair", "box 1", "wat=x"), "nearest: what"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_written(
    tool: Callable[..., Ran], shop: SmallShop, words: tuple[str, ...], why: str
) -> None:
    before = shop.record.heads()
    ran = tool(*words, "--by", "AB")
    assert ran.status == 2 and why in ran.err and shop.record.heads() == before


def test_what_is_asked_is_kept_only_when_it_is_said_again(tool: Callable[..., Ran]) -> None:
    assert tool("state", "box 1", "state=retired", "since_on=2026-03-05", "--by", "AB").status == 0
    back = ("state", "box 1", "state=revived", "since_on=2026-03-01", "--by", "AB")
    asked = tool(*back)
    assert asked.status == 1 and "is the day right?" in asked.err and "--keep" in asked.err
    assert tool(*back, "--keep").status == 0
