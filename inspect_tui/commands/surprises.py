"""`inspect-tui surprises`: what changed lately over all sizes of all tools and castings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, open_record, option, print_json, progress, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.trends.surprises import ChangedSize, ChangeReport


def arguments(parser: ArgumentParser) -> None:
    """How sure it has to be, and in what form."""
    parser.description = (
        "Searches the newest readings of every size, less the wear that is known, for steps, drifts and changes of "
        "scatter; one line each, most important first, with who, which instrument or which side it goes with. Where "
        "there is nothing to say it says so."
    )
    parser.add_argument("--job", help="only this job")
    parser.add_argument(
        "--rate",
        type=option("--rate", "share"),
        default=0.05,
        metavar="SHARE",
        help="of what is listed at most this share is false in the long run (default 0.05)",
    )
    parser.add_argument("--today", metavar="DAY", type=option("--today", "day"), help="as of this day")
    parser.add_argument("--json", action="store_true", help="every figure at full precision")


def run(args: Namespace) -> int:
    """0, whether something changed or not."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.trends import kept as trend_kept
    from inspect_tui.shop.trends import surprises

    record = open_record(args, read_only=True)
    try:
        with progress() as tell:
            kept, recent = trend_kept.current(record, tell)
        if args.job is not None:
            job = find.job(record, args.job)
            kept = [k for k in kept if k.job_of_id == job.of_id]
        report = surprises.surprises(record, kept, recent, args.rate, style=written(), today=args.today)
    finally:
        record.close()
    if args.json:
        print_json(_json(report))
    else:
        from inspect_tui.report.term import fleet as term_fleet

        out = console()
        out.print(term_fleet.surprises_text(report, min(out.width, 110)), end="")
    return 0


def _json(report: ChangeReport) -> dict[str, Any]:
    from inspect_tui.commands.gauge_daily import offset_json

    return {
        "sentence": report.sentence,
        "tested": report.tested,
        "too_short": report.too_short,
        "rate": report.rate,
        "gauges_and_people": [{**offset_json(off.found), "sentence": off.sentence} for off in report.off],
        "changed": [_line(line) for line in report.lines],
    }


def _line(line: ChangedSize) -> dict[str, Any]:
    surprise, told = line.surprise, line.told
    return {
        "on": line.where,
        "feature": line.kept.balloon,
        "name": line.kept.name,
        "kind": surprise.kind,
        "since": line.since,
        "since_on": line.day or None,
        "change": surprise.change.value,
        "u": surprise.change.u,
        "before": surprise.before,
        "after": surprise.after,
        "p": surprise.p,
        "q": surprise.q,
        "importance": surprise.importance,
        "goes_with": line.goes or None,
        "verdict": told.who.verdict if told else None,
        "probability": told.who.probability if told else None,
        "amount": told.who.amount.value if told and told.who.amount else None,
        "u_amount": told.who.amount.u if told and told.who.amount else None,
        "sentence": line.sentence,
    }
