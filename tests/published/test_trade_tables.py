"""Every cell of every shipped table but its remarks, against figures held beside the tests: one wrong cell is noticed.

The held figures are written from the reference tables that the shipped ones were made from, not from what is shipped
(those of sound and liquid metal from what was read and from memory); lists of names and sources, clearances and
roughness are kept as they were when they were read through. A table that is changed on purpose is changed in both
places, by hand. The ISO tables are held once more as the standards print them in `test_iso_tables.py`.
"""

from __future__ import annotations

from csv import DictReader
from pathlib import Path

import pytest

from inspect_tui.metrology.sizes import tables

HELD = Path(__file__).parent / "data" / "tables"
NAMES = sorted(file.stem for file in HELD.glob("*.csv"))


def cell(text: str) -> str | float:
    """A figure as a figure, so that 3 and 3.0 are the same; anything else as it stands."""
    try:
        return round(float(text), 9)
    except ValueError:
        return text


def held(name: str) -> tuple[list[str], list[tuple[str | float, ...]]]:
    """Columns and rows of a held table."""
    with (HELD / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        reader = DictReader(file)
        columns = list(reader.fieldnames or ())
        return columns, [tuple(cell(row[column]) for column in columns) for row in reader]


def test_every_shipped_table_is_held():
    assert set(tables.names()) == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_cell_is_the_held_one_in_the_same_order(name):
    columns, expected = held(name)
    shipped = tables.rows(name, contradicted=True)
    assert [tuple(cell(row[column]) for column in columns) for row in shipped] == expected


@pytest.mark.parametrize("name", NAMES)
def test_only_remarks_are_not_held(name):
    columns = set(held(name)[0])
    added = {"source", "source_kind"} if "src" in columns and name != "sources" else set()  # by the loader
    assert set(tables.rows(name, contradicted=True)[0]) - columns - added <= {"note"}
