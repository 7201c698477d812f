"""`inspect-tui import readings` for a file of tools: what is new of it comes in, counts too, or nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import print_json, talk

if TYPE_CHECKING:
    from argparse import Namespace
    from typing import Any

    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.common.tables.file import Grid
    from inspect_tui.shop.common.tables.workbook_apart import Watch
    from inspect_tui.shop.intake.rows import Options
    from inspect_tui.shop.intake.tool_take_in import CheckedTools


def run(args: Namespace, record: Record, job: Job, grid: Grid, options: Options, watch: Watch) -> int:
    """0 when all that is new was taken in; else an error, with nothing taken in."""
    from inspect_tui.shop.intake import tool_take_in
    from inspect_tui.shop.intake.rows import asked_first

    checked = tool_take_in.check_tools(record, job, grid, options, watch=watch)
    if args.check:
        return _say_checked(args, checked)
    if checked.asked:
        raise asked_first(grid, checked.asked)
    tool_take_in.write_tools(record, job, checked, lambda n, of: watch("written", n, of))
    for remark in checked.remarks:
        talk(remark)
    if args.json:
        print_json(_plain(checked))
        return 0
    print(f"{grid.name}: {checked.said} taken in{checked.there}")
    return 0


def _say_checked(args: Namespace, checked: CheckedTools) -> int:
    if args.json:
        print_json({"would_take_in": checked.said, "asked": list(checked.asked), "remarks": list(checked.remarks)})
        return 0
    print(f"{checked.grid.name}: {checked.said}{checked.there}; nothing was written")
    for what, sentences in (("note", checked.remarks), ("asked", checked.asked)):
        for sentence in sentences:
            print(f"  {what:<13} {sentence}")
    return 0


def _plain(checked: CheckedTools) -> dict[str, Any]:
    return {
        "file": checked.grid.name,
        "tools": list(checked.tools),
        "readings": len(checked.readings),
        "counts": len(checked.counts),
        "already": checked.already,
        "counts_already": checked.counts_already,
        "remarks": list(checked.remarks),
    }
