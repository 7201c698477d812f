"""`inspect-tui handbook`: what standards and handbooks print for draft, machining stock and casting grades."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.commands.common import option, print_json, written

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Sequence

    from inspect_tui.metrology.sizes.handbook import Printed


def arguments(parser: ArgumentParser) -> None:
    """stock, draft, grade."""
    parser.description = (
        "What is printed for sand castings, every value with its source, best first: standards, handbooks, pages, shop "
        "practice. The first line is the range of the sources that are not weak. The foundry's own practice governs."
    )
    actions = parser.add_subparsers(dest="action", required=True, metavar="stock|draft|grade")

    stock = actions.add_parser(
        "stock",
        help="machining stock a face",
        description="Stock on a machined face of a sand casting: handbook stock 300 --alloy 'grey iron' --face bore.",
    )
    stock.add_argument(
        "size", metavar="SIZE", type=option("SIZE", "size"), help="of the casting, such as 300 or '12 in'"
    )
    stock.add_argument("--face", choices=("surface", "bore", "cope"), default="surface", help="cope: cast uppermost")
    _alloy(stock)

    draft = actions.add_parser(
        "draft",
        help="draft of a face that is drawn from the sand",
        description="Draft in degrees by the height of the face: handbook draft 80 --pattern metal --inside.",
    )
    draft.add_argument(
        "height", metavar="HEIGHT", type=option("HEIGHT", "size"), help="of the face, such as 80 or '3 in'"
    )
    draft.add_argument("--pattern", choices=("wood", "metal"), default="wood", help="metal stands for plastic too")
    draft.add_argument("--inside", action="store_true", help="of a pocket, in which the sand has to stay")

    grade = actions.add_parser(
        "grade",
        help="usual casting grades",
        description="Usual grades of ISO 8062: DCTG of sizes, GCTG of form, RMAG of machining stock. With --size what "
        "the grades come to at that size (RMAG: at the largest size of the part).",
    )
    grade.add_argument("kind", nargs="?", choices=("DCTG", "GCTG", "RMAG"), default="DCTG", type=str.upper)
    grade.add_argument("--moulding", choices=("machine", "hand"), help="left out: both")
    grade.add_argument("--size", metavar="SIZE", type=option("--size", "size"), help="such as 62")
    _alloy(grade)
    for sub in (stock, draft, grade):
        sub.add_argument("--json", action="store_true", help="one JSON document, every figure at full precision")


def _alloy(parser: ArgumentParser) -> None:
    parser.add_argument("--alloy", required=True, metavar="ALLOY", help="such as 'ductile iron'")


def run(args: Namespace) -> int:
    """0 with what is printed; 1 when nothing is."""
    from inspect_tui.metrology.sizes import handbook

    if args.action == "stock":
        printed = handbook.stock(args.size, args.alloy, args.face, written())
        of = handbook.span(printed)
        head = of and f"{handbook.stock_span(of, written())} a face"
    elif args.action == "draft":
        printed = handbook.draft(args.height, args.pattern, args.inside, written())
        of = handbook.span(printed)
        head = of and handbook.draft_span(of)
    else:
        printed = handbook.grades(args.alloy, args.kind, args.moulding)
        of = handbook.span(printed)
        head = of and handbook.grade_span(args.kind, of)
        if of and args.size is not None:
            head = handbook.grade_says(args.kind, of, args.size, written())
    if args.json:
        print_json({"lo": of[0] if of else None, "hi": of[1] if of else None, "printed": [_json(p) for p in printed]})
    else:
        _print(head or "", printed)
    return 0 if printed else 1


def _print(head: str, printed: Sequence[Printed]) -> None:
    print(head or "the tables print nothing for that")
    for line in printed:
        print(f"  {line.said}")


def _json(line: Printed) -> dict[str, object]:
    return {
        "lo": line.lo,
        "hi": line.hi,
        "text": line.text,
        "for": line.what,
        "source": line.source,
        "status": line.status,
        "source_kind": line.kind,
        "weak": line.weak,
    }
