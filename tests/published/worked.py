"""Worked examples copied from open sources, each with its source and status, for the checks in this folder."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

DATA = Path(__file__).with_name("data")


@dataclass(frozen=True)
class Example:
    inputs: dict[str, Any]
    expected: dict[str, Any]
    tolerance: Any
    source: str
    status: str

    def says(self, name: str, computed: Any) -> None:
        """Assert that `computed` is the example's answer for `name`, within its stated tolerance."""
        within = self.tolerance[name] if isinstance(self.tolerance, dict) else self.tolerance
        expected = self.expected[name]
        assert computed == pytest.approx(expected, abs=max(within, 1e-9), rel=0), f"{name}: {self.source}"


@cache
def rows(name: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(newline="", encoding="utf-8") as table:
        return list(csv.DictReader(table))


def example(number: str) -> Example:
    row = next(row for row in rows("worked_examples_sizes") if row["id"] == number)
    return Example(
        json.loads(row["inputs"]),
        json.loads(row["expected"]),
        json.loads(row["tolerance"]),
        row["source"],
        row["status"],
    )
