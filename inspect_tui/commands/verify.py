"""`inspect-tui verify`: is the record whole, and is every row still as it was written?"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, record_path

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from pathlib import Path

    from inspect_tui.record.care.whole import Whole


def arguments(parser: ArgumentParser) -> None:
    """What it is checked against besides itself, and --json."""
    parser.add_argument(
        "--head",
        action="append",
        default=[],
        metavar="TEXT",
        help="a head as it is printed on a paper (device, number, 16 hex digits); may be given several times",
    )
    parser.add_argument(
        "--tail",
        action="store_true",
        help="only what came since it was last found whole, for every day; all of it where that is a week ago",
    )
    parser.add_argument("--json", action="store_true", help="the result as JSON")


def run(args: Namespace) -> int:
    """0 when everything holds, 1 when something does not. A record of an older version is looked at as it is."""
    path = record_path(args)
    _are_heads(args.head)
    whole, stray = _checked(path, args.head, args.tail)
    problems = [*stray, *whole.problems]
    mended = "" if problems else _mended(args, whole)
    if args.json:
        print_json(
            {
                "ok": not problems,
                "problems": problems,
                "notes": list(whole.notes),
                "mended": [mended] if mended else [],
                "heads": list(whole.heads),
                "counts": dict(whole.counts),
            }
        )
    else:
        for sentence in (*problems, *whole.notes, *([mended] if mended else [])):
            print(sentence)
        for head in whole.heads:
            print(f"head {head}")
        print(
            "The record is NOT whole: keep the file; `inspect-tui restore` puts a good backup in its place, "
            "`inspect-tui salvage` saves what can be read."
            if problems
            else "The record is whole."
        )
    return 1 if problems else 0


def _are_heads(texts: list[str]) -> None:
    """What was typed wrong says nothing of the record."""
    from inspect_tui.errors import DataError
    from inspect_tui.record.care.whole import heads_on

    wrong: list[str] = []
    list(heads_on(texts, wrong))
    if wrong:
        raise DataError(f"{wrong[0]} Nothing was checked: type it as it stands on the paper.")


def _checked(path: Path, heads: list[str], only_tail: bool) -> tuple[Whole, list[str]]:
    from datetime import date

    from inspect_tui.errors import RecordError
    from inspect_tui.record.care import tail
    from inspect_tui.record.file import place, schema, stray_log
    from inspect_tui.record.file.connect import check_version
    from inspect_tui.record.file.state import state_dir
    from inspect_tui.record.read import Reader

    path = place.itself(path.expanduser().absolute())
    look = place.look(path)
    if not look.exists:
        raise RecordError(f"There is no record at {path}. `inspect-tui job add FILE.toml` begins one.")
    check_version(path, look.version, schema.migrations(schema.shipped())[-1][0])
    stray = []
    if not stray_log.belongs(path, state_dir()):
        stray.append(
            f"The log {path.name}-wal beside {path.name} is not of this file: it is put aside when the record is "
            "opened to write. What follows is read with it."
        )
    with Reader.of(path) as reader:
        watch = progress if sys.stderr.isatty() else None
        return tail.check(reader.connection, path, state_dir(), date.today(), heads, watch, only_tail), stray


def progress(done: int, total: int) -> None:
    """How far it is, on a terminal."""
    print(f"\r{done:,} of {total:,} entries checked", end="\n" if done == total else "", file=sys.stderr, flush=True)


def _mended(args: Namespace, whole: Whole) -> str:
    """Make summaries again that are not those of the readings; they are kept for speed and are no record."""
    if not whole.summaries_off:
        return ""
    rows = f"{whole.summaries_off} summaries kept for speed were not those of the readings"
    record = open_record(args)
    try:
        if record.read_only:
            return f"{rows}. They are made again when the record may be written."
        record.rebuild_summaries()
        return f"{rows}: they were made again. No reading was wrong."
    finally:
        record.close()
