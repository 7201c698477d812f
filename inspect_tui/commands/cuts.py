"""`inspect-tui cuts`: which tools to cut, where and by how much; taking cuts over as work; rounds side by side."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, open_record, option, print_json, print_table, talk, written
from inspect_tui.commands.first_article import where

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.record.store import Record


def arguments(parser: ArgumentParser) -> None:
    """Which sampling; which cuts are taken over."""
    parser.description = (
        "The cut list of a sampling: for each tool where, which way and how much, in words for the tool (cut, add) and "
        "for the casting (metal on, metal off), what else moves, and what the next casting will be with the needed "
        "cuts made, or with those that --tick names. --accept takes "
        "cuts over by their numbers: the targets on the Bench move, each cut stands there until it is done, and the "
        "next sampling shows promised against got."
    )
    where(parser)
    parser.add_argument(
        "--accept", metavar="N", nargs="+", type=option("--accept", "count"), help="take these cuts over as work"
    )
    parser.add_argument(
        "--tick", metavar="N", nargs="+", type=option("--tick", "count"), help="forecast with these cuts and no others"
    )
    parser.add_argument("--by", metavar="INITIALS", help="who takes them over")
    parser.add_argument("--history", action="store_true", help="the samplings side by side")
    parser.add_argument("--json", action="store_true", help="every figure at full precision")


def run(args: Namespace) -> int:
    """0 with a list (it may be empty) or when the cuts were taken over; 2 when that cannot be."""
    from inspect_tui.shop.common import find

    with closing(open_record(args, read_only=args.accept is None)) as record:
        job = find.job(record, args.job)
        if args.history:
            return _history(args, record, job)
        if args.accept is not None:
            return _accept(args, record, job)
        from inspect_tui.shop.first_article.article import first_article
        from inspect_tui.shop.first_article.taken_over import work

        article = first_article(record, job, args.round, style=written())
        taken_over = work(record, job)
    if args.tick is not None and article.cuts is not None:
        from inspect_tui.frozen import replace
        from inspect_tui.shop.first_article.cuts import ticked

        article = replace(article, cuts=ticked(article.cuts, args.tick))
    if args.json:
        from inspect_tui.shop.first_article.result import to_plain

        plain = to_plain(article)
        cuts = plain["cuts"] or {"cuts": [], "checks": [], "tools": [], "leave_alone": [], "predicted": []}
        print_json(
            {
                "job": article.identity.job,
                "round": article.identity.round,
                **cuts,
                "promises": plain["promises"],
                "taken_over": [
                    {
                        "round": w.round,
                        "tool": w.tool,
                        "cause": w.cause,
                        "words": w.words,
                        "on": w.day,
                        "done": w.done or None,
                        "promises": dict(w.promises),
                    }
                    for w in taken_over
                ],
            }
        )
        return 0
    from inspect_tui.report.term import first_article as term

    out = console()
    out.print(term.head(article), style="bold", markup=False)
    out.print(term.cuts_text(article.cuts, article.promises, taken_over, out.width, written()), end="")
    return 0


def _accept(args: Namespace, record: Record, job: Any) -> int:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.article import assemble
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.castings.screening import look
    from inspect_tui.shop.first_article.take_over import take_over

    sampling = Sampling(record, job, pick_round(record, job, args.round))
    looked = look(sampling)
    article = assemble(sampling, looked=looked)
    if article.causes is None or article.cuts is None:
        raise DataError(f"{article.identity.round} has no cut list: no length of it counts yet.")
    by = find.person(record, args.by).id if args.by else None
    taken = take_over(record, sampling, looked, article.causes, article.cuts, args.accept, by, written())
    if args.json:
        print_json(
            {
                "taken_over": [{"tool": c.tool, "cause": c.cause, "words": c.words} for c in taken.cuts],
                "said": list(taken.words),
                "targets": len(taken.targets),
            }
        )
        return 0
    for words in taken.words:
        print(words)
    from inspect_tui.metrology.typed.show import count

    talk(
        f"{count(len(taken.cuts), 'cut')} taken over; {count(len(taken.targets), 'target')} moved; each cut stands on "
        "the Bench of its tool until it is done"
    )
    return 0


def _history(args: Namespace, record: Record, job: Any) -> int:
    from inspect_tui.shop.first_article.side_by_side import side_by_side

    labels, rows = side_by_side(record, job)
    if args.json:
        print_json(
            {
                "job": job.number,
                "rounds": list(labels),
                "features": [
                    {
                        "balloon": r.balloon,
                        "name": r.name,
                        "lower": r.lower,
                        "upper": r.upper,
                        "rounds": [
                            {"round": w.round, "n": w.n, "mean": w.mean, "deviation": w.deviation, "answer": w.answer}
                            for w in r.rounds
                        ],
                    }
                    for r in rows
                ],
            }
        )
        return 0
    from inspect_tui.shop.first_article.castings.sampling import SYMBOL

    if not labels:
        print("No sampling has readings yet.")
        return 0
    print_table(
        ["feature", "name", *labels],
        [
            [
                r.balloon,
                r.name,
                *(f"{written().signed(w.deviation, unit=False)} {SYMBOL[w.answer]}".strip() for w in r.rounds),
            ]
            for r in rows
        ],
        right=labels,
        spare=("name", *labels),
    )
    print(f"deviation of the mean from the as-cast size, {written().word}; readings in question left out")
    return 0
