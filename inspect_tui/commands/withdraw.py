"""`inspect-tui withdraw`: take out what was entered wrong, or is no more, and take it in again; who and why is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.shop.changes.withdraw import Gone


# what `things.WORDS` are, without importing them for every call's help
KINDS = (
    "job, person, gauge, certificate, profile, study, feature, core, tool, sampling, casting, sand, fit, loop, "
    "passage, picture, shipment, trial, count, repair, limit, answer, import"
)


def arguments(parser: ArgumentParser) -> None:
    """KIND NAME --why --by, --back, --list."""
    parser.description = (
        "Takes a thing out of every list and reckoning: withdraw tool 'box 3' --why 'never made' --by JM. It stays in "
        "the record with who and why, papers that were given out stay as they are, and --back takes it in again. "
        "Counts, repairs and limits are named as the list says them: 'box 3 2026-03-02'."
    )
    parser.add_argument("kind", nargs="?", metavar="KIND", help=KINDS)
    parser.add_argument("name", nargs="?", metavar="NAME", help="what people call it: F12, box 3, JM, caliper 1")
    parser.add_argument("--why", default="", help="what was wrong, or why it comes back")
    parser.add_argument("--by", metavar="INITIALS", help="who does it; needed to write")
    parser.add_argument("--job", help="job number; not needed while there is one job")
    parser.add_argument("--back", action="store_true", help="take it in again")
    parser.add_argument("--yes", action="store_true", help="do not ask about what depends on it")
    parser.add_argument("--list", action="store_true", help="what is withdrawn, of all jobs or of --job")
    parser.add_argument("--json", action="store_true", help="with --list: as JSON")


def run(args: Namespace) -> int:
    """0 when it was done or listed; 1 when nobody agreed; 2 with a sentence, and nothing written, otherwise."""
    if args.list:
        return _list(args)
    from inspect_tui.errors import DataError

    if not args.kind or not args.name:
        raise DataError("Say what is withdrawn: its kind and its name, such as tool 'box 3'; --list shows what is.")
    from inspect_tui.commands.job_files import agreed
    from inspect_tui.shop.changes import things, withdraw
    from inspect_tui.shop.common import find

    sort = things.sort_of(args.kind)
    record = open_record(args)
    try:
        by = find.person(record, args.by) if args.by else None
        if by is None:
            raise DataError("Say who does it: --by INITIALS.")
        if not args.why.strip():
            raise DataError("Say why: --why 'never made'. It stands beside the thing from now on.")
        job = find.job(record, args.job) if sort.of_job else None
        thing = things.named(record, sort, args.name, job, gone=args.back)
        if args.back:
            withdraw.back(record, thing, args.why, by)
            print(f"the {thing.said} is back")
            return 0
        withdraw.refuse_named(record, thing)
        told = withdraw.depends(record, thing)
        for sentence in told:
            talk(sentence)
        if told and not agreed([f"the {thing.said} is withdrawn although this depends on it"], args.yes):
            return 1
        withdraw.withdraw(record, thing, args.why, by)
    finally:
        record.close()
    print(f"the {thing.said} is withdrawn; with --back it is in use again")
    return 0


def _list(args: Namespace) -> int:
    from inspect_tui.shop.changes import withdraw
    from inspect_tui.shop.common import find

    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job) if args.job else None
        gone = withdraw.gone(record, job)
    finally:
        record.close()
    if args.json:
        print_json([_plain(taken) for taken in gone])
        return 0
    if not gone:
        talk("nothing is withdrawn")
        return 0
    rows = [
        [
            taken.thing.sort.word,
            taken.thing.name,
            taken.thing.job.number if taken.thing.job else "",
            taken.at[:10],
            taken.by or "",
            taken.why,
        ]
        for taken in gone
    ]
    print_table(["kind", "name", "job", "day", "by", "why"], rows, wraps="why", spare=("by", "job"))
    return 0


def _plain(gone: Gone) -> dict[str, str | None]:
    return {
        "kind": gone.thing.sort.word,
        "name": gone.thing.name,
        "job": gone.thing.job.number if gone.thing.job else None,
        "at": gone.at,
        "by": gone.by,
        "why": gone.why,
    }
