"""`inspect-tui sampling`: begin a sampling with its castings, by any name; put right what it says; list them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, option, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record


def arguments(parser: ArgumentParser) -> None:
    """add, change, list."""
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|change|list")
    add = actions.add_parser("add", help="begin a sampling: sampling add S4 S4-1 S4-2 --poured 2026-03-01 --by JM")
    add.add_argument("label", metavar="LABEL", help="such as S4")
    add.add_argument("serial", nargs="+", metavar="SERIAL", help="of each casting, as it is marked")
    add.add_argument("--poured", metavar="DAY", type=option("--poured", "day", may_be_empty=True), help="when")
    add.add_argument("--heat", help="the melt, such as H1207")
    add.add_argument(
        "--quantity",
        metavar="N",
        type=option("--quantity", "count", may_be_empty=True),
        help="how many castings were poured, where that is more than those that are named",
    )
    add.add_argument("--by", required=True, metavar="INITIALS", help="who begins it")
    change = actions.add_parser(
        "change",
        help="what it is called, when it was poured: sampling change S4 poured=2026-03-02 --why 'misread' --by JM",
        description="Fields are label, poured, heat and quantity; a field without text is emptied. What was said "
        "before stays in the record. A casting gets another serial by: rename casting S4-1 S4-7.",
    )
    change.add_argument("label", metavar="LABEL")
    change.add_argument("field", nargs="+", metavar="FIELD=TEXT")
    change.add_argument("--why", required=True, help="what was wrong")
    change.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
    listed = actions.add_parser("list", help="the samplings and lots of a job")
    listed.add_argument("--json", action="store_true", help="as JSON")
    for sub in (add, change, listed):
        sub.add_argument("--job", help="job number; not needed while there is one job")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.metrology.typed.show import count
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.castings import put_right

    record = open_record(args, read_only=args.action == "list")
    try:
        job = find.job(record, args.job)
        if args.action == "add":
            by = find.person(record, args.by)
            lot = put_right.open_round(
                record,
                job,
                args.label,
                args.serial,
                poured_on=args.poured,
                heat=args.heat,
                quantity=args.quantity,
                by=by.id,
            )
            print(f"{lot.label} begun with {count(len(args.serial), 'casting')}")
            return 0
        if args.action == "change":
            return _change(args, record, job)
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


def _change(args: Namespace, record: Record, job: Job) -> int:
    from datetime import date

    from inspect_tui.commands import named_fields
    from inspect_tui.shop.changes import rename, things
    from inspect_tui.shop.common import find

    values = named_fields.read(args.field, [key for key, _ in rename.SAMPLING_FIELDS])
    thing = things.named(record, things.sort_of("sampling"), args.label, job)
    by = find.person(record, args.by)
    lot = rename.change_sampling(record, thing, values, args.why, by, date.today().isoformat())
    print(f"the {thing.said} is put right: {', '.join(values)}" + (f"; {lot.label} from now on" * ("label" in values)))
    return 0
