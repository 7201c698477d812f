"""Puts an export into a folder: everything is made under a name that passes, and gets its own name when it is whole."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterable, Sequence
from pathlib import Path
from secrets import token_hex
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import frozen
from inspect_tui.report.export import csv_file, parquet_file, sqlite_file
from inspect_tui.report.paper.file import PaperError, put_in_place, sync_folder, target

if TYPE_CHECKING:
    from inspect_tui.shop.jobs.export_columns import ExportColumn

SQLITE, CSV, PARQUET, COLUMNS, README = "readings.db", "readings.csv", "readings.parquet", "columns.csv", "README.md"
FILES = (SQLITE, CSV, PARQUET, COLUMNS, README)


@frozen
class Written:
    """What an export came to: its files, how many readings they hold, and what is to be said about it."""

    files: tuple[Path, ...]
    readings: int
    said: tuple[str, ...]


def place(folder: str | Path, *, force: bool = False) -> Path:
    """The folder to write to, or a sentence why not: before any work is done. It is made when its own folder exists."""
    folder = Path(folder).expanduser()
    if folder.is_symlink():
        raise PaperError(f"{folder} is a link to another place; links are not followed. Name the folder itself.")
    if not folder.exists():
        if not folder.parent.is_dir():
            raise PaperError(f"There is no folder {folder.parent}; make it first or name another one.")
        if not os.access(folder.parent, os.W_OK):
            raise PaperError(f"{folder.parent} may not be written to; name a folder of your own.")
        return folder
    if not folder.is_dir():
        raise PaperError(f"{folder} is a file, not a folder: name the folder that the export is to go into.")
    for name in FILES:
        target(folder / name, force=force)
    return folder


def write(
    folder: str | Path,
    columns: Sequence[ExportColumn],
    rows: Iterable[Sequence[Any]],
    notes: Iterable[Sequence[Any]],
    *,
    heads: Sequence[str] = (),
    force: bool = False,
) -> Written:
    """Write every form into `folder`; PaperError says what was wrong, and then nothing is there that was not before.

    `heads` are the ends of the record's chains: from which state of the record the readings come.
    """
    folder = place(folder, force=force)
    new = not folder.exists()
    draft = (folder.parent if new else folder) / f".export-{token_hex(4)}.part"
    try:
        draft.mkdir()
        count, said = _make(draft, columns, rows, notes, heads)
        made = [name for name in FILES if (draft / name).exists()]
        for name in made:
            _sync(draft / name)
        if new:
            draft.rename(folder)
            sync_folder(folder.parent)
        else:
            for name in made:
                put_in_place(draft / name, folder / name, force)
            for name in set(FILES) - set(made):
                (folder / name).unlink(missing_ok=True)  # of an older export: it would not agree with the others
            sync_folder(folder)
    except FileExistsError as taken:
        raise PaperError(
            f"{taken.filename2 or taken.filename or folder} appeared while the export was made and was left as it is; "
            "ask again."
        ) from None
    except OSError as problem:
        raise PaperError(_not_written(folder, problem.strerror or str(problem))) from None
    except sqlite3.Error as problem:
        raise PaperError(_not_written(folder, str(problem))) from None
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return Written(tuple(folder / name for name in made), count, said)


def _make(
    draft: Path,
    columns: Sequence[ExportColumn],
    rows: Iterable[Sequence[Any]],
    notes: Iterable[Sequence[Any]],
    heads: Sequence[str],
) -> tuple[int, tuple[str, ...]]:
    count = sqlite_file.write(draft / SQLITE, columns, rows, notes)
    csv_file.write(draft / CSV, [c.name for c in columns], sqlite_file.stored(draft / SQLITE, columns))
    csv_file.write(
        draft / COLUMNS, ["name", "kind", "unit", "meaning"], [(c.name, c.kind, c.unit, c.meaning) for c in columns]
    )
    said: tuple[str, ...] = ()
    if parquet_file.there():
        parquet_file.write(draft / PARQUET, draft / CSV, columns)
    else:
        said = (parquet_file.MISSING,)
    (draft / README).write_text(_readme(draft, columns, count, heads), "utf-8")
    return count, said


def _readme(draft: Path, columns: Sequence[ExportColumn], count: int, heads: Sequence[str]) -> str:
    """What lies in the folder, how it is read, and from which state of the record it comes."""
    views = "\n".join(f"- `{name}`: {meaning}" for name, (meaning, _) in sqlite_file.VIEWS.items())
    table = "\n".join(f"| {c.name} | {c.kind} | {c.unit} | {c.meaning} |" for c in columns)
    from_heads = "\n".join(f"- `{head}`" for head in heads)
    parquet = "- `readings.parquet`: the same with types, for programs that compute with very many rows\n"
    return (
        f"# All readings of the record: {count}\n\n"
        "One row for each reading, in the order in which they were logged. Nothing is left out: what was struck,\n"
        "is contested or in question stands there with the words for it in `state`.\n\n"
        "- `readings.csv`: comma separated, UTF-8, decimal point, empty where nothing is known. Text that a\n"
        "  spreadsheet would take for a formula has an apostrophe before it.\n"
        "- `readings.db`: SQLite, with the tables `readings`, `notes` and `columns`\n"
        f"{parquet if (draft / PARQUET).exists() else ''}"
        "- `columns.csv`: what each column means, as below\n\n"
        "A verdict is that of the line: of the mean of what was typed in one go, as the Bench says it. `corrected`\n"
        "and `u` are of the single reading. A bias that is known of a gauge is taken off: it stands in\n"
        "`known_bias` and in `u`.\n\n"
        f"## Views in readings.db\n\n{views}\n\n"
        "Notes are searched by words:\n\n"
        "    SELECT r.* FROM notes_of_readings r WHERE r.note IN\n"
        "      (SELECT rowid FROM notes_fts WHERE notes_fts MATCH 'burr')\n\n"
        f"## Columns\n\n| name | kind | unit | meaning |\n|---|---|---|---|\n{table}\n\n"
        f"## The record as it stood (end of each chain)\n\n{from_heads}\n"
    )


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _not_written(folder: Path, problem: str) -> str:
    return f"The export to {folder} was not written: {problem}. Free space or name another place."
