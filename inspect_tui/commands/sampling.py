"""`inspect-tui sampling`: begin a sampling with its castings, by any name; list those there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, option, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """add, list."""
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|list")
    add = actions.add_parser("add", help="begin a sampling: sampling add S4 S4-1 S4-2 --poured 2026-03-01 --by JM")
    add.add_argument("label", metavar="LABEL", help="such as S4")
    add.add_argument("serial", nargs="+", metavar="SERIAL", help="of each casting, as it is marked")
    add.add_argument("--poured", metavar="DAY", type=option("--poured", "day", may_be_empty=True), help="when")
    add.add_argument("--heat", help="the melt, such as H1207")
    add.add_argument("--by", required=True, metavar="INITIALS", help="who begins it")
    listed = actions.add_parser("list", help="the samplings and lots of a job")
    listed.add_argument("--json", action="store_true", help="as JSON")
    for sub in (add, listed):
        sub.add_argument("--job", help="job number; not needed while there is one job")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.castings import put_right

    record = open_record(args, read_only=args.action == "list")
    try:
        job = find.job(record, args.job)
        if args.action == "add":
            by = find.person(record, args.by)
            lot = put_right.open_round(
                record, job, args.label, args.serial, poured_on=args.poured, heat=args.heat, by=by.id
            )
            print(f"{lot.label} begun with {len(args.serial)} castings")
            return 0
        items = record.items(job.of_id)
        rows = [
            {
                "sampling": lot.label,
                "poured_on": lot.poured_on,
                "heat": lot.heat,
                "castings": [item.serial for item in items if item.lot_id == lot.id and item.kind == "casting"],
            }
            for lot in record.lots(job.of_id)
        ]
    finally:
        record.close()
    if args.json:
        print_json(rows)
    elif rows:
        print_table(
            ["sampling", "poured", "heat", "castings"],
            [
                [
                    str(row["sampling"]),
                    str(row["poured_on"] or ""),
                    str(row["heat"] or ""),
                    ", ".join(row["castings"] or ()),
                ]
                for row in rows
            ],
            wraps="castings",
        )
    else:
        talk(f"job {job.number} has no samplings yet")
    return 0
