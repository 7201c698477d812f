"""The flat SQLite file of an export: notes to search, columns explained, rows as they were."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from inspect_tui.report.export import folder
from tests.report.export.test_folder import (
    _no_views,  # noqa: F401  a fixture
    written,
)


def test_notes_are_found_by_words_and_columns_are_explained(tmp_path: Path) -> None:
    written(tmp_path / "out")
    con = sqlite3.connect(tmp_path / "out" / folder.SQLITE)
    found = "SELECT reading FROM notes WHERE rowid IN (SELECT rowid FROM notes_fts WHERE notes_fts MATCH ?)"
    assert con.execute(found, ("bohrung",)).fetchall() == [("r001",)]
    assert con.execute(found, ("gusshaut",)).fetchall() == []
    assert con.execute("SELECT kind, unit, meaning FROM columns WHERE name = 'mm'").fetchall() == [
        ("number", "mm", "how long")
    ]
    assert con.execute("SELECT n FROM twice WHERE id = 'r003'").fetchone() == (6,)
    assert con.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    con.close()
    readme = (tmp_path / "out" / folder.README).read_text("utf-8")
    assert "b1·7·abc" in readme and "`twice`: n doubled" in readme and "| mm | number | mm | how long |" in readme
    assert "mm,number,mm,how long\r\n" in (tmp_path / "out" / folder.COLUMNS).read_bytes().decode()
