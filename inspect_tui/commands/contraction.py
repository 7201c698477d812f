"""`inspect-tui contraction`: what this shop's own jobs have shown, by alloy, construction and axis."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import console, open_record, print_json, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.jobs.contraction_book import BookRow


def arguments(parser: ArgumentParser) -> None:
    """Which alloy and construction."""
    parser.description = (
        "The contraction book. Percent of the casting: tool = casting × (1 + contraction). Each row is the handbook's "
        "value, updated by what finished jobs showed with features that one tool part makes at both ends."
    )
    parser.add_argument("--alloy", help="only this alloy")
    parser.add_argument("--construction", help="only this construction: open, cored, free, restrained")
    parser.add_argument("--json", action="store_true", help="everything, at full precision, as fractions")


def run(args: Namespace) -> int:
    """0; an empty book says so."""
    from inspect_tui.shop.jobs import contraction_book

    record = open_record(args, read_only=True)
    try:
        rows = contraction_book.book(record)
    finally:
        record.close()
    for name in ("alloy", "construction"):
        wanted = getattr(args, name)
        if wanted:
            rows = [row for row in rows if (getattr(row, name) or "").casefold() == wanted.strip().casefold()]
    if args.json:
        print_json([_json(row) for row in rows])
    else:
        _print(rows)
    return 0


def _print(rows: list[BookRow]) -> None:
    from rich.text import Text

    from inspect_tui.report.term.kit_pages import about_book

    out = console()
    if not rows:
        out.print(Text("The book is empty: a job with an alloy, sizes read on its tools and on castings fills it."))
    for row in rows:
        out.print(about_book(row, min(out.width, 100), written()))


def _json(row: BookRow) -> dict[str, Any]:
    belief, handbook = row.posterior, row.handbook
    return {
        "alloy": row.alloy,
        "construction": row.construction,
        "axis": row.axis,
        "a": belief.a if belief else None,
        "u": belief.u if belief else None,
        "u_next_job": belief.u_next if belief else None,
        "between_jobs": belief.tau if belief else None,
        "rests_on": belief.rests_on if belief else None,
        "handbook": (
            {
                "a": handbook.a,
                "u": handbook.u,
                "source": handbook.source,
                "status": handbook.status,
                "weak": handbook.weak,
            }
            if handbook
            else None
        ),
        "jobs": [
            {
                "job": showed.job.number,
                "a": showed.learned.a,
                "u": showed.estimate.u,
                "planned": showed.planned,
                "sizes": [
                    {
                        "feature": pair.balloon,
                        "tool": pair.tool,
                        "tool_mm": pair.tool_mm,
                        "cast_mm": pair.cast_mm,
                        "castings": pair.castings,
                    }
                    for pair in showed.pairs
                ],
                "left_out": [
                    {"feature": pair.balloon, "tool": pair.tool, "off_mm": off} for pair, off in showed.left_out
                ],
            }
            for showed in row.jobs
        ],
    }
