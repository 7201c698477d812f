"""`inspect-tui show`: jobs, tools and castings, features with their states, readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json, print_table, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.metrology.typed.show import Style


def arguments(parser: ArgumentParser) -> None:
    """Which job, which tool, features or readings."""
    parser.add_argument("--job", help="job number; without it, all jobs")
    parser.add_argument("--on", metavar="TOOL", help="only this tool or casting")
    parser.add_argument("--readings", action="store_true", help="every reading with its id")
    parser.add_argument("--json", action="store_true", help="as JSON: job, tool, feature and the figures")


def run(args: Namespace) -> int:
    """0; an empty record shows nothing."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs import listing

    record = open_record(args, read_only=True)
    try:
        picked = [find.job(record, args.job)] if args.job or args.on else record.jobs()
        rows: list[dict[str, Any]] = []
        for job in picked:
            if not args.json:
                print(f"{job.number}  {job.name}")
            subject = find.subject(record, job, args.on) if args.on else None
            make = listing.readings if args.readings else listing.rows
            rows += make(record, job, subject)
    finally:
        record.close()
    if args.json:
        print_json(rows)
    else:
        _print(rows, args.readings)
    return 0


def _print(rows: list[dict[str, Any]], readings: bool) -> None:
    rows = [{**row, "tool": f"{row['tool']}, finished"} if row["casting_state"] == "finished" else row for row in rows]
    keys = ["tool", "feature", "name", "target", "lower", "upper", "n", "last", "state"]
    if readings:
        bad = any(row["gauge_failed"] for row in rows)
        rows = [{**row, "gauge": "✗ " + row["with"] if row["gauge_failed"] else ""} for row in rows]
        corrected = any(row["read"] != row["value"] for row in rows)
        columns = {"read": corrected, "gauge": bad}
        keys = ["id", "tool", "feature", "value", "read", "by", "gauge", "void"]
        keys = [key for key in keys if columns.get(key, True)]
    print_table(
        keys,
        [[_cell(row[key], written().of(row.get("quantity") or row["unit"])) for key in keys] for row in rows],
        right=("value", "read", "target", "lower", "upper", "n", "last"),
        spare=("id",) if readings else ("name", "n", "lower", "upper"),
        wraps="void" if readings else "",
    )


def _cell(value: Any, style: Style) -> str:
    if value is None:
        return ""
    return style.length(value, 3, unit=False) if isinstance(value, float) else str(value)
