"""`inspect-tui changes`: what was changed over the whole shop, who did it, when and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, option, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.changes.changed import Changed


def arguments(parser: ArgumentParser) -> None:
    """[WORD ...] --since --job --json."""
    parser.description = (
        "Corrections of readings and drawings, changes of jobs, cores, tools, people, gauges and all that belongs to "
        "them, what was withdrawn and came back: the newest first."
    )
    parser.add_argument("words", nargs="*", metavar="WORD", help="only what holds all of these words")
    parser.add_argument(
        "--since", metavar="DAY", type=option("--since", "day", may_be_empty=True), help="from this day on"
    )
    parser.add_argument("--job", help="only of this job")
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0, also where nothing was changed."""
    from inspect_tui.shop.changes import changed
    from inspect_tui.shop.common import find

    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job) if args.job else None
        listed = changed.search(changed.changes(record, args.since, written()), " ".join(args.words))
    finally:
        record.close()
    if job is not None:
        listed = [change for change in listed if change.job == job.number]
    if args.json:
        print_json([_plain(change) for change in listed])
        return 0
    if not listed:
        talk("nothing was changed" + (f" since {args.since}" if args.since else ""))
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


def _plain(change: Changed) -> dict[str, str | None]:
    return {
        "at": change.at,
        "by": change.by,
        "job": change.job,
        "what": change.what,
        "change": change.how,
        "why": change.why,
    }
