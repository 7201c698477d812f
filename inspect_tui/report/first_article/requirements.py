"""The rows of a first-article paper: a machined feature that was measured raw and finished has two, by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

Plain = Mapping[str, Any]
FINISHED = "finished"


def state(line: Plain) -> str:
    """raw or finished; reports of before this was told know raw castings only."""
    return str(line.get("state", "raw"))


def size(line: Plain) -> float:
    """The size that the row is judged about, in the unit of the line: as cast, or finished."""
    return float(line["finished" if state(line) == FINISHED else "as_cast"])


def named(lines: Sequence[Plain]) -> list[Plain]:
    """The lines with names of their own: F01 raw and F01 finished where a feature has both, else its balloon."""
    twice = {line["balloon"] for line in lines if state(line) == FINISHED}
    return [
        {**line, "balloon": f"{line['balloon']} {state(line)}"} if line["balloon"] in twice else line for line in lines
    ]
