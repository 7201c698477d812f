"""`inspect-tui budget`: where the uncertainty of a reading comes from, line by line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, option, painted, print_json, talk, written
from inspect_tui.commands.feature_source import CSV_HELP, like_the_column, plain, screen_width, state_argument

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.shop.feature.budget import BudgetView


def arguments(parser: ArgumentParser) -> None:
    """A feature on a tool with an instrument; or repeats in a file; or the lines themselves in a file."""
    parser.description = (
        "The budget of a reading: each source with its standard uncertainty u, degrees of freedom, share of the "
        "variance and how it was come by; combined after the GUM. From the record: `--on 'stick 3' F29 --with 'caliper "
        "1'`, with its certificate, known bias and gauge study. `--csv FILE --column NAME`: the mean of the repeats "
        "in a column. `--csv FILE` alone: the lines of a budget, with the columns name and one of u, half_width "
        "(+ distribution: rectangular, triangular, arcsine) or expanded (+ k), and as wanted sensitivity, dof, kind "
        "(A or B), how. " + CSV_HELP
    )
    parser.add_argument("feature", metavar="FEATURE", nargs="?", help="balloon, such as F29")
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    parser.add_argument("--on", metavar="TOOL", help="tool or casting; castings stands for any casting of the job")
    state_argument(parser)
    parser.add_argument("--with", metavar="INSTRUMENT", dest="gauge", help="instrument, such as 'caliper 1'")
    parser.add_argument("--by", metavar="INITIALS", help="who will read: a gauge study may set people apart")
    parser.add_argument(
        "--repeats", type=option("--repeats", "count"), metavar="N", help="the result is a mean of N readings"
    )
    parser.add_argument(
        "--temperature",
        metavar="C",
        type=option("--temperature", "temperature", may_be_empty=True),
        help="temperature of the work",
    )
    parser.add_argument("--csv", metavar="FILE", help="a table (CSV, XLSX, ODS, XLS) instead of the record")
    parser.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    parser.add_argument("--column", metavar="NAME", help="the column of repeats in the file")
    parser.add_argument("--unit", metavar="U", help="give the repeats of the file in this unit, such as mm")
    parser.add_argument("--u95", metavar="U", help="with --column: expanded uncertainty of the certificate")
    parser.add_argument(
        "--k",
        metavar="K",
        type=option("--k", "figure", may_be_empty=True),
        help="with --column: its coverage factor (default 2)",
    )
    parser.add_argument("--resolution", metavar="STEP", help="with --column: one step of the display")
    parser.add_argument(
        "--coverage",
        metavar="P",
        type=option("--coverage", "share", may_be_empty=True, example="0.99"),
        help="coverage of U, for a file: a share such as 0.99 (default 0.95)",
    )
    parser.add_argument("--json", action="store_true", help="every figure at full precision")


def run(args: Namespace) -> int:
    """0 with a budget; 2 with a sentence when something asked for is not there."""
    from inspect_tui.errors import DataError

    style = written()
    if args.csv:
        if args.feature or args.on or args.gauge:
            raise DataError("Give either --csv FILE or a feature of the record with --on and --with, not both.")
        _refuse(args, ("by", "repeats", "temperature", "state"), "with a feature of the record, not with --csv FILE")
        seen = _from_file(args, style)
    elif not args.feature or not args.on:
        raise DataError("Say what is measured: --on TOOL FEATURE --with INSTRUMENT; or --csv FILE.")
    else:
        _refuse(args, ("column", "sheet", "unit", "u95", "k", "resolution", "coverage"), "with --csv FILE")
        seen = _from_record(args, style)
    if args.json:
        print_json(_json(seen))
        return 0
    from inspect_tui.report.term.budget import budget_table

    width = screen_width(args)
    painted(lambda w: budget_table(seen, w, written()), most=width)
    return 0


def _refuse(args: Namespace, names: tuple[str, ...], where: str) -> None:
    """What was given and would not be looked at is said, never passed over."""
    from inspect_tui.errors import DataError

    given = [f"--{name}" for name in names if getattr(args, name) is not None]
    if given:
        raise DataError(f"{' and '.join(given)} {'go' if len(given) > 1 else 'goes'} {where}.")


def _from_record(args: Namespace, style: Style) -> BudgetView:
    from datetime import date

    from inspect_tui.shop.common import find
    from inspect_tui.shop.feature import budget as feature_budget
    from inspect_tui.shop.feature import material as feature_data

    record = open_record(args, read_only=True)
    try:
        chosen = feature_data.pick(record, find.job(record, args.job), args.on, args.feature, args.state or "raw")
        instrument = feature_budget.instrument_for(record, args.gauge)
        person = find.person(record, args.by) if args.by else None
        today = date.today().isoformat()
        n = 1 if args.repeats is None else args.repeats
        return feature_budget.planned(
            record, chosen, instrument, person, today, n=n, work_c=args.temperature, style=style
        )
    finally:
        record.close()


def _from_file(args: Namespace, style: Style) -> BudgetView:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common.tables import columns as table_columns
    from inspect_tui.shop.feature import budget as feature_budget

    coverage = 0.95 if args.coverage is None else args.coverage
    table = table_columns.read(args.csv, args.sheet)
    for remark in table.remarks:
        talk(remark)
    if args.column:
        column = table_columns.column(table, args.column, args.unit)
        return feature_budget.of_repeats(
            column,
            table.name,
            u95=like_the_column("--u95", args.u95, column.unit) or 0.0,
            k=2.0 if args.k is None else args.k,
            resolution=like_the_column("--resolution", args.resolution, column.unit) or 0.0,
            coverage=coverage,
            style=style,
        )
    if args.u95 or args.resolution or args.k or args.unit:
        raise DataError("--u95, --k, --resolution and --unit go with --column, the column of repeats.")
    return feature_budget.of_lines(table, coverage, style)


def _json(seen: BudgetView) -> dict[str, Any]:
    """Infinite degrees of freedom are null; shares are fractions that come to 1."""
    b = seen.budget
    return {
        "title": seen.title,
        "where": seen.where,
        "instrument": seen.instrument or None,
        "unit": seen.unit or None,
        "value": seen.value,
        "lines": [plain(row) for row in seen.rows],
        "u": b.u,
        "dof": plain(b.dof),
        "k": b.k,
        "U": b.U,
        "coverage": b.coverage,
        "n": b.n,
        "remarks": list(seen.remarks),
    }
