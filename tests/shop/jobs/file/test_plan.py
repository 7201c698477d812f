"""A plan keeps references pointing back, so that it is written in one go."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.frozen import fields
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs.file.plan import measurable
from tests.worlds.job_files import any_job, example, plan


def test_no_row_names_one_that_comes_after_it() -> None:
    made = plan(any_job(3))
    rows = made.rows()
    later = {row.id: n for n, row in enumerate(rows) if row.id}
    for n, row in enumerate(rows):
        for name in fields(row):
            value = getattr(row, name)
            assert not isinstance(value, bytes) or later.get(value, -1) <= n, name


def test_the_example_is_a_whole_job(tmp_path: Path) -> None:
    made = plan(example())
    empty = {name for name in fields(made) if name != "remarks" and not getattr(made, name)}
    assert empty == {"pictures", "questions"}
    with Record.open(tmp_path / "p.db", create=True) as record:
        record.add_all(made.rows())
        assert record.verify().ok


def test_a_size_joins_the_tools_that_make_all_of_its_ends() -> None:
    made = plan(example())
    width = made.features[0]
    assert [tool.label for tool in made.tools if measurable(width, tool)] == ["stick 1", "box 1"]
