"""`inspect-tui sync`: exchange with the other benches of the shop through a folder or a hub that all of them reach."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.record.merge.clashes import Clash
    from inspect_tui.record.merge.take_in import TakenIn


_STAYS = "and what came stays"


def arguments(parser: ArgumentParser) -> None:
    """The folder, and a shop to adopt."""
    parser.description = (
        "Every bench of a shop names one folder (a share, a stick, a synced folder): what it wrote goes in, what the "
        "others wrote comes out. Afterwards every bench holds everything. Repeat it as often as you like. In place of "
        "the folder a hub may be named (see `inspect-tui hub init`)."
    )
    parser.add_argument(
        "folder",
        metavar="FOLDER|URL",
        help="a share, a stick or a synced folder that all benches reach; or a hub, postgresql://HOST/DATABASE",
    )
    parser.add_argument(
        "--adopt", default="", metavar="BENCH", help="a bench of another shop that is one with this one"
    )
    parser.add_argument("--json", action="store_true", help="one JSON document")


def run(args: Namespace) -> int:
    """0 when all was exchanged, 1 when something waits, was refused or has to be decided."""
    from inspect_tui.hub.connect import is_address
    from inspect_tui.record.merge.clashes import clashes
    from inspect_tui.record.merge.folder import sync_folder

    if is_address(args.folder):
        return _with_hub(args)
    with closing(open_record(args, create=True)) as record:
        with progress(_STAYS) as watch:
            done = sync_folder(record, Path(args.folder).expanduser(), args.adopt, watch)
        open_ones = clashes(record.connection)
    if args.json:
        print_json({**as_json(done.came, open_ones), "written": [path.name for path in done.written]})
    else:
        say(done.came, open_ones)
        bundles = "1 bundle" if len(done.written) == 1 else f"{len(done.written)} bundles"
        talk(f"inspect-tui: {bundles} of this bench written to {args.folder}.")
    return status(done.came, open_ones)


def _with_hub(args: Namespace) -> int:
    from inspect_tui.hub.exchange import sync_hub
    from inspect_tui.record.merge.clashes import clashes
    from inspect_tui.shop.together.exchange import not_sent

    with closing(open_record(args, create=True)) as record:
        with progress(_STAYS) as watch:
            done = sync_hub(record, args.folder, watch)
        open_ones = clashes(record.connection)
    if args.json:
        told = as_json(done.came, open_ones)
        print_json({**told, "sent": done.sent, "unsent": done.unsent, "wrong": done.wrong})
    else:
        say(done.came, open_ones)
        talk(f"inspect-tui: {done.sent} {'entry' if done.sent == 1 else 'entries'} of this bench sent to the hub.")
        if done.wrong:
            talk(f"inspect-tui: {done.wrong} {not_sent(done.unsent)} Nothing is lost: try again later.")
    return 1 if done.wrong else status(done.came, open_ones)


def status(came: TakenIn, open_ones: list[Clash]) -> int:
    """The exit status of an exchange."""
    return 1 if came.waiting or came.wrong or open_ones else 0


def as_json(came: TakenIn, open_ones: list[Clash]) -> dict[str, Any]:
    """What came, what waits, what was refused, what has to be decided."""
    return {
        "came": came.counts,
        "waiting": list(came.waiting),
        "refused": list(came.wrong),
        "clashes": [
            {"sort": clash.sort, "kind": clash.kind.table, "name": clash.name, "words": clash.words}
            for clash in open_ones
        ],
    }


def say(came: TakenIn, open_ones: list[Clash]) -> None:
    """The same in sentences."""
    readings = came.counts.get("reading", 0)
    entries = f"{came.rows} {'entry' if came.rows == 1 else 'entries'}"
    print(f"{entries} came in, {readings} {'reading' if readings == 1 else 'readings'} among them.")
    for sentence in (*came.waiting, *came.wrong):
        print(sentence)
    for clash in open_ones:
        print(clash.words)


@contextmanager
def progress(stopped: str) -> Iterator[Callable[[int], None] | None]:
    """Tells how far it is, at a terminal on one line that goes again; `stopped` is what Ctrl+C leaves."""
    if not sys.stderr.isatty():
        yield None
        return
    try:
        yield lambda done: print(
            f"\r\x1b[K{done:,} entries (Ctrl+C stops, {stopped})", end="", file=sys.stderr, flush=True
        )
    finally:
        print("\r\x1b[K", end="", file=sys.stderr, flush=True)
