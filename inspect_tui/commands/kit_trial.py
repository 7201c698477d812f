"""`inspect-tui kit trial`: a trying in or trial closing is written down, put right, listed, shown; its checklist."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import (
    open_record,
    pairs,
    paper_arguments,
    print_json,
    print_table,
    printed,
    talk,
    written,
)

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.proving import ProvingLine
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record

HEADS = ("sort", "inside", "mould", "place", "who", "day", "order", "cores", "way", "gauge", "unit", "note")


def arguments(actions: Any) -> None:
    """add, change, list, show, sheet."""
    trial = actions.add_parser(
        "trial",
        help="sticks or cores tried in the mould, or a trial closing: written down, listed, its checklist",
        description=(
            "A trying in (sticks in the mould taken off the pattern, or cores in the closed tool) and a trial closing "
            "at the foundry, with a checklist: how each core and seat goes, thicknesses by clay or plugs, whether the "
            "mould closes. Its sizes count for fits and walls, and `kit check` says what is proven together. A sheet "
            "that was filled in comes in with `import answers`; a wrong trial goes out with `withdraw trial 'trying in "
            "of DAY'`; a picture is put to it with `picture add FILE --on 'trying in of DAY'`."
        ),
    )
    what = trial.add_subparsers(dest="trial", required=True, metavar="add|change|list|show|sheet")
    add = what.add_parser(
        "add",
        help="kit trial add 'trying in' --inside sticks --mould 'mould 1' --cores 1-9 --found K6-3=rubs --by JM",
        description="A line is of core 3, of a seat (K6-3), of a wall (F48), of the closing, or a remark; it says "
        "goes (+), tight (t), rubs (r), loose (l) or stops (s), a size such as 0.35 or 5.2 ±0.3, how it was taken "
        "(clay, wax, lead, plug, feeler, block, rule, gauge), and words.",
    )
    add.add_argument("sort", metavar="SORT", help="'trying in' or 'trial closing'")
    change = what.add_parser("change", help="put a trial right; the version before stays in the record")
    change.add_argument("name", metavar="TRIAL", help="such as 'trying in of 2026-03-02'")
    change.add_argument("--sort", metavar="SORT", help="'trying in' or 'trial closing'")
    for sub in (add, change):
        _heads(sub)
    listed = what.add_parser("list", help="the trials of a job and what each still proves")
    show = what.add_parser("show", help="one trial, line by line")
    show.add_argument("name", nargs="?", default="", metavar="TRIAL", help="may be left out where there is one")
    sheet = what.add_parser("sheet", help="the checklist to print and fill in, or to fill in as a file")
    sheet.add_argument("sort", metavar="SORT", help="'trying in' or 'trial closing'")
    sheet.add_argument("--to", metavar="FILE", required=True, help="where; .pdf, .html, .csv or .xlsx says the form")
    paper_arguments(sheet)
    sheet.add_argument("--force", action="store_true", help="overwrite a file that is there")
    for sub in (listed, show):
        sub.add_argument("--json", action="store_true", help="as JSON")
    for sub in (add, change, listed, show, sheet):
        _shared(sub)


def _heads(sub: ArgumentParser) -> None:
    sub.add_argument("--inside", metavar="WHAT", help="sticks or cores")
    sub.add_argument("--mould", metavar="NAME", help="the mould off the pattern, the closed tool, or a foundry's mark")
    sub.add_argument("--cores", metavar="LIST", help="which were in it: 1-9, 1 2 7, or all")
    sub.add_argument("--on", dest="day", metavar="DAY", help="the day; without it today")
    sub.add_argument("--at", dest="place", metavar="NAME", help="where: a foundry")
    sub.add_argument("--who", metavar="NAME", help="who tried it, where that is not who writes it down")
    sub.add_argument("--order", metavar="LIST", help="yes where the order was followed, else how they went in: 1 2 7 3")
    sub.add_argument("--way", metavar="WAY", help="how sizes were taken that do not say: clay, plug, feeler ...")
    sub.add_argument("--with", dest="gauge", metavar="GAUGE", help="the gauge that they were read with")
    sub.add_argument("--unit", metavar="U", help="of figures without one: mm, in")
    sub.add_argument("--note", metavar="TEXT", help="a few words")
    sub.add_argument("--found", metavar="WHAT=FOUND", action="append", default=[], help="a line: K6-3='rubs, neck'")
    sub.add_argument("--keep", action="store_true", help="write what is asked about as it stands")
    sub.add_argument("--by", metavar="INITIALS", help="who writes it down")


def _shared(sub: ArgumentParser) -> None:
    from argparse import SUPPRESS

    sub.add_argument("--job", help="job number; not needed while there is one job")
    sub.add_argument("--record", metavar="FILE", default=SUPPRESS, help="the record")


def run(args: Namespace) -> int:
    """0 when it was written or listed; 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.common import find

    writes = args.trial in ("add", "change")
    with closing(open_record(args, read_only=not writes)) as record:
        job = find.job(record, args.job)
        if writes:
            return _write(record, job, args)
        if args.trial == "sheet":
            return _sheet(record, job, args)
        return _list(record, job, args.json) if args.trial == "list" else _show(record, job, args)


