"""`inspect-tui log`: readings from standard input, one line each, acknowledged only when on the disk."""

from __future__ import annotations

import sys

from inspect_tui.commands.common import open_record, print_json

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from typing import Any

    from inspect_tui.shop.bench import Logged


def arguments(parser: ArgumentParser) -> None:
    """--job, --on, --by, --with and what is printed."""
    parser.description = (
        "Reads lines `FEATURE VALUE[ VALUE...]` from standard input, such as `F29 82.80 82.84`. Prints one line per "
        "reading, `ACK <id> <feature> <mm> <verdict>`, only after the commit is durable."
    )
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    parser.add_argument("--on", required=True, metavar="TOOL", help="tool or casting, such as 'stick 3'")
    parser.add_argument("--by", required=True, metavar="INITIALS", help="who measures")
    parser.add_argument("--with", required=True, metavar="INSTRUMENT", dest="gauge", help="what is measured with")
    parser.add_argument("--temperature", metavar="C", help="temperature of the work")
    parser.add_argument("--json", action="store_true", help="one JSON document instead of lines")


def run(args: Namespace) -> int:
    """0 when every line was logged, 2 when a line was no reading (the others are logged)."""
    from inspect_tui.errors import InspectError
    from inspect_tui.metrology import quantity
    from inspect_tui.shop import find
    from inspect_tui.shop.bench import Asked, Bench, Refused

    record = open_record(args)
    try:
        job = find.job(record, args.job)
        bench = Bench(record, job, find.subject(record, job, args.on), find.person(record, args.by),
                      find.instrument(record, args.gauge), states=False)  # fmt: skip
        if args.temperature:
            celsius = quantity.parse_temperature(args.temperature)
            if isinstance(celsius, quantity.Unreadable):
                print(f"inspect-tui: {celsius.sentence}", file=sys.stderr)
                return 2
            bench.set_conditions(celsius)
        rows: list[dict[str, Any]] = []
        bad = 0
        for number, line in enumerate(sys.stdin, start=1):
            words = line.split(None, 1)
            if not words or line.startswith("#"):
                continue
            question = None
            try:
                bench.goto(words[0])
                outcome = bench.take(words[1].strip() if len(words) > 1 else "")
                if isinstance(outcome, Asked):
                    question = outcome.sentence
                    kept = bench.keep_pending()
                    assert kept
                    outcome = kept
                problem = outcome.sentence if isinstance(outcome, Refused) else None
            except InspectError as wrong:
                outcome, problem = None, str(wrong)
            if problem is not None:
                bad += 1
                print(f"line {number}: {line.strip()[:80]}: not logged: {problem}", file=sys.stderr)
                continue
            assert outcome is not None and not isinstance(outcome, Asked | Refused)
            if question:
                print(f"line {number}: logged as typed, but: {question}", file=sys.stderr)
            for row in _rows(outcome, question):
                rows.append(row)
                if not args.json:
                    print(f"ACK {row['id']} {row['feature']} {row['mm']:.9g} {row['verdict']}", flush=True)
        if args.json:
            print_json(rows)
        return 2 if bad else 0
    finally:
        record.close()


def _rows(logged: Logged, question: str | None) -> list[dict[str, Any]]:
    from inspect_tui.record.ids import uuid_text

    judged = logged.judged
    return [
        {
            "id": uuid_text(reading.id), "feature": logged.task.feature.balloon, "mm": reading.value,
            "verdict": judged.verdict.answer.value, "p_conform": judged.verdict.p_conform, "mean_mm": judged.value,
            "u_mm": judged.budget.u, "target_mm": judged.sizes.target, "lower_mm": judged.sizes.band.lower,
            "upper_mm": judged.sizes.band.upper, "cut": judged.cut.words if judged.cut else None,
            "cut_mm": judged.cut.change_mm if judged.cut else None,
            "casting_mm": judged.casting.value if judged.casting else None,
            "casting_u_mm": judged.casting.u if judged.casting else None,
            "slip": reading.slip, "question": question, "remarks": list(judged.remarks + logged.remarks),
        }
        for reading in logged.readings
    ]  # fmt: skip
