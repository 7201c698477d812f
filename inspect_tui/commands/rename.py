"""`inspect-tui rename`: another name for what was called wrongly; what was said of it stays its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

KINDS = "feature, casting, sand, sampling, tool, core, fit, loop, passage, picture, job, person, gauge, study"


def arguments(parser: ArgumentParser) -> None:
    """KIND NAME NEW --why --by."""
    parser.description = (
        "Gives a thing another name: rename feature F21 F12 --why 'balloon read wrongly' --by JM. What was read of it "
        "and said of it stays its own, papers that were given out stay as they are. A core gets "
        "another number or name, a picture another caption."
    )
    parser.add_argument("kind", metavar="KIND", help=KINDS)
    parser.add_argument("name", metavar="NAME", help="what it is called now")
    parser.add_argument("new", metavar="NEW", help="what it is called from now on")
    parser.add_argument("--why", required=True, help="why")
    parser.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
    parser.add_argument("--job", help="job number; not needed while there is one job")


def run(args: Namespace) -> int:
    """0 when it was done, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.changes import rename, things
    from inspect_tui.shop.common import find

    sort = things.sort_of(args.kind)
    record = open_record(args)
    try:
        by = find.person(record, args.by)
        job = find.job(record, args.job) if sort.of_job else None
        thing = things.named(record, sort, args.name, job)
        rename.rename(record, thing, args.new, args.why, by)
    finally:
        record.close()
    print(f"the {thing.said} is called {args.new.strip()} from now on")
    return 0
