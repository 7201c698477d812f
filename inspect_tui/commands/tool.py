"""`inspect-tui tool`: repairs, states, agreed limits of wear and details of tools, as their forms take them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import held_back, open_record, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job, Tool
    from inspect_tui.record.store import Record
    from inspect_tui.shop.trends.counts.repairs import EnteredUpkeep

WHAT = {
    "repair": "a repair: what=, action=, feature=, amount=, done_on=, at_count=, who=",
    "state": "out of use, or back into it: state=retired or revived, since_on=, why=",
    "limit": "an agreed limit of wear: feature=, lower=, upper=, why=",
    "detail": "what keeping and shipping takes: loose_pieces=, dowels=, weight=, mark=, owner=, grain=, lift_points=, "
    "note=",
}
DETAIL = ("loose_pieces", "dowels", "weight", "mark", "owner", "grain", "lift_points", "note")


def arguments(parser: ArgumentParser) -> None:
    """repair, state, limit, detail, list."""
    parser.description = (
        "What is said of a tool, by the fields of its forms: tool repair 'box 3' what='lined face B' action=line "
        "feature=F29 amount=0.3 --by JM. What was entered wrong is withdrawn (inspect-tui withdraw)."
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="|".join([*WHAT, "list"]))
    for name, summary in WHAT.items():
        sub = actions.add_parser(name, help=summary, description=f"{summary.capitalize()}.")
        sub.add_argument("tool", metavar="TOOL")
        sub.add_argument("field", nargs="+", metavar="FIELD=TEXT")
        sub.add_argument("--job", help="job number; not needed while there is one job")
        sub.add_argument("--by", required=True, metavar="INITIALS", help="who enters it")
        if name != "detail":
            sub.add_argument("--keep", action="store_true", help="keep it although something about it was asked")
    listed = actions.add_parser("list", help="the tools of a job, with state and details")
    listed.add_argument("--job", help="job number; not needed while there is one job")
    listed.add_argument("--json", action="store_true", help="as JSON")


def run(args: Namespace) -> int:
    """0 when it was written or listed; 1 when something has to be confirmed; 2 for bad input."""
    from inspect_tui.shop.common import find

    record = open_record(args, read_only=args.action == "list")
    try:
        job = find.job(record, args.job)
        if args.action == "list":
            return _list(args, record, job)
        by = find.person(record, args.by)
        tool = find.pick(args.tool, record.tools(job.of_id), lambda t: t.label, "tool", f" in job {job.number}")
        if args.action == "detail":
            return _detail(args, record, job, tool, by)
        return _enter(args, record, job, tool, by)
    finally:
        record.close()


def _enter(args: Namespace, record: Record, job: Job, tool: Tool, by: Person) -> int:
    from inspect_tui.commands import named_fields
    from inspect_tui.shop.trends.counts import repairs

    forms = {
        "repair": repairs.repair_fields(written()),
        "state": repairs.STATE_FIELDS,
        "limit": repairs.limit_fields(written()),
    }
    values = named_fields.read(args.field, [key for key, _ in forms[args.action]])
    entered: EnteredUpkeep
    if args.action == "repair":
        entered = repairs.read_repair(record, job, tool, values, style=written())
    elif args.action == "state":
        entered = repairs.read_state(record, tool, values)
    else:
        entered = repairs.read_limit(record, job, tool, values, written())
    status = held_back(entered, args.keep)
    if status or entered.thing is None:
        return status
    record.add(entered.thing, by.id)
    print(f"{tool.label}: {args.action} entered")
    return 0


def _detail(args: Namespace, record: Record, job: Job, tool: Tool, by: Person) -> int:
    from inspect_tui.commands import named_fields
    from inspect_tui.metrology.typed import fields
    from inspect_tui.shop.kit import edit

    values = named_fields.read(args.field, DETAIL)
    changes: dict[str, object] = {}
    for name, text in values.items():
        if not text.strip():
            changes["weight_kg" if name == "weight" else name] = None
        elif name in ("loose_pieces", "dowels"):
            changes[name] = named_fields.taken(fields.count(text, low=0), name.replace("_", " "))
        elif name == "weight":
            changes["weight_kg"] = named_fields.taken(fields.weight(text), name)
        elif name == "grain":
            changes[name] = named_fields.taken(fields.choice(text, ("x", "y", "z"), "the grain"), name)
        else:
            changes[name] = text.strip()
    edit.set_tool_detail(record, job, tool, by.id, **changes)
    print(f"{tool.label}: {', '.join(values)} entered")
    return 0


def _list(args: Namespace, record: Record, job: Job) -> int:
    states, details = record.tool_states(), record.tool_details(job.of_id)
    listed = []
    for tool in record.tools(job.of_id):
        said, state = details.get(tool.of_id), states.get(tool.of_id, [])
        listed.append(
            {
                "tool": tool.label,
                "kind": tool.kind,
                "material": tool.material,
                "state": state[-1].state if state else "in use",
                "since": state[-1].since_on if state else None,
                "loose_pieces": said.loose_pieces if said else None,
                "dowels": said.dowels if said else None,
                "weight_kg": said.weight_kg if said else None,
                "mark": said.mark if said else None,
                "owner": said.owner if said else None,
                "repairs": len(record.tool_repairs(tool.of_id)),
                "limits": len(record.wear_limits(tool.of_id)),
            }
        )
    if args.json:
        print_json(listed)
        return 0
    if not listed:
        talk(f"job {job.number} has no tools yet")
        return 0
    rows = [
        [str(t["tool"]), str(t["kind"]), str(t["material"]), str(t["state"]), str(t["mark"] or ""), str(t["repairs"])]
        for t in listed
    ]
    print_table(["tool", "kind", "material", "state", "mark", "repairs"], rows, right=("repairs",), spare=("mark",))
    return 0
