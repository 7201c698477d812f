"""`import`: readings of castings come in with their columns mapped, or nothing does."""

from __future__ import annotations

import json
from pathlib import Path

from tests.commands.test_first_article import (
    On,
    on_s1,  # noqa: F401
)


def test_a_file_is_taken_in_with_its_columns_mapped(on_s1: On, tmp_path: Path) -> None:
    file = tmp_path / "s2.csv"
    file.write_text("Part no;Length one;F38\nS2-1;624,4;88,1\nS2-2;624,5;88,0\n", "utf-8")
    done = on_s1(
        "import",
        "readings",
        str(file),
        "--round",
        "S2",
        "--by",
        "IN",
        "--with",
        "caliper 1",
        "--map",
        "serial=Part no",
        "--map",
        "F01=Length one",
        "--poured",
        "2023-09-08",
        "--json",
        "--keep",
    )
    assert done.status == 0, done.err
    assert json.loads(done.out)["readings"] == 4
    assert json.loads(done.out)["new_castings"] == ["S2-1", "S2-2"]
    again = on_s1("import", "readings", str(file), "--round", "S2", "--by", "IN", "--with", "caliper 1")
    assert again.status == 2
    assert "not taken twice" in again.err
    after = json.loads(on_s1("first-article", "--round", "S2", "--json").out)
    assert next(line for line in after["features"] if line["balloon"] == "F01")["n"] == 2


def test_readings_no_gauge_can_give_and_strange_names_are_asked_about_first(on_s1: On, tmp_path: Path) -> None:
    file = tmp_path / "s1.csv"
    file.write_text("serial;F38\nS1-1;301,5\nSaturday;88,0\n", "utf-8")
    asked = on_s1("import", "readings", str(file), "--round", "S1", "--by", "IN", "--with", "caliper 1")
    assert asked.status == 2 and asked.out == ""
    assert "2 things are to be looked at first. Nothing was added." in asked.err and "--keep" in asked.err
    assert "casting Saturday is new, and its name looks like none of the known" in asked.err
    assert "1 reading beyond the range of caliper 1" in asked.err
    assert on_s1("import", "readings", str(file), "--round", "S1", "--by", "IN", "--with", "CAL1", "--keep").status == 0


def test_a_question_about_a_column_names_the_option_that_leaves_it_out(on_s1: On, tmp_path: Path) -> None:
    file = tmp_path / "s1.csv"
    file.write_text("feature;S1-1;Scrap\nF38;88,0;12\n", "utf-8")
    words = ("import", "readings", str(file), "--round", "S1", "--by", "IN", "--with", "CAL1")
    asked = on_s1(*words)
    assert asked.status == 2 and "--map ignore='Scrap'" in asked.err and "--keep" in asked.err
    done = on_s1(*words, "--map", "ignore=Scrap")
    assert (done.status, done.out) == (0, "s1.csv: 1 reading of 1 feature on 1 casting taken in (S1)\n"), done.err


def test_a_file_that_is_wrong_says_line_by_line_why_and_leaves_nothing(on_s1: On, tmp_path: Path) -> None:
    file = tmp_path / "bad.csv"
    file.write_text("serial,feature,value\nS1-1,F99,1\nS1-1,F01,x\n", "utf-8")
    ran = on_s1("import", "readings", str(file), "--round", "S1", "--by", "IN", "--with", "caliper 1")
    assert ran.status == 2
    assert "line 2: F99" in ran.err
    assert "line 3, value" in ran.err
    assert ran.out == ""
    assert on_s1("import", "readings", str(file), "--map", "nonsense").status == 2
