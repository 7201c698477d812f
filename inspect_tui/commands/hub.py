"""`inspect-tui hub`: makes the hub, a PostgreSQL database through which benches exchange, and proves what it holds."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import print_json

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.hub.check import Checked


def arguments(parser: ArgumentParser) -> None:
    """init and check."""
    actions = parser.add_subparsers(dest="action", required=True, metavar="init|check")
    init = actions.add_parser(
        "init",
        help="make the hub in a database, or let a shop and its benches in",
        description="To be run as who owns the database. Passwords come by PostgreSQL's own means: a service file, a "
        "password file or the environment; they never stand in the address.",
    )
    init.add_argument("address", metavar="URL", help="postgresql://HOST/DATABASE, or service=NAME")
    init.add_argument("--shop", default="", metavar="NAME", help="a shop that is let in")
    init.add_argument(
        "--bench", action="append", default=[], metavar="LOGIN", help="a login of that shop; may be given several times"
    )

    check = actions.add_parser(
        "check",
        help="prove every chain, row and picture that the hub holds; for each night",
        description="To be run as a login that reads all shops (hub_read); a bench's login checks its own shop.",
    )
    check.add_argument("address", metavar="URL", help="postgresql://HOST/DATABASE, or service=NAME")
    check.add_argument(
        "--heads",
        metavar="FILE",
        help="the ends of the chains as of the last check: compared with, and written anew when all is whole",
    )
    check.add_argument("--json", action="store_true", help="the result as JSON")


def run(args: Namespace) -> int:
    """0 when it is there; of a check 0 when all is whole, 1 when something is not."""
    if args.action == "check":
        return _check(args)
    from inspect_tui.hub.set_up import init

    for sentence in init(args.address, args.shop, tuple(args.bench)):
        print(sentence)
    return 0


def _check(args: Namespace) -> int:
    from inspect_tui.commands.verify import progress
    from inspect_tui.hub.check import check

    file = Path(args.heads).expanduser() if args.heads else None
    kept = file.read_text("utf-8").splitlines() if file is not None and file.exists() else []
    known = [line for line in kept if line.strip()]
    found = check(args.address, known, progress if sys.stderr.isatty() else None)
    _say(found, args.json)
    if file is not None and found.ok and found.heads:
        file.write_text("".join(f"{head}\n" for head in found.heads), "utf-8")
    return 0 if found.ok else 1


def _say(found: Checked, as_json: bool) -> None:
    if as_json:
        print_json(
            {
                "ok": found.ok,
                "problems": list(found.problems),
                "notes": list(found.notes),
                "heads": list(found.heads),
                "counts": found.counts,
            }
        )
        return
    for sentence in (*found.problems, *found.notes):
        print(sentence)
    for head in found.heads:
        print(f"head {head}")
    if found.ok and not found.heads:
        print("Nothing was proved: ask as a login that reads all shops (hub_read), or as a bench of yours.")
        return
    entries, readings = sum(found.counts.values()), found.counts.get("reading", 0)
    print(
        f"The hub is whole: {entries} rows of {len(found.heads)} benches, {readings} readings among them."
        if found.ok
        else "The hub is NOT whole: keep it as it is. Each bench holds all that it took in: sync them to a new one."
    )
