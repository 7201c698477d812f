"""`inspect-tui` alone: opens the screen where work stood."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record

if TYPE_CHECKING:
    from argparse import Namespace


def run(args: Namespace, fallback: dict[str, str] | None = None) -> int:
    """Open the record (a new one is begun where there is none) and run the screen."""
    from inspect_tui.shop.bench.memory import last_bench
    from inspect_tui.tui.app import run as run_app

    record = open_record(args, create=True)
    try:
        return run_app(record, last_bench(record, fallback))
    finally:
        record.close()
