"""What an export puts into its folder opens in other programs with the same figures, whole or not at all."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import duckdb
import pytest

from inspect_tui.report.export import folder, sqlite_file
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.paper.table_csv import unguarded
from inspect_tui.shop.jobs.export_columns import ExportColumn

COLUMNS = (
    ExportColumn("id", "text", "", "name"),
    ExportColumn("note", "text", "", "words"),
    ExportColumn("n", "integer", "", "how many"),
    ExportColumn("mm", "number", "mm", "how long"),
    ExportColumn("counts", "yes/no", "", "whether it counts"),
    ExportColumn("day", "day", "", "when"),
    ExportColumn("at_utc", "time", "", "exactly when"),
)
NASTY = ("=1+1", "-3", "'=a", "'plain", 'a,b\r\nsecond "line"', "＝wide", "", "½ Ω 鋳", "+", "\tx")
ROWS = [
    (f"r{i:03}", text or None, i, 0.1 + 0.2 + i, i % 2 == 0, "2026-03-10", "2026-03-10T07:08:09.123456Z")
    for i, text in enumerate(NASTY)
] + [("r900", None, None, None, None, None, None)]
# the views need the columns of a real export; here only the table is looked at
NOTES = [
    ("n1", "reading", "r001", "2026-03-10T07:00:00Z", "AB", "Grat an der Bohrung"),
    ("n2", "job", None, "x", None, "-"),
]


@pytest.fixture(autouse=True)
def _no_views(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite_file, "VIEWS", {"twice": ("n doubled", "SELECT id, 2 * n AS n FROM readings")})
    monkeypatch.setattr(sqlite_file, "INDEXED", ("day",))


def written(place: Path, rows: list[tuple[Any, ...]] = ROWS, **how: Any) -> folder.Written:
    return folder.write(place, COLUMNS, iter(rows), iter(NOTES), heads=["b1·7·abc"], **how)


def names(place: Path) -> list[str]:
    return sorted(path.name for path in place.iterdir())


def test_all_forms_carry_the_same_rows(tmp_path: Path) -> None:
    done = written(tmp_path / "out")
    assert done.readings == len(ROWS) and done.said == ()
    assert [path.name for path in done.files] == list(folder.FILES)
    from_sqlite = list(sqlite_file.stored(tmp_path / "out" / folder.SQLITE, COLUMNS))
    assert from_sqlite == ROWS
    with (tmp_path / "out" / folder.CSV).open(newline="", encoding="utf-8") as file:
        head, *body = csv.reader(file)
    assert head == [column.name for column in COLUMNS]
    assert [unguarded(row[1]) or None for row in body] == [row[1] for row in ROWS]
    assert [float(row[3]) if row[3] else None for row in body] == [row[3] for row in ROWS]
    assert [row[4] for row in body] == [{True: "yes", False: "no", None: ""}[row[4]] for row in ROWS]
    parquet = duckdb.sql(f"SELECT * FROM '{tmp_path}/out/{folder.PARQUET}'")
    assert [str(kind) for kind in parquet.types] == [
        "VARCHAR",
        "VARCHAR",
        "BIGINT",
        "DOUBLE",
        "BOOLEAN",
        "DATE",
        "TIMESTAMP",
    ]
    found = parquet.fetchall()
    assert [row[:5] for row in found] == [row[:5] for row in ROWS]
    assert (found[0][5].isoformat(), found[0][6].isoformat() + "Z") == ROWS[0][5:]


def test_an_empty_record_gives_whole_files_without_rows(tmp_path: Path) -> None:
    done = written(tmp_path / "out", [])
    assert done.readings == 0
    assert duckdb.sql(f"SELECT count(*) FROM '{tmp_path}/out/{folder.PARQUET}'").fetchall() == [(0,)]


def test_what_is_there_stays_unless_asked(tmp_path: Path) -> None:
    place = tmp_path / "out"
    written(place)
    before = {path.name: path.read_bytes() for path in place.iterdir()}
    rows = iter(ROWS)
    with pytest.raises(PaperError, match="was left as it is"):
        folder.write(place, COLUMNS, rows, iter(NOTES))
    assert next(rows) == ROWS[0]  # refused before any work
    assert {path.name: path.read_bytes() for path in place.iterdir()} == before
    assert written(place, ROWS[:2], force=True).readings == 2
    assert names(place) == sorted(folder.FILES)


def test_other_files_of_the_folder_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("kept")
    written(tmp_path)
    assert names(tmp_path) == sorted([*folder.FILES, "mine.txt"])
    assert (tmp_path / "mine.txt").read_text() == "kept"


@pytest.mark.parametrize("there", [False, True])
def test_an_export_that_breaks_off_leaves_nothing(tmp_path: Path, there: bool) -> None:
    def breaks() -> Any:
        yield ROWS[0]
        raise OSError(28, "No space left on device")

    place = tmp_path / "out"
    if there:
        written(place)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    with pytest.raises(PaperError, match="was not written: No space left"):
        folder.write(place, COLUMNS, breaks(), iter(NOTES), force=True)
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before
    assert place.exists() is there


def test_places_that_cannot_be_are_refused_before_any_work(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("")
    link = tmp_path / "link"
    link.symlink_to(tmp_path)
    for place, word in ((file, "not a folder"), (tmp_path / "no" / "out", "There is no folder"), (link, "a link")):
        with pytest.raises(PaperError, match=word):
            folder.place(place)


def test_the_same_record_gives_the_same_text_again(tmp_path: Path) -> None:
    written(tmp_path / "a")
    written(tmp_path / "b")
    for name in (folder.CSV, folder.COLUMNS, folder.README):
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()
