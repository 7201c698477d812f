"""`inspect-tui` alone: opens the screen where work stood."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from inspect_tui.commands.common import back_up_when_due, open_record

if TYPE_CHECKING:
    from argparse import Namespace


def need_terminal() -> None:
    """DataError unless keys can be read and a picture be shown: before anything is opened, made or copied."""
    if all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)):
        return
    from inspect_tui.errors import DataError

    raise DataError(
        "The screen needs a terminal, and input or output goes into a file or a pipe here; nothing was opened. "
        "Start it in a terminal, or use a command such as `inspect-tui show` (`inspect-tui --help` lists them)."
    )


def run(args: Namespace, fallback: dict[str, str] | None = None, today: str | None = None) -> int:
    """Open the record (a new one is begun where there is none) and run the screen; `today` as if it were that day."""
    need_terminal()
    from inspect_tui.shop.bench.memory import last_bench
    from inspect_tui.tui.app import run as run_app

    record = open_record(args, create=True)
    record.ask_pin = lambda _: None  # the screen asks in its own way
    try:
        return run_app(record, last_bench(record, fallback), today)
    finally:
        record.close()
        if fallback is None:  # of the copy that one plays with nothing is kept
            back_up_when_due(record.path, work_done=True)
