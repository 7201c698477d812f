"""`inspect-tui sand-core`: sand cores that are to be measured are opened, listed, shown with what the foundry said."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.foundry import SettingAnswer
    from inspect_tui.shop.answers.sand_cores import SandCore


def arguments(parser: ArgumentParser) -> None:
    """add, correct, list."""
    parser.description = (
        "Sand cores are measured as tools are: at the Bench, or with `log --on 'core S4-1-C3'`. What the foundry sends "
        "back opens them by itself (`import answers`); a wrong one is taken out with `withdraw sand`."
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="add|correct|list")
    add = actions.add_parser("add", help="open sand cores: sand-core add 'core 3' S4-1-C3 S4-2-C3 --by JM")
    add.add_argument("core", metavar="CORE", help="core 3, 3 or its name")
    add.add_argument("serial", nargs="+", metavar="MARK", help="what stands on each of them")
    add.add_argument("--lot", metavar="LABEL", help="the sampling or lot they were made for")
    add.add_argument("--cavity", help="of the box, where it has several")
    add.add_argument("--by", required=True, metavar="INITIALS", help="who opens them")
    listed = actions.add_parser("list", help="the sand cores of a job, of a core, or one of them whole")
    listed.add_argument("of", nargs="?", metavar="CORE|MARK", help="core 3, or a sand core: then all that was said")
    listed.add_argument("--json", action="store_true", help="as JSON")
    correct = actions.add_parser(
        "correct",
        help="put one answer of the foundry right: sand-core correct 'S4-1-C3 check throat' size=1.35 --why misread",
        description="Fields are result (go or no-go) and size of a check, words of a remark, and who and day; a field "
        "without text is emptied. What stood there before stays in the record, struck out. `withdraw answer` takes "
        "one out altogether.",
    )
    correct.add_argument("answer", metavar="ANSWER", help="as `withdraw answer` names it: S4-1-C3 check throat")
    correct.add_argument("field", nargs="+", metavar="FIELD=TEXT")
    correct.add_argument("--why", required=True, help="what was wrong")
    correct.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
    for sub in (add, correct, listed):
        sub.add_argument("--job", help="job number; not needed while there is one job")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    return {"add": _add, "correct": _correct, "list": _list}[args.action](args)


def _correct(args: Namespace) -> int:
    from datetime import date

    from inspect_tui.commands import named_fields
    from inspect_tui.shop.answers import put_right
    from inspect_tui.shop.changes import things
    from inspect_tui.shop.common import find

    with closing(open_record(args)) as record:
        job = find.job(record, args.job)
        values = named_fields.read(args.field, put_right.KEYS)
        thing = things.named(record, things.sort_of("answer"), args.answer, job)
        answer = next(said for said in record.setting_answers(job.of_id) if said.id == thing.of_id)
        by = find.person(record, args.by)
        made = put_right.correct(record, answer, values, args.why, by, date.today().isoformat(), written())
    print(f"{thing.name}: {answer_words(made)}")
    return 0


def _add(args: Namespace) -> int:
    from inspect_tui.shop.answers import sand_cores
    from inspect_tui.shop.common import find

    with closing(open_record(args)) as record:
        job = find.job(record, args.job)
        by = find.person(record, args.by)
        core = sand_cores.core_named(record, job, args.core)
        lot = find.pick(args.lot, record.lots(job.of_id), lambda lot: lot.label, "lot") if args.lot else None
        made = sand_cores.open_new(record, job, core, args.serial, lot, args.cavity, by.id)
    print(f"core {core.number}: {', '.join(item.serial for item in made)} opened")
    return 0


def _list(args: Namespace) -> int:
    from inspect_tui.shop.answers import in_its_place, sand_cores
    from inspect_tui.shop.common import find

    with closing(open_record(args, read_only=True)) as record:
        job = find.job(record, args.job)
        listed = sand_cores.listed(record, job)
        of_mould = [] if args.of else [a for a in record.setting_answers(job.of_id) if a.core_of_id is None]
        whole, asked = None, ""
        if args.of:
            whole = next((s for s in listed if s.item.serial.casefold() == args.of.strip().casefold()), None)
            if whole is None:
                core = sand_cores.core_named(record, job, args.of)
                listed = [sand for sand in listed if sand.core.of_id == core.of_id]
            else:
                listed = [whole]
                asked = in_its_place.asked_of(record, job, whole.item)
    if args.json:
        print_json([_plain(sand) for sand in listed])
    elif not listed:
        talk(f"job {job.number} has no sand cores yet: `inspect-tui sand-core add` opens one")
    else:
        rows = [
            [
                sand.item.serial,
                f"{sand.core.number} {sand.core.name}",
                sand.lot or "",
                sand.item.cavity or "",
                str(sand.sizes),
                str(len(sand.said)),
            ]
            for sand in listed
        ]
        heads = ["sand core", "core", "lot", "cavity", "sizes read", "answers"]
        print_table(heads, rows, right=("sizes read", "answers"), spare=("cavity", "core"))
    for answer in of_mould if not args.json else ():
        print(f"the mould {answer.mould or ''}  {answer.on_date}  {answer_words(answer)}")
    if asked:
        talk(asked)
    for answer in whole.said if whole is not None and not args.json else ():
        print(f"  {answer.on_date}  {answer_words(answer)}")
    return 0


def answer_words(answer: SettingAnswer) -> str:
    """What was said, in a line."""
    from inspect_tui.shop.answers.words import said

    return said(answer, written())


def _plain(sand: SandCore) -> dict[str, Any]:
    return {
        "sand_core": sand.item.serial,
        "core": sand.core.number,
        "lot": sand.lot,
        "cavity": sand.item.cavity,
        "sizes_read": sand.sizes,
        "readings": sand.readings,
        "answers": [
            {
                "sort": answer.sort,
                "step": answer.step,
                "what": answer.what,
                "result": answer.result,
                "mm": answer.value,
                "typed": answer.typed,
                "lower_mm": answer.lower,
                "upper_mm": answer.upper,
                "words": answer.words,
                "mould": answer.mould,
                "who": answer.who,
                "on": answer.on_date,
            }
            for answer in sand.said
        ],
    }
