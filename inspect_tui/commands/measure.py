"""`inspect-tui measure`: what to measure next, on a sample casting or on the castings of a sampling; naming faces."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, painted, paper_arguments, print_json, printed, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.measuring.sheet import MeasuringSheet


def arguments(parser: ArgumentParser) -> None:
    """plan, sheet, face, faces."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)

    plan = actions.add_parser("plan", help="which sizes to take next, in which order, from where and with what")
    plan.description = (
        "Which sizes to take so that every face of every core is pinned with the least work: in which order, from "
        "which datum, with what (from outside, through the wall, with a template, on a casting cut up), what the "
        "drawing's machined faces give, and what stays free. After each reading the plan moves. Of the castings of a "
        "sampling: which sizes tell causes apart that look alike."
    )
    plan.add_argument("--job", help="job number; may be left out where the record has one job")
    where = plan.add_mutually_exclusive_group()
    where.add_argument("--on", choices=("sample",), help="the sample casting (the default)")
    where.add_argument("--round", metavar="LABEL", help="the castings of a sampling, such as S1")
    plan.add_argument(
        "--enter", action="store_true", help="put the sizes between named faces on the list, so that they can be read"
    )
    plan.add_argument("--by", metavar="INITIALS", help="who enters them")
    plan.add_argument(
        "--to", metavar="FILE", help="write the sheet: .pdf or .html to print, .csv or .xlsx to fill in and import"
    )
    paper_arguments(plan)
    plan.add_argument("--force", action="store_true", help="overwrite a file that is there")
    plan.add_argument("--json", action="store_true", help="every figure at full precision")

    sheet = actions.add_parser("sheet", help="the sheet of a tool or casting to measure by on paper, or to fill in")
    sheet.description = (
        "The sizes of a tool or casting with targets and limits in your unit, boxes to write in and the sketch of the "
        "mould: .pdf or .html to print, .csv or .xlsx to fill in and take in with `import`."
    )
    sheet.add_argument("--on", required=True, metavar="TOOL", help="tool or casting, such as 'box 3'")
    sheet.add_argument("--to", required=True, metavar="FILE", help="such as box3.pdf; also .html, .csv, .xlsx")
    paper_arguments(sheet)
    sheet.add_argument("--job", help="job number; may be left out where the record has one job")
    sheet.add_argument("--blind", action="store_true", help="without what is expected")
    sheet.add_argument("--force", action="store_true", help="overwrite a file that is there")

    face = actions.add_parser("face", help="name a face of the sample casting; no size is guessed")
    face.add_argument("name", metavar="NAME", help="such as 'outlet flange'")
    face.add_argument("--made-by", required=True, metavar="PART", help="cope, drag or 'core 3'")
    face.add_argument("--axis", required=True, metavar="AXIS", help="x, y or z")
    face.add_argument("--metal", required=True, metavar="SIDE", help="on which side of it the metal lies: + or -")
    face.add_argument("--datum", action="store_true", help="places along the axis are counted from it")
    face.add_argument("--cut-up", action="store_true", help="it can only be reached on a casting cut up")
    face.add_argument("--wall-to", default="", metavar="FACE", help="the face on the other side of the metal")
    face.add_argument("--job", help="job number; may be left out where the record has one job")
    face.add_argument("--by", metavar="INITIALS", help="who names it")

    faces = actions.add_parser("faces", help="name faces out of a table")
    faces.description = (
        "A CSV, XLSX, ODS or XLS file with the columns name, by, axis and metal, and datum, cut up and wall to where "
        "there are any. With a line that is not right nothing is taken."
    )
    faces.add_argument("file", metavar="FILE")
    faces.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    faces.add_argument("--job", help="job number; may be left out where the record has one job")
    faces.add_argument("--by", metavar="INITIALS", help="who names them")


def run(args: Namespace) -> int:
    """0 fine; 2 for bad input."""
    return {"plan": _plan, "sheet": _sheet, "face": _face, "faces": _face}[args.action](args)


def _plan(args: Namespace) -> int:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common import find

    if args.round is not None and args.enter:
        raise DataError("The sizes of a sampling are those of its drawing: --enter is for the sample casting alone.")
    style = written()
    with closing(open_record(args, read_only=not args.enter)) as record:
        job = find.job(record, args.job)
        if args.round is not None:
            return _round(args, record, job, style)
        from inspect_tui.shop.measuring import faces, sample

        plan = sample.of_sample(record, job, style)
        if args.enter:
            by = find.person(record, args.by).id if args.by else None
            entered = faces.enter(record, job, plan.to_enter, by)
            talk(f"{len(entered)} sizes put on the list of the sample")
            plan = sample.of_sample(record, job, style)
        if args.to:
            from inspect_tui.shop.measuring.sheet import sheet

            return _written(args, sheet(record, job, plan))
    if args.json:
        from inspect_tui.shop.first_article.result import plain

        made = plain(plan)
        made.pop("to_enter")
        print_json({"on": "sample", **made})
        return 0
    from inspect_tui.report.term import measuring as term

    painted(lambda width: term.plan_text(plan, width, written()))
    return 0


def _sheet(args: Namespace) -> int:
    from inspect_tui.report.measuring import bench
    from inspect_tui.shop.common import find
    from inspect_tui.shop.measuring.bench_sheet import sheet

    style = printed()
    with closing(open_record(args, read_only=True)) as record:
        job = find.job(record, args.job)
        made = sheet(record, job, find.subject(record, job, args.on), style, blind=args.blind)
        print(bench.write(made, args.to, force=args.force, style=style))
    return 0


def _written(args: Namespace, sheet: MeasuringSheet) -> int:
    from inspect_tui.report.measuring import forms

    print(forms.write(sheet, args.to, force=args.force, style=printed()))
    return 0


def _round(args: Namespace, record: Record, job: Job, style: Style) -> int:
    from inspect_tui.shop.measuring.castings import of_round

    plan = of_round(record, job, args.round, style)
    if args.to:
        from inspect_tui.shop.measuring import sheet

        return _written(args, sheet.of_round(record, job, plan))
    if args.json:
        from inspect_tui.shop.first_article.result import plain

        print_json({"on": "round", **plain(plan)})
        return 0
    from inspect_tui.report.term import measuring as term

    painted(lambda width: term.round_text(plan, width))
    return 0


def _face(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.measuring import faces

    if args.action == "faces":
        from inspect_tui.shop.common.tables import columns

        table = columns.read(args.file, args.sheet)
        said = faces.from_table(table.headings, table.rows)
    else:
        said = [
            faces.FaceSaid(
                name=args.name,
                by=args.made_by,
                axis=args.axis,
                metal=args.metal,
                datum=args.datum,
                cut_up=args.cut_up,
                wall_to=args.wall_to,
            )
        ]
    with closing(open_record(args)) as record:
        job = find.job(record, args.job)
        by = find.person(record, args.by).id if args.by else None
        made = faces.name_faces(record, job, said, by)
    for face in made:
        print(f"{face.balloon}  {face.name}")
    return 0
