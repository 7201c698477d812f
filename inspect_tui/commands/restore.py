"""`inspect-tui restore`: a good backup in the place of a record; what lay there is moved aside and kept."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import print_json, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """The backup, and where it is to lie; said in words, because what lies there goes aside."""
    parser.add_argument("file", metavar="FILE", help="the backup; it stays where it is")
    parser.add_argument("--to", required=True, metavar="RECORD", help="the record in whose place it goes")
    parser.add_argument("--json", action="store_true", help="one JSON document")


def run(args: Namespace) -> int:
    """0 when the backup is in place, 1 when it lacks something of what lay there before."""
    from inspect_tui.record.care.restore import restore

    done = restore(Path(args.file).expanduser(), Path(args.to).expanduser(), datetime.now().strftime("%Y%m%d-%H%M%S"))
    if args.json:
        print_json(
            {
                "path": str(done.path),
                "aside": str(done.aside) if done.aside else None,
                "lacks": done.lacks,
                "said": list(done.said),
            }
        )
    else:
        print(done.path)
        if done.aside:
            talk(f"inspect-tui: what lay there is kept as {done.aside}")
        for sentence in done.said:
            talk(f"inspect-tui: {sentence}")
    return 1 if done.lacks else 0
