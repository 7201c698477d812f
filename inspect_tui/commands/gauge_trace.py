"""`inspect-tui gauge trace`: a bias taken back over the readings of its days, and recorded when it is confirmed."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import Namespace

    from inspect_tui.model.measuring import Instrument
    from inspect_tui.shop.gauges.findings import BiasFinding
    from inspect_tui.shop.gauges.trace import Trace


def run(args: Namespace) -> int:
    """0 with a trace, or when there is nothing to trace; 2 for bad input."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import findings, trace

    record = open_record(args, read_only=args.confirm is None)
    try:
        instrument = find.instrument(record, args.label)
        shown = findings.findings(record, instrument) if args.bias is None or args.since is None else []
        finding = _finding(args, shown, instrument)
        if isinstance(finding, str):
            talk(f"inspect-tui: {finding}")
            return 2
        if finding is None:
            if args.json:
                print_json(None)
            sources = "Checks, certificates and everyday readings"
            talk(f"{sources} show no bias of {instrument.label} that is not on record already.")
            return 0
        traced = trace.trace(record, instrument, finding, style=written())
        if args.confirm is not None:
            if not args.by:
                talk("inspect-tui: say who confirms it: --by INITIALS")
                return 2
            from inspect_tui.frozen import replace

            why = args.confirm.strip() or finding.why
            trace.confirm(record, find.person(record, args.by), instrument, replace(finding, why=why), written())
    finally:
        record.close()
    today = date.today().isoformat()
    if finding.from_on > today:
        talk(f"{finding.from_on} lies ahead (today is {today}): no reading can be of those days. Is --from right?")
    if args.json:
        print_json(_trace_json(traced))
        return 0
    print(traced.sentence)
    print(f"why: {finding.why}")
    if traced.changes:
        print_table(
            ["on", "feature", "as read", "without bias", "verdict then", "verdict now"],
            [
                [
                    c.on,
                    c.sizes.feature.balloon,
                    written().length(c.value, 3, unit=False),
                    written().length(c.corrected, 3, unit=False),
                    c.before,
                    c.after,
                ]
                for _, rows in trace.by_subject(traced)
                for c in rows
            ],
            right=("as read", "without bias"),
            spare=("on", "without bias"),
        )
    if args.confirm is not None:
        talk(
            "The bias is on record; the readings stay as they are. Was it a slip? "
            f"gauge take-back '{instrument.label}' --from {finding.from_on} takes it back."
        )
    return 0


def _finding(args: Namespace, shown: list[BiasFinding], instrument: Instrument) -> BiasFinding | str | None:
    """The finding asked about: as stated, or the newest that is shown; a sentence when something typed is wrong."""
    from inspect_tui.metrology.typed import fields
    from inspect_tui.shop.gauges import instruments
    from inspect_tui.shop.gauges.findings import BiasFinding

    if args.bias is None:
        return shown[0] if shown else None
    bias = instruments.read_length(args.bias, instrument, signed=True)
    if isinstance(bias, fields.Wrong):
        return f"--bias: {bias}."
    u = instruments.read_length(args.u, instrument) if args.u else 0.0
    if isinstance(u, fields.Wrong):
        return f"--u: {u}."
    since, to = args.since, args.to
    if since is None:
        alike = [f for f in shown if f.bias * bias > 0]
        since = alike[0].from_on if alike else "0001-01-01"
        to = to or (alike[0].to_on if alike else None)
    return BiasFinding(bias=bias, u=u, from_on=since, to_on=to, why="stated on the command line", found_from="stated")


def _trace_json(traced: Trace) -> dict[str, Any]:
    f = traced.finding
    return {
        "instrument": traced.instrument.label,
        "bias_mm": f.bias,
        "u_mm": f.u,
        "from": f.from_on,
        "to": f.to_on,
        "why": f.why,
        "readings": traced.readings,
        "lines": traced.lines,
        "subjects": traced.subjects,
        "sentence": traced.sentence,
        "changes": [
            {
                "on": c.on,
                "feature": c.sizes.feature.balloon,
                "value_mm": c.value,
                "corrected_mm": c.corrected,
                "before": c.before,
                "after": c.after,
                "at_us": c.readings[0].at_us,
                "by": c.readings[0].by,
            }
            for c in traced.changes
        ],
    }
