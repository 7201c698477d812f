"""`inspect-tui verify`: is the record whole, and is every row still as it was written?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Only --json."""
    parser.add_argument("--json", action="store_true", help="the result as JSON")


def run(args: Namespace) -> int:
    """0 when everything holds, 1 when something does not."""
    record = open_record(args, read_only=True)
    try:
        result = record.verify()
    finally:
        record.close()
    if args.json:
        print_json(
            {
                "ok": result.ok,
                "problems": list(result.problems),
                "heads": list(result.heads),
                "counts": dict(result.counts),
            }
        )
    else:
        for problem in result.problems:
            print(problem)
        for head in result.heads:
            print(f"head {head}")
        print("The record is whole." if result.ok else "The record is NOT whole: keep the file, restore a backup.")
    return 0 if result.ok else 1
