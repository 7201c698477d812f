"""The registry, the dataclasses and the tables say the same."""

from __future__ import annotations

import re
import sqlite3
import typing
from dataclasses import fields, is_dataclass
from importlib import import_module
from pkgutil import iter_modules

import pytest

from inspect_tui import model
from inspect_tui.errors import RecordError
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import Job, Lot
from inspect_tui.record import kinds
from inspect_tui.record.file import schema
from inspect_tui.record.kinds import BY_NUMBER, KINDS

NESTED = {"ends", "steps"}
STORED_AS = {"b": "BLOB", "r": "REAL", "i": "INTEGER", "o": "INTEGER"} | dict.fromkeys("dtxn", "TEXT")


@pytest.fixture(scope="module")
def con():
    con = sqlite3.connect(":memory:", isolation_level=None)
    for number, file in schema.migrations(schema.shipped()):
        schema.apply(con, number, file)
    yield con
    con.close()


def sql_of(con, table):
    return con.execute("SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = ?", (table,)).fetchone()[0]


def test_every_recorded_dataclass_of_the_model_has_its_table():
    modules = [import_module(f"inspect_tui.model.{found.name}") for found in iter_modules(model.__path__)]
    recorded = {
        thing
        for module in modules
        for thing in vars(module).values()
        if isinstance(thing, type) and is_dataclass(thing) and "id" in {f.name for f in fields(thing)}
    }
    assert recorded == {kind.cls for kind in KINDS} - {kinds.Device}
    assert len(BY_NUMBER) == len(KINDS)
    assert all(kinds.kind_of(kind.cls) is kind for kind in KINDS)


def test_kind_numbers_never_change():
    # they stand inside hashes and in note.about_kind: a new kind takes a new number
    assert [(k.number, k.table) for k in KINDS if k.number < 30] == [
        (1, "device"),
        (2, "job"),
        (3, "job_state"),
        (4, "drawing_revision"),
        (5, "feature"),
        (6, "feature_end"),
        (7, "core"),
        (8, "tool"),
        (9, "tool_feature"),
        (10, "chain_step"),
        (11, "lot"),
        (12, "item"),
        (13, "person"),
        (14, "instrument"),
        (15, "calibration"),
        (16, "session"),
        (17, "setup"),
        (18, "reading"),
        (19, "supersede"),
        (20, "note"),
        (21, "gauge_study"),
        (22, "gauge_part"),
        (23, "gauge_person"),
        (24, "gauge_trial"),
        (25, "gauge_check"),
        (26, "instrument_bias"),
    ]


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.table)
def test_columns_are_the_fields_and_the_table_in_one_order(kind, con):
    assert kind.names == tuple(f.name for f in fields(kind.cls) if f.name not in NESTED)
    info = con.execute(f"PRAGMA table_info({kind.table})").fetchall()
    assert kind.names == tuple(row[1] for row in info)
    hints = typing.get_type_hints(kind.cls)
    for column, row in zip(kind.columns, info, strict=True):
        assert row[2] == STORED_AS[column.type], column
        assert bool(row[3]) == (not column.optional), column
        hint = hints[column.name]
        assert (type(None) in typing.get_args(hint)) == column.optional, column
        plain = next((t for t in typing.get_args(hint) if t is not type(None)), hint)
        assert plain is {"b": bytes, "r": float, "i": int, "o": bool}.get(column.type, str), column


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.table)
def test_lengths_and_lists_are_the_same_in_the_table_and_in_the_program(kind, con):
    sql = sql_of(con, kind.table)
    lengths = {name: int(n) for name, n in re.findall(r"CHECK \(length\((\w+)\) BETWEEN 1 AND (\d+)\)", sql)}
    assert lengths == {c.name: c.most for c in kind.columns if c.most}
    found = re.findall(r"(\w+) IN \(('[^)]*)\)", sql)
    lists = {name: tuple(re.findall(r"'([^']*)'", inside)) for name, inside in found}
    assert lists == {c.name: c.choices for c in kind.columns if c.choices}
    unguarded = [c.name for c in kind.columns if c.type in "txn" and not c.most and not c.choices]
    assert unguarded == []


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.table)
def test_tables_are_strict_and_kept_in_the_order_of_their_ids(kind, con):
    assert sql_of(con, kind.table).endswith("STRICT, WITHOUT ROWID")
    assert re.search(r"\bid +BLOB NOT NULL PRIMARY KEY CHECK \(length\(id\) = 16\)", sql_of(con, kind.table))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"number": "x" * 41}, "number has 41 characters; at most 40 fit"),
        ({"number": " \x1b "}, "number is empty"),
        ({"rule": "mostly"}, "'mostly' is none of proof95"),
        ({"a_x": float("nan")}, "a x is not a number"),
        ({"a_x": float("inf")}, "a x is not a number"),
        ({"a_x": "1.0 %"}, "a x is not a number"),
        ({"name": None}, "name is not filled in"),
        ({"name": 5}, "name is not a text"),
    ],
)
def test_what_does_not_fit_is_named(change, sentence):
    job = Job(**{"number": "1", "name": "n", "of_id": b"x" * 16, **change})
    with pytest.raises(RecordError, match=sentence):
        kinds.JOB.row(job, b"x" * 16)


def test_a_missing_reference_and_a_wrong_date_are_named():
    with pytest.raises(RecordError, match="job of id is not filled in"):
        kinds.LOT.row(Lot(job_of_id=b"", label="1"), b"x" * 16)
    for wrong in ("2025-02-30", "20250331", "2025-W14-1", "soon"):
        with pytest.raises(RecordError, match="poured on is not a date"):
            kinds.LOT.row(Lot(job_of_id=b"j" * 16, label="1", poured_on=wrong), b"x" * 16)
    with pytest.raises(RecordError, match="whole number"):
        kinds.LOT.row(Lot(job_of_id=b"j" * 16, label="1", quantity=2.5), b"x" * 16)
    with pytest.raises(RecordError, match="not a thing that is recorded"):
        kinds.kind_of(Estimate(1.0, 0.1))


def test_a_row_becomes_the_same_thing_again():
    job = Job(id=b"i" * 16, of_id=b"i" * 16, number="1", name="n", a_x=-0.0, alloy="")
    row = kinds.JOB.row(job, job.id)
    again = kinds.JOB.thing(row)
    assert again.alloy is None
    assert str(again.a_x) == "0.0"
    assert kinds.JOB.row(again, again.id) == row
