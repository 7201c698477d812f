"""`sand-core`: opened, listed, measured by `log`, and taken out again."""

from __future__ import annotations

import json

from tests.commands.conftest import Run


def test_sand_cores_are_opened_measured_and_listed(on_shop: Run) -> None:
    assert "has no sand cores yet" in on_shop("sand-core", "list").err
    opened = on_shop("sand-core", "add", "core 1", "A-7", "A-8", "--by", "AB")
    assert (opened.status, opened.out) == (0, "core 1: A-7, A-8 opened\n"), opened.err
    logged = on_shop("log", "--on", "core A-7", "--by", "AB", "--with", "caliper 1", stdin="F2 40.41\n")
    assert logged.out.startswith("ACK "), logged.err
    rows = json.loads(on_shop("sand-core", "list", "1", "--json").out)
    assert [(row["sand_core"], row["core"], row["sizes_read"], row["answers"]) for row in rows] == [
        ("A-7", 1, 1, []),
        ("A-8", 1, 0, []),
    ]
    twice = on_shop("sand-core", "add", "1", "a-7", "--by", "AB")
    assert twice.status == 2 and "Sand core a-7 is there already in job SV-12." in twice.err
    nowhere = on_shop("sand-core", "add", "core 99", "A-9", "--by", "AB")
    assert nowhere.status == 2 and "core 1" in nowhere.err
    assert on_shop("withdraw", "sand", "A-8", "--why", "broken", "--by", "AB", "--yes").status == 0
    assert "A-8" not in on_shop("sand-core", "list").out
