"""`inspect-tui form`: how straight, flat or round a surface is, from heights, radii or diameters of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import option, print_json, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Which form, its readings, where they were taken."""
    parser.description = (
        "The narrowest zone that holds all readings (ISO 1101). Heights along a line: form straightness 0 0.02 0.03 "
        "0.01 --every 100. Heights of a face row by row: form flatness 0 0.02 0.01 0 0.03 0.02 --rows 2 --every 100. "
        "A bore: form roundness 120.02 119.95 120.00 (diameters in directions evenly over half a turn), or with "
        "--radii radii all round. --csv FILE takes the columns along, height; x, y, height; angle with diameter or "
        "radius, or x, y. "
        "Where a reading begins with a minus and a comma, put -- before the readings."
    )
    parser.add_argument("kind", choices=("straightness", "flatness", "roundness"), metavar="KIND", help="which form")
    parser.add_argument("readings", nargs="*", metavar="READING", help="such as 0.02, '0.001 in'")
    parser.add_argument(
        "--every", type=option("--every", "size"), metavar="SIZE", help="from one height to the next (1)"
    )
    parser.add_argument(
        "--rows", type=option("--rows", "count"), metavar="N", help="rows that the heights of a face are in"
    )
    parser.add_argument("--radii", action="store_true", help="the readings are radii from one centre, all round")
    parser.add_argument("--csv", metavar="FILE", help="a table (CSV, XLSX, ODS, XLS) instead of readings")
    parser.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    parser.add_argument("--limit", type=option("--limit", "size"), metavar="SIZE", help="how wide the zone may be")
    parser.add_argument("--json", action="store_true", help="every figure at full precision, mm")


def run(args: Namespace) -> int:
    """0 with an answer, 1 where it is over the limit, 2 with a sentence for readings that cannot be worked with."""
    from inspect_tui.commands.feature_source import plain
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.typed.words import capital
    from inspect_tui.shop.feature import form

    if bool(args.csv) == bool(args.readings):
        raise DataError("Give either readings or --csv FILE.")
    if args.csv:
        given = [name for name in ("every", "rows", "radii") if getattr(args, name)]
        if given:
            raise DataError(f"--{given[0]} goes with readings that are typed, not with --csv FILE.")
        seen = form.from_table(args.kind, args.csv, args.sheet, args.limit, written())
    else:
        seen = form.typed(
            args.kind,
            args.readings,
            every=1.0 if args.every is None else args.every,
            rows=args.rows,
            radii=args.radii,
            limit=args.limit,
            style=written(),
        )
    if args.json:
        print_json(
            {
                "form": seen.kind,
                "zone_mm": seen.width,
                "limit_mm": seen.limit,
                "inside": seen.inside,
                "figures": plain(seen.of),
                "sentences": list(seen.sentences),
            }
        )
    else:
        for sentence in seen.sentences:
            print(capital(sentence))
    return 1 if seen.inside is False else 0
