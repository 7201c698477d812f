"""`inspect-tui kit look`: plan, sections and exploded stack of the mould, in the terminal, as SVG or as JSON."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import (
    open_record,
    option,
    output_width,
    painted,
    paper_arguments,
    print_json,
    printed,
    written,
)

if TYPE_CHECKING:
    from argparse import Namespace

    from inspect_tui.metrology.sizes.place import Place
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.kit.sketch.scene import Scene

VIEWS = ("plan", "section", "across", "exploded")
BOTH = ("plan", "section")
SHOWS = {"x": ("plan", "section"), "y": ("plan", "across"), "z": ("section", "across")}  # axis of a size -> its views
WIDEST, IN_A_PIPE = 200, 100  # columns


def arguments(actions: Any) -> None:
    """Which core is at hand, which views, where it is cut, and where the drawing goes."""
    from argparse import SUPPRESS

    look = actions.add_parser(
        "look",
        help="plan, sections and exploded stack of the mould with its cores",
        description=(
            "Draw the mould with its cores: plan (from above), section (along x, seen from the side), across (along y, "
            "seen from the end) and exploded (one above the other, in setting order). Bodies that were not given are "
            "about, from the places of their sizes, and dashed."
        ),
    )
    look.add_argument("--core", metavar="N", help="the core at hand: black, with the cores that are set before it")
    look.add_argument("--later", action="store_true", help="with --core: the cores that are set later, too")
    look.add_argument("--view", action="append", choices=(*VIEWS, "all"), help="which (default: plan and section)")
    look.add_argument(
        "--at",
        metavar="SIZE",
        type=option("--at", "size", signed=True),
        help="where the section is cut, on the casting",
    )
    look.add_argument("--feature", metavar="F", help="mark where this feature is measured")
    look.add_argument("--width", type=option("--width", "count"), help="columns to draw in (default: the terminal's)")
    look.add_argument("--to", metavar="FILE", help="write a drawing; its ending is .svg")
    look.add_argument("--force", action="store_true", help="overwrite a file that is there")
    paper_arguments(look, sheet=False)
    look.add_argument("--json", action="store_true", help="the bodies, the outline and the parting, in mm")
    look.add_argument("--job", help="job number; may be left out where the record has one job")
    look.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")


def run(args: Namespace) -> int:
    """0 with a picture; DataError where nothing of the job has a place."""
    from inspect_tui.errors import DataError
    from inspect_tui.report.draw.mould import Wanted, sketch
    from inspect_tui.shop.common import find

    if args.to is not None:
        from pathlib import Path

        from inspect_tui.report.paper import file as paper_file

        paper_file.form_of(Path(args.to), (".svg",))
        paper_file.target(args.to, force=args.force)
    with closing(open_record(args, read_only=True)) as record:
        job = find.job(record, args.job)
        made, place = _scene(record, job, args.feature)
    if args.json:
        print_json(_json(made))
        return 0
    hand = ""
    if args.core is not None:
        hand = find.pick(args.core, made.cores, lambda core: core.number, "core", f" of job {job.number}").number
    views = _views(args, place)
    if args.at is not None and sum(view in ("section", "across") for view in views) != 1:
        raise DataError("--at says where one section is cut: name it, --view section or --view across.")
    wanted = Wanted(hand=hand, views=views, size=place, cut=args.at, so_far=not args.later and args.feature is None)
    drawn = sketch(made, wanted, written() if args.to is None else printed())
    if not drawn.views:
        raise DataError(" ".join(drawn.said))
    if args.to is not None:
        from inspect_tui.report.draw.sketch_svg import sketch_svg

        print(paper_file.write_bytes(args.to, (sketch_svg(drawn) + "\n").encode(), force=args.force))
        return 0
    from inspect_tui.report.draw.sketch_cells import sketch_cells

    most = WIDEST if output_width() else IN_A_PIPE
    painted(lambda width: sketch_cells(drawn, width, style=written()), most, args.width and max(args.width, 40))
    return 0


def _scene(record: Record, job: Job, balloon: str | None) -> tuple[Scene, Place | None]:
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.sizes.place import place
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit.sketch import scene

    made = scene.read(record, job, written())
    if balloon is None:
        return made, None
    revision = find.latest_revision(record, job)
    feature = find.feature(record.features(revision.id), balloon, revision.rev)
    taken = place(feature, find.core_numbers(record, job))
    if taken is None:
        raise DataError(f"{feature.balloon} is no size along x, y or z: a sketch cannot mark it.")
    return made, taken


def _views(args: Namespace, place: Place | None) -> tuple[str, ...]:
    """The views that were asked for, each once and in the order of the drawing."""
    asked = args.view or (SHOWS[place.axis] if place is not None else BOTH)
    return tuple(view for view in VIEWS if "all" in asked or view in asked)


def _json(made: Scene) -> dict[str, Any]:
    return {
        "job": made.job,
        "cores": [
            {
                "core": int(core.number),
                "name": core.name,
                "step": core.step,
                "way_in": core.way_in,
                "given": core.body.given,
                "boxes": [box._asdict() for box in core.body.boxes],
                "known": {axis: list(ends) for axis, ends in core.body.known.items()},
                "not_known": list(core.body.open),
            }
            for core in made.cores
        ],
        "outline": made.outline._asdict() if made.outline else None,
        "outline_given": made.outline_given,
        "parting": {
            "axis": made.parting_axis,
            "steps": [
                {"place": step.place, "along": step.along, "from": step.start, "to": step.end} for step in made.parting
            ],
        },
    }
