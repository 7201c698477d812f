"""`show`: the same names, states and figures as on the screen."""

from __future__ import annotations

import json

from tests.commands.conftest import Run


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
