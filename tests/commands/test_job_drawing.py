"""`job correct`, `revise` and `drawing`: one line puts a size right or changes it, and every edition is told."""

from __future__ import annotations

import json

import pytest

from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_a_typing_error_is_put_right_and_its_readings_are_judged_anew(on_shop: Run) -> None:
    logged = ("log", "--job", "SV-12", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")
    assert on_shop(*logged, stdin="F2 41.41\n").status in (0, 1)
    ran = on_shop("job", "correct", "f2", "nominal=41", "--why", "41 read as 40", "--by", "AB")
    assert ran.status == 0 and "F2 put right on revision A" in ran.out and "papers" not in ran.out
    rows = json.loads(on_shop("show", "--on", "stick 1", "--json").out)
    (f2,) = [row for row in rows if row["feature"] == "F2"]
    assert (f2["nominal"], f2["n"], f2["verdict"]) == (41.0, 1, "conforms")
    assert (f2["lower"] + f2["upper"]) / 2 == pytest.approx(41.0 * 1.01)  # ±0.6 stayed ±0.6
    editions = json.loads(on_shop("job", "drawing", "--json").out)
    assert [(e["revision"], e["corrected"], e["changed"], e["why"], e["by"]) for e in editions[1:]] == [
        ("A", True, ["F2"], "41 read as 40", "AB")
    ]
    told = on_shop("job", "drawing").out
    assert "corrected" in told and "41 read as 40" in told


def test_a_new_revision_keeps_what_did_not_change(on_shop: Run) -> None:
    logged = ("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")
    assert on_shop(*logged, stdin="F2 40.41\nF3 212.1\n").status == 0
    ran = on_shop("job", "revise", "B", "F3", "nominal=212", "limits=±0.5", "F4", "note=at the top", "--by", "AB")
    assert ran.status == 0 and "revision B begun; changed: F3, F4" in ran.out
    rows = {row["feature"]: row for row in json.loads(on_shop("show", "--on", "stick 1", "--json").out)}
    assert (rows["F2"]["verdict"], rows["F2"]["n"]) == ("conforms", 1)
    assert (rows["F3"]["verdict"], rows["F3"]["n"], rows["F3"]["nominal"]) == (None, 0, 212.0)
    assert on_shop("job", "revise", "C", "--by", "AB").out == "revision C begun\n"


def test_raw_limits_wider_than_the_stock_are_kept_and_told(on_shop: Run) -> None:
    ran = on_shop(
        "job", "correct", "F1", "limits_raw=±4", "F4", "limits_raw=clean up", "--why", "misread", "--by", "AB"
    )
    assert ran.status == 0 and "F1, F4 put right" in ran.out
    assert "F1: the raw size may grow to 63.00 where 62.80 is to be left: wider than the stock" in ran.err
    assert "F4" not in ran.err
    rows = json.loads(on_shop("show", "--json").out)
    assert {(row["feature"], row["limits_raw"]) for row in rows} >= {("F1", "±4"), ("F4", "clean up"), ("F2", None)}


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["correct", "nominal=41", "--why", "x"], "Say first which feature"),
        (["correct", "F2", "--why", "x"], "Say what changes of F2"),
        (["correct", "F2", "size=41", "--why", "x"], "F2 has no 'size'"),
        (["correct", "F2", "nominal=a", "--why", "x"], "F2: Size:"),
        (["correct", "F2", "balloon=F22", "--why", "x"], "keeps its balloon"),
        (["correct", "F77", "nominal=41", "--why", "x"], "F77 is not on revision A"),
        (["correct", "F2", "nominal=40", "--why", "x"], "reads so already"),
        (["correct", "F2", "nominal=41", "--why", " "], "what was typed wrong"),
        (["revise", "A", "F2", "nominal=41"], "Revision A is there already"),
        (["revise", " ", "F2", "nominal=41"], "letter or number of its own"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_written(on_shop: Run, words: list[str], sentence: str) -> None:
    ran = on_shop("job", *words, "--by", "AB")
    assert ran.status == 2 and sentence in ran.err
    assert len(json.loads(on_shop("job", "drawing", "--json").out)) == 1


def test_papers_that_were_given_out_are_told_of(on_shop: Run, shop: SmallShop) -> None:
    from inspect_tui.record.store import Record
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.castings.put_right import open_round
    from inspect_tui.shop.first_article.snapshot import fix

    with Record.open(shop.path) as record:
        open_round(record, find.job(record, None), "S1", ["C1"])
    logged = ("log", "--on", "casting C1", "--by", "AB", "--with", "caliper 1")
    assert on_shop(*logged, stdin="F3 210.1\n").status == 0
    with Record.open(shop.path) as record:
        fix(record, find.job(record, None), "S1")
    ran = on_shop("job", "correct", "F3", "nominal=210.2", "--why", "read wrong", "--by", "AB")
    assert "papers that were given out (1) stay as they were given" in ran.out
