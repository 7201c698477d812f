"""`inspect-tui disposition`: what becomes of what does not conform on the castings of a sampling."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written
from inspect_tui.commands.first_article import where

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.record.store import Record
    from inspect_tui.shop.first_article.castings.sampling import Sampling

FIELDS = ("casting", "state", "decision", "until", "quantity", "agreed", "reference", "why", "day")


def arguments(parser: ArgumentParser) -> None:
    """list, add, change, take-back."""
    parser.description = (
        f"Fields are {', '.join(FIELDS)}. A decision is rework, concession (until a day, for a number of castings), "
        "scrap or correct_tool. For example: disposition add F07 casting=S1-2 decision=concession until=2026-12-31 "
        "quantity=3 agreed='quality of the customer' why='fits with packing' --by JM. What is measured on the casting "
        "after a rework answers it."
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="list|add|change|take-back")
    listed = actions.add_parser("list", help="what does not conform, and what was decided")
    listed.add_argument("--json", action="store_true", help="as JSON")
    listed.add_argument("--check", action="store_true", help="exit status 1 while something is open")
    for name, summary in (("add", "decide"), ("change", "decide otherwise: what is not given stays")):
        sub = actions.add_parser(name, help=summary)
        sub.add_argument("feature", metavar="FEATURE", help="or a geometrical tolerance, such as F07 or G2")
        sub.add_argument("field", nargs="+", metavar="FIELD=TEXT")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who decides")
    back = actions.add_parser("take-back", help="nothing is decided any more")
    back.add_argument("feature", metavar="FEATURE")
    back.add_argument("casting", metavar="CASTING", nargs="?", default="", help="its serial, where it was about one")
    back.add_argument("--by", required=True, metavar="INITIALS", help="who takes it back")
    for sub in actions.choices.values():
        where(sub)


def run(args: Namespace) -> int:
    """0 when it was written or listed; list --check: 1 while something is open. 2 with a sentence otherwise."""
    from datetime import date

    from inspect_tui.commands import named_fields
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.signed import dispositions

    record = open_record(args, read_only=args.action == "list")
    try:
        job = find.job(record, args.job)
        sampling = Sampling(record, job, pick_round(record, job, args.round), written())
        if args.action == "list":
            return _list(args, record, sampling)
        by, today = find.person(record, args.by), date.today().isoformat()
        if args.action == "take-back":
            said = dispositions.named(sampling, args.feature, args.casting)
            print(dispositions.take_back(record, sampling, said, by))
            return 0
        given = {"feature": args.feature, **named_fields.read(args.field, FIELDS)}
        if args.action == "add":
            print(dispositions.put(record, sampling, dispositions.read(sampling, given, by, today), by))
            return 0
        old = dispositions.named(sampling, args.feature, given.get("casting", ""))
        values = {**dispositions.first_values(sampling, old), **given}
        new = dispositions.read(sampling, values, by, today)
        print(dispositions.change(record, sampling, old, new, by))
    finally:
        record.close()
    return 0


def _list(args: Namespace, record: Record, sampling: Sampling) -> int:
    from datetime import date

    from inspect_tui.shop.first_article.article import first_article
    from inspect_tui.shop.first_article.result import plain
    from inspect_tui.shop.first_article.signed.dispositions import (
        decision_words,
        found_words,
        open_points,
        requirement,
    )

    lines = first_article(record, sampling.job, sampling.round, causes=False, style=written()).dispositions
    if args.json:
        print_json(plain(lines))
    elif not lines:
        talk(f"everything of {sampling.round.label} that was measured conforms: there is nothing to decide")
    else:
        rows = []
        for line in lines:
            found = line.looked or found_words(line.found, line.found_value, line.found_u95, line.unit, written())
            again = found_words(line.again or "", line.again_value, line.again_u95, line.unit, written())
            what = decision_words(line.decision, line.quantity, line.until_on, line.closed)
            closed = "closed" if line.closed else "open"
            rows.append([requirement(line.balloon, line.state), line.serial, found, what, line.by, again, closed])
        heads = ["no", "casting", "found", "decision", "by", "again", ""]
        print_table(heads, rows, wraps="decision", spare=("again",))
    return int(args.check and bool(open_points(lines, date.today().isoformat())))
