"""`inspect-tui import readings`: take a file of readings of castings or tools into the record, all of it or nothing."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands import import_answers, import_counts, import_entered, import_list
from inspect_tui.commands.common import open_record, option, pairs, print_json, reading_progress, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.common.tables.file import Grid
    from inspect_tui.shop.common.tables.workbook_apart import Watch
    from inspect_tui.shop.intake.review import Review
    from inspect_tui.shop.intake.rows import Options


def arguments(parser: ArgumentParser) -> None:
    """readings FILE, counts FILE, and a table of each thing that a form asks."""
    actions = parser.add_subparsers(dest="what", required=True, metavar="readings|counts|...")
    readings = actions.add_parser("readings", help="readings of castings or tools from CSV, XLSX, ODS or XLS")
    readings.description = (
        "Takes a file of readings into the record: a row a casting with features across, a row a feature with castings "
        "across, or a row a reading; columns in any order, decimal point or comma, units in the heads. Columns that "
        "are not understood are mapped once with --map and remembered for files with the same heads. All is taken in "
        "or nothing, and each line that is wrong is named. The same file is not taken in twice. A file with a column "
        "tool (or --on) is one of tools: tool, day, feature and value, or features across, with count, person and "
        "gauge where there are any; of a sheet that grew only what is new is taken in."
    )
    readings.add_argument("file", metavar="FILE", help="CSV, TSV, XLSX, ODS or XLS")
    readings.add_argument("--job", help="job number; may be left out where the record has one job")
    readings.add_argument("--round", metavar="LABEL", help="sampling, such as S4; castings it lacks are added to it")
    readings.add_argument(
        "--map",
        metavar="WHAT=HEAD",
        action="append",
        default=[],
        help="a column: serial, feature, value, unit, instrument, by, day, temperature, repeat, ignore or a "
        "balloon (of tools also tool, count), and its head; a unit may follow it: 'F01 [in]=HEAD'",
    )
    readings.add_argument("--on", metavar="TOOL", help="the tool that was measured, where no column says")
    readings.add_argument(
        "--name",
        metavar="CALLED=NAME",
        action="append",
        default=[],
        help="of tools: what the file calls a person, gauge, tool or feature, and its name here",
    )
    readings.add_argument(
        "--day",
        metavar="DAY",
        type=option("--day", "day", may_be_empty=True),
        help="of castings: when they were measured, where no column day says; else today",
    )
    readings.add_argument("--days", metavar="ORDER", help="how its days are written: d/m/y, m/d/y or y/m/d")
    readings.add_argument("--keep", action="store_true", help="take in what was asked about as it stands")
    readings.add_argument("--by", metavar="INITIALS", help="who measured, where no column says")
    readings.add_argument("--with", metavar="INSTRUMENT", dest="gauge", help="with what, where no column says")
    readings.add_argument(
        "--unit", metavar="U", help="unit of figures whose column does not say: mm, cm, m, um, in, ft"
    )
    readings.add_argument(
        "--temperature",
        metavar="C",
        type=option("--temperature", "temperature", may_be_empty=True),
        help="temperature of the castings",
    )
    readings.add_argument(
        "--instrument-temperature",
        metavar="C",
        type=option("--instrument-temperature", "temperature", may_be_empty=True),
        dest="gauge_c",
        help="of the instrument, where it is not that of the castings",
    )
    readings.add_argument(
        "--heights",
        action="store_true",
        help="figures are heights over the marking-off table; rows or columns named as the datum targets "
        "(A1, A2 ...) say where the datum stood",
    )
    readings.add_argument(
        "--state", choices=("raw", "finished"), default="raw", help="of the castings: raw, or finished by machining"
    )
    readings.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    readings.add_argument(
        "--poured",
        metavar="DATE",
        type=option("--poured", "day", may_be_empty=True),
        help="of a new sampling: 2025-03-31",
    )
    readings.add_argument(
        "--check", action="store_true", help="say what would be taken in and what looks odd; write nothing"
    )
    readings.add_argument("--json", action="store_true", help="what was taken in, as JSON")
    import_counts.arguments(
        actions.add_parser("counts", help="counts of tools from a table, its columns mapped as they are called there")
    )
    import_answers.arguments(actions.add_parser("answers", help="what the foundry sends back about the cores"))
    import_list.arguments(actions.add_parser("list", help="the files that were taken in, and what they brought"))
    import_entered.arguments(actions)


def run(args: Namespace) -> int:
    """0 when the whole file was taken in; 2 and nothing taken in otherwise, with the reasons on stderr."""
    if args.what == "counts":
        return import_counts.run(args)
    if args.what == "answers":
        return import_answers.run(args)
    if args.what == "list":
        return import_list.run(args)
    if args.what in import_entered.WORDS:
        return import_entered.run(args)
    from inspect_tui.commands import import_tools
    from inspect_tui.shop.common import find
    from inspect_tui.shop.intake import take_in
    from inspect_tui.shop.intake.rows import Options
    from inspect_tui.shop.intake.tool_columns import names_tools

    options = Options(
        by=args.by,
        instrument=args.gauge,
        unit=args.unit,
        mapping=pairs(args.map, "--map", "WHAT=HEAD, such as --map serial='Part no'"),
        temperature_c=args.temperature,
        instrument_c=args.gauge_c,
        heights=args.heights,
        sheet=args.sheet,
        poured_on=args.poured,
        state=args.state,
        tool=args.on,
        names=pairs(args.name, "--name", "CALLED=NAME, such as --name 'old caliper=caliper 1'"),
        day=args.day,
        days=args.days,
        keep=args.keep,
    )
    with closing(open_record(args, read_only=args.check)) as record, reading_progress() as watch:
        grid = None
        try:
            job = find.job(record, args.job)
            grid = take_in.read(record, args.file, options.sheet, watch)
            labels = [tool.label for tool in record.tools(job.of_id)]
            if options.tool is not None or names_tools(grid, options.mapping, labels):
                return import_tools.run(args, record, job, grid, options, watch)
            return _castings(args, record, job, grid, options, watch)
        except KeyboardInterrupt:
            if grid is None or record.import_file(grid.sha256) is None:
                talk("inspect-tui: stopped; nothing was taken in")
            else:
                talk(f"inspect-tui: stopped, when all of {grid.name} was taken in already")
            return 130


def _castings(args: Namespace, record: Record, job: Job, grid: Grid, options: Options, watch: Watch) -> int:
    """A file of readings of castings."""
    from inspect_tui.metrology.typed import show
    from inspect_tui.shop.intake import take_in
    from inspect_tui.shop.intake.review import review
    from inspect_tui.shop.intake.rows import asked_first

    checked = take_in.check(record, job, grid, args.round, options, watch=watch)
    seen = review(checked)
    if args.check:
        return _say_checked(args, grid.name, seen)
    if seen.asked and not options.keep:
        raise asked_first(grid, seen.asked, seen.column)
    done = take_in.write(record, job, checked)
    for remark in done.remarks:
        talk(remark)
    if args.json:
        print_json(
            {
                "file": done.name,
                "round": done.round,
                "readings": done.readings,
                "features": done.features,
                "castings": done.castings,
                "new_castings": list(done.new_castings),
                "remarks": list(done.remarks),
            }
        )
        return 0
    new = ""
    if done.new_castings:
        shown = ", ".join(done.new_castings[:8]) + (" ..." if len(done.new_castings) > 8 else "")
        new = f", {show.count(len(done.new_castings), 'casting')} new: {shown}"
    print(
        f"{done.name}: {show.count(done.readings, 'reading')} of {show.count(done.features, 'feature')} on "
        f"{show.count(done.castings, 'casting')} taken in ({done.round}{new})"
    )
    return 0


def _say_checked(args: Namespace, name: str, seen: Review) -> int:
    """What a file of castings would add, and what looks odd."""
    if args.json:
        print_json({"would_take_in": seen.title, "lines": [list(line) for line in seen.lines], "odd": list(seen.odd)})
        return 0
    print(f"{name}: {seen.title}; nothing was written")
    for what, words in (*seen.lines, *(("odd", sentence) for sentence in seen.odd)):
        print(f"  {what:<13} {words}")
    return 0
