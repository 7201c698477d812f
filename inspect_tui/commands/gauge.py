"""`inspect-tui gauge`: instruments and their state, quick checks, a bias traced back, gauge studies."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, option, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """list, good, check, daily, add, change, certificate, out, back, trace, take-back, study."""
    actions = parser.add_subparsers(
        dest="action",
        required=True,
        metavar="list|good|check|daily|add|change|certificate|profile|listen|out|back|trace|take-back|study",
    )

    from argparse import SUPPRESS

    def action(name: str, summary: str, description: str = "") -> ArgumentParser:
        description = description or summary.capitalize() + "."
        sub: ArgumentParser = actions.add_parser(name, help=summary, description=description)
        sub.add_argument("--json", action="store_true", help="one JSON document, every figure at full precision")
        sub.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")
        return sub

    action("list", "instruments with range, step, certificate and state")

    good = action("good", "what an instrument is good enough for", "Features ranked by 2 guard / band, the best first.")
    good.add_argument("label", metavar="INSTRUMENT")
    good.add_argument("--job", help="job number; may be left out where the record has one job")
    good.add_argument("--on", metavar="TOOL", help="the sizes of this tool or casting; without it the as-cast sizes")
    good.add_argument("--by", metavar="INITIALS", help="in these hands, where a gauge study knows them")

    check = action(
        "check",
        "quick check with a reference piece",
        "Logs what INSTRUMENT reads on a reference piece: gauge check 'caliper 1' 25.000 25.012 --by AB. "
        "Exit status 1 when it is not within its certificate.",
    )
    check.add_argument("label", metavar="INSTRUMENT")
    check.add_argument("size", metavar="SIZE", help="of the reference piece, such as 25.000")
    check.add_argument("readings", metavar="READING", nargs="+", help="what the instrument reads on it")
    check.add_argument("--by", required=True, metavar="INITIALS", help="who measures")
    check.add_argument("--piece", default="block", metavar="NAME", help="what people call the piece")
    check.add_argument("--u", default="", metavar="U", help="U (k = 2) of the piece's size; left out: nothing")

    daily = action(
        "daily",
        "what everyday readings say of instruments and people",
        "Looks over all sizes of tools and castings at once for instruments and people whose readings lie higher or "
        "lower than the others'; then, size by size in one job, at instruments used by turns and at the scatter of "
        "people. A bias that is on record is taken off before.",
    )
    daily.add_argument("--job", help="job number; may be left out where the record has one job")

    from inspect_tui.commands import gauge_entry, gauge_profile

    gauge_entry.arguments(action)
    gauge_profile.arguments(action)

    for name, summary, why in (
        ("out", "take an instrument out of use", "what is wrong with it, such as 'jaws bent'"),
        ("back", "take an instrument back into use", "what was done about it"),
    ):
        sub = action(name, summary, f"{summary.capitalize()}. Its readings stay as they are.")
        sub.add_argument("label", metavar="INSTRUMENT")
        sub.add_argument("--why", required=True, metavar="WHY", help=why)
        sub.add_argument("--since", default="", metavar="DATE", help="from which day on; left out: today")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who says so")

    trace = action(
        "trace",
        "a bias traced back over earlier readings",
        "Judges every reading of those days again with the bias taken off and lists the verdicts that change. Without "
        "--bias it says what checks, certificates and everyday readings show. Nothing is written unless --confirm says "
        "why.",
    )
    trace.add_argument("label", metavar="INSTRUMENT")
    trace.add_argument("--bias", metavar="MM", help="reading less truth, such as +0.05")
    trace.add_argument("--u", default="", metavar="MM", help="standard uncertainty of the bias (left out: 0)")
    trace.add_argument(
        "--from",
        dest="since",
        metavar="DATE",
        type=option("--from", "day", may_be_empty=True),
        help="first day; left out: since the last good check",
    )
    trace.add_argument(
        "--to", metavar="DATE", type=option("--to", "day", may_be_empty=True), help="last day; left out: until today"
    )
    trace.add_argument("--confirm", metavar="WHY", help="record the bias as a fact; the readings stay as they are")
    trace.add_argument("--by", metavar="INITIALS", help="who confirms it")

    taken = action(
        "take-back",
        "take a recorded bias back",
        "Says that a bias on record does not hold: it stays in the record with the why, and readings of its days count "
        "as they were read again, everywhere.",
    )
    taken.add_argument("label", metavar="INSTRUMENT")
    taken.add_argument(
        "--from",
        dest="since",
        metavar="DATE",
        type=option("--from", "day", may_be_empty=True),
        help="first day of the bias; may be left out where there is one",
    )
    taken.add_argument("--why", required=True, metavar="WHY", help="why it does not hold")
    taken.add_argument("--by", required=True, metavar="INITIALS", help="who says so")

    study = action(
        "study",
        "work out a gauge study",
        "A CSV, XLSX, ODS or XLS file with the columns part, person, trial, value in any order (a unit may stand with "
        "the heading: value [mm]); others are left alone. --design bias, linearity or stability takes reference, "
        "value. With --of the study of that title in the record. Groups told apart are 1.41 part / combined, rounded "
        "down (published practice); by ranges, the mean of up to 15 ranges is divided by d2*, of more by d2.",
    )
    study.add_argument("file", metavar="FILE", nargs="?")
    study.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    study.add_argument("--of", metavar="TITLE", help="a study in the record, such as G1")
    study.add_argument("--to", metavar="FILE.csv", help="with --of: write its readings as such a table")
    study.add_argument(
        "--band",
        metavar="WIDTH",
        help="width of the tolerance, upper limit less lower: "
        "0.5 is in the unit of the heading of value (mm when it names none), 0.5 mm and 0.02 in as "
        "they say; gives shares of it, and the verdict",
    )
    study.add_argument(
        "--step",
        metavar="WIDTH",
        help="what the gauge reads in, such as 0.02; without it, what the readings of the file show. Nothing finer "
        "than step / sqrt(12) can come out, and steps as wide as the band allow no verdict",
    )
    study.add_argument(
        "--as-it-stands",
        action="store_true",
        help="with --of: work it out although a few readings lack that nobody will take any more",
    )
    study.add_argument("--design", choices=("crossed", "bias", "linearity", "stability"), default="crossed")


def run(args: Namespace) -> int:
    """0 fine, 1 when a check is not within its certificate, 2 for bad input."""
    if args.action in ("profile", "listen"):
        from inspect_tui.commands import gauge_profile

        return gauge_profile.run(args)
    if args.action in ("add", "change", "certificate"):
        from inspect_tui.commands import gauge_entry

        return gauge_entry.run(args)
    if args.action == "trace":
        from inspect_tui.commands import gauge_trace

        return gauge_trace.run(args)
    if args.action == "study":
        from inspect_tui.commands import gauge_study

        return gauge_study.run(args)
    if args.action == "daily":
        from inspect_tui.commands import gauge_daily

        return gauge_daily.run(args)
    does = {
        "list": _list,
        "good": _good,
        "check": _check,
        "out": _in_use,
        "back": _in_use,
        "take-back": _take_back,
    }
    return does[args.action](args)


# ------------------------------------------------------------------------------ list, good
def _list(args: Namespace) -> int:
    from inspect_tui.commands import todo
    from inspect_tui.shop.gauges import instruments
    from inspect_tui.todo import Todo

    record = open_record(args, read_only=True)
    try:
        lines = instruments.lines(record, style=written())
    finally:
        record.close()
    if args.json:
        print_json([_line(line) for line in lines])
        return 0
    if not lines:
        talk(f"There is no instrument in the record yet. {todo.WORDS[Todo.ADD_INSTRUMENTS]}")
        return 0
    from inspect_tui.shop.common.sizes import said_range

    print_table(
        ["instrument", "range", "step", f"U, {written().word}", "state", "due"],
        [
            [
                line.instrument.label,
                *said_range(line.instrument, written()),
                written().given_u(line.means.u95(), unit=False),
                f"{instruments.STATE_SYMBOL[line.state]} {line.state}{_bias(line)}",
                (line.means.calibration.due_on or "") if line.means.calibration else "",
            ]
            for line in lines
        ],
        right=("step", f"U, {written().word}"),
        spare=("step", "range", "due"),
    )
    for line in lines:
        if line.needs_a_word:
            talk(line.sentence)
    return 0


def _bias(line: Any) -> str:
    known = line.means.bias
    return f", bias {written().given(known.bias_mm, unit=False, signed=True)}" if known else ""


def _line(line: Any) -> dict[str, Any]:
    i, c = line.instrument, line.means.calibration
    return {
        "instrument": i.label,
        "kind": i.kind,
        "serial": i.serial,
        "unit": i.unit,
        "range": [i.range_lo, i.range_hi],
        "resolution": i.resolution,
        "state": line.state,
        "sentence": line.sentence,
        "u95_mm": line.means.u95(),
        "k": c.k if c else None,
        "done_on": c.done_on if c else None,
        "due_on": c.due_on if c else None,
        "result": c.result if c else None,
        "error_mm": c.error_mm if c else None,
        "reference": c.reference if c else None,
        "overdue_since": line.means.overdue_since,
        "failed": line.means.failed,
        "out_of_use": line.means.out_of_use,
        "biases": [
            {"from": b.from_on, "to": b.to_on, "bias_mm": b.bias_mm, "u_mm": b.u_mm, "why": b.why} for b in line.biases
        ],
        "studies": [study.title for study in line.studies],
    }


def _good(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import instruments

    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job)
        subject = find.subject(record, job, args.on) if args.on else None
        person = find.person(record, args.by) if args.by else None
        instrument = find.instrument(record, args.label)
        ranked = instruments.good_for(record, job, instrument, subject, person, style=written())
        line = instruments.line(record, instrument, style=written())
    finally:
        record.close()
    remarks = [line.sentence] if line.needs_a_word else []
    for remark in remarks:
        talk(remark)
    if args.json:
        features = [
            {
                "feature": f.sizes.feature.balloon,
                "name": f.sizes.feature.name,
                "target_mm": f.sizes.target,
                "lower_mm": f.sizes.band.lower,
                "upper_mm": f.sizes.band.upper,
                "u_mm": f.u,
                "guard_mm": f.guard,
                "share": f.share,
                "can_conform": f.can_conform,
            }
            for f in ranked
        ]
        print_json(
            {
                "instrument": instrument.label,
                "job": job.number,
                "state": line.state,
                "remarks": remarks,
                "features": features,
            }
        )
        return 0
    if not ranked:
        talk(f"{instrument.label} cannot read any size of {job.number}: look at its range and unit.")
    print_table(
        ["feature", "name", "size", "band", "2 guard / band", "so it"],
        [
            [
                f.sizes.feature.balloon,
                f.sizes.feature.name,
                written().length(f.sizes.target, unit=False),
                written().length(f.sizes.band.width, 3, unit=False),
                written().percent(f.share),
                f.sentence,
            ]
            for f in ranked
        ],
        right=("size", "band", "2 guard / band"),
        spare=("name", "band", "size"),
        wraps="so it",
    )
    return 0


# ------------------------------------------------------------------------------ check
def _check(args: Namespace) -> int:
    from inspect_tui.metrology.typed.fields import Wrong
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import checks
    from inspect_tui.todo import plain

    record = open_record(args)
    try:
        instrument, person = find.instrument(record, args.label), find.person(record, args.by)
        piece = checks.read_piece(instrument, args.piece, args.size, args.u)
        if isinstance(piece, Wrong):
            talk(f"inspect-tui: {piece}")
            return 2
        desk = checks.QuickCheck(record, person, instrument, piece)
        outcome = desk.take(" ".join(args.readings))
        if isinstance(outcome, checks.CheckAsked):
            talk(f"logged as typed, but: {plain(outcome)}")
            kept = desk.keep_pending()
            assert kept
            outcome = kept
    finally:
        record.close()
    if isinstance(outcome, checks.CheckRefused):
        talk(f"inspect-tui: not logged: {outcome.sentence}")
        return 2
    assert isinstance(outcome, checks.CheckResult)
    if args.json:
        print_json(
            {
                "instrument": instrument.label,
                "piece": piece.name,
                "reference_mm": piece.size_mm,
                "values_mm": [c.value for c in outcome.checks],
                "error_mm": outcome.error,
                "known_bias_mm": bias.bias_mm if (bias := desk.line.means.bias) is not None else None,
                "allowed_mm": outcome.allowed,
                "within": outcome.within,
                "sentence": outcome.sentence,
                "state": desk.line.state,
            }
        )
    else:
        print(outcome.sentence)
        if remark := desk.line.means.remark():
            talk(remark)
    return 0 if outcome.within else 1


# ------------------------------------------------------------------------------ out of use and back
def _in_use(args: Namespace) -> int:
    from inspect_tui.metrology.typed.fields import Wrong
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import instruments

    record = open_record(args)
    try:
        instrument, person = find.instrument(record, args.label), find.person(record, args.by)
        made = instruments.read_state(instrument, {"since": args.since, "why": args.why}, args.action == "back")
        if isinstance(made, Wrong):
            talk(f"inspect-tui: {made}")
            return 2
        record.add(made, by=person.id)
    finally:
        record.close()
    sentence = instruments.after_state(instrument, made)
    if args.json:
        print_json({"instrument": instrument.label, "state": made.state, "since": made.since_on, "sentence": sentence})
    else:
        print(sentence)
    return 0


# ------------------------------------------------------------------------------ a bias that does not hold
def _take_back(args: Namespace) -> int:
    from inspect_tui.metrology.typed.fields import Wrong
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import biases

    record = open_record(args)
    try:
        instrument, person = find.instrument(record, args.label), find.person(record, args.by)
        bias = biases.pick(record, instrument, args.since, written())
        made = biases.taking_back(bias, {"why": args.why})
        if isinstance(made, Wrong):
            talk(f"inspect-tui: {made}")
            return 2
        record.add(made, by=person.id)
    finally:
        record.close()
    sentence = biases.after(instrument, bias, written())
    if args.json:
        days = {"from": bias.from_on, "to": bias.to_on}
        print_json(
            {"instrument": instrument.label, "bias_mm": bias.bias_mm, **days, "why": made.why, "sentence": sentence}
        )
    else:
        print(sentence)
    return 0
