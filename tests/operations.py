"""Counts the calls or the questions to the record that a piece of work makes, so that a test can hold its cost without looking at a clock."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader


def calls(work: Callable[[], Any]) -> int:
    """How many functions, our own and the interpreter's, are called while `work` runs in this thread."""
    count = 0

    def event(_frame: object, what: str, _about: object) -> None:
        nonlocal count
        if what in ("call", "c_call"):
            count += 1

    before = sys.getprofile()
    sys.setprofile(event)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count


def questions(record: Reader, work: Callable[[], Any]) -> int:
    """How many questions the record is asked, on its own connection, while `work` runs."""
    asked: list[str] = []
    record._con.set_trace_callback(asked.append)
    try:
        work()
    finally:
        record._con.set_trace_callback(None)
    return len(asked)
