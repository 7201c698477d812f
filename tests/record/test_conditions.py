"""Conditions that questions share, asked of small tables."""

from __future__ import annotations

import sqlite3

from inspect_tui.record.conditions import MEASURED_AT, newest, raw_only, there


def test_what_was_taken_the_place_of_or_put_aside_is_not_the_newest() -> None:
    con = sqlite3.connect(":memory:")
    con.executescript(
        "CREATE TABLE core (id, replaces_id); CREATE TABLE put_aside (about_id);"
        "INSERT INTO core VALUES (1, NULL), (2, 1), (3, 1), (4, NULL); INSERT INTO put_aside VALUES (3);"
    )
    assert [row[0] for row in con.execute(f"SELECT t.id FROM core t WHERE {newest('core')}")] == [2, 4]


def test_the_newest_word_on_a_withdrawal_holds() -> None:
    con = sqlite3.connect(":memory:")
    con.executescript(
        "CREATE TABLE withdrawal (id, about_id, state); CREATE TABLE core (id);"
        "INSERT INTO core VALUES (x'01'), (x'02'), (x'03');"
        "INSERT INTO withdrawal VALUES (1, x'01', 'withdrawn'), (2, x'02', 'withdrawn'), (3, x'02', 'back');"
    )
    assert [row[0] for row in con.execute(f"SELECT t.id FROM core t WHERE {there('t.id')}")] == [b"\2", b"\3"]


def test_raw_and_the_day_that_was_said() -> None:
    con = sqlite3.connect(":memory:")
    con.executescript(
        "CREATE TABLE setup (id, state, on_date); CREATE TABLE reading (setup_id); CREATE TABLE entry (at_us, tz_min);"
        "INSERT INTO setup VALUES (1, 'raw', NULL), (2, 'finished', '1970-01-02'); INSERT INTO entry VALUES (7, 60);"
        "INSERT INTO reading VALUES (1), (2);"
    )
    assert con.execute(f"SELECT r.setup_id FROM reading r WHERE {raw_only()}").fetchall() == [(1,)]
    made = con.execute(f"SELECT {MEASURED_AT} FROM setup s, entry e ORDER BY s.id").fetchall()
    assert made == [(7,), (86_400_000_000 + 11 * 3_600_000_000,)]  # noon there is 11 h UTC, an hour to the east
