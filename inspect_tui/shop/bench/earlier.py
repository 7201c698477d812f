"""Earlier lines put right at the Bench: taken back, typed right, or moved to the size that they were meant for."""

from __future__ import annotations

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import quantity
from inspect_tui.metrology.typed.parsed import Size, TypedLine
from inspect_tui.model.measuring import Person
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Task
from inspect_tui.shop.common.sizes import unit_of

MOST = 200  # readings that are listed


def readings(bench: Bench, most: int = MOST) -> list[tuple[str, LoggedReading]]:
    """The newest readings on the tool or casting at hand with the balloon of each, newest first."""
    tool, item = bench.subject.tool, bench.subject.item
    logged = bench.record.readings(
        tool_of_id=tool.of_id if tool else None, item_id=item.id if item else None, limit=most, newest_first=True
    )
    features = bench.record.features_by_id({row.reading.feature_id for row in logged})
    return [(features[row.reading.feature_id].balloon, row) for row in logged]


def take_back(bench: Bench, row: LoggedReading, why: str, by: Person) -> None:
    """Take a reading out of count; it stays in the record, struck out. Errors: DataError where it does not count."""
    _must_count(row)
    bench.record.void(row.id, "misread", why, by=by.id)
    bench.forget_line(row.id)
    bench.refresh()


def put_right(bench: Bench, row: LoggedReading, text: str, by: Person) -> float:
    """Log what a reading should have been in place of it, by the same gauge on the same day; mm (deg, degC).

    Errors: DataError where it does not count, or where the text is not one size.
    """
    _must_count(row)
    task = _task_of(bench, row)
    size = _one_size(bench, row, task, text)
    new = replace(row.reading, id=b"", value=size.mm, typed=size.typed, typed_unit=size.unit, slip="none")
    bench.record.correct(row.id, new, "misread", "put right at the bench", by=by.id)
    bench.forget_line(row.id)
    bench.refresh()
    return size.mm


def move(bench: Bench, row: LoggedReading, balloon: str, by: Person) -> Task:
    """Log a reading on the size that it was meant for, in place of where it stands.

    Errors: DataError where it does not count, stands there already, or is no reading of such a size.
    """
    _must_count(row)
    index = bench.index_of(balloon)
    if index is None:
        raise DataError(f"{balloon} is not on this list.")
    task = bench.tasks[index]
    if task.feature.id == row.reading.feature_id:
        raise DataError(f"It stands on {balloon} already.")
    size = _one_size(bench, row, task, row.reading.typed)
    on_tool = task.sizes.tool_feature if bench.subject.tool else None
    new = replace(
        row.reading,
        id=b"",
        feature_id=task.feature.id,
        tool_feature_id=on_tool.id if on_tool else None,
        rep=1,
        value=size.mm,
        typed=size.typed,
        typed_unit=size.unit,
    )
    bench.record.correct(row.id, new, "wrong_feature", f"meant for {balloon}", by=by.id)
    bench.forget_line(row.id)
    bench.refresh()
    return bench.tasks[index]


def _must_count(row: LoggedReading) -> None:
    if row.out:
        raise DataError("That reading does not count any more: it was taken back or put right already.")


def _task_of(bench: Bench, row: LoggedReading) -> Task:
    for task in bench.tasks:
        if row.reading.feature_id in bench.rows_of(task):
            return task
    raise DataError("Its size is not on this list: it was read for another drawing, or in another state.")


def _one_size(bench: Bench, row: LoggedReading, task: Task, text: str) -> Size:
    gauge = bench.record.instruments_by_id()[row.setup.instrument_id]
    unit = unit_of(task.feature, gauge.unit if gauge.unit in ("mm", "in") else "mm")
    if row.reading.typed == text and row.reading.typed_unit in ("mm", "in", "deg"):
        unit = row.reading.typed_unit if task.feature.quantity != "angle" else "deg"
    parsed = quantity.parse_line(text, unit, gauge.rule_scale, task.feature.quantity)
    if not isinstance(parsed, TypedLine):
        raise DataError(parsed.sentence)
    if len(parsed.sizes) != 1:
        raise DataError("That are several sizes: a reading is put right by one.")
    return parsed.sizes[0]
