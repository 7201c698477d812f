"""`inspect-tui hub`: makes the hub, one PostgreSQL database through which the benches of shops exchange."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """init."""
    actions = parser.add_subparsers(dest="action", required=True, metavar="init")
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


def run(args: Namespace) -> int:
    """0 when it is there."""
    from inspect_tui.hub.set_up import init

    for sentence in init(args.address, args.shop, tuple(args.bench)):
        print(sentence)
    return 0
