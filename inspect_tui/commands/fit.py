"""`inspect-tui fit`: prints, keys and joints of a kit, as their form takes them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

FIELDS = (
    "label",
    "place",
    "kind",
    "inner",
    "outer",
    "print",
    "seat",
    "axis",
    "way_in",
    "clearance",
    "holds",
    "lift",
    "at",
    "mark",
)


def arguments(parser: ArgumentParser) -> None:
    """add, change, list."""
    parser.description = (
        f"Fields are {', '.join(FIELDS)}. "
        "For example: fit add K7 inner='core 7' outer='core 4' axis=x clearance='0.20 0.50' --by JM"
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|change|list")
    for name, summary in (("add", "add a fit"), ("change", "change a fit: what is not given stays")):
        sub = actions.add_parser(name, help=summary)
        sub.add_argument("name", metavar="FIT", help="such as K7, or K7-1 where there are several")
        sub.add_argument("field", nargs="*" if name == "add" else "+", metavar="FIELD=TEXT")
        sub.add_argument("--job", help="job number; not needed while there is one job")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
    listed = actions.add_parser("list", help="the fits of a job, with how each stands")
    listed.add_argument("--job", help="job number; not needed while there is one job")
    listed.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.commands import named_fields
    from inspect_tui.metrology.typed import form_units
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit import edit, fits
    from inspect_tui.shop.kit.facts import KitFacts

    said = {} if args.action == "list" else named_fields.read(args.field, FIELDS)
    if written().word == "in":
        labels = {key: label for key, label, _ in edit.FIT_FIELDS}
        said = {key: form_units.in_field(labels[key], text) for key, text in said.items()}
    record = open_record(args, read_only=args.action == "list")
    try:
        job = find.job(record, args.job)
        facts = KitFacts(record, job)
        if args.action == "list":
            rows = [
                {"fit": fit.name, "kind": fit.kind, "stands": fits.one_line(facts, fit, written()).verdict.sentence}
                for fit in facts.fits
            ]
            if args.json:
                print_json(rows)
            elif rows:
                print_table(["fit", "kind", "stands"], [list(row.values()) for row in rows], wraps="stands")
            else:
                talk(f"job {job.number} has no fits yet")
            return 0
        by = find.person(record, args.by)
        if args.action == "add":
            label, _, place = args.name.partition("-")
            first = {key: value for key, _, value in edit.FIT_FIELDS}
            made = edit.read_fit(facts, {**first, "label": label, "place": place, **said})
            made = edit.add_fit(record, job, made, by.id, written())
            print(f"{made.name} added: {edit.who_into_whom(facts, made)}{edit.asked_now(record, job)}")
            return 0
        old = find.pick(args.name, facts.fits, lambda fit: fit.name, "fit", f" in job {job.number}")
        shown = {key: first for key, _, first in edit.fields_of(facts, old)}
        new = edit.read_changed_fit(facts, {**shown, **said}, old)
        names = {name for key in said for name in edit.OF_FIELD.get(key, (key,))}
        made = edit.change_fit(
            record, job, old, by.id, written(), **{name: getattr(new, name) for name in sorted(names)}
        )
        print(f"{made.name} changed{edit.asked_now(record, job)}")
    finally:
        record.close()
    return 0
