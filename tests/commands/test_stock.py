"""`stock`: whether every machined face cleans up."""

from __future__ import annotations

import json

from tests.commands.test_first_article import (
    On,
    on,  # noqa: F401
)


def test_stock_says_whether_every_face_cleans_up(on: On) -> None:
    plain = json.loads(on("stock", "--round", "S1", "--json").out)
    assert all(one["cleans_up"] for one in plain["castings"])
    assert all([name for name, _ in one["targets"]] == ["A1", "A2", "A3"] for one in plain["castings"])
    assert on("stock", "--round", "S1", "--check").status == 0
    short = on("stock", "--round", "S1", "--required", "4,5", "--check")
    assert short.status == 1
    assert "Does not clean up" in short.out
    assert "whether a turn about X or Y or Z would help" in " ".join(short.out.split())  # held still, and why
    assert on("stock", "--required", "much").status == 2
