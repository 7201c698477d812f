"""`inspect-tui wear`: which tools wear, what is left in them, what to mend and what to measure next."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import (
    console,
    finite,
    open_record,
    option,
    paper_arguments,
    print_json,
    print_table,
    printed,
    progress,
    talk,
    written,
)
from inspect_tui.commands.feature_source import raw_only, state_argument

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.trends.fleet import Fleet, FleetLine
    from inspect_tui.shop.trends.work_orders import WorkOrder


def arguments(parser: ArgumentParser) -> None:
    """Which tools, and in what form."""
    parser.description = (
        "Every size that is watched, most urgent first: cores or moulds left with their 95 % interval, when that is "
        "at the rate made lately, and the risk within four weeks, all from today on. Wear is fitted to counts since "
        "the last repair; "
        "without counts there is no forecast. An old count is carried forward "
        "at that rate. Exit status 1 when a size is at its limit or past it."
    )
    parser.add_argument("--job", help="only this job")
    parser.add_argument("--on", metavar="TOOL", help="only this tool")
    state_argument(parser)
    parser.add_argument("--all", action="store_true", help="sizes without a forecast too, with the reason")
    parser.add_argument(
        "--per-week",
        type=option("--per-week", "figure", above=0, high=1e7),
        metavar="N",
        help="as if so many were made in a week",
    )
    parser.add_argument("--orders", action="store_true", help="work orders for what is due within a quarter")
    parser.add_argument("--to", metavar="FILE", help="write the list to FILE.xlsx or FILE.csv")
    parser.add_argument(
        "--sheet", metavar="FILE", help="write the month's sheet to FILE.html or FILE.pdf: two pages, most urgent first"
    )
    parser.add_argument("--details", action="store_true", help="with --sheet: all of it, however many pages")
    parser.add_argument("--wall", metavar="FILE", help="write one page to hang up to FILE.html or FILE.pdf")
    parser.add_argument(
        "--month",
        metavar="YYYY-MM",
        type=option("--month", "month"),
        help="the month of the sheet's repairs (default: the newest)",
    )
    parser.add_argument("--force", action="store_true", help="overwrite FILE")
    paper_arguments(parser)
    parser.add_argument("--today", metavar="DAY", type=option("--today", "day"), help="forecast as of this day")
    parser.add_argument("--json", action="store_true", help="every figure at full precision")


def run(args: Namespace) -> int:
    """0, or 1 when a size is at its limit or past it."""
    from inspect_tui.shop.gauges import pooled, reads_off
    from inspect_tui.shop.trends import fleet, work_orders
    from inspect_tui.shop.trends import kept as trend_kept
    from inspect_tui.shop.trends.counts import makings
    from inspect_tui.shop.trends.counts.tools_in_use import retired_tools

    raw_only(args)
    style = written()
    if args.to:
        from pathlib import Path

        from inspect_tui.report.paper import file as paper_file
        from inspect_tui.report.trends import wear_table

        paper_file.form_of(Path(args.to), wear_table.ENDINGS)
        paper_file.target(args.to, force=args.force)
    record = open_record(args, read_only=True)
    try:
        if args.sheet or args.wall:
            return _sheet(args, record)
        with progress() as tell:
            kept = (
                trend_kept.compute(record, args.per_week)[0] if args.per_week else trend_kept.current(record, tell)[0]
            )
        kept = _only(args, record, kept)
        listed = fleet.fleet(
            kept,
            retired_tools(record),
            every=args.all,
            style=style,
            today=args.today,
            makings=makings.makings(record, kept),
            off=reads_off.reads_off(pooled.in_sight(record), kept, style),
        )
        orders = (
            work_orders.orders(record, listed.lines, style=style, today=args.today) if args.orders or args.json else []
        )
    finally:
        record.close()
    if args.to:
        talk(f"written: {wear_table.write(listed.lines, args.to, force=args.force)}")
    if args.json:
        print_json(_json(listed, orders))
    elif args.orders:
        _print_orders(orders)
    elif not args.to:
        _print(listed)
    return int(any(line.kept.kind == "past" and line.retired is None for line in listed.lines))


def _only(args: Namespace, record: Any, kept: list[Any]) -> list[Any]:
    from inspect_tui.shop.common import find

    if args.job is not None:
        job = find.job(record, args.job)
        kept = [k for k in kept if k.job_of_id == job.of_id]
    if args.on is not None:
        tools = [tool for job in record.jobs() if args.job in (None, job.number) for tool in record.tools(job.of_id)]
        tool = find.pick(args.on, tools, lambda t: t.label, "tool")
        kept = [k for k in kept if k.tool_of_id == tool.of_id]
    return kept


def _sheet(args: Namespace, record: Any) -> int:
    from inspect_tui.report.paper import file as paper_file
    from inspect_tui.report.trends.forms import write_sheet, write_wall
    from inspect_tui.shop.trends import month_sheet

    for path in filter(None, (args.sheet, args.wall)):
        paper_file.target(path, force=args.force)
    month = month_sheet.sheet(record, args.month, args.job, written(), args.today)
    if args.sheet:
        made = write_sheet(month, args.sheet, force=args.force, style=printed(), details=args.details)
        talk(f"written: {made}")
    if args.wall:
        talk(f"written: {write_wall(month, args.wall, force=args.force, style=printed())}")
    return 0


def _print(listed: Fleet) -> None:
    rows, styles = [], []
    for line in listed.lines:
        kept = line.kept
        rows.append(
            [
                f"{line.sign} {kept.label}",
                kept.balloon,
                kept.name,
                f"out of use since {line.retired}" if line.retired else line.timing,
                line.due or "",
                line.worst or "",
                written().percent(kept.risk),
                f"+{line.others}" if line.others else "",
            ]
        )
        styles.append("bold red" if line.urgent else "dim" if line.retired else "")
    if rows:
        heads = ["tool", "size", "name", "cores or moulds", "due", "at worst", "risk", "more"]
        print_table(heads, rows, right=("risk",), spare=("name", "more", "due", "at worst"), styles=styles)
    for off in listed.off:
        talk(off.sentence)
    talk(listed.sentence)
    talk(f"measure next: {listed.next.sentence}")


def _print_orders(orders: list[WorkOrder]) -> None:
    from inspect_tui.report.term import fleet as term_fleet

    out = console()
    out.print(term_fleet.orders_text(orders, min(out.width, 110)), end="")


def _json(listed: Fleet, orders: list[WorkOrder]) -> dict[str, Any]:
    from inspect_tui.commands.gauge_daily import offset_json

    return {
        "sentence": listed.sentence,
        "gauges_and_people": [{**offset_json(off.found), "sentence": off.sentence} for off in listed.off],
        "next": {"size": listed.next.label, "sentence": listed.next.sentence},
        "without_forecast": listed.without,
        "retired_tools": listed.retired,
        "sizes": [line_json(line) for line in listed.lines],
        "orders": [
            {
                "tool": o.line.kept.label,
                "feature": o.line.kept.balloon,
                "sentence": o.sentence,
                "change_mm": o.change.change_mm,
                "word": o.change.word,
                "faces": o.faces or None,
                "tool_words": o.change.words,
                "casting_words": o.change.casting_words,
            }
            for o in orders
        ],
    }


def line_json(line: FleetLine) -> dict[str, Any]:
    """One size; what is not known, or has no end, is null."""
    kept, made = line.kept, line.ahead.made if line.ahead else 0.0
    return {
        "tool": kept.label,
        "feature": kept.balloon,
        "name": kept.name,
        "measured_on": kept.source,
        "readings": kept.n,
        "kind": kept.kind,
        "unit": kept.unit,
        "now_mm": kept.value_mm,
        "target_mm": kept.target_mm,
        "limit_mm": kept.limit_mm,
        "rate_mm_per_core": kept.rate,
        "u_rate": kept.u_rate,
        "since_repair": None if kept.now is None else kept.now + made,
        "made": kept.total,
        "per_week": kept.per_week,
        "left": kept.cores_left,
        "left_low": finite(kept.low),
        "left_high": finite(kept.high),
        "weeks": finite(line.weeks),
        "weeks_low": finite(line.weeks_low),
        "weeks_high": finite(line.weeks_high),
        "passed": kept.kind == "past",
        "carried_forward": made,
        "weeks_since_count": line.ahead.idle if line.ahead else None,
        "due": line.due,
        "at_worst": line.worst,
        "risk": kept.risk,
        "retired_since": line.retired,
        "sentence": kept.sentence,
        "remarks": kept.remarks.splitlines(),
    }
