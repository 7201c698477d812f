"""What lies behind a damaged page is read, and the gap is told by the keys on its two sides."""

from __future__ import annotations

import sqlite3

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.record.chain import past_damage
from inspect_tui.record.chain.past_damage import IDS, SEQUENCE


class Damaged:
    """Stands for a connection to a table of numbers of which some stretches cannot be read."""

    def __init__(self, numbers: list[int], bad: list[tuple[int, int]], key=lambda n: n, number=lambda k: k) -> None:
        self.numbers, self.bad, self.key, self.number, self.asked = sorted(numbers), bad, key, number, 0

    def execute(self, sql: str, values: tuple[object, ...]):
        self.asked += 1
        after = self.number(values[-1])
        behind = [n for n in self.numbers if n > after]
        if sql.endswith("LIMIT 1"):
            behind = behind[:1]

        def read():
            if self._torn(behind[0] if behind else after):
                raise sqlite3.DatabaseError("malformed")
            for n in behind:
                if self._torn(n):
                    raise sqlite3.DatabaseError("malformed")
                yield (self.key(n),)

        rows = read()
        return Cursor(rows)

    def _torn(self, n: int) -> bool:
        return any(low <= n <= high for low, high in self.bad)


class Cursor:
    def __init__(self, rows) -> None:
        self.rows = rows

    def __iter__(self):
        return self.rows

    def fetchone(self):
        return next(self.rows, None)


def read(con: Damaged, after: int = 0) -> tuple[list[int], list[tuple[int, int | None]]]:
    lost: list[tuple[int, int | None]] = []
    rows = past_damage.rows(con, "SELECT n ORDER BY n", (), after, SEQUENCE, lost)  # type: ignore[arg-type]
    return [row[0] for row in rows], lost


def test_without_damage_all_is_read() -> None:
    assert read(Damaged([1, 2, 3, 9], [])) == ([1, 2, 3, 9], [])
    assert read(Damaged([1, 2, 3, 9], []), after=2) == ([3, 9], [])


def test_a_gap_is_jumped_and_told() -> None:
    assert read(Damaged(list(range(1, 101)), [(40, 57)])) == ([*range(1, 40), *range(58, 101)], [(39, 58)])


def test_damage_up_to_the_end() -> None:
    read_rows, lost = read(Damaged(list(range(1, 101)), [(90, 1 << 62)]))
    assert read_rows == list(range(1, 90)) and lost == [(89, None)]


@given(st.sets(st.integers(1, 3000), max_size=60), st.integers(1, 3000), st.integers(0, 500))
def test_whatever_can_be_read_is_read(numbers: set[int], low: int, width: int) -> None:
    bad = [(low, low + width)]
    whole = [n for n in sorted(numbers) if not low <= n <= low + width]
    con = Damaged(sorted(numbers), bad)
    read_rows, _ = read(con)
    assert read_rows == whole
    assert con.asked < 60  # doubling and halving, not one by one


@pytest.mark.parametrize("number", [0, 1, 1 << 77, (1 << 128) - 1])
def test_ids_are_counted_as_numbers(number: int) -> None:
    assert IDS.number(IDS.key(number)) == number and len(IDS.key(number)) == 16
    assert IDS.key(1 << 130) == b"\xff" * 16


def test_ids_are_jumped_by_time() -> None:
    at = [n << 80 for n in range(1, 200)]
    con = Damaged(at, [(50 << 80, 60 << 80)], IDS.key, IDS.number)
    lost: list[tuple[int, int | None]] = []
    rows = list(past_damage.rows(con, "SELECT n ORDER BY n", (), 0, IDS, lost))  # type: ignore[arg-type]
    assert [IDS.number(row[0]) >> 80 for row in rows] == [*range(1, 50), *range(61, 200)]
    assert [(a >> 80, b >> 80) for a, b in lost if b is not None] == [(49, 61)]
