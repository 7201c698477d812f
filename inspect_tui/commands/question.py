"""`inspect-tui question`: readings of castings that are in question, put right by a person; what cannot be measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written
from inspect_tui.commands.first_article import where

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.first_article.castings.put_right import PutRight
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.findings import QuestionLine

RIGHT = ("slip", "unit", "rows swapped")  # what can be put right without measuring again


def arguments(parser: ArgumentParser) -> None:
    """list, settle, cannot, can, align."""
    parser.description = (
        "What the readings of a sampling are asked about. question settle S3-1 F41 --by JM takes what is suggested: as "
        "typed it stays, struck out. Nothing is put right without a person."
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="list|settle|cannot|can|align")
    listed = actions.add_parser("list", help="the questions of a sampling")
    listed.add_argument("--json", action="store_true", help="as JSON")
    settle = actions.add_parser("settle", help="put a reading right as its question suggests")
    cannot = actions.add_parser("cannot", help="say that a feature cannot be measured, and why")
    can = actions.add_parser("can", help="take that back")
    for sub in (settle, cannot, can):
        sub.add_argument("casting", metavar="CASTING", help="its serial" + ("" if sub is settle else "; all: on any"))
        sub.add_argument("feature", metavar="FEATURE", help="one that the question names, such as F41")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who decides")
    cannot.add_argument("--why", required=True, help="such as 'beyond the reach of the gauge'")
    align = actions.add_parser(
        "align",
        help="turn a casting back that sat tilted: question align S3-4 --by JM",
        description="Turns the heights of a casting back by the tilt that is among its causes; as read and as aligned "
        "are both shown. With --as-read that is taken back.",
    )
    align.add_argument("casting", metavar="CASTING", help="its serial")
    align.add_argument("--as-read", metavar="WHY", dest="as_read", help="take it back, and why")
    align.add_argument("--by", required=True, metavar="INITIALS", help="who decides")
    for sub in (listed, settle, cannot, can, align):
        where(sub)


def run(args: Namespace) -> int:
    """0 when it was done or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.errors import NotFound
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.article import first_article
    from inspect_tui.shop.first_article.castings import put_right
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling

    record = open_record(args, read_only=args.action == "list")
    try:
        job = find.job(record, args.job)
        if args.action == "list":
            return _list(args, first_article(record, job, args.round, causes=False, style=written()).questions)
        by = find.person(record, args.by)
        sampling = Sampling(record, job, pick_round(record, job, args.round), written())
        if args.action == "align":
            done = _align(args, record, job, sampling, by)
            print(done.sentence)
            return 0
        feature = sampling.feature(args.feature)
        if args.action == "settle":
            casting = sampling.casting(args.casting)
            questions = first_article(record, job, args.round, causes=False, style=written()).questions
            asked = next(
                (
                    q
                    for q in questions
                    if q.kind in RIGHT and q.serial == casting.serial and feature.balloon in q.balloons
                ),
                None,
            )
            if asked is None:
                raise NotFound(
                    f"Nothing of {feature.balloon} on casting {casting.serial} can be put right without the casting: "
                    "measure it again."
                )
            if asked.kind == "unit":
                done = put_right.put_unit_right(record, sampling, asked, by.id)
            elif asked.kind == "rows swapped":
                done = put_right.swap_back(record, sampling, asked, by.id)
            else:
                done = put_right.take_suggestion(record, sampling, feature.balloon, casting.serial, by.id)
        else:
            item = None if args.casting.strip().casefold() == "all" else sampling.casting(args.casting)
            if args.action == "cannot":
                done = put_right.cannot_measure(record, [feature], item, args.why, by.id)
            else:
                done = put_right.can_measure(record, feature, item, by.id)
    finally:
        record.close()
    print(done.sentence)
    return 0


def _align(args: Namespace, record: Record, job: Job, sampling: Sampling, by: Person) -> PutRight:
    """Turn a casting back by its tilt, or take that back."""
    from inspect_tui.errors import NotFound
    from inspect_tui.shop.first_article.article import first_article
    from inspect_tui.shop.first_article.castings import put_right

    if args.as_read is not None:
        return put_right.align_as_read(record, sampling, args.casting, args.as_read, by.id)
    causes = first_article(record, job, args.round, style=written()).causes
    if causes is None:
        raise NotFound("Nothing explains these castings yet: there is no tilt to turn back.")
    return put_right.align(record, sampling, causes, sampling.casting(args.casting).serial, by.id)


def _list(args: Namespace, questions: tuple[QuestionLine, ...]) -> int:
    if args.json:
        print_json(
            [
                {
                    "kind": asked.kind,
                    "casting": asked.serial,
                    "features": list(asked.balloons),
                    "sentence": asked.sentence,
                    "can_be_put_right": asked.kind in RIGHT,
                }
                for asked in questions
            ]
        )
        return 0
    if not questions:
        talk("nothing is in question")
        return 0
    rows = [[asked.serial, " ".join(asked.balloons), asked.kind, asked.sentence] for asked in questions]
    print_table(["casting", "features", "kind", "question"], rows, wraps="question", spare=("kind",))
    return 0
