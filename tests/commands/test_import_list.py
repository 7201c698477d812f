"""`import list`: which files came in, what they brought, which were taken back."""

from __future__ import annotations

import json
from pathlib import Path

from tests.commands.conftest import Run


def test_files_are_listed_with_what_they_brought(on_shop: Run, tmp_path: Path) -> None:
    assert "no file was taken in for job SV-12 yet" in on_shop("import", "list").err
    (tmp_path / "castings.csv").write_text("Casting,F2\nX8,40.1\nX9,40.2\n")
    file = str(tmp_path / "castings.csv")
    took = on_shop("import", "readings", file, "--round", "S7", "--by", "AB", "--with", "caliper 1", "--keep")
    assert took.status == 0, took.err
    assert "castings.csv" in on_shop("import", "list").out
    (row,) = json.loads(on_shop("import", "list", "--json").out)
    assert (row["name"], row["by"], row["readings"], row["taken_back"]) == ("castings.csv", "AB", 2, None)
    assert row["with_it"] == ["1 sampling", "2 castings or sand cores"]
    out = on_shop("withdraw", "import", "castings.csv", "--why", "another job's", "--by", "AB", "--yes")
    assert out.out == "the import castings.csv of job SV-12 is withdrawn; with --back it is in use again\n"
    assert "2 readings: they stay in the record and count no longer" in out.err
    listed = on_shop("import", "list").out
    assert "taken back: another job's" in listed
    assert on_shop("withdraw", "import", "castings.csv", "--why", "ours", "--by", "AB", "--back").status == 0
    assert json.loads(on_shop("import", "list", "--json").out)[0]["taken_back"] is None
