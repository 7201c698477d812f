"""What went wrong, in one sentence, when nobody below said it: disks, files, memory, text, faults of our own."""

from __future__ import annotations

import errno
import sqlite3

from inspect_tui.errors import InspectError

LONGEST = 80  # letters of a name that are shown
KEPT = "What was acknowledged before is on the disk."


def sentence(problem: Exception) -> str:
    """The sentence for a person; for a fault of our own the traceback goes to stderr before it."""
    if isinstance(problem, InspectError):
        from inspect_tui.commands.todo import said

        return said(problem)
    if isinstance(problem, OSError):
        return _of_the_system(problem)
    if isinstance(problem, UnicodeDecodeError):
        return f"The input is not text in UTF-8: it holds the byte 0x{problem.object[problem.start]:02x}. {KEPT}"
    if isinstance(problem, UnicodeEncodeError):
        letter = problem.object[problem.start]
        return f"The output takes no {letter!r}, for its encoding is {problem.encoding}. {KEPT} Set it to UTF-8."
    if isinstance(problem, RecursionError):
        return f"What was given is nested too deeply to be understood. {KEPT}"
    if isinstance(problem, MemoryError):
        return f"There is not enough memory for this. {KEPT}"
    if isinstance(problem, sqlite3.Error):
        return f"The record could not be used ({problem}). {KEPT}"
    import traceback

    traceback.print_exception(problem)
    kind = type(problem).__name__
    return f"This is a fault of the program ({kind}). {KEPT} Give the lines above to who looks after it."


def _of_the_system(problem: OSError) -> str:
    why = (problem.strerror or str(problem) or type(problem).__name__).strip()
    if problem.filename is None:
        if problem.errno == errno.ENOSPC:
            return f"The output could not be written: the disk is full. {KEPT} Free space or write it elsewhere."
        return f"Input or output failed: {why}. {KEPT}"
    name = str(problem.filename)
    name = name if len(name) <= LONGEST else f"{name[: LONGEST // 2]} ... {name[-LONGEST // 2 :]}"
    return (
        f"{name!r} cannot be read or written: {why}. {KEPT} Name another place, or ask for the right to use this one."
    )
