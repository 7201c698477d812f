"""`contraction`: the book printed and as JSON, and what an empty one says."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.shop.jobs.test_contraction_book import cast


def test_the_book_is_printed_and_comes_as_json(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "book.db"
    with Record.open(path, create=True) as record:
        cast(record, "J1", 0.0080)
    got = cli("--record", str(path), "contraction")
    assert got.status == 0
    assert "grey iron, X:" in got.out and "J1 x: 0.80" in got.out and "handbook:" in got.out
    rows = json.loads(cli("--record", str(path), "contraction", "--alloy", "Grey Iron", "--json").out)
    assert [row["axis"] for row in rows] == ["x", "y", "z"]
    assert rows[0]["jobs"][0]["a"] == pytest.approx(0.0080, abs=1e-6)
    assert rows[0]["handbook"]["source"] and rows[0]["handbook"]["weak"] == ""
    assert "printed values may apply" in " ".join(got.out.split()) and "http" not in got.out
    assert json.loads(cli("--record", str(path), "contraction", "--alloy", "lead", "--json").out) == []


def test_an_empty_book_says_what_fills_it(cli: Run, on_shop: Run, tmp_path: Path) -> None:
    path = tmp_path / "empty.db"
    Record.open(path, create=True).close()
    assert "The book is empty" in cli("--record", str(path), "contraction").out
