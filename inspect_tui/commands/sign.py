"""`inspect-tui sign`: a first article is checked, released, or that is taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, written
from inspect_tui.commands.first_article import where

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """checked, released, take-back."""
    parser.description = (
        "sign checked --by AB, then sign released --by JM. A release is refused while something that does not conform "
        "has no decision, waits for a re-inspection or has a concession that ended. What is measured, decided or drawn "
        "later takes the names off the report."
    )
    actions = parser.add_subparsers(dest="act", required=True, metavar="checked|released|take-back")
    for name, summary in (("checked", "somebody looked it through"), ("released", "it may go out")):
        sub = actions.add_parser(name, help=summary)
        sub.add_argument("--words", default="", help="a few words that stand beside the name")
    back = actions.add_parser("take-back", help="it is no longer checked or released")
    back.add_argument("which", choices=("checked", "released"))
    back.add_argument("--why", required=True, help="in a few words")
    for sub in actions.choices.values():
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who decides")
        where(sub)


def run(args: Namespace) -> int:
    """0 when it was written, 2 with a sentence, and nothing written, otherwise."""
    from datetime import date

    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article import sign
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling

    record = open_record(args)
    try:
        job = find.job(record, args.job)
        sampling = Sampling(record, job, pick_round(record, job, args.round), written())
        by = find.person(record, args.by)
        if args.act == "take-back":
            print(sign.take_back(record, sampling, args.which, by, args.why))
        else:
            print(sign.sign(record, sampling, args.act, by, date.today().isoformat(), args.words))
    finally:
        record.close()
    return 0
