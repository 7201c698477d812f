"""`show`: the same names, states and figures as on the screen."""

from __future__ import annotations

import json
from pathlib import Path

from tests.commands.conftest import Run


def test_show_names_job_tool_and_feature(on_shop: Run) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    rows = json.loads(on_shop("show", "--json").out)
    row = next(r for r in rows if r["tool"] == "stick 1" and r["feature"] == "F1")
    assert (row["job"], row["state"], row["n"], row["last"]) == ("SV-12", "conforms", 1, 59.60)
    assert row["where"] == "both faces core 1"
    assert "F1" in on_shop("show").out


def test_show_lists_every_reading_with_its_id(on_shop: Run) -> None:
    ran = on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60 59.61\n")
    acked = [line.split()[1] for line in ran.out.splitlines()]
    rows = json.loads(on_shop("show", "--readings", "--json").out)
    assert [row["id"] for row in rows] == acked


def test_a_corrected_reading_is_shown_beside_what_was_read(on_shop: Run) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60\n")
    assert " read" not in on_shop("show", "--readings").out
    on_shop("gauge", "trace", "caliper 1", "--bias", "+0.05", "--from", "2026-01-01", "--confirm", "seen", "--by", "AB")
    line = on_shop("show", "--readings").out.splitlines()[-1]
    assert "59.550" in line and "59.600" in line


FREE = """
[job]
number = "FR-1"
name = "a size without limits"
contraction = "1.0 %"
[drawing]
number = "FR-1-01"
rev = "A"
[[tool]]
label = "drag pattern"
kind = "pattern_drag"
[[feature]]
balloon = "F1"
name = "free"
axis = "x"
nominal = 80
a = "drag"
b = "drag"
"""


def test_without_limits_there_is_no_verdict_in_any_command(on_shop: Run, tmp_path: Path) -> None:
    (tmp_path / "free.toml").write_text(FREE, "utf-8")
    assert on_shop("job", "add", str(tmp_path / "free.toml")).status == 0
    log = ("log", "--job", "FR-1", "--on", "drag pattern", "--by", "AB", "--with", "caliper 1")
    (row,) = json.loads(on_shop(*log, "--json", stdin="F1 80.81\n").out)
    assert (row["verdict"], row["p_conform"], row["lower_mm"], row["upper_mm"]) == ("no limits", None, None, None)
    assert row["cut"] is not None  # what to make is known all the same
    assert on_shop(*log, stdin="F1 80.82\n").out.rstrip().endswith("F1 80.82 no limits")
    rows = json.loads(on_shop("show", "--job", "FR-1", "--json").out)
    assert [(r["verdict"], r["state"]) for r in rows] == [("no limits", "no limits")]
    assert "no limits" in on_shop("show", "--job", "FR-1").out
    not_read = json.loads(on_shop("show", "--job", "SV-12", "--json").out)
    assert {r["verdict"] for r in not_read} == {None}
    budget = on_shop("budget", "F1", "--job", "FR-1", "--on", "drag pattern")
    assert "within the limits with a probability" not in budget.out
