"""`inspect-tui salvage`: what can be read of a damaged record, in a new one; the damaged one stays as it is."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import print_json, record_path, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Where the new record goes."""
    parser.add_argument("--to", metavar="FILE", help="the new record (default: beside it, -salvaged in its name)")
    parser.add_argument("--json", action="store_true", help="one JSON document")


def run(args: Namespace) -> int:
    """0 when everything could be saved, 1 when something is missing."""
    from inspect_tui import __version__
    from inspect_tui.record.care.salvage import salvage
    from inspect_tui.record.file import place
    from inspect_tui.record.file.state import state_dir
    from inspect_tui.record.store import machine

    damaged = place.itself(record_path(args).expanduser().absolute())
    beside = damaged.with_name(f"{damaged.stem}-salvaged{damaged.suffix}")
    to = Path(args.to).expanduser().absolute() if args.to else beside
    watch = _progress if sys.stderr.isatty() else None
    done = salvage(damaged, to, state_dir(), machine(), f"inspect-tui {__version__}", watch)
    if args.json:
        print_json({"path": str(done.path), "counts": done.counts, "missing": list(done.missing)})
    else:
        print(done.path)
        for sentence in done.missing:
            print(sentence)
        rows = sum(count for table, count in done.counts.items() if table != "entry")
        talk(
            f"inspect-tui: {rows:,} rows were saved, {done.counts.get('reading', 0):,} readings among them. "
            f"{damaged.name} is as it was: keep it, and compare the newest backup before you go on with one of them."
        )
    return 1 if done.missing else 0


def _progress(rows: int) -> None:
    print(f"\r{rows:,} rows saved", end="", file=sys.stderr, flush=True)
