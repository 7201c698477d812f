"""`inspect-tui kit sheet | guide | list | labels | come-back | capacity --to FILE`: the papers of the kit."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable

    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record

# action -> its kind in `report.kit.forms`, what it is, the endings
PAPERS = {
    "sheet": ("setting_sheet", "setting sheet for the foundry: one step a core", ".pdf or .html"),
    "list": ("kit_list", "kit list: what travels, counted and weighed", ".pdf, .html, .xlsx or .csv"),
    "capacity": ("capacity", "capacity page for the customer: passages and what they let expect", ".pdf or .html"),
    "labels": ("labels", "labels with marks for a camera, for tools and boxes", ".pdf or .html"),
    "come-back": ("come_back", "sheet for the foundry to fill in and send back", ".csv, .xlsx, .html or .pdf"),
}


def arguments(actions: Any) -> None:
    """Adds the papers to the actions of `kit`; one that is there already is left alone."""
    from argparse import SUPPRESS

    for name, (_, summary, endings) in PAPERS.items():
        if name in actions.choices:
            continue
        sub = actions.add_parser(name, help=summary, description=f"Write the {summary}.")
        sub.add_argument("--to", metavar="FILE", required=True, help=f"where; the ending says the form: {endings}")
        sub.add_argument("--job", help="job number; may be left out where the record has one job")
        sub.add_argument("--force", action="store_true", help="overwrite a file that is there")
        sub.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")
        if name == "capacity":
            sub.add_argument("--on", metavar="CASTING", help="from this casting instead of the tools")
        sub.set_defaults(paper=name)
    if "guide" not in actions.choices:
        _guide_arguments(actions)


def _guide_arguments(actions: Any) -> None:
    from argparse import SUPPRESS

    sub = actions.add_parser(
        "guide",
        help="setting guide for a telephone at the foundry, or on paper",
        description="Write the setting guide: one HTML file that needs no network (cores one by one, ticks, checks, "
        "remarks and pictures; its answer file is read by `import answers`), or the same as PDF.",
    )
    sub.add_argument("--to", metavar="FILE", required=True, help="where; the ending says the form: .html or .pdf")
    sub.add_argument("--job", help="job number; may be left out where the record has one job")
    sub.add_argument("--language", default="en", metavar="CODE", help="en, fr, es, de; English always stands beside it")
    sub.add_argument("--phrases", metavar="CSV", help="a table of phrases of your own: columns en and the language")
    sub.add_argument(
        "--paper", choices=("a4", "letter"), type=str.lower, help="sheet of the PDF (default: the settings)"
    )
    sub.add_argument("--ask", default="", metavar="WORDS", help="whom to ask: a name, a number")
    sub.add_argument(
        "--at", default="", metavar="URL", help="where the guide will lie: a code on each page opens its step"
    )
    sub.add_argument("--force", action="store_true", help="overwrite a file that is there")
    sub.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")
    sub.set_defaults(paper_of="guide")


def _guide(args: Namespace) -> int:
    from pathlib import Path

    from inspect_tui.commands.common import written
    from inspect_tui.report.kit import guide as dressed
    from inspect_tui.report.kit.phrases import phrases
    from inspect_tui.report.paper import file as paper_file
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit.paper.guide import guide

    path = Path(args.to).expanduser()
    form = paper_file.form_of(path, (".html", ".pdf"))
    path = paper_file.target(path, force=args.force)
    said = phrases(args.language, args.phrases)
    with closing(open_record(args, read_only=True)) as record:
        made = guide(record, find.job(record, args.job), ask=args.ask, style=written())
    sheets = {"a4": "A4", "letter": "Letter", None: None}
    content = (
        dressed.html(made, said, written())
        if form == "html"
        else dressed.pdf(made, said, written(), sheet=sheets[args.paper], at=args.at)
    )
    print(paper_file.write_bytes(path, content, force=args.force))
    return 0


def run(args: Namespace) -> int:
    """0 when it is written, its path on stdout; 2 with a sentence when it cannot be."""
    if getattr(args, "paper_of", "") == "guide":
        return _guide(args)
    from pathlib import Path

    from inspect_tui.commands.common import written
    from inspect_tui.errors import DataError
    from inspect_tui.frozen import replace
    from inspect_tui.metrology.typed.show import PAPER
    from inspect_tui.report.kit import forms
    from inspect_tui.report.paper import file as paper_file
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit.paper.capacity_page import capacity_page
    from inspect_tui.shop.kit.paper.come_back import come_back
    from inspect_tui.shop.kit.paper.kit_list import kit_list, labels
    from inspect_tui.shop.kit.paper.setting_sheet import setting_sheet

    printed = replace(written(), printed=True) if args.paper == "capacity" else PAPER

    def passages(record: Record, job: Job) -> forms.Paper:
        item = None
        if args.on:
            item = find.subject(record, job, args.on).item
            if item is None:
                raise DataError(f"--on {args.on}: that is a tool; without --on the page rests on the tools.")
        return capacity_page(record, job, item, printed)

    makers: dict[str, Callable[[Record, Job], forms.Paper]] = {
        "setting_sheet": setting_sheet,
        "kit_list": kit_list,
        "labels": labels,
        "come_back": come_back,
        "capacity": passages,
    }
    kind, _, _ = PAPERS[args.paper]
    paper_file.form_of(Path(args.to), forms.ENDINGS[kind])
    paper_file.target(args.to, force=args.force)
    with closing(open_record(args, read_only=True)) as record:
        paper = makers[kind](record, find.job(record, args.job))
    print(forms.write(paper, args.to, force=args.force, style=printed))
    return 0
