"""`inspect-tui bundle`: what this record knows in one file for another bench, and such a file taken in."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """out, in."""
    actions = parser.add_subparsers(dest="action", required=True, metavar="out|in")
    out = actions.add_parser("out", help="write what this record knows to one file")
    out.add_argument("file", metavar="FILE", help="the bundle (.itui); must not exist")
    out.add_argument("--beyond", metavar="BUNDLE", help="a bundle of the receiver: only what that one lacks goes out")
    out.add_argument("--json", action="store_true", help="one JSON document")
    into = actions.add_parser("in", help="take in bundles of other benches")
    into.add_argument("file", nargs="+", metavar="FILE", help="the bundles, in any order")
    into.add_argument("--adopt", default="", metavar="BENCH", help="a bench of another shop that is one with this one")
    into.add_argument("--json", action="store_true", help="one JSON document")


def run(args: Namespace) -> int:
    """0 when it was written or all came in, 1 when something waits, was refused or has to be decided."""
    return _out(args) if args.action == "out" else _in(args)


def _out(args: Namespace) -> int:
    from inspect_tui.commands.sync import progress
    from inspect_tui.errors import RecordError
    from inspect_tui.record.merge.bundle import Bundle, frontier_of, pack
    from inspect_tui.record.merge.folder import manifest_of

    target = Path(args.file).expanduser().absolute()
    if target.exists():
        raise RecordError(f"{target} is there already and stays as it is: choose another name.")
    with closing(open_record(args)) as record:
        device = record.own_device()
        until, after = frontier_of(record.connection), {}
        if args.beyond:
            known = Bundle(Path(args.beyond).expanduser()).manifest
            after = {device: seq for device, seq in known.until.items() if device in until}
        until = {device: seq for device, seq in until.items() if seq > after.get(device, 0)}
        after = {device: min(seq, until[device]) for device, seq in after.items() if device in until}
        manifest = manifest_of(record, device, after, until, {})
        with progress("and leaves nothing") as watch:
            pack(record.connection, record.path, target, after, until, manifest, watch)
    entries = sum(seq - after.get(device, 0) for device, seq in until.items())
    if args.json:
        print_json({"path": str(target), "entries": entries, "bytes": target.stat().st_size})
    else:
        print(target)
        talk(
            f"inspect-tui: {entries} entries in {max(round(target.stat().st_size / 1000), 1)} kB; it was read back and "
            "is whole."
        )
    return 0


def _in(args: Namespace) -> int:
    from inspect_tui.commands.sync import as_json, progress, say, status
    from inspect_tui.frozen import replace
    from inspect_tui.record.merge.clashes import clashes
    from inspect_tui.record.merge.take_in import opened, take_in

    wrong: list[str] = []
    bundles = opened([Path(file).expanduser() for file in args.file], wrong)
    with closing(open_record(args, create=True)) as record:
        with progress("and leaves nothing") as watch:
            came = take_in(record, bundles, args.adopt, watch)
        open_ones = clashes(record.connection)
    came = replace(came, wrong=(*wrong, *came.wrong))
    if args.json:
        print_json(as_json(came, open_ones))
    else:
        say(came, open_ones)
    return status(came, open_ones)
