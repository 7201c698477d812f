"""`inspect-tui causes`: what explains the castings of a sampling, and what a measuring plan could tell."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, open_record, option, print_json, written
from inspect_tui.commands.first_article import where

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.first_article.result import FirstArticle


def arguments(parser: ArgumentParser) -> None:
    """Which sampling; or which features a plan would measure."""
    parser.description = (
        "Which contraction, shifted core, grown parting or wrong tool explains the castings of a sampling: each with "
        "its size, 95 % interval and probability, the features that speak for it, rival explanations, and what to "
        "measure next. --plan asks before anything is measured: which causes the features named (all that need no "
        "casting to be cut up, without names) cannot tell apart, and the fewest to add."
    )
    where(parser)
    parser.add_argument("--plan", metavar="FEATURE", nargs="*", help="what these features could tell, measured or not")
    parser.add_argument(
        "--castings",
        type=option("--castings", "count"),
        default=3,
        metavar="N",
        help="castings of the plan (default 3)",
    )
    parser.add_argument("--json", action="store_true", help="every figure at full precision")


def run(args: Namespace) -> int:
    """0 with an answer, also when no cause is named; 2 when nothing was measured."""
    from inspect_tui.shop.common import find

    if args.plan is not None:
        return _plan(args)
    from inspect_tui.shop.first_article.article import first_article

    with closing(open_record(args, read_only=True)) as record:
        style = written()
        article = first_article(record, find.job(record, args.job), args.round, style=style)
    if args.json:
        print_json(_json(article))
        return 0
    from inspect_tui.report.term import first_article as term

    out = console()
    out.print(term.head(article), style="bold", markup=False)
    # what stands alone is said among the causes
    questions = [q for q in article.questions if article.causes is None or q not in article.causes.odd]
    out.print(term.questions_text(questions, article.loops, out.width), end="")
    out.print(term.causes_text(article.causes, out.width, written()), end="")
    return 0


def _json(article: FirstArticle) -> dict[str, Any]:
    from inspect_tui.shop.first_article.result import to_plain

    plain = to_plain(article)
    causes = plain["causes"] or {}
    return {
        "job": article.identity.job,
        "round": article.identity.round,
        "serials": list(article.identity.serials),
        "causes": causes.get("found", []),
        "cannot_tell": causes.get("cannot_tell", []),
        "rivals": causes.get("rivals", []),
        "contraction": {c["axis"]: {k: v for k, v in c.items() if k != "axis"} for c in causes.get("contraction", [])},
        "questions": plain["questions"],
        "loops": plain["loops"],
        "odd": causes.get("odd", []),
        "left_over": causes.get("left_over", []),
        "measure_next": causes.get("measure_next", []),
        "unseen": causes.get("unseen", []),
        "left_out": causes.get("left_out", []),
        "sentences": causes.get("sentences", []),
        "seat_mm": causes.get("seat_mm"),
        "explanations": causes.get("explanations"),
        "exact": causes.get("exact"),
    }


def _plan(args: Namespace) -> int:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.castings.rounds import Round, rounds
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.castings.screening import look
    from inspect_tui.shop.first_article.causes import plan_answer

    if not 1 <= args.castings <= 1000:
        raise DataError(f"A plan of {args.castings} castings cannot be weighed: give 1 to 1000.")
    with closing(open_record(args, read_only=True)) as record:
        job = find.job(record, args.job)
        chosen = next((r for r in rounds(record, job) if r.label == args.round), Round("plan", None, ()))
        sampling = Sampling(record, job, chosen, written())
        plan = plan_answer(sampling, look(sampling), args.plan or None, args.castings)
    if args.json:
        print_json(
            {
                "job": job.number,
                "chosen": list(plan.chosen),
                "castings": args.castings,
                "confused": [{"cause": a, "looks_like": b} for a, b in plan.confused],
                "unseen": list(plan.unseen),
                "add": list(plan.add),
                "open_after": list(plan.open_after),
            }
        )
        return 0
    from inspect_tui.report.term import first_article as term

    out = console()
    out.print(term.plan_text(plan, out.width), end="")
    return 0
