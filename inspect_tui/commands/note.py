"""`inspect-tui note`: a few words to a reading, a casting or a tool; those that there are."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """add, list."""
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|list")
    add = actions.add_parser(
        "add",
        help="note add 'box 3' 'joint face lined' --feature F29 --by JM",
        description="Writes a note to a tool or casting; with --feature to its newest reading of that size. A note "
        "stays: what is right is said by a further one.",
    )
    add.add_argument("on", metavar="ON", help="tool or casting, such as 'box 3' or 'casting S1-2'")
    add.add_argument("text", metavar="TEXT", help="what is to be known")
    add.add_argument("--feature", default="", metavar="F12", help="to the newest reading of this size there")
    add.add_argument("--by", required=True, metavar="INITIALS", help="who writes it")
    add.add_argument("--job", help="job number; not needed while there is one job")
    listed = actions.add_parser("list", help="every note of the record, the newest first")
    listed.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.feature import notes

    if args.action == "list":
        return _list(args)
    with closing(open_record(args)) as record:
        job, by = find.job(record, args.job), find.person(record, args.by)
        record.add(notes.read(record, job, {"on": args.on, "feature": args.feature, "text": args.text}), by.id)
    print(f"noted: {args.on}{f', {args.feature}' if args.feature else ''}")
    return 0


def _list(args: Namespace) -> int:
    from inspect_tui.metrology.typed.show import moment

    with closing(open_record(args, read_only=True)) as record:
        rows = [
            {"at": moment(line.at_us, line.tz_min), "by": line.by, "about": line.about, "text": line.text}
            for line in record.every_note()
        ][::-1]
    if args.json:
        print_json(rows)
    elif not rows:
        talk("There are no notes yet.")
    else:
        cells = [
            [str(row["at"])[:16].replace("T", " "), *(str(row[key] or "") for key in ("by", "about", "text"))]
            for row in rows
        ]
        print_table(["when", "by", "about", "note"], cells, wraps="note", spare=("by",))
    return 0
