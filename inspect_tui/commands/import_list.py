"""`inspect-tui import list`: the files that were taken in, what they brought, and which were taken back."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """--job, --json."""
    parser.description = (
        "The files that were taken in, oldest first. A wrong one is taken back as a whole with `withdraw import NAME "
        "--why ... --by ...`, and comes back with --back."
    )
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 when they were listed, also when there are none."""
    from inspect_tui.shop.changes import files
    from inspect_tui.shop.common import find

    with closing(open_record(args, read_only=True)) as record:
        job = find.job(record, args.job)
        listed = files.listed(record, job)
    if args.json:
        print_json(
            [
                {
                    "name": file.name,
                    "at": file.at,
                    "by": file.by,
                    "readings": file.readings,
                    "with_it": list(file.along),
                    "taken_back": file.gone,
                }
                for file in listed
            ]
        )
    elif not listed:
        talk(f"no file was taken in for job {job.number} yet")
    else:
        rows = [
            [
                file.name,
                file.at[:10],
                file.by or "",
                str(file.readings),
                ", ".join(file.along),
                f"taken back: {file.gone}" if file.gone else "",
            ]
            for file in listed
        ]
        print_table(
            ["file", "day", "by", "readings", "with it", "state"], rows, right=("readings",), spare=("with it", "by")
        )
    return 0
