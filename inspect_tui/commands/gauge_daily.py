"""`inspect-tui gauge daily`: what everyday readings say of instruments and people, without a study."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json, talk, written
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    from argparse import Namespace

    from inspect_tui.shop.gauges.pooled import Pooled, PooledOffset
    from inspect_tui.shop.gauges.routine import Routine


def run(args: Namespace) -> int:
    """0, whether anything stands out or not."""
    from shlex import quote

    from inspect_tui.metrology.typed.words import capital
    from inspect_tui.shop.common import find
    from inspect_tui.shop.gauges import pooled, routine

    style = written()
    record = open_record(args, read_only=True)
    try:
        over_all = pooled.current(record)
        jobs = record.jobs()
        job = find.job(record, args.job) if args.job or len(jobs) == 1 else None
        by_size = routine.routine(record, job, style=style) if job else None
    finally:
        record.close()
    if args.json:
        print_json(as_json(over_all, by_size))
        return 0
    for offset in over_all.named:
        print(capital(offset.said(style)))
        if offset.hand.kind == pooled.GAUGE:
            talk(f"gauge trace {quote(offset.label)} takes it back over the readings; --confirm records it as a bias")
    if not over_all.named:
        print(f"{capital(over_all.summary(style))}.")
    for sentence in by_size.sentences if by_size else ():
        print(capital(sentence))
    if by_size is None and jobs:
        talk("Several jobs: --job NUMBER also looks at the instruments and people of one, size by size.")
    return 0


def as_json(over_all: Pooled, by_size: Routine | None, style: Style = MM) -> dict[str, Any]:
    """One JSON object."""
    return {
        "sentence": over_all.summary(style),
        "looked_at": over_all.looked_at,
        "offsets": [offset_json(found, style) for found in over_all.named],
        "untold": list(over_all.untold),
        "by_size": list(by_size.sentences) if by_size else None,
    }


def offset_json(pooled_offset: PooledOffset, style: Style = MM) -> dict[str, Any]:
    """One gauge or person that reads off, mm."""
    offset = pooled_offset.offset
    return {
        "kind": pooled_offset.hand.kind,
        "name": offset.party.name,
        "offset_mm": offset.estimate.value,
        "u_mm": offset.estimate.u,
        "lower_mm": offset.lower,
        "upper_mm": offset.upper,
        "p": offset.p_all,
        "readings": offset.readings,
        "sizes": offset.sizes,
        "days": offset.days,
        "from": pooled_offset.first_day,
        "to": pooled_offset.last_day,
        "changed_on": pooled_offset.changed_on,
        "always_with": [party.name for party in offset.with_it],
        "in_turn_with": [party.name for party in offset.against_it],
        "or_else": [party.name for party in offset.or_else],
        "sentence": pooled_offset.said(style),
    }
