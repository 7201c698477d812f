"""`inspect-tui import repairs`, `weights`, `checks` ...: tables of what forms ask, a line a form filled in."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, pairs, print_json, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

# what `entered.sorts` are, without importing them for every call's help
WORDS = {
    "repairs": "what was done to tools",
    "states": "tools out of use and back in it",
    "limits": "agreed limits of wear",
    "weights": "what castings and sand cores weigh",
    "walls": "the wall area of the casting",
    "checks": "quick checks of gauges on reference pieces",
    "biases": "known biases of gauges",
    "uses": "gauges out of use and back in it",
    "profiles": "how gauges speak, and what their foot switches do",
    "notes": "notes to readings, castings and tools",
    "shipments": "what left the shop and came back",
    "cannot": "what cannot be measured, and why",
    "turned": "castings that sat tilted, turned back",
    "dispositions": "what becomes of what does not conform",
    "looks": "geometrical tolerances looked at by another way than sizes",
}
COLUMNS_HERE = "columns"  # stands for the list of columns in the help


def arguments(actions: Any) -> None:
    """FILE of each, and how it is to be read."""
    from argparse import HelpFormatter

    class Explained(HelpFormatter):
        """Text wrapped as ever; the columns are looked up when somebody reads the help."""

        def _fill_text(self, text: str, width: int, indent: str) -> str:
            said = text.partition(COLUMNS_HERE + " ")[2]
            return _columns(said, width) if said else super()._fill_text(text, width, indent)

    for word, about in WORDS.items():
        sub: ArgumentParser = actions.add_parser(word, help=about)
        sub.description = (
            f"Brings in {about} from a table, each line as its form would be filled in. With a line that is not right, "
            "or one that is asked about, nothing is taken. Lines that are there already are not taken twice."
        )
        sub.epilog = f"{COLUMNS_HERE} {word}"
        sub.formatter_class = Explained
        sub.add_argument("file", metavar="FILE", help="CSV, TSV, XLSX, ODS or XLS")
        sub.add_argument("--job", help="job number; may be left out where the record has one job")
        sub.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who brings it in")
        sub.add_argument("--map", metavar="WHAT=HEAD", action="append", default=[], help="a column, and its head")
        sub.add_argument("--days", metavar="ORDER", help="how its days are written: d/m/y, m/d/y or y/m/d")
        sub.add_argument("--keep", action="store_true", help="take in what was asked about as it stands")
        sub.add_argument("--check", action="store_true", help="say what would be taken in; write nothing")
        sub.add_argument("--json", action="store_true", help="what was taken in, as JSON")


def _columns(word: str, width: int) -> str:
    from textwrap import wrap

    from inspect_tui.shop.intake.entered import sorts

    sort = sorts.sort_of(word.strip())
    told = ["columns, in any order (those with a star have to be there):"]
    for key, label in sort.columns(written()):
        star = "*" if key in sort.needed else " "
        text = f"{star} {key:<12} {label.partition(': ')[2]}"
        told += wrap(text, max(width, 40), subsequent_indent=" " * 15)
    return "\n".join(told)


def run(args: Namespace) -> int:
    """0 when all was taken, 1 when something is asked about; 2 and nothing taken in for what is wrong."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.intake.entered import sorts, table

    sort = sorts.sort_of(args.what)
    with closing(open_record(args, read_only=args.check)) as record:
        job = find.job(record, args.job) if sort.of_job else None
        entered = table.bring_in(
            record,
            job,
            sort,
            args.file,
            find.person(record, args.by),
            table.AsWritten(
                sheet=args.sheet,
                mapping=pairs(args.map, "--map", "WHAT=HEAD, such as --map tool='Box'"),
                days=args.days,
            ),
            keep=args.keep,
            check_only=args.check,
            style=written(),
        )
    for sentence in (*entered.remarks, *entered.wrong, *entered.asked):
        talk(sentence)
    if args.json:
        print_json(
            {
                "what": entered.word,
                "lines": entered.lines,
                "already": entered.already,
                "wrong": list(entered.wrong),
                "asked": list(entered.asked),
                "written": not (entered.wrong or args.check or (entered.asked and not args.keep)),
            }
        )
    elif entered.wrong or not entered.asked or args.keep:
        print(entered.sentence + (" Nothing was written." if args.check and not entered.wrong else ""))
    if entered.wrong:
        return 2
    if entered.asked and not args.keep:
        talk("Give it again with --keep when it is right.")
        return 1
    return 0
