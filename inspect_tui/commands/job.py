"""`inspect-tui job`: add a whole job from a TOML file, print a commented example; its drawing put right or revised."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.commands.common import STYLE, open_record, talk

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """add FILE.toml, example, correct, revise, drawing."""
    from inspect_tui.commands import job_drawing

    actions = parser.add_subparsers(dest="action", required=True, metavar="add|example|correct|revise|drawing")
    add = actions.add_parser("add", help="add the job that FILE.toml describes")
    add.add_argument("file", metavar="FILE.toml")
    actions.add_parser("example", help="print a commented job file")
    job_drawing.arguments(actions)


MOST_BYTES = 4_000_000  # a job with ten thousand features has 3 MB


def _text(name: str) -> str:
    """What the file holds; JobFileError where it has no end in sight, OSError or UnicodeDecodeError as they come."""
    from inspect_tui.errors import JobFileError

    with Path(name).open("rb") as file:
        held = file.read(MOST_BYTES + 1)
    if len(held) > MOST_BYTES:
        raise JobFileError(
            f"{name} is larger than {MOST_BYTES // 1_000_000} MB, so it is no job file; nothing was added."
        )
    return held.decode("utf-8")


def run(args: Namespace) -> int:
    """0 when the job was added whole; 2 and nothing added otherwise."""
    if args.action in ("correct", "revise", "drawing"):
        from inspect_tui.commands import job_drawing

        return job_drawing.run(args)
    from inspect_tui.shop.jobs import jobs

    if args.action == "example":
        sys.stdout.write(jobs.example())
        return 0
    plan = jobs.plan_from_file(_text(args.file), STYLE)  # understood before a record is begun for it
    record = open_record(args, create=True)
    try:
        jobs.add_plan(record, plan)
    finally:
        record.close()
    for remark in plan.remarks:
        talk(remark)
    print(
        f"job {plan.job.number} added: {len(plan.features)} features, {len(plan.tools)} tools, "
        f"{len(plan.tool_features)} sizes on tools"
    )
    return 0
