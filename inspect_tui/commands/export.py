"""`inspect-tui export`: every reading of the record as CSV, SQLite and Parquet, for other programs."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Iterator
    from typing import Any

COLUMNS_HERE = "columns"  # stands for the list of columns in the help
TOLD_EVERY = 100_000  # rows between two words about how far it is


def arguments(parser: ArgumentParser) -> None:
    """Where to, and whether what is there may be overwritten."""
    from argparse import HelpFormatter

    class Explained(HelpFormatter):
        """Text wrapped as ever; the list of columns is looked up when somebody reads it."""

        def _fill_text(self, text: str, width: int, indent: str) -> str:
            return _columns(width) if text == COLUMNS_HERE else super()._fill_text(text, width, indent)

    parser.description = (
        "Writes every reading of the record into a folder, one row each: readings.csv, readings.db (SQLite, with views "
        "and notes to search), readings.parquet (with the extra 'analysis'), columns.csv and README.md. Nothing is "
        "left out: what was struck or is in question stands there and is marked."
    )
    parser.epilog = COLUMNS_HERE
    parser.formatter_class = Explained
    parser.add_argument("--to", metavar="DIR", required=True, help="the folder; it is made where there is none")
    parser.add_argument("--force", action="store_true", help="overwrite an older export in DIR")
    parser.add_argument(
        "--hub",
        metavar="URL",
        help="of all shops of a hub instead (a login that may read them): Parquet in folders by shop and year",
    )


def run(args: Namespace) -> int:
    """0 with the export in place; 2 and nothing changed otherwise."""
    if args.hub:
        return _of_hub(args)
    from inspect_tui.report.export import folder
    from inspect_tui.shop.jobs import export
    from inspect_tui.shop.jobs.export_columns import COLUMNS

    folder.place(args.to, force=args.force)
    record = open_record(args, read_only=True)
    try:
        with record.one_state():
            written = folder.write(
                args.to,
                COLUMNS,
                _told(export.rows(record)),
                export.notes(record),
                heads=record.heads(),
                force=args.force,
            )
    finally:
        record.close()
    for path in written.files:
        print(path)
    for sentence in written.said:
        talk(sentence)
    talk(f"{written.readings} readings written to {args.to}")
    return 0


def _of_hub(args: Namespace) -> int:
    from inspect_tui.hub.shops import each_shop
    from inspect_tui.report.export import shops
    from inspect_tui.shop.jobs import export
    from inspect_tui.shop.jobs.export_columns import COLUMNS

    place = shops.place(args.to, force=args.force)
    count = 0
    for name, record in each_shop(args.hub):
        written = shops.add(place, name, COLUMNS, _told(export.rows(record)), export.notes(record), record.heads())
        talk(f"{written} readings of {name}")
        count += written
    for path in shops.finish(place, COLUMNS):
        print(path)
    talk(f"{count} readings written to {args.to}")
    return 0


def _told(rows: Iterator[tuple[Any, ...]]) -> Iterator[tuple[Any, ...]]:
    """The rows as they come; somebody who waits at a terminal hears how far it is."""
    for n, row in enumerate(rows, start=1):
        yield row
        if n % TOLD_EVERY == 0 and sys.stderr.isatty():
            talk(f"{n} readings so far")


def _columns(width: int) -> str:
    from textwrap import wrap

    from inspect_tui.shop.jobs.export_columns import COLUMNS

    room = max(len(column.name) for column in COLUMNS) + 4
    said = ["columns:"]
    for column in COLUMNS:
        unit = f" [{column.unit}]" if column.unit else ""
        lines = wrap(f"{column.kind}{unit}: {column.meaning}", max(width - room, 20))
        said += [f"  {column.name}".ljust(room) + lines[0], *(" " * room + line for line in lines[1:])]
    return "\n".join(said)
