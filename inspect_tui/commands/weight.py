"""`inspect-tui weight`: what castings weigh, and their wall area: a cheap check of all walls together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, option, print_json, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.record.store import Record

HEAVIEST = 1e6  # kg, the record's own limit


def arguments(parser: ArgumentParser) -> None:
    """add, wall, list."""
    parser.description = (
        "Lighter castings of one drawing have thinner walls: the weights before and after a change, with the wall "
        "area of the casting, say by how much in the mean. A weight is corrected by entering it again."
    )
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    add = actions.add_parser("add", help="what one casting or core weighs: weight add 'casting S1-2' 41.35 --by AB")
    add.add_argument("item", metavar="CASTING")
    add.add_argument("weight", metavar="KG", type=option("KG", "weight", high=HEAVIEST), help="such as 41.35 or 850 g")
    add.add_argument(
        "--u95", metavar="KG", type=option("--u95", "weight"), help="expanded uncertainty of the weighing (95 %%)"
    )
    add.add_argument("--by", required=True, metavar="INITIALS", help="who weighed it")
    wall = actions.add_parser("wall", help="the wall area of the casting, one side, in square metres")
    area = option("M2", "area", unit="m2", to="m2", high=1e4)
    wall.add_argument("area", metavar="M2", type=area, help="such as 1.85")
    wall.add_argument(
        "--density",
        metavar="KG_M3",
        type=option("--density", "density"),
        default=7100.0,
        help="of the metal, such as 7100 or 7.1 g/cm3 (default 7100, grey iron)",
    )
    wall.add_argument("--why", default="entered", help="where it comes from, such as the model")
    wall.add_argument("--by", required=True, metavar="INITIALS", help="who enters it")
    listed = actions.add_parser("list", help="the last weight of each casting")
    listed.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 fine, 2 for bad input."""
    record = open_record(args, read_only=args.action == "list")
    try:
        return {"add": _add, "wall": _wall, "list": _list}[args.action](args, record)
    finally:
        record.close()


def _add(args: Namespace, record: Record) -> int:
    from inspect_tui.errors import DataError
    from inspect_tui.model.trends import ItemWeight
    from inspect_tui.shop.common import find

    subject = find.subject(record, find.job(record, args.job), args.item)
    if subject.item is None:
        raise DataError(f"{subject.label} is a tool; weights are kept of castings and cores.")
    if args.u95 is not None and args.u95 >= args.weight:
        raise DataError(
            f"--u95 is {written().figures(args.u95)} kg of {written().figures(args.weight)} kg: "
            "give what the scale may be off by. Nothing kept."
        )
    by = find.person(record, args.by)
    record.add(ItemWeight(item_id=subject.item.id, weight_kg=args.weight, u95_kg=args.u95), by.id)
    print(f"{subject.label}: {written().figures(args.weight)} kg")
    return 0


def _wall(args: Namespace, record: Record) -> int:
    from inspect_tui.model.trends import WallArea
    from inspect_tui.model.words import NO_ID
    from inspect_tui.shop.common import find

    job = find.job(record, args.job)
    area, density = args.area, args.density
    by = find.person(record, args.by)
    old = record.wall_area(job.of_id)
    record.add(
        WallArea(
            of_id=old.of_id if old else NO_ID,
            replaces_id=old.id if old else None,
            job_of_id=job.of_id,
            area_m2=area,
            density=density,
            why=args.why[:200],
        ),
        by.id,
    )
    print(f"job {job.number}: wall area {written().figures(area)} m², density {written().figures(density)} kg/m³")
    return 0


def _list(args: Namespace, record: Record) -> int:
    from inspect_tui.shop.common import find

    job = find.job(record, args.job)
    known, area = record.item_weights(job.of_id), record.wall_area(job.of_id)
    rows = [(item, known[item.id]) for item in record.items(job.of_id) if item.id in known]
    if args.json:
        print_json(
            {
                "job": job.number,
                "wall_area_m2": area.area_m2 if area else None,
                "density_kg_m3": area.density if area else None,
                "weights": [
                    {"kind": item.kind, "serial": item.serial, "kg": weighed.weight_kg, "u95_kg": weighed.u95_kg}
                    for item, weighed in rows
                ],
            }
        )
        return 0
    if not rows:
        talk("no weights yet: `inspect-tui weight add`")
    for item, weighed in rows:
        u = f" ± {written().figures(weighed.u95_kg)}" if weighed.u95_kg else ""
        print(f"{item.kind} {item.serial}  {written().figures(weighed.weight_kg)} kg{u}")
    if area is None:
        talk("no wall area yet: `inspect-tui weight wall` makes of a change of weight a change of the walls")
    else:
        print(f"wall area {written().figures(area.area_m2)} m², density {written().figures(area.density)} kg/m³")
    return 0
