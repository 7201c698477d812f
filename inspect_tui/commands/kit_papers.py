"""`inspect-tui kit sheet | guide | list | labels | come-back | capacity --to FILE`: the papers of the kit."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, paper_arguments, printed, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable
    from pathlib import Path

    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.report.kit.forms import Paper
    from inspect_tui.report.kit.phrases import Phrases

# action -> its kind in `report.kit.forms`, what it is, the endings
PAPERS = {
    "sheet": ("setting_sheet", "setting sheet: one step a core, for the foundry or the shop", ".pdf or .html"),
    "list": ("kit_list", "kit list: what travels, counted and weighed", ".pdf, .html, .xlsx or .csv"),
    "capacity": ("capacity", "capacity page for the customer: passages and what they let expect", ".pdf or .html"),
    "labels": ("labels", "labels with marks for a camera, for tools and boxes", ".pdf, .html, .xlsx or .csv"),
    "come-back": ("come_back", "sheet for the foundry to fill in and send back", ".csv, .xlsx, .html or .pdf"),
    "guide": ("guide", "setting guide for a telephone at the foundry, or on paper", ".html or .pdf"),
}
GUIDE = (
    "Write the setting guide: one HTML file that needs no network (cores one by one, ticks, checks, remarks and "
    "pictures; its answer file is read by `import answers`), or the same as PDF."
)
AT = "where the guide will lie: a code on each page and label opens the step of its core"


def arguments(actions: Any) -> None:
    """Adds the papers to the actions of `kit`; one that is there already is left alone."""
    from argparse import SUPPRESS

    for name, (kind, summary, endings) in PAPERS.items():
        if name in actions.choices:
            continue
        sub = actions.add_parser(name, help=summary, description=GUIDE if kind == "guide" else f"Write the {summary}.")
        sub.add_argument("--to", metavar="FILE", required=True, help=f"where; the ending says the form: {endings}")
        sub.add_argument("--job", help="job number; may be left out where the record has one job")
        sub.add_argument("--force", action="store_true", help="overwrite a file that is there")
        sub.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")
        paper_arguments(sub)
        if kind in OWN:
            OWN[kind](sub)
        sub.set_defaults(kind=kind)


def _of_sheet(sub: ArgumentParser) -> None:
    sub.add_argument(
        "--edition",
        choices=("foundry", "shop"),
        default="foundry",
        help="the foundry's copy (the default), or the shop's with what is not proven and how each fit stands",
    )


def _of_capacity(sub: ArgumentParser) -> None:
    sub.add_argument("--on", metavar="CASTING", help="from this casting instead of the tools")


def _of_labels(sub: ArgumentParser) -> None:
    sub.add_argument(
        "--size",
        choices=("sheet", "62x29", "100x50", "4x6"),
        default="sheet",
        help="on sheets to cut (the default), or one a page: 62 by 29 mm, 100 by 50 mm, 4 by 6 in",
    )
    sub.add_argument("--at", default="", metavar="URL", help=AT)


def _of_guide(sub: ArgumentParser) -> None:
    sub.add_argument("--language", default="en", metavar="CODE", help="en, fr, es, de; English always stands beside it")
    sub.add_argument("--phrases", metavar="CSV", help="a table of phrases of your own: columns en and the language")
    sub.add_argument("--ask", default="", metavar="WORDS", help="whom to ask: a name, a number")
    sub.add_argument("--at", default="", metavar="URL", help=AT)


OWN: dict[str, Callable[[ArgumentParser], None]] = {
    "setting_sheet": _of_sheet,
    "capacity": _of_capacity,
    "labels": _of_labels,
    "guide": _of_guide,
}


def run(args: Namespace) -> int:
    """0 when it is written, its path on stdout; 2 with a sentence when it cannot be."""
    from pathlib import Path

    from inspect_tui.report.kit import forms
    from inspect_tui.report.paper import file as paper_file
    from inspect_tui.shop.common import find

    form = paper_file.form_of(Path(args.to), forms.ENDINGS[args.kind])
    path = paper_file.target(args.to, force=args.force)
    if args.kind == "guide":
        return _guide(args, form, path)
    style = printed()
    with closing(open_record(args, read_only=True)) as record:
        paper = _paper(args, record, find.job(record, args.job), style)
    print(forms.write(paper, path, force=args.force, style=style))
    return 0


def _paper(args: Namespace, record: Record, job: Job, style: Style) -> Paper:
    from inspect_tui.shop.kit.paper.come_back import come_back
    from inspect_tui.shop.kit.paper.kit_list import Labels, kit_list, labels
    from inspect_tui.shop.kit.paper.setting_sheet import for_foundry, setting_sheet

    if args.kind == "setting_sheet":
        sheet = setting_sheet(record, job, style=style)
        if args.edition == "shop":
            return sheet
        _say_not_proven(len(sheet.not_proven))
        return for_foundry(sheet)
    if args.kind == "kit_list":
        return kit_list(record, job)
    if args.kind == "labels":
        return Labels(labels(record, job), args.size, args.at)
    if args.kind == "come_back":
        return come_back(record, job)
    return _passages(args, record, job, style)


def _say_not_proven(things: int) -> None:
    """What stands against setting by a paper that does not say it."""
    from inspect_tui.metrology.typed.show import count

    if things:
        talk(f"{count(things, 'thing')} not proven: it is not on this copy; see kit check and kit sheet --edition shop")


def _passages(args: Namespace, record: Record, job: Job, style: Style) -> Paper:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit.paper.capacity_page import capacity_page

    item = None
    if args.on:
        item = find.subject(record, job, args.on).item
        if item is None:
            raise DataError(f"--on {args.on}: that is a tool; without --on the page rests on the tools.")
    return capacity_page(record, job, item, style)


def _guide(args: Namespace, form: str, path: Path) -> int:
    from inspect_tui.report.kit import guide as dressed
    from inspect_tui.report.kit.phrases import phrases
    from inspect_tui.report.paper import file as paper_file
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit.paper.guide import guide

    said = phrases(args.language, args.phrases)
    _say_missing(said)
    style = printed()
    with closing(open_record(args, read_only=True)) as record:
        made = guide(record, find.job(record, args.job), ask=args.ask, style=style)
    _say_not_proven(made.not_proven)
    content = dressed.html(made, said, style) if form == "html" else dressed.pdf(made, said, style, at=args.at)
    print(paper_file.write_bytes(path, content, force=args.force))
    return 0


def _say_missing(said: Phrases) -> None:
    """Phrases that the table has not, which stay English."""
    from inspect_tui.metrology.typed.show import count
    from inspect_tui.report.kit.phrases import every

    missing = said.missing(every())
    if missing:
        few = "; ".join(missing[:3]) + ("; ..." if len(missing) > 3 else "")
        talk(f"{count(len(missing), 'phrase')} not in the table for {said.language}, in English alone: {few}")
