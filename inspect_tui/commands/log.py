"""`inspect-tui log`: readings from standard input, one line each, acknowledged only when on the disk."""

from __future__ import annotations

import sys

from inspect_tui.commands.common import back_up_when_due, open_record, option, print_json

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterator
    from typing import Any

    from inspect_tui.shop.bench.line import Bench
    from inspect_tui.shop.bench.outcomes import Logged


LONGEST = 10_000  # characters of a line; a hundred repeats have a thousand


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
    parser.add_argument(
        "--temperature",
        metavar="C",
        type=option("--temperature", "temperature", may_be_empty=True),
        help="temperature of the work",
    )
    parser.add_argument(
        "--day",
        metavar="DAY",
        type=option("--day", "day"),
        help="the day on which it was measured, where that is not today",
    )
    parser.add_argument(
        "--state",
        choices=("raw", "finished"),
        default="raw",
        help="state of the casting: raw as it was cast (the usual), or finished by machining",
    )
    parser.add_argument(
        "--round",
        metavar="DAY",
        dest="walk",
        type=option("--round", "day"),
        help="the readings belong to the round begun on that day: it is said what it has still to read",
    )
    parser.add_argument("--json", action="store_true", help="one JSON document instead of lines")


def run(args: Namespace) -> int:
    """0 when every line was logged, 2 when a line was no reading (the others are logged)."""
    from inspect_tui.commands import todo
    from inspect_tui.shop.bench.line import Bench
    from inspect_tui.shop.common import find

    record = open_record(args)
    try:
        job = find.job(record, args.job)
        subject = find.subject(record, job, args.on)
        bench = Bench(record, job, subject, states=False)
        if args.temperature is not None:
            bench.set_conditions(args.temperature)
        if args.day is not None:
            bench.set_day(args.day, bench.today)
        bench.set_state(args.state)
        if args.walk is not None:
            bench.begin_round(args.walk)
        # who and with what last: where something else is refused, nobody is left behind as new
        person, new_person = find.person_or_new(record, args.by)
        gauge, new_gauge = find.instrument_or_new(record, args.gauge)
        for new in (new_person, new_gauge):
            if new:
                _say(todo.said(new))
        bench.set_person(person)
        bench.set_instrument(gauge)
        if (wrong := bench.clock_wrong) is not None:
            _say(todo.said(wrong))
        return _log_all(bench, args.json)
    finally:
        record.close()
        back_up_when_due(record.path)


def _log_all(bench: Bench, as_json: bool) -> int:
    """Log every line of standard input; stop where the record itself can no longer be written."""
    from inspect_tui.commands import todo
    from inspect_tui.errors import InspectError, RecordError, not_logged
    from inspect_tui.shop.bench.outcomes import Asked, Refused
    from inspect_tui.todo import plain

    rows: list[dict[str, Any]] = []
    told: set[str] = set()
    bad = 0
    lines = enumerate(iter(lambda: sys.stdin.readline(LONGEST + 1), ""), start=1)
    for number, line in lines:
        if len(line) > LONGEST:  # no end in sight: what follows would be its middle
            _say(f"line {number}: longer than {LONGEST} characters, so it is no reading; nothing after it was read.")
            bad += 1
            break
        words = line.split(None, 1)
        if not words or line.startswith("#"):
            continue
        question, problem = None, None
        try:
            bench.goto(words[0])
            outcome = bench.take_named(words[1].strip() if len(words) > 1 else "")
            if isinstance(outcome, Asked):
                question = plain(outcome)
                kept = bench.keep_pending()
                assert kept
                outcome = kept
            if isinstance(outcome, Refused):
                problem = f"not logged: {todo.said(outcome)}"
        except RecordError as wrong:
            left = 1 + sum(bool(rest.split()) for _, rest in lines)
            _say(f"line {number}: {not_logged(wrong)} {_lines(left)}")
            bad += left
            break
        except InspectError as wrong:
            problem = f"not logged: {todo.said(wrong)}"
        if problem is not None:
            bad += 1
            _say(f"line {number}: {line.strip()[:80]}: {problem}")
            continue
        assert not isinstance(outcome, Asked | Refused)
        if question:
            _say(f"line {number}: logged as typed, but: {question}")
        for remark in outcome.remarks:
            _say(f"line {number}: {remark}")
        for remark in outcome.judged.told:  # about the instrument: said once, not with every reading
            if remark not in told:
                told.add(remark)
                _say(remark)
        for row in _rows(outcome, question, bench.clock_wrong is not None):
            rows.append(row)
            if not as_json:
                try:
                    print(f"ACK {row['id']} {row['feature']} {row['mm']:.9g} {row['verdict']}", flush=True)
                except BrokenPipeError:
                    return _unheard(number, lines)
    if as_json:
        print_json(rows)
    if bench.round is not None:
        open_, all_ = bench.left_in_round, len(bench.tasks)
        listed = ": " + ", ".join(open_) if open_ else ""
        _say(f"round of {bench.round}: {all_ - len(open_)} of {all_} read, {len(open_)} left{listed}.")
    return 2 if bad else 0


def _unheard(number: int, lines: Iterator[tuple[int, str]]) -> int:
    """Who reads our answers went away: nothing more is logged that nobody hears of."""
    from inspect_tui.commands.common import let_go

    let_go(sys.stdout)
    left = sum(bool(rest.split()) for _, rest in lines)
    _say(f"line {number}: logged, but whoever read the answers has gone. {_lines(left)}")
    return 2 if left else 0


def _lines(left: int) -> str:
    return "1 line was not logged: run it again." if left == 1 else f"{left} lines were not logged: run them again."


def _say(sentence: str) -> None:
    from inspect_tui.commands.common import talk

    talk(f"inspect-tui: {sentence}")


def _rows(logged: Logged, question: str | None, clock_doubt: bool) -> list[dict[str, Any]]:
    from inspect_tui.record.chain.ids import uuid_text

    judged = logged.judged
    return [
        {
            "id": uuid_text(reading.id),
            "feature": logged.task.feature.balloon,
            "mm": reading.value,
            "state": judged.sizes.state,
            "verdict": judged.standing.value,
            "p_conform": None if judged.question else judged.verdict.p_conform,
            "mean_mm": judged.value,
            "u_mm": judged.budget.u,
            "U_mm": judged.budget.U,
            "k": judged.budget.k,
            "target_mm": judged.sizes.target,
            "lower_mm": judged.sizes.band.lower,
            "upper_mm": judged.sizes.band.upper,
            "cut": judged.cut.words if judged.cut else None,
            "cut_mm": judged.cut.change_mm if judged.cut else None,
            "casting_mm": judged.casting.value if judged.casting else None,
            "casting_u_mm": judged.casting.u if judged.casting else None,
            "slip": reading.slip,
            "question": question,
            "gauge_failed": judged.gauge_failed,
            "clock_doubt": clock_doubt,
            "remarks": [*judged.told, *logged.remarks],
        }
        for reading in logged.readings
    ]
