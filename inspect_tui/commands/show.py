"""`inspect-tui show`: jobs, tools and castings, features with their states, readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Which job, which tool, features or readings."""
    parser.add_argument("--job", help="job number; without it, all jobs")
    parser.add_argument("--on", metavar="TOOL", help="only this tool or casting")
    parser.add_argument("--readings", action="store_true", help="every reading with its id")
    parser.add_argument("--json", action="store_true", help="as JSON: job, tool, feature and the figures")


def run(args: Namespace) -> int:
    """0; an empty record shows nothing."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs import listing

    record = open_record(args, read_only=True)
    try:
        picked = [find.job(record, args.job)] if args.job or args.on else record.jobs()
        rows: list[dict[str, Any]] = []
        for job in picked:
            if not args.json:
                print(f"{job.number}  {job.name}")
            subject = find.subject(record, job, args.on) if args.on else None
            make = listing.readings if args.readings else listing.rows
            rows += make(record, job, subject)
    finally:
        record.close()
    if args.json:
        print_json(rows)
    else:
        _print(rows, args.readings)
    return 0


def _print(rows: list[dict[str, Any]], readings: bool) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    keys = (
        ["id", "tool", "feature", "value", "by", "void"]
        if readings
        else ["tool", "feature", "name", "target", "lower", "upper", "n", "last", "state"]
    )
    table = Table(box=None, pad_edge=False)
    for key in keys:
        number = key in ("value", "target", "lower", "upper", "n", "last")
        table.add_column(key, justify="right" if number else "left", no_wrap=key not in ("name", "void"))
    for row in rows:
        table.add_row(*(Text(_cell(row[key])) for key in keys))
    console = Console()
    if not console.is_terminal:
        console = Console(width=240)  # into a pipe nothing is cut
    console.print(table)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.3f}" if isinstance(value, float) else str(value)
