"""`inspect-tui person`: who measures here: added, changed, retired, listed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

FIELDS = ("initials", "name", "role", "active")


def arguments(parser: ArgumentParser) -> None:
    """add, change, list."""
    parser.description = (
        "Fields are initials, name, role (maker, inspector, lead, foundry, guest) and active: person add KT "
        "name='K. Toms'; person change KT active=no --by JM retires somebody, whose readings stay as they are."
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|change|pin|list")
    for name, summary in (("add", "add somebody"), ("change", "change somebody: a name, a role, in use or not")):
        sub = actions.add_parser(name, help=summary)
        sub.add_argument("initials", metavar="INITIALS")
        sub.add_argument("field", nargs="*", metavar="FIELD=TEXT", help="such as role=inspector")
        sub.add_argument("--by", metavar="INITIALS", required=name == "change", help="who does it")
    pin = actions.add_parser(
        "pin",
        help="a PIN or passphrase for acts that decide; an empty one takes it away",
        description="Taking readings out, withdrawing, giving papers out, a bias, a wear limit and shipping with open "
        "points then ask for it. It is typed twice; in a script it stands in INSPECT_TUI_NEW_PIN.",
    )
    pin.add_argument("initials", metavar="INITIALS")
    pin.add_argument("--by", metavar="INITIALS", required=True, help="that person, or the lead")
    listed = actions.add_parser("list", help="everybody, with role")
    listed.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.common import find

    record = open_record(args, read_only=args.action == "list", create=args.action == "add")
    try:
        if args.action == "list":
            people = record.people()
            if args.json:
                print_json(
                    [{"initials": p.initials, "name": p.name, "role": p.role, "active": p.active} for p in people]
                )
            elif people:
                rows = [[p.initials, p.name or "", p.role, "" if p.active else "retired"] for p in people]
                print_table(["initials", "name", "role", ""], rows)
            else:
                talk("there is nobody in the record yet")
            return 0
        from inspect_tui.errors import DataError
        from inspect_tui.shop.changes import people as people_

        if args.action == "pin":
            whose = find.person(record, args.initials)
            made = people_.set_pin(record, whose, _new_pin(whose.initials), find.person(record, args.by))
            print(f"{made.initials} decides with a PIN" if made.pin_hash else f"{made.initials} has no PIN any more")
            return 0

        by = find.person(record, args.by) if args.by else None
        from inspect_tui.commands import named_fields

        typed = named_fields.read(args.field, FIELDS)
        if args.action == "add":
            if "initials" in typed:
                raise DataError("The initials stand first already: person add KT name='K. Toms'.")
            made = people_.add(record, {**typed, "initials": args.initials}, by)
            print(f"{made.initials} added as {made.role}")
            return 0
        if not typed:
            raise DataError("Say what changes, such as role=inspector.")
        made = people_.change(record, find.person(record, args.initials), typed, by)
    finally:
        record.close()
    print(f"{made.initials}: {made.name or 'no name'}, {made.role}" + ("" if made.active else ", retired"))
    return 0


def _new_pin(initials: str) -> str:
    """From INSPECT_TUI_NEW_PIN, else asked for twice at a terminal."""
    import os
    import sys

    from inspect_tui.errors import DataError

    given = os.environ.get("INSPECT_TUI_NEW_PIN")
    if given is not None:
        return given
    if not sys.stdin.isatty():
        raise DataError("A PIN is asked for at a terminal, or stands in INSPECT_TUI_NEW_PIN. Nothing was changed.")
    from getpass import getpass

    first = getpass(f"new PIN of {initials} (empty: none): ")
    if first != getpass("once more: "):
        raise DataError("The two were not the same. Nothing was changed.")
    return first
