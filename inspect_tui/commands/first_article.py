"""`inspect-tui first-article`: one sampling against the drawing; as a table, as JSON, or as papers in six forms."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import (
    console,
    open_record,
    paper_arguments,
    print_json,
    print_table,
    talk,
    written,
)
from inspect_tui.shop.common.standing import Standing

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.record.store import Record
    from inspect_tui.shop.first_article.snapshot import Again


def arguments(parser: ArgumentParser) -> None:
    """Which job and sampling, and where the papers go."""
    parser.description = (
        "One sampling of castings against the drawing: every feature on every casting with its uncertainty and "
        "verdict, what was not measured and why, loops that do not close, causes, cuts and stock. With --to the "
        "content is fixed by a snapshot in the record and written as papers; the ending says the form: .html, .pdf, "
        ".xlsx, .csv, .json, .qif. The same report is printed again with --again, also years later."
    )
    where(parser)
    parser.add_argument("--to", metavar="FILE", nargs="+", default=[], help="write papers; the ending says the form")
    paper_arguments(parser)
    parser.add_argument(
        "--edition",
        choices=("customer", "shop"),
        help="customer: without causes and cuts (what is meant unless it is said); shop: with them as an annex. "
        "With --again: as it was given out",
    )
    parser.add_argument("--force", action="store_true", help="overwrite papers that are there")
    parser.add_argument("--again", metavar="ID", nargs="?", const="", help="a report given out (default: the last)")
    parser.add_argument("--by", metavar="INITIALS", help="who gives the report out")
    parser.add_argument("--check", action="store_true", help="exit status 1 unless everything conforms")
    parser.add_argument("--json", action="store_true", help="the whole result at full precision")


def where(parser: ArgumentParser) -> None:
    """Job and sampling, as the commands about castings share them."""
    parser.add_argument("--job", help="job number; may be left out where the record has one job")
    parser.add_argument("--round", metavar="LABEL", help="sampling, such as S1 (default: the newest)")


def run(args: Namespace) -> int:
    """0 when it was computed (and written); 1 with --check when it does not conform; 2 when there is nothing."""
    from inspect_tui.shop.common import find

    with closing(open_record(args, read_only=not args.to or args.again is not None)) as record:
        job = find.job(record, args.job)
        if args.again is not None:
            return _papers(args, _again(record, args))
        if args.to:
            from inspect_tui.shop.first_article.snapshot import fix

            _places(args)
            by = find.person(record, args.by).id if args.by else None
            shop = args.edition == "shop"
            return _papers(args, fix(record, job, args.round, by, annex=shop, dress=_dress(args)))
        from inspect_tui.shop.first_article.article import first_article
        from inspect_tui.shop.first_article.result import to_plain

        article = first_article(record, job, args.round, style=written())
    if args.json:
        print_json(to_plain(article))
    else:
        from inspect_tui.metrology.kit.capacity import flows
        from inspect_tui.report.term import first_article as term

        out = console()
        out.print(term.head_text(article), end="")
        print_table(
            ["feature", "name", "mean", "off", "limits", "answer", "castings"],
            [term.feature_cells(line, written()) for line in article.features],
            right=("mean", "off"),
            spare=("name", "limits"),
            styles=[term.STYLE[line.answer] for line in article.features],
        )
        out.print(term.questions_text(article.questions, article.loops, out.width), end="")
        for passage in article.passages:
            out.print(passage.sentence, markup=False)
            if passage.serial is None and passage.capacity is not None:
                said = (flows(passage.capacity, passage.capacity_unit, written()), passage.how)
                out.print("; ".join(filter(None, said)), style="dim", markup=False)
        for caution in article.cautions:
            out.print(caution, style="dim", markup=False)
    return int(args.check and article.answer != Standing.CONFORMS)


def _again(record: Record, args: Namespace) -> Again:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.first_article.snapshot import again, find_snapshot

    made = again(record, find_snapshot(record, find.job(record, args.job), args.again or None))
    if made.why:
        talk(f"inspect-tui: {made.why}")
    return made


def _writer() -> Any:
    from inspect_tui.errors import DataError

    try:
        from inspect_tui.report.first_article import forms
    except ImportError as problem:
        raise DataError(
            f"Papers need the extra 'report' (pip install 'inspect-tui[report]'): {problem.name} is missing. "
            "--json needs nothing more."
        ) from None
    return forms


def _places(args: Namespace) -> None:
    """Every path is looked at before a snapshot is made for papers that have no place."""
    from pathlib import Path

    from inspect_tui.report.first_article import forms
    from inspect_tui.report.paper import file as paper_file

    for name in args.to:
        paper_file.form_of(Path(name), forms.ENDINGS)
        paper_file.target(name, force=args.force)


def _dress(args: Namespace) -> dict[str, str]:
    """How the paper is written: unit, decimals of inches, decimal mark and sheet, as asked for, else as it is set."""
    from inspect_tui.frozen import replace
    from inspect_tui.shop.first_article.snapshot import dress_of
    from inspect_tui.shop.settings import file

    style = written()
    return dress_of(replace(style, mark=args.decimal_mark or style.mark), file.paper())


def _papers(args: Namespace, made: Again) -> int:
    import sys

    from inspect_tui.frozen import replace

    annex = made.annex if args.edition is None else args.edition == "shop"
    if args.again is not None:  # as it was given out, but for what is asked for now
        shown, asked = getattr(args, "show", None), _dress(args)
        said = {"unit": shown, "places": shown, "mark": args.decimal_mark, "paper": args.sheet_of_paper}
        made = replace(made, dress={**made.dress, **{key: asked[key] for key, wish in said.items() if wish}})
    if not args.to:
        sys.stdout.write(made.text if annex else _writer().make(made.plain, "json", annex=False).decode("utf-8"))
    for name in args.to:
        path = _writer().write(
            made.plain,
            name,
            annex=annex,
            force=args.force,
            style=made.style,
            size=made.dress.get("paper"),
            files=made.files,
        )
        print(path)
    return int(args.check and made.plain["answer"] != Standing.CONFORMS)
