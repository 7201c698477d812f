"""`inspect-tui job export`, `change`, `copy`: out into a file, changed by one, begun as a variant."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace, _SubParsersAction
    from collections.abc import Sequence

    from inspect_tui.shop.jobs.file.plan import JobPlan
    from inspect_tui.shop.jobs.file.write import Rows

FORMS = ("toml", "xlsx", "csv")


MOST_BYTES = 4_000_000  # a job with ten thousand features has 3 MB


def text_of(name: str) -> str:
    """What the file holds; JobFileError where it has no end in sight or is no text, OSError as it comes."""
    from inspect_tui.errors import JobFileError
    from inspect_tui.shop.jobs.file.lines import decode

    with Path(name).open("rb") as file:
        held = file.read(MOST_BYTES + 1)
    if len(held) > MOST_BYTES:
        raise JobFileError(
            f"{name} is larger than {MOST_BYTES // 1_000_000} MB, so it is no job file; nothing was added."
        )
    return decode(held, name)


def plan_of_file(names: Sequence[str]) -> JobPlan:
    """The plan that a file of lines, or tables, describe; pictures are looked for beside them."""
    from inspect_tui.errors import JobFileError
    from inspect_tui.shop.jobs import job_tables, jobs

    paths = [Path(name) for name in names]
    if all(job_tables.is_table(path) for path in paths):
        return job_tables.read(paths, written())
    if len(names) > 1:
        raise JobFileError("Name one file of lines, or a workbook, or CSV files: several together are one job.")
    return jobs.plan_from_file(text_of(names[0]), written(), paths[0].parent)


def as_tables(parser: ArgumentParser) -> None:
    """--as and --to of what writes a job."""
    parser.add_argument("--as", dest="as_", choices=FORMS, default="toml", help="lines (toml), a workbook or CSV files")
    parser.add_argument("--to", metavar="FILE", help="where; without it tables lie here, named as the job")


def _as_tables(form: str, to: str | None, rows: Rows) -> Path:
    from inspect_tui.report.export import job_workbook
    from inspect_tui.shop.jobs import job_tables

    named = "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in str(rows["job"]["number"]))
    target = Path(to or (f"{named}.xlsx" if form == "xlsx" else named))
    sheets = job_tables.lay_out(rows)
    (job_workbook.workbook if form == "xlsx" else job_workbook.folder)(target, sheets)
    return target


def example(args: Namespace) -> int:
    """The commented job file, or the same job as tables, into a file."""
    from inspect_tui.shop.jobs import jobs
    from inspect_tui.shop.jobs.file import write

    if args.as_ == "toml":
        write.refuse_over(Path(args.to), False)
        write.save(Path(args.to), jobs.example())
        print(f"the example written to {args.to}")
        return 0
    target = _as_tables(args.as_, args.to, write.rows(jobs.plan_from_file(jobs.example())))
    print(f"the example written to {target}")
    return 0


def agreed(questions: Sequence[str], yes: bool) -> bool:
    """Whether to go on: said before, or typed now at a terminal; without either it is told how to say so."""
    for question in questions:
        talk(f"inspect-tui: {question}: is that right?")
    if yes or not questions:
        return True
    if sys.stdin.isatty() and sys.stderr.isatty():
        talk("y and Enter: yes, go on; Enter alone: no")
        return sys.stdin.readline().strip().casefold() in ("y", "yes")
    talk("nothing was written; with --yes it is")
    return False


def arguments(actions: _SubParsersAction[Any]) -> None:
    """--job --as --to FILE; FILE --rev --why --by --yes; JOB NEW --map."""
    add = actions.add_parser
    out = add("export", help="write what a job is as a file that `job add` and `job change` read")
    out.add_argument("--job", help="job number; not needed while there is one job")
    as_tables(out)
    out.add_argument("--update", action="store_true", help="FILE.toml is there: bring it up to date, its comments stay")
    change = add("change", help="show what a file changes in its job, ask, and write it whole or not at all")
    change.add_argument("file", nargs="+", metavar="FILE", help="as job add takes them")
    change.add_argument("--rev", metavar="REV", help="as a new revision of the drawing instead of corrections")
    change.add_argument("--why", default="", help="what was typed wrong, or why the drawing changed")
    change.add_argument("--by", metavar="INITIALS", help="who does it; needed to write")
    change.add_argument("--yes", action="store_true", help="do not ask")
    copy = add("copy", help="begin a job as a variant of another")
    copy.add_argument("job", metavar="JOB", help="the number of the job that is there")
    copy.add_argument("new", metavar="NEW", help="the number of the new one")
    copy.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="OLD=NEW",
        help="such as 'core 3=core 8'; may be repeated",
    )
    copy.add_argument("--by", metavar="INITIALS", help="who does it; may be left out")


def run(args: Namespace) -> int:
    """0 when it was done; 1 when nobody agreed to a change; 2 with a sentence, and nothing written, otherwise."""
    return {"export": _export, "change": _change, "copy": _copy}[args.action](args)


def _export(args: Namespace) -> int:
    from inspect_tui.report.words import listed
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs.file import of_record, write

    target = Path(args.to) if args.to and args.as_ == "toml" else None
    if target is not None:
        write.refuse_over(target, args.update)
    before = text_of(args.to) if target is not None and target.exists() else ""
    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job)
        plan, stays = of_record.plan_of(record, job), of_record.stays(record, job)
    finally:
        record.close()
    if stays:
        talk(f"inspect-tui: the file has what the job is. Not in it: {listed(stays)}; bundle out takes all of it")
    missing = sum(not picture.path.is_file() for picture in plan.pictures)
    if missing:
        talk(f"inspect-tui: {missing} pictures are left out: their files do not lie beside the record")
    if args.as_ != "toml":
        print(f"job {plan.job.number} written to {_as_tables(args.as_, args.to, write.rows(plan))}")
        return 0
    text = write.toml(write.rows(plan), before)
    if target is None:
        sys.stdout.write(text)
        return 0
    write.save(target, text)
    print(f"job {plan.job.number} written to {target}")
    return 0


def _change(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs.file import change

    new = plan_of_file(args.file)
    record = open_record(args)
    try:
        job = find.job(record, new.job.number)
        proposed = change.propose(record, job, new, args.rev)
        if not proposed.changes and not proposed.rev:
            print(f"job {job.number} is as the file says: nothing to change")
            return 0
        for told in proposed.changes:
            print(told.sentence)
        for note in change.kept(proposed.old, new):
            talk(f"inspect-tui: {note}")
        if proposed.rev:
            print(f"as revision {proposed.rev} of the drawing; what was read keeps its verdict on the old one")
        elif change.touched_drawing(proposed.changes):
            print("as corrections of the drawing, under the same letter")
        what = f"{len(proposed.changes)} to write" if proposed.changes else f"revision {proposed.rev} to begin"
        questions = [*proposed.questions, f"{what} in job {job.number}"]
        if not agreed(questions, args.yes):
            return 1
        by = find.person(record, args.by or "")
        change.write_changes(record, proposed, args.why, by.id)
    finally:
        record.close()
    print(f"job {job.number} changed")
    return 0


def _copy(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs import jobfile
    from inspect_tui.shop.jobs.file import add, copy, of_record, write

    record = open_record(args)
    try:
        plan = of_record.plan_of(record, find.job(record, args.job))
        rows = copy.copied(write.rows(plan), args.new, copy.read_map(args.map))
        made = jobfile.read(write.toml(rows), written())
        by = find.person(record, args.by).id if args.by else None
        add.add(record, made, by, written())
    finally:
        record.close()
    print(f"job {made.job.number} begun as {plan.job.number}: {len(made.features)} features, {len(made.tools)} tools")
    return 0
