"""Where `stats`, `chart` and `budget` get their readings: a feature of the record, or a column of a CSV file."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from math import isfinite
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.feature.material import Material, Only

CSV_HELP = (
    "FILE (CSV, TSV, XLSX, ODS or XLS): the first line names the columns, a unit may stand with a name as in `width "
    "[mm]`; cells of a text are separated by comma, semicolon or tab, figures have a decimal point or a decimal comma, "
    "an empty cell is a missing reading (never 0), lines that begin with # are remarks."
)
NARROWEST, WIDEST = 60, 160  # columns that pictures and tables are drawn in
RECORD_HELP = (
    "From the record: `--on 'stick 3' F29` is feature F29 of the newest drawing on that tool, `--on castings F29` on "
    "all castings of the job; voided and corrected readings are counted apart and not computed with."
)


def source_arguments(parser: ArgumentParser) -> None:
    """A feature on a tool, or a file and its column."""
    parser.add_argument("feature", metavar="FEATURE", nargs="?", help="balloon, such as F29")
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    parser.add_argument("--on", metavar="TOOL", help="tool or casting, such as 'stick 3'; castings for all of them")
    parser.add_argument("--this-drawing", action="store_true", help="leave out readings on older drawing revisions")
    parser.add_argument("--by-person", metavar="INITIALS", help="only readings of this person")
    parser.add_argument("--with-instrument", metavar="NAME", help="only readings with this instrument")
    state_argument(parser)
    parser.add_argument("--lot", help="only castings of this lot")
    parser.add_argument("--csv", metavar="FILE", help="a table (CSV, XLSX, ODS, XLS) instead of the record")
    parser.add_argument("--sheet", metavar="NAME", help="sheet of a workbook (default: the first)")
    parser.add_argument("--column", metavar="NAME", help="the column of the file to take")
    parser.add_argument("--unit", metavar="U", help="give the figures of the file in this unit, such as mm")
    parser.add_argument("--lower", metavar="SIZE", help="lower limit for figures of a file, in their unit")
    parser.add_argument("--upper", metavar="SIZE", help="upper limit")


def state_argument(parser: ArgumentParser) -> None:
    """Castings as they were cast, or machined."""
    parser.add_argument("--state", choices=("raw", "finished"), help="of castings: raw (the usual) or machined")


def raw_only(args: Namespace) -> None:
    """DataError for machined castings, where tools are asked about."""
    if args.state == "finished":
        from inspect_tui.errors import DataError

        raise DataError(
            "Machined castings say nothing of the tool: the face that it made is gone, so trends and wear go by raw "
            "ones. `inspect-tui chart --on castings FEATURE --state finished` draws what was read of machined ones."
        )


def material_of(args: Namespace, labels: tuple[str, ...] = (), with_labels: bool = False) -> Material:
    """The readings asked for; `labels` are further columns of a file. InspectError says what is missing."""
    from inspect_tui.errors import DataError

    if args.csv:
        if args.feature or args.on:
            raise DataError("Give either --csv FILE --column NAME or a feature of the record, not both.")
        return _from_file(args, labels)
    if args.column or args.lower or args.upper or args.sheet:
        raise DataError(
            "--column, --sheet, --lower and --upper go with --csv FILE; a feature of the record has its own limits."
        )
    if not args.feature or not args.on:
        raise DataError(
            "Say what to look at: --on TOOL FEATURE (such as --on castings F29), or --csv FILE --column NAME."
        )
    from inspect_tui.shop.common import find
    from inspect_tui.shop.feature import material as feature_data

    record = open_record(args, read_only=True)
    try:
        chosen = feature_data.pick(record, find.job(record, args.job), args.on, args.feature, args.state or "raw")
        return feature_data.material(
            record, chosen, _only(args, record), revisions=not args.this_drawing, with_labels=with_labels
        )
    finally:
        record.close()


def _only(args: Namespace, record: Any) -> Only:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.feature.material import Only

    person = find.person(record, args.by_person).initials if args.by_person else None
    instrument = find.instrument(record, args.with_instrument).label if args.with_instrument else None
    return Only(person, instrument, args.lot)


def _from_file(args: Namespace, labels: tuple[str, ...]) -> Material:
    from inspect_tui.errors import DataError
    from inspect_tui.model.words import Band
    from inspect_tui.shop.common.tables import columns as table_columns
    from inspect_tui.shop.feature.material import Material

    table = table_columns.read(args.csv, args.sheet)
    if not args.column:
        raise DataError(f"Say which column of {table.name} (--column): {', '.join(h for h in table.headings if h)}.")
    column = table_columns.column(table, args.column, args.unit)
    for remark in table.remarks:
        talk(remark)
    limits = [like_the_column(f"--{name}", getattr(args, name), column.unit) for name in ("lower", "upper")]
    band = Band(limits[0], limits[1], "stated") if args.lower or args.upper else None
    return Material(
        title=column.name,
        where=table.name,
        unit=column.unit,
        values=column.values,
        band=band,
        n_missing=column.missing,
        remarks=column.remarks,
        labels={name: table_columns.labels(table, name, column.rows) for name in labels},
    )


def like_the_column(name: str, text: str | None, unit: str) -> float | None:
    """A limit or uncertainty in the unit of a column, where that is a length or an angle; else a plain figure."""
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.typed import fields
    from inspect_tui.metrology.typed.units import short_unit

    if not text:
        return None
    known = short_unit(unit, "length") if unit else None
    answer = (
        fields.size(text, unit, signed=True, to=unit)
        if known is not None and known.family in ("length", "angle")
        else fields.figure(text, example="59.4")
    )
    if isinstance(answer, fields.Wrong):
        raise DataError(f"{name}: {answer}.")
    return answer


def plain(thing: Any) -> Any:
    """A result as JSON takes it: dataclasses by field names, what is infinite or unknown as null."""
    if isinstance(thing, float):
        return thing if isfinite(thing) else None
    if hasattr(thing, "_asdict"):
        return {name: plain(value) for name, value in thing._asdict().items()}
    if is_dataclass(thing) and not isinstance(thing, type):
        return {field.name: plain(getattr(thing, field.name)) for field in fields(thing)}
    if isinstance(thing, dict):
        return {str(key): plain(value) for key, value in thing.items()}
    if isinstance(thing, list | tuple):
        return [plain(value) for value in thing]
    return thing


def screen_width(args: Namespace) -> int:
    """Columns to draw in: --width, else those of the terminal, between 60 and 160."""
    from shutil import get_terminal_size

    given = getattr(args, "width", None)
    width = min(max(given or get_terminal_size((100, 24)).columns, NARROWEST), WIDEST)
    if given is not None and width != given:
        talk(f"--width {given} is outside {NARROWEST} to {WIDEST}: drawn {width} columns wide.")
    return width
