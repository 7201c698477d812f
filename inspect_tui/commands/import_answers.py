"""`inspect-tui import answers`: what the foundry sends back about the cores: its sheet, or the guide's answer file."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, option, pairs, print_json, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from typing import Any

    from inspect_tui.shop.answers.check import CheckedAnswers
    from inspect_tui.shop.answers.checklist import FilledIn


def arguments(parser: ArgumentParser) -> None:
    """FILE, and what it does not say by itself."""
    parser.description = (
        "Takes in what the foundry sends back: the come-back sheet as `kit come-back` prints it, filled in (CSV, XLSX, "
        "ODS, XLS), the answer file of the setting guide (JSON), or the checklist of a trial as `kit trial sheet` "
        "prints it. Sizes become readings of sand cores, checks, rubs, "
        "remarks and pictures stand beside them; nothing becomes a casting's reading. A sheet of another edition of "
        "the kit, or one that was changed, is asked about first. Read twice, it adds only what is new; what was wrong "
        "is taken back as a whole with `withdraw import`."
    )
    parser.add_argument("file", metavar="FILE", help="CSV, TSV, XLSX, ODS, XLS, or JSON of the setting guide")
    parser.add_argument("--job", help="job number; may be left out where the file names it")
    parser.add_argument("--mould", metavar="MARK", help="of which casting or mould it is, where no line says")
    parser.add_argument("--by", metavar="INITIALS", help="who measured, where the file does not say")
    parser.add_argument("--with", metavar="INSTRUMENT", dest="gauge", help="with what, where the file does not say")
    parser.add_argument(
        "--name",
        metavar="CALLED=NAME",
        action="append",
        default=[],
        help="what the file calls a person or gauge, and its name here",
    )
    parser.add_argument("--unit", metavar="U", help="unit of figures that do not say: mm, cm, in, ft (default: mm)")
    parser.add_argument(
        "--day",
        metavar="DAY",
        type=option("--day", "day", may_be_empty=True),
        help="on which it was measured, where the file does not say (default: today)",
    )
    parser.add_argument("--days", metavar="ORDER", help="how its days are written: d/m/y, m/d/y or y/m/d")
    parser.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    parser.add_argument("--keep", action="store_true", help="take in what was asked about as it stands")
    parser.add_argument(
        "--check", action="store_true", help="say what would be taken in and what is asked; write nothing"
    )
    parser.add_argument("--json", action="store_true", help="what was taken in, as JSON")


def run(args: Namespace) -> int:
    """0 when all that is new was taken in; 2 and nothing taken in otherwise, with the reasons on stderr."""
    from inspect_tui.shop.answers import check, take_in
    from inspect_tui.shop.answers.checklist import FilledIn
    from inspect_tui.shop.answers.refusals import refuse_unanswered

    answers = take_in.read(args.file, args.sheet)
    if isinstance(answers, FilledIn):
        return _checklist(args, answers)
    options = check.AnswerOptions(
        by=args.by,
        instrument=args.gauge,
        names=pairs(args.name, "--name", "CALLED=NAME, such as --name 'H. Weber=HW'"),
        mould=args.mould,
        unit=args.unit,
        day=args.day,
        days=args.days,
        keep=args.keep,
    )
    with closing(open_record(args, read_only=args.check)) as record:
        job = check.job_of(record, answers, args.job)
        seen = check.check(record, job, answers, options, style=written())
        if args.check:
            return _say_checked(args, seen)
        refuse_unanswered(seen.answers.name, seen.asked)
        take_in.write(record, seen)
    for remark in seen.remarks:
        talk(remark)
    if args.json:
        print_json({"file": answers.name, "taken_in": seen.sentence, **_plain(seen)})
    else:
        print(f"{answers.name}: {seen.sentence} taken in")
    return 0


def _checklist(args: Namespace, filled: FilledIn) -> int:
    """The checklist of a trying in or a trial closing."""
    from inspect_tui.shop.answers import check, checklist
    from inspect_tui.shop.answers.refusals import refuse_unanswered

    with closing(open_record(args, read_only=args.check)) as record:
        job = check.job_of(record, filled, args.job)
        seen = checklist.check(
            record,
            job,
            filled,
            by=args.by,
            day=args.day,
            days=args.days,
            mould=args.mould,
            gauge=args.gauge,
            unit=args.unit,
            keep=args.keep,
            style=written(),
        )
        plain = {"job": job.number, "trial": seen.trial.sentence, "already": seen.nothing_new}
        if args.check and args.json:
            print_json({"would_take_in": seen.sentence, "asked": list(seen.asked), **plain})
            return 0
        if args.check:
            print(f"{filled.name}: {seen.sentence}; nothing was written")
            for what, words in seen.lines(written()):
                print(f"  {what:<13} {words}")
            return 0
        refuse_unanswered(seen.answers.name, seen.asked)
        checklist.write(record, seen)
    if args.json:
        print_json({"file": filled.name, "taken_in": seen.sentence, **plain})
    else:
        print(f"{filled.name}: {seen.sentence} taken in")
    return 0


def _say_checked(args: Namespace, seen: CheckedAnswers) -> int:
    if args.json:
        print_json({"would_take_in": seen.sentence, "asked": list(seen.asked), **_plain(seen)})
        return 0
    print(f"{seen.answers.name}: {seen.sentence}; nothing was written")
    for what, words in seen.lines(written()):
        print(f"  {what:<13} {words}")
    return 0


def _plain(seen: CheckedAnswers) -> dict[str, Any]:
    return {
        "job": seen.job.number,
        "sizes": len(seen.readings),
        "answers": len(seen.said),
        "pictures": len(seen.pictures),
        "new_sand_cores": [serial for serial, _, _ in seen.new_cores],
        "already": seen.already,
        "remarks": list(seen.remarks),
    }
