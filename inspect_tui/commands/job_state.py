"""`inspect-tui job state`, `job list`: a job that waits, is closed or goes on; the jobs that there are."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json, print_table, talk

if TYPE_CHECKING:
    from argparse import Namespace, _SubParsersAction


def arguments(actions: _SubParsersAction[Any]) -> None:
    """NUMBER STATE --why --by; --json."""
    state = actions.add_parser(
        "state",
        help="a job waits, is closed, or goes on: job state SV-12 closed --why 'delivered' --by JM",
        description="A closed job keeps all that was read; it stands last in the list, and where one other job is "
        "open that one is meant by commands without --job.",
    )
    state.add_argument("number", metavar="JOB", help="its number")
    state.add_argument("state", metavar="STATE", help="open, waiting or closed")
    state.add_argument("--why", required=True, help="why")
    state.add_argument("--by", required=True, metavar="INITIALS", help="who says so")
    listed = actions.add_parser("list", help="the jobs with their state")
    listed.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 when it was written or listed, 2 with a sentence, and nothing written, otherwise."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.jobs import states

    if args.action == "list":
        return _list(args)
    with closing(open_record(args)) as record:
        job = find.job(record, args.number)
        made = states.say(record, job, args.state, args.why, find.person(record, args.by))
    print(f"job {job.number} is {made.state}")
    return 0


def _list(args: Namespace) -> int:
    from inspect_tui.shop.jobs import jobs

    with closing(open_record(args, read_only=True)) as record:
        rows = [
            {
                "job": line.job.number,
                "name": line.job.name,
                "state": line.state,
                "why": line.why,
                "alloy": line.job.alloy,
                "revision": line.revision.rev if line.revision else None,
                "tools": line.tools,
                "castings": line.castings,
            }
            for line in jobs.overview(record)
        ]
    if args.json:
        print_json(rows)
    elif not rows:
        talk("There is no job in this record yet.")
    else:
        heads = ["job", "name", "state", "alloy", "revision", "tools", "castings"]
        print_table(heads, [[str(row[head] or "") for head in heads] for row in rows], wraps="name")
    return 0
