"""`inspect-tui same`: two things that were entered twice and are one, or after all are not."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """say, apart, list."""
    parser.description = (
        "Two benches may enter one person, gauge or casting each: same say person JM J.M --why 'entered at both "
        "benches' --by SL keeps both entries and counts them as one everywhere from now on, until same apart says "
        "that they are two. Two called alike: the name twice, or each with its bench behind it."
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="say|apart|list")
    for name, summary in (("say", "two things are one"), ("apart", "they are not, after all")):
        sub = actions.add_parser(name, help=summary)
        sub.add_argument("kind", metavar="KIND", help="person, gauge, casting, tool, feature ... as withdraw has them")
        sub.add_argument("this", metavar="NAME")
        sub.add_argument("that", metavar="NAME")
        sub.add_argument("--why", required=True, help="why")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who says so")
        sub.add_argument("--job", help="job number; not needed while there is one job")
    listed = actions.add_parser("list", help="what was said of which two")
    listed.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.changes import same, things
    from inspect_tui.shop.common import find

    if args.action == "list":
        with closing(open_record(args, read_only=True)) as record:
            rows: list[dict[str, str | None]] = [
                {
                    "kind": pair.this.sort.word,
                    "this": pair.this.name,
                    "that": pair.that.name,
                    "state": pair.state,
                    "why": pair.why,
                }
                for pair in same.pairs(record)
            ]
        if args.json:
            print_json(rows)
        elif not rows:
            talk("Nothing was said of two things yet.")
        else:
            print_table(list(rows[0]), [[str(value or "") for value in row.values()] for row in rows], wraps="why")
        return 0
    sort = things.sort_of(args.kind)
    with closing(open_record(args)) as record:
        by = find.person(record, args.by)
        job = find.job(record, args.job) if sort.of_job else None
        this, that = same.two(record, sort, args.this, args.that, job)
        same.say(record, this, that, "same" if args.action == "say" else "apart", args.why, by)
        one = same.still_one(record, this, that)
    print(f"{this.name} and {that.name} are {'one' if one else 'two'}")
    if one and args.action == "apart":
        talk("They are one by way of another: say that one of them and the other are two.")
    return 0
