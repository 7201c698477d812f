"""Reads a workbook in a process of its own: a damaged one can end the process that reads it, past any exception.

The reading library makes room for as many things as the file says there are before it looks whether they are there; a
single wrong byte asks for hundreds of gigabytes. So another process is risked, with limits of its own, which costs a
tenth of a second, can be left at any moment, and prints nothing over the screen.
"""

from __future__ import annotations

import gc
import json
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryFile
from time import monotonic
from typing import Any

import inspect_tui
from inspect_tui.errors import NoTable
from inspect_tui.shop.common.tables import workbook
from inspect_tui.shop.common.tables.workbook import Sheet
from inspect_tui.shop.common.tables.workbook_marks import damaged

MOST_SECONDS = 120.0
MOST_MEMORY = 4 << 30  # bytes, of the other process
PATIENCE = 0.2  # seconds between two looks at whether somebody still waits
# -P: what lies in the folder where the program was started is never run; the folder of this package comes last
COMMAND = f"import sys; sys.path.append(sys.argv[1]); import {__name__} as apart; apart.main()"

Watch = Callable[[str, int, int], None]  # what is done, how far, of how many (0: not known); may raise to end it


def names(raw: bytes, name: str) -> list[str]:
    """As `workbook.names`."""
    return list(_ask(raw, name, "names", None, 0, lambda *_: None))


def read(raw: bytes, name: str, sheet: str | None, most_rows: int, watch: Watch) -> Sheet:
    """As `workbook.read`, with no more than one row above `most_rows`; `watch` may raise to end it."""
    title, others, rows, merged, remarks = _ask(raw, name, "sheet", sheet, most_rows, watch)
    return Sheet(title, tuple(others), iter(rows), tuple(map(tuple, merged)), tuple(remarks))


def every(raw: bytes, name: str, most_rows: int, watch: Watch) -> list[Sheet]:
    """Every sheet that can be seen, in one go, each as `read` gives it."""
    pages = _ask(raw, name, "every", None, most_rows, watch)
    return [
        Sheet(title, tuple(others), iter(rows), tuple(map(tuple, merged)), tuple(remarks))
        for title, others, rows, merged, remarks in pages
    ]


def _ask(raw: bytes, name: str, what: str, sheet: str | None, most_rows: int, watch: Watch) -> Any:
    """What the other process answers; NoTable when it cannot be read, whatever the reason."""
    question = json.dumps([name, what, sheet, most_rows]).encode() + b"\n"
    command = [sys.executable, "-P", "-c", COMMAND, str(Path(inspect_tui.__file__).parents[1])]
    try:
        answer, wrong, do = json.loads(_run(command, question + raw, watch))
    except subprocess.TimeoutExpired:
        wrong = f"{name} was not read within {round(MOST_SECONDS)} s, and left"
        raise NoTable(
            wrong, "Take it in when this machine has less to do, cut it into parts, or save it as CSV."
        ) from None
    except (OSError, ValueError, subprocess.SubprocessError) as problem:
        raise damaged(name, type(problem).__name__) from None
    if wrong:
        raise NoTable(wrong, do)
    return answer


def _run(command: list[str], given: bytes, watch: Watch) -> bytes:
    """What a process writes; it is ended when nobody waits for it any more, or it takes too long.

    What it is given lies in a file: a pipe would hold 64 kB, and what it had not taken by the first look would never
    be sent after it.
    """
    ends = monotonic() + MOST_SECONDS
    with TemporaryFile() as asked:
        asked.write(given)
        asked.seek(0)
        with subprocess.Popen(command, stdin=asked, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as other:
            try:
                while True:
                    watch("read", 0, 0)
                    try:
                        written, _ = other.communicate(timeout=min(PATIENCE, MOST_SECONDS))
                        break
                    except subprocess.TimeoutExpired:
                        if monotonic() > ends:
                            raise
            except BaseException:
                other.kill()
                raise
    if other.returncode:
        raise subprocess.CalledProcessError(other.returncode, command)
    return written


def _page(raw: bytes, name: str, sheet: str | None, most_rows: int) -> tuple[Any, ...]:
    page = workbook.read(raw, name, sheet)
    rows = [row for _, row in zip(range(most_rows + 1), page.rows, strict=False)]
    return page.title, page.others, rows, page.merged, page.remarks


def main() -> None:
    """Answer the one question that stands in the first line of what comes in; the rest is the workbook."""
    with suppress(ImportError, OSError, ValueError):  # systems without such limits
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    gc.disable()  # this process lives for one sheet: nothing it makes goes round in circles
    line, _, raw = sys.stdin.buffer.read().partition(b"\n")
    name, what, sheet, most_rows = json.loads(line)
    answer: Any
    try:
        if what == "names":
            answer = workbook.names(raw, name)
        elif what == "every":
            answer = [_page(raw, name, title, most_rows) for title in workbook.names(raw, name)]
        else:
            answer = _page(raw, name, sheet, most_rows)
        told = [answer, "", ""]
    except NoTable as problem:
        told = [None, problem.wrong, problem.do]
    sys.stdout.write(json.dumps(told))
