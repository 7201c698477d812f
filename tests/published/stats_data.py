"""Read the published statistics values kept beside the tests and compare with them to their stated tolerance."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from math import log10
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent / "data" / "stats"


def load(name: str) -> dict[str, Any]:
    check: dict[str, Any] = json.loads((HERE / f"{name}.json").read_text(encoding="utf-8"))
    assert check["status"] in ("found", "memory", "computed"), name
    assert check["source"], name
    return check


def agrees(check: dict[str, Any], got: Mapping[str, Any], besides: Iterable[str] = ()) -> None:
    """Every expected value of the file is in `got` and within tolerance; `besides` are checked elsewhere."""
    expected, tolerance = check["expected"], check["tolerance"]
    left = set(expected) - set(got) - set(besides)
    assert not left, f"{check['name']}: nothing computed for {sorted(left)}"
    for name in sorted(set(expected) & set(got)):
        within = tolerance.get(name, tolerance["default"])
        want, have = expected[name], got[name]
        pairs = list(zip(want, have, strict=True)) if isinstance(want, list) else [(want, have)]
        for w, h in pairs:
            bound = within.get("abs", 0.0) + within.get("rel", 0.0) * abs(w)
            assert abs(h - w) <= bound, f"{check['name']}, {name}: {h!r} against {w!r} ({check['source']})"


def log_relative_error(got: float, published: float) -> float:
    """Number of right digits, as the NIST StRD pages count them; 15 when equal."""
    if got == published:
        return 15.0
    miss = abs(got - published) / (abs(published) or 1.0)
    return min(15.0, -log10(miss))
