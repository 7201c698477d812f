"""Worked examples of fits, lifts, sags, stacks and passages, copied with their sources."""

from __future__ import annotations

import json

from tests.published.worked import Example, rows


def example(number: str) -> Example:
    row = next(row for row in rows("assembly_worked_examples") if row["id"] == number)
    assert row["source"] and row["status"] in ("found", "memory", "common-practice")
    return Example(
        json.loads(row["inputs"]),
        json.loads(row["expected"]),
        json.loads(row["tolerance"]),
        row["source"],
        row["status"],
    )
