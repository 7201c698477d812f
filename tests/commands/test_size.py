"""`size`: casting to tool and back, by figures that can be worked out by hand."""

from __future__ import annotations

import json

import pytest

from inspect_tui.shop.settings import write
from tests.commands.conftest import Run


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


def test_a_size_by_alloy_says_how_far_the_handbooks_disagree_and_what_is_weak(cli: Run) -> None:
    out = cli("size", "59", "--alloy", "copper").out
    assert "contraction 1.937 % of the casting, u 0.492 %" in out  # EN 12890: 1.9 % of the pattern
    assert "source    1.5 to 2.1 %, copper, cast (electrolytic): EN 12890:2000" in out
    assert "4 printed values may apply, 1.00 to 2.15 % of the casting" in out
    assert "also 1.00 %: 1 %, copper: Shrinkage of materials chart (found); weak: from a page of the web" in out
    assert "http" not in out
    row = json.loads(cli("size", "59", "--alloy", "copper", "--json").out)
    assert [other["weak"] != "" for other in row["others"]] == [False, True, True]
    assert [other["source_kind"] for other in row["others"]] == ["handbook", "page", "practice"]


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


def test_stock_that_leaves_nothing_is_refused(cli: Run) -> None:
    ran = cli("size", "3", "--stock", "2", "--inside", "--contraction", "1%")
    assert ran.status == 2 and "leaves nothing" in ran.err


def test_a_size_in_inches_is_answered_in_inches_without_a_millimetre(cli: Run) -> None:
    ran = cli("size", "22 in", "--contraction", "1/8 in/ft", "--rule", "5/32 in/ft")
    # 22 in * (1 + 1/96) = 22.2292 in exactly 22 22/96 in; on a rule of 5/32 in/ft 22.2292 / (1 + 5/384) = 21.9435 in
    assert "tool      22.2292 in   22 15/64 in -5.2 thou" in ran.out
    assert "reads 21 15/16 in + 6.0 thou" in ran.out and "as a rule 1/8 in/ft" in ran.out
    assert "mm" not in ran.out
    assert "22.2292 in" in cli("size", "22 in", "--contraction", "1/8 in/ft", "--show", "fraction").out
    assert "564.62 mm" in cli("size", "22 in", "--contraction", "1/8 in/ft", "--show", "mm").out


def test_a_bare_figure_is_in_the_unit_that_lengths_are_shown_in(cli: Run) -> None:
    given = ("--contraction", "1/8 in/ft", "--stock", "1/8")
    inches = cli("size", "2-7/16", *given, "--show", "fraction").out
    assert inches.splitlines()[:2] == [
        "finished  2 7/16 in   2.4375 in",
        "casting   2 11/16 in   2.6875 in   (stock +125.0 thou on each of two sides)",
    ]
    assert cli("size", "2-7/16", *given, "--show", "in").out.splitlines()[0] == "finished  2.4375 in   2 7/16 in"
    write.put("show.style", "inch")
    assert cli("size", "2-7/16", *given).out.startswith("finished  2.4375 in ")
    assert json.loads(cli("size", "62", *given, "--json").out)["finished_mm"] == 62.0
    assert cli("size", "62", *given, "--show", "mm").out.startswith("finished  62.00 mm ")


def test_so_are_lengths_among_the_options(cli: Run) -> None:
    assert cli("handbook", "draft", "2", "--show", "in").out == cli("handbook", "draft", "2 in", "--show", "in").out
    assert cli("handbook", "draft", "2").out == cli("handbook", "draft", "2 mm").out
    wrong = cli("handbook", "draft", "high", "--show", "in")
    assert wrong.status == 2 and "HEIGHT: " in wrong.err
