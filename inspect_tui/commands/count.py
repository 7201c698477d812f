"""`inspect-tui count`: cores blown and moulds made: enter a count, list them, bring in a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import held_back, open_record, print_json, print_table, talk, written
from inspect_tui.metrology.typed import show

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.trends.counts.file import CountsTaken


def arguments(parser: ArgumentParser) -> None:
    """add, list, import."""
    parser.description = (
        "Counts are what wear is measured by. What is typed or imported counts; lots with a quantity and a day add "
        "what was poured after the last count."
    )
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)

    add = actions.add_parser("add", help="enter a count: count add 'box 3' 9000 --by AB")
    add.add_argument("tool", metavar="TOOL")
    add.add_argument("count", metavar="COUNT", help="what the counter shows")
    add.add_argument("--made", action="store_true", help="COUNT is how many more were made")
    add.add_argument("--restart", action="store_true", help="a new counter begins that day at COUNT")
    add.add_argument("--date", metavar="DAY", help="the day it was read (default: today)")
    add.add_argument("--lot", help="the lot they were made for")
    add.add_argument("--note")
    add.add_argument("--by", required=True, metavar="INITIALS", help="who enters it")
    add.add_argument("--keep", action="store_true", help="keep it although something about it was asked")

    listed = actions.add_parser("list", help="the running count of every tool, or of one with its entries")
    listed.add_argument("tool", metavar="TOOL", nargs="?")
    listed.add_argument("--json", action="store_true", help="as JSON")

    bring = actions.add_parser(
        "import",
        help="bring in a table of counts",
        description="A CSV, XLSX, ODS or XLS file with the columns tool, date, count (what the counter shows) or made "
        "(so many more), lot and note where there are any. With a line that is not right nothing is taken, unless "
        "--good-lines takes the others. Lines that are there already are not taken twice. `inspect-tui import counts` "
        "takes tables with other columns.",
    )
    bring.add_argument("file", metavar="FILE")
    bring.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    bring.add_argument("--by", required=True, metavar="INITIALS", help="who brings it in")
    bring.add_argument("--good-lines", action="store_true", help="take the lines that are right, leave out the others")
    bring.add_argument("--keep", action="store_true", help="take in what was asked about as it stands")


def run(args: Namespace) -> int:
    """0 fine, 1 when something has to be confirmed or lines were left out, 2 for bad input."""
    return {"add": _add, "list": _list, "import": _import}[args.action](args)


def _add(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.trends.counts import entry as counts_entry
    from inspect_tui.shop.trends.counts.counter import counter_of

    if args.made and args.restart:
        talk("inspect-tui: give --made or --restart, not both")
        return 2
    record = open_record(args)
    try:
        job = find.job(record, args.job)
        tool = find.pick(args.tool, record.tools(job.of_id), lambda t: t.label, "tool", f" in job {job.number}")
        by = find.person(record, args.by)
        way = "made" if args.made else "restart" if args.restart else "total"
        values = {
            "count": args.count,
            "way": way,
            "on_date": args.date or "",
            "lot": args.lot or "",
            "note": args.note or "",
        }
        entered = counts_entry.read_count(record, job, tool, values)
        status = held_back(entered, args.keep)
        if status or entered.thing is None:
            return status
        record.add(entered.thing, by.id)
        counter = counter_of(record, job, tool)
    finally:
        record.close()
    for remark in counter.remarks:
        talk(remark)
    print(f"{tool.label}: {written().figure(counter.now or 0, 0)} {counter.word} made")
    return 0


def _list(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.trends.counts.counter import counter_of

    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job)
        tools = record.tools(job.of_id)
        if args.tool:
            tools = [find.pick(args.tool, tools, lambda t: t.label, "tool", f" in job {job.number}")]
        counted = [(tool, counter_of(record, job, tool), record.tool_counts(tool.of_id)) for tool in tools]
    finally:
        record.close()
    if args.json:
        print_json([_plain(*entry) for entry in counted])
        return 0

    rows = [
        [
            tool.label,
            written().figure(counter.now, 0),
            counter.word,
            show.day(counter.day[-1]),
            "" if counter.per_week is None else written().figure(counter.per_week, 0),
            counter.how,
        ]
        for tool, counter, _ in counted
        if counter.now is not None
    ]
    if not rows:
        talk("no counts yet: `inspect-tui count add`, `count import`, or give the lots a quantity and a day")
    else:
        print_table(
            ["tool", "made", "", "until", "a week", "from"], rows, right=("made", "a week"), spare=("from", "until")
        )
    if args.tool:
        for entry in counted[0][2]:
            note = f"  {entry.note}" if entry.note else ""
            print(f"{entry.on_date}  {entry.way:<8} {entry.count:>9}  {entry.source}{note}")
    for tool, counter, _ in counted:
        for remark in counter.remarks:
            talk(f"{tool.label}: {remark}")
    return 0


def _plain(tool: Any, counter: Any, entries: Any) -> dict[str, Any]:
    return {
        "tool": tool.label,
        "made": counter.now,
        "word": counter.word,
        "until": show.day(counter.day[-1]) if counter.day else None,
        "per_week": counter.per_week,
        "from": counter.how or None,
        "remarks": list(counter.remarks),
        "entries": [
            {"way": c.way, "count": c.count, "on": c.on_date, "source": c.source, "note": c.note} for c in entries
        ],
    }


def _import(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.trends.counts import file as counts_file

    record = open_record(args)
    try:
        job = find.job(record, args.job)
        by = find.person(record, args.by)
        taken = counts_file.bring_in(
            record, job, args.file, by, good_lines=args.good_lines, sheet=args.sheet, keep=args.keep
        )
    finally:
        record.close()
    return say_taken(taken, args.keep)


def say_taken(taken: CountsTaken, keep: bool, written: bool = True) -> int:
    """What a file of counts came to; the status: 1 where lines were left out, or something is to be answered first."""
    for line in (*taken.wrong, *taken.asked, *taken.doubts):
        talk(line)
    if taken.asked and not keep:
        talk("Put it right in the file, or take it in as it stands with --keep.")
    print(taken.sentence if written else f"{taken.sentence[:-1]}; nothing was written.")
    return int(bool(taken.wrong) or (bool(taken.asked) and not keep))
