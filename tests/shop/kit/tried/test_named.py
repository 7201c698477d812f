"""Trials by what people call them: the second of a day by its number, one alone by nothing."""

from __future__ import annotations

import pytest

from inspect_tui.errors import NotFound, Several
from inspect_tui.record.store import Record
from inspect_tui.shop.kit.tried import named
from tests.shop.kit.test_check import proven, record  # noqa: F401  a fixture
from tests.worlds.trials import tried


def test_a_trial_is_named_by_sort_and_day(record: Record) -> None:
    made = proven(record)
    first = tried(made, day="2026-03-02")
    assert named.one(record, made.job.of_id, "", "")[1].id == first.proving.id
    tried(made, day="2026-03-02")
    tried(made, sort="trial closing", inside="cores", day="2026-03-01")
    assert [name for name, _, _ in named.every(record, made.job.of_id)] == [
        "trial closing of 2026-03-01",
        "trying in of 2026-03-02",
        "trying in of 2026-03-02 (2)",
    ]
    assert named.one(record, made.job.of_id, "trying in of 2026-03-02 (2)", "")[0].endswith("(2)")
    with pytest.raises(NotFound, match="trial"):
        named.one(record, made.job.of_id, "", "")
    with pytest.raises((NotFound, Several)):
        named.one(record, made.job.of_id, "trying in of 2025", " in job TK-1")
