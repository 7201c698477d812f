"""The schema keeps rows as they are, and the numbered files bring a record forward or leave it whole."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from inspect_tui.errors import RecordError, TooNew
from inspect_tui.record.file import schema
from inspect_tui.record.kinds import KINDS, triggers
from inspect_tui.record.store import Record
from tests.record.conftest import furnish

TABLES = [k.table for k in KINDS] + ["entry"]
LATEST = schema.migrations(schema.shipped())[-1][0]
UNIQUE = {k.table: k.unique_in(LATEST) for k in KINDS} | {"entry": "device_id seq"}


@pytest.fixture
def con(bench):
    """A connection as any other program would have it: none of our pragmas."""
    bench.record.void(bench.log().id, "misread", "slipped", bench.person.id)
    bench.record.checkpoint()
    con = sqlite3.connect(bench.record.path, isolation_level=None)
    yield con
    con.close()


def test_every_recorded_table_has_its_three_triggers(con):
    tables = {
        name
        for (name,) in con.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
        if not name.startswith(("cache_", "sqlite_"))
    }
    assert tables == set(TABLES)
    for table in tables:
        sql = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = ?"
        there = dict(con.execute(sql, (table,)))
        assert {name: " ".join(sql.split()) for name, sql in there.items()} == triggers(table, UNIQUE[table])


def test_every_reference_has_an_index(con):
    for table in TABLES:
        first = set()
        for row in con.execute(f"PRAGMA index_list({table})").fetchall():
            first.add(con.execute(f"PRAGMA index_info({row[1]})").fetchone()[2])
        for row in con.execute(f"PRAGMA foreign_key_list({table})").fetchall():
            if (table, row[3]) == ("reading", "tool_feature_id"):
                continue  # rows are reached by tool and feature
            assert row[3] in first, f"{table}.{row[3]}"


def test_application_and_version_stand_in_the_file(bench):
    bench.record.checkpoint()
    head = bench.record.path.read_bytes()[:100]
    assert head[68:72] == b"ITUI"
    assert int.from_bytes(head[60:64], "big") == LATEST


@pytest.mark.parametrize("recursive", ["OFF", "ON"])
@pytest.mark.parametrize("table", ["job", "feature", "feature_end", "chain_step", "reading", "supersede", "entry"])
def test_rows_cannot_be_changed_deleted_or_replaced(con, table, recursive):
    con.execute(f"PRAGMA recursive_triggers={recursive}")
    before = con.execute(f"SELECT * FROM {table}").fetchall()
    assert before
    columns = [row[1] for row in con.execute(f"PRAGMA table_info({table})")]
    with pytest.raises(sqlite3.IntegrityError, match="added to, not changed"):
        con.execute(f"UPDATE {table} SET {columns[-1]} = {columns[-1]}")
    with pytest.raises(sqlite3.IntegrityError, match="voided, not deleted"):
        con.execute(f"DELETE FROM {table}")
    for verb in ("INSERT OR REPLACE", "INSERT OR IGNORE", "REPLACE"):
        with pytest.raises(sqlite3.IntegrityError, match="already there"):
            con.execute(f"{verb} INTO {table} SELECT * FROM {table}")
    if UNIQUE[table]:  # under a new id, but with the other key of a row that is there
        new = ", ".join("randomblob(16)" if c == "id" else c for c in columns)
        with pytest.raises(sqlite3.IntegrityError, match="already there"):
            con.execute(f"REPLACE INTO {table} SELECT {new} FROM {table} LIMIT 1")
    assert con.execute(f"SELECT * FROM {table}").fetchall() == before


def test_statements_are_split_where_triggers_end():
    text = "-- a; b\nCREATE TABLE a(x);\n\nCREATE TRIGGER t BEFORE INSERT ON a\nBEGIN SELECT 1; SELECT 2; END;\n-- z\n"
    assert [s.splitlines()[-1].strip() for s in schema.statements(text)] == [
        "CREATE TABLE a(x);",
        "BEGIN SELECT 1; SELECT 2; END;",
    ]
    with pytest.raises(RecordError, match="middle of a statement"):
        list(schema.statements("CREATE TABLE a(x"))


# ------------------------------------------------------------------ migrations
NEXT, AFTER = LATEST + 1, LATEST + 2
SECOND = (
    "CREATE TABLE cache_more (x INTEGER) STRICT;\nALTER TABLE lot ADD COLUMN place TEXT;\n"
    f"PRAGMA user_version = {NEXT};\n"
)


@pytest.fixture
def old_file(tmp_path: Path):
    path = tmp_path / "old.db"
    with Record.open(path, create=True) as record:
        made = furnish(record)
        made.log()
    folder = tmp_path / "schema"
    shutil.copytree(schema.shipped(), folder)
    return path, folder


def dump(path: Path) -> list[str]:
    con = sqlite3.connect(path)
    try:
        return [*con.iterdump(), str(con.execute("PRAGMA user_version").fetchone())]
    finally:
        con.close()


def test_a_pending_file_is_applied_after_a_verified_backup(old_file):
    path, folder = old_file
    before = dump(path)
    (folder / f"{NEXT:03}_more.sql").write_text(SECOND)
    with Record.open(path, schema_dir=folder) as record:
        assert record.version == NEXT
        assert record.verify().ok
    backups = list((path.parent / "backups").glob("*.db"))
    assert len(backups) == 1
    assert f"version-{LATEST}" in backups[0].name
    assert dump(backups[0]) == before
    with pytest.raises(TooNew, match=f"made by version {NEXT} of the record; this program knows version {LATEST}"):
        Record.open(path)
    with Record.open(path, schema_dir=folder) as record:  # nothing pending any more
        assert len(list((path.parent / "backups").glob("*.db"))) == 1


@pytest.mark.parametrize(
    "bad",
    [
        f"CREATE TABLE cache_x (a);\nINSERT INTO nowhere VALUES (1);\nPRAGMA user_version = {AFTER};\n",
        "CREATE TABLE cache_x (a);\n",  # forgets its number
        # a chain breaks
        f"DROP TRIGGER feature_end_no_delete;\nDELETE FROM feature_end;\nPRAGMA user_version = {AFTER};\n",
        f"DROP TRIGGER job_no_update;\nPRAGMA user_version = {AFTER};\n",  # a lock is gone
    ],
)
def test_a_file_that_fails_leaves_the_record_whole(old_file, bad):
    path, folder = old_file
    (folder / f"{NEXT:03}_more.sql").write_text(SECOND)
    with Record.open(path, schema_dir=folder):
        pass
    before = dump(path)
    (folder / f"{AFTER:03}_bad.sql").write_text(bad)
    with pytest.raises(RecordError):
        Record.open(path, schema_dir=folder)
    assert dump(path) == before
    assert any(f"version-{NEXT}" in p.name for p in (path.parent / "backups").glob("*.db"))


def test_a_record_of_an_older_version_that_may_only_be_read_is_shown_as_a_copy(old_file):
    path, folder = old_file
    before = path.read_bytes()
    (folder / f"{NEXT:03}_more.sql").write_text(SECOND)
    with Record.open(path, schema_dir=folder, read_only=True) as record:
        assert f"It is of version {LATEST} of the record and shown as a copy brought to {NEXT}" in record.read_only_why
        assert len(record.readings()) == 1 and record.version == NEXT
        with record.reader() as reader:  # as other threads have it
            assert len(reader.readings()) == 1 and reader.path == path
        copy = Path(record._copy.name)
        assert copy.is_dir()
    assert path.read_bytes() == before and not copy.exists()


def test_a_chain_of_files_has_one_backup_and_says_where(old_file):
    path, folder = old_file
    (folder / f"{NEXT:03}_more.sql").write_text(SECOND)
    (folder / f"{AFTER:03}_more.sql").write_text(f"CREATE TABLE cache_y (a);\nPRAGMA user_version = {AFTER};\n")
    told: list[str] = []
    with Record.open(path, schema_dir=folder, watch=told.append) as record:
        (kept,) = (path.parent / "backups").glob("*.db")
        (entries,) = record.connection.execute("SELECT count(*) FROM entry").fetchone()
        assert told == [
            f"{path.name} is of version {LATEST}: a backup is made and proved first",
            f"step 1 of 2: to version {NEXT}",
            f"step 2 of 2: to version {AFTER}",
            f"{entries} of {entries} entries proved as they are now",
        ]
        assert record.opening_said == (
            f"{path.name} was brought from version {LATEST} to {AFTER} of the record; as it was before it lies in {kept}."
        )
        assert record.version == AFTER and record.verify().ok
    with Record.open(path, schema_dir=folder) as record:
        assert record.opening_said == ""


def test_a_chain_of_files_of_which_the_last_fails_leaves_the_first_version(old_file):
    path, folder = old_file
    before = dump(path)
    (folder / f"{NEXT:03}_more.sql").write_text(SECOND)
    (folder / f"{AFTER:03}_bad.sql").write_text("CREATE TABLE cache_x (a);\n")
    with pytest.raises(RecordError, match="does not end with PRAGMA"):
        Record.open(path, schema_dir=folder)
    assert dump(path) == before


def test_two_programs_that_start_at_once_migrate_once(old_file):
    path, folder = old_file
    (folder / f"{NEXT:03}_more.sql").write_text(SECOND)
    code = (
        "import sys; from pathlib import Path; from inspect_tui.record.store import Record\n"
        "with Record.open(sys.argv[1], schema_dir=Path(sys.argv[2])) as r: print(r.version, r.verify().ok)"
    )
    running = [
        subprocess.Popen([sys.executable, "-c", code, path, folder], stdout=subprocess.PIPE, text=True) for _ in "12"
    ]
    assert [p.communicate(timeout=30)[0].strip() for p in running] == [f"{NEXT} True"] * 2
    assert [p.returncode for p in running] == [0, 0]


def test_an_installed_package_finds_its_schema_inside_itself(tmp_path: Path):
    package = Path(schema.__file__).parents[2]
    there = tmp_path / "site" / "inspect_tui"
    shutil.copytree(package, there, ignore=shutil.ignore_patterns("__pycache__", "tables", "tui", "report", "demo"))
    shutil.copytree(schema.shipped(), there / "schema")
    code = (
        "import sys; from inspect_tui.record.store import Record; from inspect_tui.record.file import schema\n"
        "with Record.open('new.db', create=True) as r: print(schema.shipped(), r.verify().ok)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=there.parent, capture_output=True, text=True, check=True, timeout=30
    )
    assert done.stdout.split() == [str(there / "schema"), "True"]


def test_schema_files_must_be_numbered_without_a_gap(tmp_path: Path):
    (tmp_path / "001_first.sql").write_text("")
    (tmp_path / "003_third.sql").write_text("")
    with pytest.raises(RecordError, match="not numbered"):
        schema.migrations(tmp_path)
