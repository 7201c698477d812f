"""`inspect-tui picture`: pictures of anything: added several at once or as they come, listed, shown, withdrawn."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, output_width, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from rich.console import RenderableType

    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.pictures.attach import Taken
    from inspect_tui.shop.pictures.listing import Seen
    from inspect_tui.shop.pictures.owners import Owner

OF = (
    "job, core 3, box 3, K7-1, F29, casting S1-2, repair of box 3, reading F29 of box 3, "
    "trying in of 2026-03-02, step 2"
)
EXAMPLE = "G1 31.5 42; G2 50 60"  # as `balloons.EXAMPLE`
DOTS = 1600  # a side, of a picture that the terminal shows whole
LOOK_S = 1.0  # between two looks into a watched folder
WIDE = 100  # columns of a picture where the output says no width


def arguments(parser: ArgumentParser) -> None:
    """add, watch, numbers, list, show, withdraw."""
    parser.description = (
        f"A picture is of one of these: {OF}. JPEG, PNG and (with the extra pictures) HEIC, at most 25 MB each. "
        "For example: picture add --on 'box 3' *.jpg --by JM"
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|watch|numbers|list|show|withdraw")
    add = actions.add_parser("add", help="keep pictures beside the record, and show them for a thing")
    add.add_argument("file", nargs="+", metavar="FILE", help="one or several")
    watch = actions.add_parser("watch", help="add every picture that comes into a folder, until Ctrl+C")
    watch.add_argument("folder", metavar="FOLDER", help="into which a telephone or camera puts its pictures")
    for sub in (add, watch):
        sub.add_argument("--on", required=True, metavar="THING", help="what they show")
        sub.add_argument("--caption", metavar="TEXT", help="what is to be seen; stands under them on papers")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
    listed = actions.add_parser("list", help="the pictures of a job, or of one thing")
    listed.add_argument("--json", action="store_true", help="as JSON")
    show = actions.add_parser("show", help="see pictures in the terminal")
    show.add_argument("name", nargs="?", metavar="NAME", help="of one picture, as the list says it")
    for sub in (listed, show):
        sub.add_argument("--on", metavar="THING", help="only what shows this")
    gone = actions.add_parser("withdraw", help="take a picture out: withdraw picture NAME does the same")
    gone.add_argument("name", metavar="NAME", help="as the list says it, with 'of box 3' behind where it is not clear")
    gone.add_argument("--why", default="", help="what was wrong")
    gone.add_argument("--by", metavar="INITIALS", help="who does it; needed")
    put = actions.add_parser("numbers", help="where numbers of sizes stand on a picture, for the first article")
    put.add_argument("name", metavar="NAME", help="of the picture, as the list says it")
    where = put.add_mutually_exclusive_group()
    where.add_argument(
        "--at",
        metavar="PLACES",
        help=f"such as '{EXAMPLE}': the number, percent from the left and from the top; '' takes all off",
    )
    where.add_argument("--from", dest="table", metavar="FILE", help="a table of them: number, from left, from top")
    where.add_argument("--page", metavar="FILE.html", help="a page on which they are put by a tap; it saves that table")
    put.add_argument("--force", action="store_true", help="overwrite the page that is there")
    put.add_argument("--by", metavar="INITIALS", help="who does it; needed with --at and --from")
    for sub in (add, watch, put, listed, show, gone):
        sub.add_argument("--job", help="job number; not needed while there is one job")


def run(args: Namespace) -> int:
    """0 when it was written, listed or shown; 2 with a sentence where not all files were kept, or nothing."""
    if args.action == "withdraw":
        from inspect_tui.commands import withdraw

        args.kind, args.list, args.json, args.back, args.yes = "picture", False, False, False, True
        return withdraw.run(args)
    from inspect_tui.shop.common import find

    puts = args.action == "numbers" and (args.at is not None or args.table)
    record = open_record(args, read_only=args.action not in ("add", "watch") and not puts)
    try:
        job = find.job(record, args.job)
        does = {"add": _add, "watch": _watch, "numbers": _numbers}.get(args.action, _look)
        return does(args, record, job)
    finally:
        record.close()


def _add(args: Namespace, record: Record, job: Job) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.pictures import attach, owners

    by = find.person(record, args.by)
    owner = owners.named(record, job, args.on)
    files = [path for name in args.file for path in attach.fitting(name)]  # not every shell knows *.jpg
    taken = attach.attach_all(record, files, owner.kind.number, owner.of_id, args.caption, by.id)
    _tell(taken, owner)
    if taken.refused:
        talk(f"inspect-tui: {len(taken.refused)} of {len(files)} files were not kept; the others were.")
    return 2 if taken.refused else 0


def _tell(taken: Taken, owner: Owner) -> None:
    for kept in taken.kept:
        print(f"{kept.shown_name} is kept: {owner.name}, {kept.width_px} by {kept.height_px} dots", flush=True)
    for known in taken.known:
        print(f"{known.shown_name} is there already: {owner.name}", flush=True)
    for said in taken.refused:
        talk(f"inspect-tui: {said}")


def _watch(args: Namespace, record: Record, job: Job) -> int:
    """Every picture is kept as it comes; what is none is said, and the watch goes on."""
    from time import sleep

    from inspect_tui.shop.common import find
    from inspect_tui.shop.pictures import attach, owners, watch

    by = find.person(record, args.by)
    owner = owners.named(record, job, args.on)
    watched = watch.Watched(Path(args.folder).expanduser())
    talk(f"inspect-tui: what comes into {args.folder} from now on is kept for {owner.name}; Ctrl+C ends it.")
    kept = 0
    try:
        while True:
            sleep(LOOK_S)
            taken = attach.attach_all(record, watched.new(), owner.kind.number, owner.of_id, args.caption, by.id)
            _tell(taken, owner)
            kept += len(taken.kept)
    except KeyboardInterrupt:
        talk(f"inspect-tui: the watch ends: {kept} pictures were kept.")
    return 0


def _numbers(args: Namespace, record: Record, job: Job) -> int:
    """Numbers put on a picture, all of them at once; or those that stand on it."""
    from inspect_tui.errors import DataError
    from inspect_tui.metrology.typed.fields import Wrong
    from inspect_tui.shop.common import find
    from inspect_tui.shop.pictures import attach, balloons, listing

    seen = listing.of_job(record, job)
    picture = find.pick(args.name, seen, lambda one: f"{one.name} of {one.of}", "picture", f" in job {job.number}")
    if args.page:
        return _page(args, record, job, picture)
    if args.at is None and not args.table:
        print(picture.use.balloons or "")
        return 0
    if not args.by:
        raise DataError("Who puts the numbers there? Say it with --by and initials.")
    by = find.person(record, args.by)
    typed = attach.table_of_numbers(Path(args.table)) if args.table else args.at
    marks = balloons.read(typed, balloons.numbers(record, job.of_id))
    if isinstance(marks, Wrong):
        raise DataError(f"{marks.sentence}. The numbers on {picture.name} stay as they were.")
    made = attach.numbered(record, picture.use, marks, by.id)
    print(f"{picture.name} of {picture.of}: {balloons.stand(len(marks), made is not None)}")
    return 0


def _page(args: Namespace, record: Record, job: Job, picture: Seen) -> int:
    """The page for putting numbers on a picture, with those that stand there."""
    import shlex

    from inspect_tui.report.paper import file, numbers_page
    from inspect_tui.shop.pictures import balloons

    marks = [(mark.balloon, mark.x, mark.y) for mark in balloons.kept(picture.use.balloons)]
    numbers = balloons.numbers(record, job.of_id)
    command = f"inspect-tui picture numbers {shlex.quote(picture.name)} --from numbers.csv --by ..."
    made = numbers_page.content(picture.title, picture.path, numbers, marks, command)
    print(file.write_bytes(file.target(args.page, force=args.force), made, force=args.force))
    return 0


def _look(args: Namespace, record: Record, job: Job) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.pictures import listing, owners

    about = [owners.named(record, job, args.on).of_id] if args.on else None
    seen = listing.of_job(record, job, about)
    if args.action == "list":
        return _list(args, job, seen)
    if args.name:
        seen = [find.pick(args.name, seen, lambda one: f"{one.name} of {one.of}", "picture", f" in job {job.number}")]
    if not seen:
        talk(f"there is no picture {f'of {args.on}' if args.on else f'in job {job.number}'} yet")
        return 0
    return _show(seen)


def _list(args: Namespace, job: Job, seen: list[Seen]) -> int:
    from inspect_tui.shop.pictures import balloons

    if args.json:
        print_json([_plain(one) for one in seen])
        return 0
    if not seen:
        talk(f"there is no picture {f'of {args.on}' if args.on else f'in job {job.number}'} yet")
        return 0
    rows = [
        [
            one.of,
            one.name,
            one.caption or "",
            str(len(balloons.kept(one.use.balloons)) or ""),
            f"{one.width_px} x {one.height_px}",
            one.day,
            one.by or "",
            "" if one.path else "not here: its file lies at another bench",
        ]
        for one in seen
    ]
    heads = ["of", "name", "caption", "numbers", "dots", "day", "by", ""]
    print_table(heads, rows, wraps="caption", spare=("by", "day", "dots"))
    return 0


def _plain(picture: Seen) -> dict[str, object]:
    from inspect_tui.shop.pictures import balloons

    return {
        "of": picture.of,
        "name": picture.name,
        "caption": picture.caption,
        "numbers": [[mark.balloon, mark.x, mark.y] for mark in balloons.kept(picture.use.balloons)],
        "width_px": picture.width_px,
        "height_px": picture.height_px,
        "bytes": picture.bytes,
        "day": picture.day,
        "by": picture.by,
        "file": str(picture.path) if picture.path else None,
    }


def _show(seen: list[Seen]) -> int:
    """Each picture with its title, as wide as the terminal; a picture that is not here is only named."""
    from inspect_tui.commands.common import console
    from inspect_tui.report.term import photo

    out = console()
    width = min(output_width() or WIDE, WIDE)
    for picture in seen:
        out.print(picture.title, soft_wrap=True, markup=False)
        whole = _whole(picture.path, width) if picture.path else None
        if whole is not None:
            out.print(whole)
            continue
        painted = photo.half_blocks(picture.path, width, width // 3) if picture.path else photo.NOT_HERE
        out.print(painted, soft_wrap=True, markup=False)
    return 0


def _whole(path: Path, width: int) -> RenderableType | None:
    """The picture in all its dots, where the terminal has a way for it (sixel, or the terminal graphics protocol).

    The library asks the terminal, whose answer comes by the keyboard: so never from a screen in which somebody types.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return None
    try:
        from textual_image import renderable
    except ImportError:
        return None
    from inspect_tui.report.draw import dots

    if renderable.Image not in (renderable.SixelImage, renderable.TGPImage):
        return None
    picture = dots.small(path, DOTS, DOTS)
    return renderable.Image(picture, width=width) if picture is not None else None