def _write(record: Record, job: Job, args: Namespace) -> int:
    from inspect_tui.errors import DataError
    from inspect_tui.shop.common import find
    from inspect_tui.shop.kit.facts import KitFacts
    from inspect_tui.shop.kit.proving import enter
    from inspect_tui.shop.kit.together import proven
    from inspect_tui.shop.kit.tried import named
    from inspect_tui.shop.kit.tried.trials import trials

    if not args.by:
        raise DataError(f"Say who writes it down: --by INITIALS. {enter.NOTHING}")
    by = find.person(record, args.by)
    facts = KitFacts(record, job)
    lines = dict(pairs(args.found, "--found", "WHAT=FOUND, such as --found K6-3=rubs"))
    heads = {key: value for key in HEADS if (value := getattr(args, key)) is not None}
    if args.trial == "change":
        _, which, _ = named.one(record, job.of_id, args.name, f" in job {job.number}")
        old = next(trial for trial in trials(facts) if trial.proving.id == which.id)
        draft = enter.merged(enter.draft_of(facts, old), heads, lines)
        checked = enter.read(record, facts, draft, old=old, style=written())
    else:
        draft = enter.merged(enter.Draft(who=by.name or by.initials), heads, lines)
        checked = enter.read(record, facts, draft, style=written())
    if checked.asked and not checked.wrong and not args.keep:
        raise DataError(f"{' '.join(checked.asked)} {enter.NOTHING} With --keep it is written as it stands.")
    enter.refuse_wrong(checked, args.keep)
    enter.write(record, checked, by.id)
    print(checked.sentence)
    print(proven.sentence(proven.proven(KitFacts(record, job))))
    return 0


def _list(record: Record, job: Job, as_json: bool) -> int:
    from inspect_tui.shop.kit.facts import KitFacts
    from inspect_tui.shop.kit.together import proven
    from inspect_tui.shop.kit.tried import named, words

    facts = KitFacts(record, job)
    names = {proving.id: name for name, proving, _ in named.every(record, job.of_id)}
    every = proven.proven(facts)
    if as_json:
        print_json([_plain(names[each.trial.proving.id], each, facts) for each in every])
        return 0
    if not every:
        talk(f"job {job.number}: {proven.NOT_PROVEN}")
        return 0
    rows = [
        [
            names[each.trial.proving.id],
            words.put_in(each.trial.proving, each.trial.cores),
            each.trial.mould or each.trial.proving.place or "",
            each.trial.proving.who,
            each.sentence,
        ]
        for each in every
    ]
    print_table(["trial", "in it", "mould", "who", "what it says"], rows, wraps="what it says", spare=("mould", "who"))
    return 0


def _show(record: Record, job: Job, args: Namespace) -> int:
    from inspect_tui.shop.kit.facts import KitFacts
    from inspect_tui.shop.kit.together import proven
    from inspect_tui.shop.kit.tried import named, words

    facts = KitFacts(record, job)
    name, proving, lines = named.one(record, job.of_id, args.name, f" in job {job.number}")
    said = next(each for each in proven.proven(facts) if each.trial.proving.id == proving.id)
    if args.json:
        print_json(_plain(name, said, facts))
        return 0
    place = f" at {proving.place}" if proving.place else ""
    print(f"{name}{place}, by {proving.who}: {said.sentence}")
    if proving.order_followed:
        told = (
            "followed" if proving.order_followed == "yes" else f"not followed: {proving.order_said or 'not said how'}"
        )
        print(f"setting order {told}")
    rows = [
        [item, words.found(line, written()) or "was in it"] for item, line in zip(said.trial.items, lines, strict=True)
    ]
    print_table(["of", "found"], rows, wraps="found")
    if proving.note:
        print(proving.note)
    return 0


def _plain(name: str, said: Any, facts: Any) -> dict[str, Any]:
    trial = said.trial
    p = trial.proving
    return {
        "trial": name,
        "sort": p.sort,
        "inside": p.inside,
        "mould": trial.mould or None,
        "place": p.place,
        "who": p.who,
        "on": p.on_date,
        "order_followed": p.order_followed,
        "order_said": p.order_said,
        "edition": p.edition,
        "note": p.note,
        "cores": [int(core) for core in trial.cores],
        "proven_together": [int(core) for core in said.cores],
        "not_proven": [{"core": int(each.core), "why": each.why} for each in said.without],
        "sentence": said.sentence,
        "lines": [_line(item, line, facts, p) for item, line in zip(trial.items, trial.lines, strict=True)],
    }


def _line(item: str, line: ProvingLine, facts: Any, proving: Any) -> dict[str, Any]:
    from inspect_tui.shop.kit.tried import evidence

    return {
        "of": item,
        "sort": line.sort,
        "result": line.result,
        "mm": line.value,
        "u_mm": None if line.value is None else evidence.line_u(facts.record, proving, line),
        "typed": line.typed,
        "unit": line.typed_unit,
        "way": line.way,
        "words": line.words,
    }


def _sheet(record: Record, job: Job, args: Namespace) -> int:
    from pathlib import Path

    from inspect_tui.report.kit import checklist as dressed
    from inspect_tui.report.paper import file as paper_file
    from inspect_tui.shop.kit.check import check
    from inspect_tui.shop.kit.proving.checklist import checklist

    path = Path(args.to).expanduser()
    form = paper_file.form_of(path, dressed.ENDINGS)
    path = paper_file.target(path, force=args.force)
    made = checklist(record, check(record, job, style=written()), args.sort)
    content = dressed.make(made, form, printed())
    print(paper_file.write_bytes(path, content, force=args.force))
    return 0
