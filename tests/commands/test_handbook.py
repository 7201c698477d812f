"""`handbook`: what is printed for stock, draft and grades, its range first, no web address among it."""

from __future__ import annotations

import json

import pytest

from tests.commands.conftest import Run


def test_stock_has_its_range_first_and_every_source_under_it(cli: Run) -> None:
    ran = cli("handbook", "stock", "300", "--alloy", "grey iron")
    lines = ran.out.splitlines()
    assert ran.status == 0 and lines[0] == "2.4 to 3.0 mm a face"  # AFS 3/32 in, P. N. Rao 3 mm (recalled)
    assert lines[1] == "  2.4 mm, cast iron, surface, up to 305 mm: AFS pattern machine-finish allowance table (memory)"
    assert lines[-1].endswith("; weak: from a page of the web") and "http" not in ran.out
    assert cli("handbook", "stock", "12 in", "--alloy", "grey iron", "--face", "bore").out.startswith("3.2 to 5.0 mm")
    assert cli("handbook", "stock", "300", "--alloy", "grey iron", "--face", "cope").out.startswith("5.5 mm a face")


def test_draft_by_height_pattern_and_side(cli: Run) -> None:
    for argv, first in [
        (("80",), "1°"),
        (("80", "--inside"), "1.5°"),
        (("80", "--pattern", "metal"), "0.75°"),
        (("3 in", "--pattern", "metal", "--inside"), "1°"),
    ]:
        assert cli("handbook", "draft", *argv).out.splitlines()[0] == first


def test_grades_with_what_they_come_to(cli: Run) -> None:
    out = cli("handbook", "grade", "--alloy", "ductile iron", "--moulding", "machine", "--size", "62").out
    assert out.splitlines()[0] == "DCTG 8 to 12: ±0.7 to ±2.8 mm at 62 mm"
    assert cli("handbook", "grade", "rmag", "--alloy", "steel").out.splitlines()[0] == "RMAG E to K"
    assert "no figure at 5 mm" in cli("handbook", "grade", "--alloy", "grey iron", "--size", "5").out


def test_everything_as_json(cli: Run) -> None:
    row = json.loads(cli("handbook", "stock", "300", "--alloy", "grey iron", "--json").out)
    assert (row["lo"], row["hi"]) == (2.38125, 3.0)
    assert row["printed"][0]["source_kind"] == "handbook" and row["printed"][0]["weak"] == ""
    assert row["printed"][-1]["weak"] and row["printed"][-1]["source"].startswith("Foundry design guideline")
    assert {"lo", "hi", "text", "for", "source", "status", "source_kind", "weak"} == set(row["printed"][0])
    none = cli("handbook", "grade", "--alloy", "zinc", "--json")
    assert none.status == 1 and json.loads(none.out) == {"lo": None, "hi": None, "printed": []}


def test_nothing_printed_is_said_with_status_1(cli: Run) -> None:
    ran = cli("handbook", "stock", "9000", "--alloy", "tin bronze")
    assert ran.status == 1 and ran.out == "the tables print nothing for that\n"


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("stock", "0", "--alloy", "steel"), "SIZE"),
        (("stock", "300", "--alloy", "iron"), "which metal 'iron' is"),
        (("draft", "abc"), "HEIGHT"),
        (("grade", "--alloy", "steel", "--size", "wide"), "--size"),
    ],
)
def test_what_cannot_be_understood_is_said(cli: Run, argv: tuple[str, ...], said: str) -> None:
    ran = cli("handbook", *argv)
    assert ran.status == 2 and said in ran.err and ran.out == ""
