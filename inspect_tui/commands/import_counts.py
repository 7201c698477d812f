"""`inspect-tui import counts`: counts of tools from a table whose columns and days are as the foundry writes them."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, pairs
from inspect_tui.commands.count import say_taken

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """FILE, and how it is to be read."""
    parser.description = (
        "A table with the columns tool, date, count (what the counter shows) or made (so many more), lot and note "
        "where there are any; columns called otherwise are mapped with --map. With a line that is not right, or one "
        "that is asked about, nothing is taken. Lines that are there already are not taken twice."
    )
    parser.add_argument("file", metavar="FILE", help="CSV, TSV, XLSX, ODS or XLS")
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    parser.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    parser.add_argument("--by", required=True, metavar="INITIALS", help="who brings it in")
    parser.add_argument(
        "--map",
        metavar="WHAT=HEAD",
        action="append",
        default=[],
        help="a column: tool, date, total, made, restart, lot or note, and its head",
    )
    parser.add_argument("--on", metavar="TOOL", help="the tool, where no column says")
    parser.add_argument("--days", metavar="ORDER", help="how its days are written: d/m/y, m/d/y or y/m/d")
    parser.add_argument("--good-lines", action="store_true", help="take the lines that are right, leave out the others")
    parser.add_argument("--keep", action="store_true", help="take in what was asked about as it stands")
    parser.add_argument("--check", action="store_true", help="say what would be taken in; write nothing")


def run(args: Namespace) -> int:
    """0 when all was taken, 1 when lines were left out or nothing was taken; an error for a file that is no table."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.trends.counts import file as counts_file

    reading = counts_file.AsWritten(
        mapping=pairs(args.map, "--map", "WHAT=HEAD, such as --map total='Zähler'"), tool=args.on, days=args.days
    )
    with closing(open_record(args, read_only=args.check)) as record:
        taken = counts_file.bring_in(
            record,
            find.job(record, args.job),
            args.file,
            find.person(record, args.by),
            good_lines=args.good_lines,
            sheet=args.sheet,
            as_written=reading,
            keep=args.keep,
            check_only=args.check,
        )
    return say_taken(taken, args.keep, written=not args.check)
