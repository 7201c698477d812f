"""Check values for uncertainty and conformity, each file naming its source and whether it was read or recalled."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

STATS = Path(__file__).with_name("data") / "stats"


@dataclass(frozen=True)
class Check:
    data: dict[str, Any]
    expected: dict[str, Any]
    tolerance: dict[str, Any]
    source: str

    def says(self, name: str, computed: float) -> None:
        """Assert that `computed` is the value given for `name`, within the tolerance given for it."""
        within = self.tolerance.get(name, self.tolerance["default"])
        allowed = within.get("abs", 0.0) + within.get("rel", 0.0) * abs(self.expected[name])
        assert computed == pytest.approx(self.expected[name], abs=allowed, rel=0), f"{name}: {self.source}"


def check(name: str) -> Check:
    whole = json.loads((STATS / f"h_{name}.json").read_text(encoding="utf-8"))
    return Check(whole["data"], whole["expected"], whole["tolerance"], f"{whole['source']} ({whole['status']})")
