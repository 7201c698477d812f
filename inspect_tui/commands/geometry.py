"""`inspect-tui geometry`: geometrical tolerances of a job, and how they were looked at on a casting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written
from inspect_tui.commands.first_article import where
from inspect_tui.model.signed import GEOMETRY_FIELDS

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record


def arguments(parser: ArgumentParser) -> None:
    """add, change, drop, look, unlook, list."""
    parser.description = (
        f"Fields are {', '.join(GEOMETRY_FIELDS[1:])}. "
        "For example: geometry add G1 what=position tolerance=0.8 diameter=yes datums='A B' sizes='F07 F08' --by JM. "
        "Without sizes it is looked at by another way: geometry look G2 S1-1 accepted=yes "
        "method='square and feeler 0.3' --by JM"
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|change|drop|look|unlook|list")
    for name, summary in (("add", "add one"), ("change", "change one: what is not given stays")):
        sub = actions.add_parser(name, help=summary)
        sub.add_argument("balloon", metavar="NUMBER", help="such as G1")
        sub.add_argument("field", nargs="+", metavar="FIELD=TEXT")
    drop = actions.add_parser("drop", help="the drawing has it no more")
    drop.add_argument("balloon", metavar="NUMBER")
    look = actions.add_parser("look", help="say how one was looked at on a casting, and whether it was accepted")
    look.add_argument("balloon", metavar="NUMBER")
    look.add_argument("casting", metavar="CASTING", help="its serial")
    look.add_argument("field", nargs="+", metavar="FIELD=TEXT", help="accepted, method, words, day")
    unlook = actions.add_parser("unlook", help="take that back")
    unlook.add_argument("balloon", metavar="NUMBER")
    unlook.add_argument("casting", metavar="CASTING", help="its serial")
    listed = actions.add_parser("list", help="those of a job, with what was found on a sampling")
    listed.add_argument("--json", action="store_true", help="as JSON")
    for sub in actions.choices.values():
        if sub is not listed:
            sub.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
        where(sub)


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.common import find

    record = open_record(args, read_only=args.action == "list")
    try:
        job = find.job(record, args.job)
        if args.action == "list":
            return _list(args, record, job)
        print(_write(args, record, job))
    finally:
        record.close()
    return 0


def _write(args: Namespace, record: Record, job: Job) -> str:
    from datetime import date

    from inspect_tui.commands import named_fields
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.signed import looks
    from inspect_tui.shop.jobs.by_row import row_form

    by = find.person(record, args.by)
    if args.action in ("add", "change"):
        said = named_fields.read(args.field, GEOMETRY_FIELDS[1:])
        name = args.balloon if args.action == "change" else ""
        texts = row_form.first(record, job, "geometry", name) if name else {}
        made = row_form.read(record, job, "geometry", {**texts, "balloon": args.balloon, **said}, name, written())
        return row_form.save(record, made, by=by.id)
    if args.action == "drop":
        return row_form.save(record, row_form.drop(record, job, "geometry", args.balloon), by=by.id)
    sampling = Sampling(record, job, pick_round(record, job, args.round), written())
    if args.action == "unlook":
        return looks.take_back(record, sampling, args.balloon, sampling.casting(args.casting), by)
    said = named_fields.read(args.field, ("accepted", "method", "words", "day"))
    values = {"geometry": args.balloon, "casting": args.casting, **said}
    return looks.put(record, sampling, looks.read(sampling, values, by, date.today().isoformat()), by)


def _list(args: Namespace, record: Record, job: Job) -> int:
    from inspect_tui.errors import NotFound
    from inspect_tui.shop.common.geometry.tolerances import WORDS
    from inspect_tui.shop.first_article.castings.rounds import pick_round
    from inspect_tui.shop.first_article.castings.sampling import Sampling
    from inspect_tui.shop.first_article.result import plain
    from inspect_tui.shop.first_article.signed.geometry import geometry_lines

    asked = record.geometries(job.of_id)
    try:
        lines = geometry_lines(Sampling(record, job, pick_round(record, job, args.round), written()))
    except NotFound:
        if args.round:
            raise
        lines = ()
    found = {line.balloon: line for line in lines}
    if args.json:
        print_json(plain(lines) if lines else [plain(one.balloon) for one in asked])
        return 0
    if not asked:
        talk(f"job {job.number} has no geometrical tolerances yet")
        return 0
    style = written()
    rows = []
    for one in asked:
        line = found.get(one.balloon)
        on = line.cells if line else ()
        cells = [f"{c.serial} {style.length(c.value, unit=False) or c.method or c.reason}" for c in on]
        sign = "dia " if one.round else ""
        rows.append(
            [
                one.balloon,
                one.name,
                WORDS[one.what],
                sign + style.length(one.tolerance_mm),
                one.datums or "",
                str(line.answer) if line else "",
                "; ".join(cells),
            ]
        )
    print_table(["no", "name", "what", "tolerance", "datums", "answer", "found"], rows, wraps="found", spare=("name",))
    return 0
