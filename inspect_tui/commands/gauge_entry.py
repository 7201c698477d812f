"""`inspect-tui gauge add`, `change`, `certificate`: instruments and their certificates, as their forms take them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable

ACTIONS = ("add", "change", "certificate")
NEW = ("kind", "unit", "resolution", "range", "scale", "serial")
CHANGED = ("label", "serial", "resolution", "range")
CHANGES = ("label", "serial", "resolution", "range_lo", "range_hi")  # the columns behind these
CERTIFICATE = ("done", "due", "u95", "k", "result", "error", "reference")


def arguments(action: Callable[[str, str, str], ArgumentParser]) -> None:
    """LABEL FIELD=TEXT ... --by, of each of the three."""
    for name, summary, known in (
        ("add", "add an instrument: gauge add 'caliper 3' range='0 to 300' resolution=0.01 --by JM", NEW),
        (
            "change",
            "another name or number, a wrong step or range: gauge change 'caliper 3' label='caliper 4'",
            CHANGED,
        ),
        ("certificate", "a certificate: gauge certificate 'caliper 3' done=2026-03-10 u95=0.04 --by JM", CERTIFICATE),
    ):
        sub = action(name, summary, f"{summary[0].upper()}{summary[1:]}. Fields are {', '.join(known)}.")
        sub.add_argument("label", metavar="INSTRUMENT")
        sub.add_argument("field", nargs="*" if name == "add" else "+", metavar="FIELD=TEXT")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who does it")


def run(args: Namespace) -> int:
    """0 when it was written, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.commands import named_fields, todo
    from inspect_tui.errors import DataError
    from inspect_tui.frozen import replace
    from inspect_tui.metrology.typed.fields import Wrong
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import instruments

    known = {"add": NEW, "change": CHANGED, "certificate": CERTIFICATE}[args.action]
    typed = named_fields.read(args.field, known)
    record = open_record(args)
    try:
        by = find.person(record, args.by)
        everything = record.with_withdrawn().instruments()
        label = typed.get("label", args.label).strip()
        taken = next((i for i in everything if i.label.casefold() == label.casefold()), None)
        if args.action == "add":
            if taken is not None:
                raise DataError(f"{taken.label} is there already, in use or withdrawn.")
            made = instruments.read_instrument({**typed, "label": label})
            if isinstance(made, str):
                raise DataError(made)
            record.add(replace(made, serial=typed.get("serial", "").strip() or None), by.id)
            step = f"{written().figures(made.resolution)} {made.unit}"
            told = f"{made.label} added: {made.kind.replace('_', ' ')}, reads {step}"
        else:
            gauge = find.instrument(record, args.label)
            if args.action == "certificate":
                certificate = instruments.read_calibration(gauge, typed)
                if isinstance(certificate, Wrong):
                    raise DataError(str(certificate))
                record.add(certificate, by.id)
                told = todo.said(instruments.after_calibration(gauge, certificate, written()))
            else:
                if taken is not None and taken.of_id != gauge.of_id:
                    raise DataError(f"{taken.label} is there already, in use or withdrawn.")
                changed = instruments.changed_instrument(gauge, typed)
                if isinstance(changed, str):
                    raise DataError(changed)
                record.revise(gauge, by.id, **{name: getattr(changed, name) for name in CHANGES})
                told = f"{gauge.label} changed" + (f": {changed.label} from now on" if "label" in typed else "")
    finally:
        record.close()
    print(told)
    return 0
