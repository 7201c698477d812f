"""`inspect-tui job set`: alloy, construction and contraction of a job put right, as the form takes them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, talk, written

if TYPE_CHECKING:
    from argparse import Namespace, _SubParsersAction

FIELDS = ("alloy", "construction", "contraction", "source")


def arguments(actions: _SubParsersAction[Any]) -> None:
    """FIELD=TEXT ... --why --by --yes."""
    add = actions.add_parser(
        "set",
        help="alloy, construction or contraction that was said wrongly",
        description="job set contraction='1.2 % 1.2 % 1.5 %' --why 'of another alloy' --by JM. With another "
        "contraction the job's tools are laid out anew; what was read on them is judged by the sizes that held then.",
    )
    add.add_argument("field", nargs="+", metavar="FIELD=TEXT", help=", ".join(FIELDS))
    add.add_argument("--job", help="job number; not needed while there is one job")
    add.add_argument("--why", required=True, help="what was said wrongly")
    add.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
    add.add_argument("--yes", action="store_true", help="do not ask about the tools")


def run(args: Namespace) -> int:
    """0 when it was written; 1 when nobody agreed; 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.commands import named_fields
    from inspect_tui.commands.job_files import agreed
    from inspect_tui.shop.changes import metal
    from inspect_tui.shop.common import find

    said = named_fields.read(args.field, FIELDS)
    record = open_record(args)
    try:
        job, by = find.job(record, args.job), find.person(record, args.by)
        made = metal.read(record, job, {**metal.shown(job, written()), **said}, written())
        if made.moves:
            talk(made.sentence)
            asked = [*([made.asks] if made.asks else []), f"job {job.number} gets another contraction"]
            if not agreed(asked, args.yes):
                return 1
        metal.write(record, job, made, args.why, by)
    finally:
        record.close()
    print(f"job {job.number}: {', '.join(said)} put right")
    return 0
