"""Reads a workbook of the old kind (XLS) in a process of its own: a damaged one can end the process that reads it.

The reading library makes room for as many things as the file says there are, before it looks whether they are there; a
single wrong byte asks for hundreds of gigabytes, and the process is ended by that, past any exception. In XLSX and ODS
that is looked after in `workbook_marks`; here another process is risked, which costs a tenth of a second.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

from inspect_tui.errors import NoTable
from inspect_tui.shop.common import workbook
from inspect_tui.shop.common.workbook import EVERY, Sheet, Watch
from inspect_tui.shop.common.workbook_marks import damaged

OLE = b"\xd0\xcf\x11\xe0"  # the container of XLS, and of an XLSX under a password
LOCKED = "EncryptedPackage".encode("utf-16-le")
MOST_SECONDS = 120.0
OLD_KIND = "a spreadsheet of the old kind does not tell cells that hold an error from empty ones"


def names(raw: bytes, name: str) -> list[str]:
    """As `workbook.names`."""
    return list(_ask(raw, name, "names"))


def read(raw: bytes, name: str, sheet: str | None, watch: Watch) -> Sheet:
    """As `workbook.read`."""
    watch("read", 0, 0)
    title, others, rows, merged = _ask(raw, name, "sheet", sheet)
    return Sheet(title, tuple(others), _told(rows, watch), tuple(map(tuple, merged)), (OLD_KIND,))


def _told(rows: list[tuple[int, list[str]]], watch: Watch) -> Iterator[tuple[int, list[str]]]:
    for n, (line, cells) in enumerate(rows, start=1):
        if n % EVERY == 0:
            watch("read", line, rows[-1][0])
        yield line, cells


def _ask(raw: bytes, name: str, what: str, sheet: str | None = None) -> Any:
    """What the other process answers; NoTable when it cannot be read, whatever the reason."""
    if LOCKED in raw:
        raise workbook.locked(name)
    question = json.dumps([name, what, sheet]).encode() + b"\n"
    # -P: what lies in the folder where the program was started is never run
    command = [sys.executable, "-P", "-m", "inspect_tui.shop.common.workbook_apart"]
    try:
        done = subprocess.run(command, input=question + raw, capture_output=True, timeout=MOST_SECONDS, check=True)
        answer, wrong, do = json.loads(done.stdout)
    except (OSError, ValueError, subprocess.SubprocessError) as problem:
        raise damaged(name, type(problem).__name__) from None
    if wrong:
        raise NoTable(wrong, do)
    return answer


def main() -> None:
    """Answer the one question that stands in the first line of what comes in; the rest is the workbook."""
    line, _, raw = sys.stdin.buffer.read().partition(b"\n")
    name, what, sheet = json.loads(line)
    answer: Any
    try:
        if what == "names":
            answer = workbook.names(raw, name)
        else:
            page = workbook.read(raw, name, sheet, lambda *_: None)
            answer = page.title, page.others, list(page.rows), page.merged
        told = [answer, "", ""]
    except NoTable as problem:
        told = [None, problem.wrong, problem.do]
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    main()
