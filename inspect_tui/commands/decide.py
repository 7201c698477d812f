"""`inspect-tui decide`: what two benches said apart, listed with the ways to decide it, and decided."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

from inspect_tui.commands.common import open_record, print_json, print_table, talk, written
from inspect_tui.errors import DataError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from inspect_tui.record.merge.clashes import Clash
    from inspect_tui.record.store import Record


def arguments(parser: ArgumentParser) -> None:
    """[NUMBER WAY] --name --why --by --json."""
    parser.description = (
        "Without a number: what benches of the shop said apart, with the ways to decide each. With one: "
        "decide 1 same --why 'entered at both' --by SL; decide 2 keep 1 ...; decide 3 rename 2 --name 'caliper 10' ..."
    )
    parser.add_argument("number", metavar="NUMBER", nargs="?", type=int, help="of the list")
    parser.add_argument("way", metavar="WAY", nargs="*", help="such as same, apart, keep 1, take 2, rename 2")
    parser.add_argument("--name", default="", help="what it is called from now on, with rename")
    parser.add_argument("--why", default="", help="why; it stands beside it from now on")
    parser.add_argument("--by", metavar="INITIALS", help="who decides")
    parser.add_argument("--json", action="store_true", help="the list as JSON")


def run(args: Namespace) -> int:
    """1 where something is to be decided, 0 where nothing is or it was decided; 2 with a sentence otherwise."""
    from inspect_tui.shop.common import find
    from inspect_tui.shop.together import decide
    from inspect_tui.shop.together.exchange import to_decide

    if args.number is None:
        with closing(open_record(args, read_only=True)) as record:
            return _listed(record, to_decide(record), args.json)
    with closing(open_record(args)) as record:
        clashes = to_decide(record)
        if not 1 <= args.number <= len(clashes):
            raise DataError(f"There is no number {args.number}: {len(clashes)} are to be decided.")
        if not args.by:
            raise DataError("Say who decides: --by INITIALS.")
        by = find.person(record, args.by)
        print(decide.decide(record, clashes[args.number - 1], " ".join(args.way), args.why, by, args.name))
    return 0


def _listed(record: Record, clashes: list[Clash], as_json: bool) -> int:
    from inspect_tui.shop.together import decide

    ways = [decide.ways(record, clash, written()) for clash in clashes]
    if as_json:
        print_json(
            [
                {
                    "number": n,
                    "sort": clash.sort,
                    "kind": clash.kind.table,
                    "name": clash.name,
                    "benches": list(clash.benches),
                    "words": clash.words,
                    "ways": [{"way": way.word, "means": way.says} for way in ways_],
                }
                for n, (clash, ways_) in enumerate(zip(clashes, ways, strict=True), start=1)
            ]
        )
    elif not clashes:
        talk("Nothing is to be decided.")
    else:
        rows = []
        for n, (clash, ways_) in enumerate(zip(clashes, ways, strict=True), start=1):
            rows.append([str(n), "", clash.words])
            rows += [["", way.word, way.says] for way in ways_]
        print_table(["", "way", "what"], rows, wraps="what")
    return 1 if clashes else 0
