"""Counts the calls that a piece of work makes, so that a test can hold its cost without looking at a clock."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any


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
