"""`inspect-tui due`: certificates, quick checks, sizes to measure, counts and work on tools, by day."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import (
    open_record,
    option,
    paper_arguments,
    print_json,
    print_table,
    progress,
    talk,
    written,
)

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.measuring.due_list import DueLine, DueList


def arguments(parser: ArgumentParser) -> None:
    """[--today DAY] [--weeks N] [--to FILE] [--json]."""
    parser.description = (
        "What is due over the whole shop, by its day: certificates that run out, quick checks at the pace they were "
        "made at so far, sizes to be measured again, counts that are old, work on tools before their limit comes. "
        "Exit status 1 when something is past its day."
    )
    parser.add_argument("--today", metavar="DAY", type=option("--today", "day"), help="as of this day")
    parser.add_argument(
        "--weeks",
        metavar="N",
        type=option("--weeks", "figure", low=0, high=520),
        default=13.0,
        help="how far ahead (default: 13, a quarter)",
    )
    parser.add_argument("--to", metavar="FILE", help="write it to FILE.xlsx, FILE.csv or FILE.ics (for a calendar)")
    parser.add_argument("--force", action="store_true", help="overwrite FILE")
    paper_arguments(parser)
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0, or 1 when something is past its day."""
    from inspect_tui.shop.measuring.due_list import due_list

    if args.to:
        from pathlib import Path

        from inspect_tui.report.measuring import due
        from inspect_tui.report.paper import file as paper_file

        paper_file.form_of(Path(args.to), due.ENDINGS)
        paper_file.target(args.to, force=args.force)
    record = open_record(args, read_only=True)
    try:
        with progress() as tell:
            listed = due_list(record, args.today, written(), args.weeks, tell)
    finally:
        record.close()
    if args.to:
        talk(f"written: {due.write(listed, args.to, force=args.force)}")
        bare = sum(line.day is None for line in listed.lines)
        if args.to.lower().endswith(".ics") and bare:
            talk(f"{bare} without a day: not in the calendar, they stand in the other forms")
    if args.json:
        print_json(_json(listed))
    elif not args.to:
        _print(listed)
    return int(listed.past > 0)


def _print(listed: DueList) -> None:
    from inspect_tui.metrology.typed.show import count

    rows = [
        [line.day or "no day", count(line.late, "day") if line.late else "", line.kind, line.what, line.where, line.why]
        for line in listed.lines
    ]
    if rows:
        heads = ["day", "late", "sort", "what", "where", "why"]
        styles = ["bold red" if line.late else "" for line in listed.lines]
        print_table(heads, rows, right=("late",), spare=("why", "where", "sort"), wraps="what", styles=styles)
    talk(listed.sentence)


def _json(listed: DueList) -> dict[str, Any]:
    return {
        "today": listed.today,
        "until": listed.until,
        "past": listed.past,
        "sentence": listed.sentence,
        "due": [_line(line) for line in listed.lines],
    }


def _line(line: DueLine) -> dict[str, Any]:
    return {
        "day": line.day,
        "days_late": None if line.day is None else line.late,
        "sort": line.kind,
        "what": line.what,
        "where": line.where,
        "why": line.why,
    }
