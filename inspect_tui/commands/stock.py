"""`inspect-tui stock`: will every machined face of the castings clean up, and how to set them up."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, option, painted, print_json, written
from inspect_tui.commands.first_article import where

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Which sampling, and how much stock a cut needs."""
    parser.description = (
        "Stock on every machined face of every casting, each face once, from all its readings: whether all of them "
        "clean up and how likely, what holds the answer, and how to shift the casting where the datums let it (linear "
        "program; its dual says what binds). Where no datum holds it, what is there is shared between the faces. "
        "Where shifts leave a face in doubt the casting is turned too, as far as the places in the features' notes "
        "(at x = 455, z = 140) can answer for, and what to raise each datum target by is told."
    )
    where(parser)
    parser.add_argument(
        "--required",
        metavar="SIZE",
        type=option("--required", "size", zero=True),
        help="stock that a cut needs to clean a cast face up (default 1.0 mm)",
    )
    parser.add_argument("--check", action="store_true", help="exit status 1 unless every casting cleans up")
    parser.add_argument("--json", action="store_true", help="every figure at full precision")


def run(args: Namespace) -> int:
    """0 with an answer; 1 with --check when a face does not clean up; 2 when nothing was measured."""
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.stock import REQUIRED_MM, stock

    required = REQUIRED_MM if args.required is None else args.required
    if not required < 1000.0:
        raise DataError(f"--required {written().given(required)} is no stock: give mm, such as 1.0.")
    with closing(open_record(args, read_only=True)) as record:
        job = find.job(record, args.job)
        sampling = Sampling(record, job, pick_round(record, job, args.round), written())
        if not sampling.anything:
            raise DataError(f"Nothing of {sampling.round.label} has been measured yet: its stock is not known.")
        answer = stock(sampling, required)
        label = sampling.round.label
    if args.json:
        from inspect_tui.shop.first_article.result import plain

        made = plain(answer)
        print_json({"job": job.number, "round": label, "required": required, **made})
    else:
        from inspect_tui.report.term import first_article as term

        painted(lambda width: term.stock_text(answer, width, written()))
    short = not answer.castings or any(not casting.cleans_up for casting in answer.castings)
    return int(args.check and short)
