"""`inspect-tui kit ship`, `kit back`: what leaves the shop and comes back; with points open only with a word why."""

from __future__ import annotations

import sys
from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, option, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.kit import Shipment, ShipmentLine
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.kit.shipping import Parcel


def arguments(actions: Any) -> None:
    """What travels, to whom and when, who writes it down, and why although something speaks against the kit."""
    ship = actions.add_parser(
        "ship",
        help="write down what leaves the shop; with points open it asks why, and records it",
        description=(
            "Writes down what leaves the shop: everything of the kit that is here, or what is named. While something "
            "speaks against the kit it tells what, and takes a word why it is shipped all the same: asked for at a "
            "terminal, else --why. What was written wrong: withdraw shipment '2026-03-31 to NAME' --why --by."
        ),
    )
    _shared(ship)
    ship.add_argument("--to", dest="to_whom", metavar="NAME", help="to whom it goes")
    ship.add_argument("--why", metavar="TEXT", help="why it is shipped although something speaks against it")
    ship.add_argument("--list", action="store_true", help="what left and what came back, by day")
    back = actions.add_parser(
        "back",
        help="write down what came back of a shipment, counted",
        description="Writes down what came back of the newest shipment that is out, or of the one of --left.",
    )
    _shared(back)
    back.add_argument("--left", metavar="DAY", type=option("--left", "day"), help="the day on which it left")


def _shared(sub: ArgumentParser) -> None:
    from argparse import SUPPRESS

    sub.add_argument("job_number", nargs="?", metavar="JOB", help="job number; not needed while there is one job")
    sub.add_argument(
        "--what", action="append", metavar="THING", help="label, or label:N with N loose pieces; several times"
    )
    sub.add_argument("--on", metavar="DAY", type=option("--on", "day"), help="the day; without it today")
    sub.add_argument("--condition", metavar="TEXT", help="a few words")
    sub.add_argument("--by", metavar="INITIALS", help="who does it; needed to write")
    sub.add_argument("--job", help="the same as JOB")
    sub.add_argument("--json", action="store_true", help="what was written, or the list, as JSON")
    sub.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")


