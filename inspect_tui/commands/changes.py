"""`inspect-tui changes`: what was changed over the whole shop, who did it, when and why."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, option, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.changes.changed import Changed


def arguments(parser: ArgumentParser) -> None:
    """[WORD ...] --since --day --by --job --by-day --json."""
    parser.description = (
        "Corrections of readings and drawings, changes of jobs, cores, tools, people, gauges and all that belongs to "
        "them, what was withdrawn and came back: the newest first. With --by-day: how much each person wrote on each "
        "day, readings, decisions and papers as well."
    )
    parser.add_argument("words", nargs="*", metavar="WORD", help="only what holds all of these words")
    parser.add_argument(
        "--since", metavar="DAY", type=option("--since", "day", may_be_empty=True), help="from this day on"
    )
    parser.add_argument(
        "--day", metavar="DAY", type=option("--day", "day", may_be_empty=True), help="of this day alone"
    )
    parser.add_argument("--by", metavar="INITIALS", help="only what this person did")
    parser.add_argument("--by-day", action="store_true", help="a line a person and day: how much of what they wrote")
    parser.add_argument("--job", help="only of this job")
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0, also where nothing was changed."""
    from inspect_tui.shop.changes import by_day, changed
    from inspect_tui.shop.common import find

    if args.by_day:
        return _by_day(args)
    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job) if args.job else None
        people = record.with_withdrawn().people()
        by = find.pick(args.by, people, lambda p: p.initials, "person").initials if args.by else None
        listed = by_day.of(changed.changes(record, args.day or args.since, written()), by, args.day)
        listed = changed.search(listed, " ".join(args.words))
    finally:
        record.close()
    if job is not None:
        listed = [change for change in listed if change.job == job.number]
    if args.json:
        print_json([_plain(change) for change in listed])
        return 0
    if not listed:
        when = f" on {args.day}" if args.day else f" since {args.since}" if args.since else ""
        talk(f"nothing was changed{when}{f' by {by}' if by else ''}")
        return 0
    rows = [
        [
            change.at[:16].replace("T", " "),
            change.by or "",
            change.job or "",
            change.what,
            change.how + (f" ({change.why})" if change.why else ""),
        ]
        for change in listed
    ]
    print_table(["when", "by", "job", "what", "from, to (why)"], rows, wraps="from, to (why)", spare=("job", "by"))
    return 0


def _by_day(args: Namespace) -> int:
    from inspect_tui.shop.changes import by_day

    with closing(open_record(args, read_only=True)) as record:
        lines = by_day.by_day(record, args.day or args.since, args.day)
    if args.by:
        lines = [line for line in lines if (line.by or "").casefold() == args.by.strip().casefold()]
    if args.json:
        print_json(
            [
                {
                    "day": line.day,
                    "by": line.by,
                    "readings": line.readings,
                    "put_right": line.struck,
                    "decisions": line.decided,
                    "given_out": line.given_out,
                    "other": line.else_,
                }
                for line in lines
            ]
        )
    elif not lines:
        talk("nothing was written then")
    else:
        rows = [[line.day, line.by or "nobody named", line.words] for line in lines]
        print_table(["day", "by", "what"], rows, wraps="what")
    return 0


def _plain(change: Changed) -> dict[str, str | None]:
    return {
        "at": change.at,
        "by": change.by,
        "job": change.job,
        "what": change.what,
        "change": change.how,
        "why": change.why,
    }
