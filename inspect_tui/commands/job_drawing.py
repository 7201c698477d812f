"""`inspect-tui job correct`, `revise`, `drawing`: typing errors put right, a new revision, every edition there was."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written

if TYPE_CHECKING:
    from argparse import Namespace, _SubParsersAction

    from inspect_tui.shop.common.lineage import Edition

CHANGES = (
    "A change is a balloon and what is typed over, as the form of a feature calls it: F12 nominal=63 limits=±0.5. "
    "Sizes are in mm unless their unit is typed."
)


def arguments(actions: _SubParsersAction[Any]) -> None:
    """FEATURE NAME=TEXT ..., --why, --by; the new letter of a revision."""
    add = actions.add_parser
    right = add("correct", help="put typing errors of the drawing right, under the same letter", description=CHANGES)
    right.add_argument("change", nargs="+", metavar="CHANGE", help="such as F12 nominal=63")
    right.add_argument("--why", required=True, help="what was typed wrong, such as '63 read as 62'")
    new = add("revise", help="begin a new revision of the drawing", description=CHANGES)
    new.add_argument("rev", metavar="REV", help="its letter or number")
    new.add_argument("change", nargs="*", metavar="CHANGE", help="such as F12 nominal=63; none: only the letter")
    new.add_argument("--why", default="", help="why; may be left out")
    for action in (right, new):
        action.add_argument("--job", help="job number; not needed while there is one job")
        action.add_argument("--by", required=True, metavar="INITIALS", help="who does it")
    listed = add("drawing", help="every edition of the drawing: when, by whom, what changed and why")
    listed.add_argument("--job", help="job number; not needed while there is one job")
    listed.add_argument("--json", action="store_true", help="the editions as JSON")


def run(args: Namespace) -> int:
    """0 when it was written or listed; 2 with a sentence, and nothing written, where something typed is wrong."""
    from inspect_tui.shop.common import find

    if args.action == "drawing":
        return _list(args)
    from inspect_tui.shop.jobs import drawing_changes, jobs, raw_limits

    record = open_record(args)
    try:
        job = find.job(record, args.job)
        by = find.person(record, args.by)
        features = drawing_changes.changed(record, job, args.change)
        given_out = len(record.report_snapshots(job.of_id))
        if args.action == "correct":
            made = jobs.correct(record, job, features, args.why, by)
        else:
            made = jobs.revise(record, job, args.rev, features, args.why, by)
    finally:
        record.close()
    for feature in features:
        if doubt := raw_limits.asks(feature, written()):
            talk(f"inspect-tui: {doubt}")
    named = ", ".join(feature.balloon for feature in features)
    if args.action == "correct":
        print(f"{named} put right on revision {made.rev}: what was read of it is judged by it from now on")
    else:
        print(f"revision {made.rev} begun" + (f"; changed: {named}" if named else ""))
        if named:
            print("what was read of a changed size keeps its verdict on the old revision")
    if given_out:
        print(f"papers that were given out ({given_out}) stay as they were given")
    return 0


def _list(args: Namespace) -> int:
    from inspect_tui.shop.common import find
    from inspect_tui.shop.common.lineage import editions

    record = open_record(args, read_only=True)
    try:
        job = find.job(record, args.job)
        made = editions(record, job, record.job_features(job.of_id))
    finally:
        record.close()
    if args.json:
        print_json([_plain(edition) for edition in made])
        return 0
    rows = [
        [
            edition.revision.rev,
            edition.day,
            edition.by or "",
            "corrected" if edition.correction else "",
            ", ".join(edition.changed),
            edition.revision.why or "",
        ]
        for edition in made
    ]
    print_table(["rev", "entered", "by", "", "changed", "why"], rows, wraps="why", spare=("by",))
    return 0


def _plain(edition: Edition) -> dict[str, object]:
    revision = edition.revision
    return {
        "drawing": revision.number,
        "revision": revision.rev,
        "issued_on": revision.issued_on,
        "entered_on": edition.day,
        "by": edition.by,
        "corrected": edition.correction,
        "changed": list(edition.changed),
        "why": revision.why,
    }
