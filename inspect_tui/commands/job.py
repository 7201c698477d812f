"""`inspect-tui job`: whole jobs from and into files, changed and copied; the drawing put right or revised."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """add FILE, example, export, change, set, copy, correct, revise, drawing, state, list."""
    from inspect_tui.commands import job_drawing, job_files, job_set, job_state

    named = "add|example|export|change|set|copy|correct|revise|drawing|state|list"
    actions = parser.add_subparsers(dest="action", required=True, metavar=named)
    add = actions.add_parser("add", help="add the job that a file describes, as lines or as tables")
    add.add_argument("file", nargs="+", metavar="FILE", help="FILE.toml, a workbook, CSV files or their folder")
    add.add_argument("--by", metavar="INITIALS", help="who adds it; may be left out")
    add.add_argument("--yes", action="store_true", help="add it although something in it is asked about")
    example = actions.add_parser("example", help="print a commented job file, or write it as tables")
    job_files.as_tables(example)
    job_files.arguments(actions)
    job_set.arguments(actions)
    job_drawing.arguments(actions)
    job_state.arguments(actions)


def run(args: Namespace) -> int:
    """0 when it was done whole; 2 and nothing written otherwise."""
    if args.action in ("correct", "revise", "drawing"):
        from inspect_tui.commands import job_drawing

        return job_drawing.run(args)
    if args.action in ("state", "list"):
        from inspect_tui.commands import job_state

        return job_state.run(args)
    if args.action == "set":
        from inspect_tui.commands import job_set

        return job_set.run(args)
    if args.action in ("export", "change", "copy"):
        from inspect_tui.commands import job_files

        return job_files.run(args)
    from inspect_tui.shop.jobs import jobs

    if args.action == "example":
        if args.as_ == "toml" and not args.to:
            sys.stdout.write(jobs.example())
            return 0
        from inspect_tui.commands import job_files

        return job_files.example(args)
    from inspect_tui.commands.job_files import agreed, plan_of_file

    plan = plan_of_file(args.file)  # understood before a record is begun for it
    if not agreed(plan.questions, args.yes):
        return 2
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs.file import add

    record = open_record(args, create=True)
    try:
        by = find.person(record, args.by).id if args.by else None
        remarks = add.add(record, plan, by, written())
    finally:
        record.close()
    for remark in (*plan.remarks, *remarks):
        talk(remark)
    from inspect_tui.metrology.typed.show import count

    added = [
        count(len(plan.features), "feature"),
        count(len(plan.tools), "tool"),
        count(len(plan.tool_features), "size on tools", "sizes on tools"),
    ]
    print(f"job {plan.job.number} added: {', '.join([*added, *([count(len(plan.fits), 'fit')] if plan.fits else [])])}")
    return 0