def run(args: Namespace) -> int:
    """0 when it was written or listed; 1 when nobody said why; 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common import find

    listed = args.action == "ship" and args.list
    if args.job and args.job_number and args.job != args.job_number:
        raise DataError(f"{args.job_number} and --job {args.job} are two jobs: name one.")
    with closing(open_record(args, read_only=listed)) as record:
        job = find.job(record, args.job or args.job_number)
        if listed:
            return _list(record, job, args.json)
        by = find.person(record, args.by) if args.by else None
        if by is None:
            raise DataError("Say who does it: --by INITIALS. Nothing was written.")
        if args.action == "back":
            return _back(record, job, args, by.id)
        return _ship(record, job, args, by.id)


def _ship(record: Record, job: Job, args: Namespace, by: bytes) -> int:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.kit import shipping
    from inspect_tui.shop.kit.facts import KitFacts

    if not (args.to_whom or "").strip():
        raise DataError("Say to whom it goes: --to NAME. Nothing was written.")
    facts = KitFacts(record, job)
    proposed = shipping.proposal(facts)
    parcels = [_parcel(text, proposed) for text in args.what] if args.what else proposed
    if not parcels:
        raise DataError("Nothing that travels is here: everything has been shipped. Nothing was written.")
    points, why = shipping.points_open(facts, written()), (args.why or "").strip()
    if points and not why:
        why = _asked(points)
        if not why:
            talk("nothing was written; with --why 'a reason' it is, and the reason stands beside the shipment")
            return 1
    made = shipping.ship(record, job, args.to_whom.strip(), _day(args.on), parcels, args.condition, by, why)
    if args.json:
        lines = next(lines for shipment, lines in record.shipments(job.of_id) if shipment.id == made.id)
        print_json(_plain(made, lines) | {"job": job.number, "speaks_against": list(points)})
        return 0
    open_ = f", with {len(points)} point{'s' if len(points) > 1 else ''} open: {made.why_open}" if points else ""
    print(f"{_things(len(parcels))} shipped to {made.to_whom} on {made.done_on}{open_}")
    return 0


def _asked(points: tuple[str, ...]) -> str:
    """The word why, typed now at a terminal; what speaks against the kit is told before."""
    talk(f"inspect-tui: {len(points)} thing{'s speak' if len(points) > 1 else ' speaks'} against the kit:")
    for point in points:
        talk(f"  {point}")
    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return ""
    talk("why is it shipped all the same? Enter alone: it stays here")
    return sys.stdin.readline().strip()


def _back(record: Record, job: Job, args: Namespace, by: bytes) -> int:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.kit import shipping

    shipped = record.shipments(job.of_id)
    returned = {shipment.out_id for shipment, _ in shipped if shipment.way == "back"}
    out = [(s, lines) for s, lines in shipped if s.way == "out" and s.id not in returned]
    if args.left is not None:
        out = [(s, lines) for s, lines in out if s.done_on == args.left]
    if not out:
        when = f" that left on {args.left}" if args.left else ""
        raise DataError(f"Nothing{when} is out: everything that was shipped has come back. Nothing was written.")
    left, sent = out[-1]
    known = [shipping.Parcel(line.what, line.count, line.loose_pieces) for line in sent]
    parcels = [_parcel(text, known) for text in args.what] if args.what else known
    made, said = shipping.came_back(record, job, left, _day(args.on), parcels, args.condition, by)
    if args.json:
        lines = next(lines for shipment, lines in record.shipments(job.of_id) if shipment.id == made.id)
        print_json(_plain(made, lines) | {"job": job.number, "left": left.done_on, "short": list(said)})
        return 0
    print(f"{_things(len(parcels))} back from {left.to_whom} on {made.done_on}")
    for sentence in said:
        talk(sentence)
    return 0


def _things(n: int) -> str:
    return "1 thing" if n == 1 else f"{n} things"


def _day(day: str | None) -> str:
    from datetime import date

    return day or date.today().isoformat()


def _parcel(text: str, known: list[Parcel]) -> Parcel:
    """`box 3` or `box 3:4`, with what is known of it; DataError for a count that is none."""
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.typed import fields
    from inspect_tui.shop.kit.shipping import Parcel

    what, colon, loose = text.partition(":")
    pieces = fields.count(loose, high=999) if colon else None
    if isinstance(pieces, fields.Wrong) or not what.strip():
        raise DataError(f"--what {text}: write a label, or label:4 with 4 loose pieces. Nothing was written.")
    same = next((p for p in known if p.what.casefold() == what.strip().casefold()), Parcel(what.strip()))
    return same if pieces is None else Parcel(same.what, same.count, pieces, same.condition)


def _list(record: Record, job: Job, as_json: bool) -> int:
    shipped = record.shipments(job.of_id)
    if as_json:
        print_json([_plain(shipment, lines) for shipment, lines in shipped])
        return 0
    if not shipped:
        talk(f"nothing of job {job.number} has been shipped")
        return 0
    rows = [
        [
            shipment.done_on,
            f"{'to' if shipment.way == 'out' else 'back from'} {shipment.to_whom}",
            ", ".join(line.what for line in lines),
            shipment.condition or "",
            shipment.why_open or "",
        ]
        for shipment, lines in shipped
    ]
    print_table(["day", "way", "what", "condition", "open, because"], rows, wraps="what", spare=("condition",))
    return 0


def _plain(shipment: Shipment, lines: tuple[ShipmentLine, ...]) -> dict[str, Any]:
    return {
        "way": shipment.way,
        "who": shipment.to_whom,
        "on": shipment.done_on,
        "condition": shipment.condition,
        "why_open": shipment.why_open,
        "what": [
            {"what": line.what, "count": line.count, "loose_pieces": line.loose_pieces, "condition": line.condition}
            for line in lines
        ],
    }
